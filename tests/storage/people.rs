//! People.

use fusewright::domain::ids::PersonId;
use fusewright::domain::person::Role;
use fusewright::storage::people::{
    append, change_password, change_role, disable, enable, find, list, load,
};
use fusewright::storage::{Conflict, workshops};
use uuid::Uuid;

use super::fixture::{
    Bench, MANAGER, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after, person, workshop,
};

const STRANGER: PersonId = PersonId(Uuid::from_u128(0x1f));

#[tokio::test]
async fn a_person_is_found_by_the_name_they_sign_in_with() {
    let bench = Bench::staffed().await;
    let (there, hash) = find(&bench.store, WORKSHOP, "tom").await.unwrap().unwrap();
    assert_eq!(there, person(TECHNICIAN, "Tom Reyes", Role::Technician).person);
    assert_eq!(hash, "$argon2id$made-up");
    assert_eq!(load(&bench.store, WORKSHOP, TECHNICIAN).await.unwrap(), Some(there));
    assert!(find(&bench.store, WORKSHOP, "nobody").await.unwrap().is_none());
}

#[tokio::test]
async fn a_sign_in_name_is_one_persons_in_a_workshop_and_free_in_the_next() {
    let bench = Bench::staffed().await;
    let twin = person(STRANGER, "Tom Quist", Role::Manager);
    let refused = append(&bench.store, twin.clone()).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::SignInTaken));

    workshops::append(&bench.store, &workshop(OTHER_WORKSHOP, "OV")).await.unwrap();
    let mut elsewhere = twin;
    elsewhere.person.workshop = OTHER_WORKSHOP;
    append(&bench.store, elsewhere).await.unwrap();
    assert!(load(&bench.store, WORKSHOP, STRANGER).await.unwrap().is_none());
}

#[tokio::test]
async fn a_person_of_no_workshop_is_refused() {
    let bench = Bench::empty().await;
    let refused = append(&bench.store, person(STRANGER, "Tom Quist", Role::Manager)).await;
    assert_eq!(refused.unwrap_err().conflict(), Some(Conflict::NotThere));
}

#[tokio::test]
async fn people_are_listed_by_name_and_the_disabled_last() {
    let bench = Bench::staffed().await;
    append(&bench.store, person(STRANGER, "Amara Lind", Role::Owner)).await.unwrap();
    disable(&bench.store, WORKSHOP, STRANGER, after(5)).await.unwrap();
    let people = list(&bench.store, WORKSHOP).await.unwrap();
    let names: Vec<_> = people.iter().map(|person| person.name.as_str()).collect();
    assert_eq!(names, ["Ines Okafor", "Tom Reyes", "Amara Lind"]);
    assert!(people[2].disabled);
    enable(&bench.store, WORKSHOP, STRANGER).await.unwrap();
    assert!(!load(&bench.store, WORKSHOP, STRANGER).await.unwrap().unwrap().disabled);
}

#[tokio::test]
async fn password_and_role_change_for_one_person_alone() {
    let bench = Bench::staffed().await;
    change_password(&bench.store, WORKSHOP, TECHNICIAN, "$new".to_owned()).await.unwrap();
    change_role(&bench.store, WORKSHOP, TECHNICIAN, Role::Manager).await.unwrap();
    let (tom, hash) = find(&bench.store, WORKSHOP, "tom").await.unwrap().unwrap();
    assert_eq!((tom.role, hash.as_str()), (Role::Manager, "$new"));
    let (ines, hash) = find(&bench.store, WORKSHOP, "ines").await.unwrap().unwrap();
    assert_eq!((ines.id, ines.role), (MANAGER, Role::Manager));
    assert_eq!(hash, "$argon2id$made-up");
}

#[tokio::test]
async fn changes_name_the_workshop_and_reach_nobody_elsewhere() {
    let bench = Bench::staffed().await;
    let store = &bench.store;
    let refused = [
        disable(store, OTHER_WORKSHOP, TECHNICIAN, after(1)).await,
        enable(store, OTHER_WORKSHOP, TECHNICIAN).await,
        change_password(store, OTHER_WORKSHOP, TECHNICIAN, "$x".to_owned()).await,
        change_role(store, OTHER_WORKSHOP, TECHNICIAN, Role::Owner).await,
    ];
    for outcome in refused {
        assert_eq!(outcome.unwrap_err().conflict(), Some(Conflict::NotThere));
    }
    let tom = load(store, WORKSHOP, TECHNICIAN).await.unwrap().unwrap();
    assert_eq!(tom, person(TECHNICIAN, "Tom Reyes", Role::Technician).person);
}
