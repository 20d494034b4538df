//! People.

use fusewright::domain::ids::PersonId;
use fusewright::domain::person::Role;
use fusewright::storage::people::{
    NewPassword, append, change_password, change_role, disable, enable, find, list, load,
};
use fusewright::storage::sessions::{self, NewSession, TokenSha256};
use fusewright::storage::sign_ins::{self, Attempt};
use fusewright::storage::{Conflict, workshops};
use uuid::Uuid;

use super::fixture::{
    Bench, DEVICE, MANAGER, MORNING, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after, person, workshop,
};

fn new_password(keep: Option<TokenSha256>) -> NewPassword {
    NewPassword { hash: "$new".to_owned(), now: after(1), keep }
}

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
    change_password(&bench.store, WORKSHOP, TECHNICIAN, new_password(None)).await.unwrap();
    change_role(&bench.store, WORKSHOP, TECHNICIAN, Role::Manager, after(2)).await.unwrap();
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
        change_password(store, OTHER_WORKSHOP, TECHNICIAN, new_password(None)).await,
        change_role(store, OTHER_WORKSHOP, TECHNICIAN, Role::Owner, after(1)).await,
    ];
    for outcome in refused {
        assert_eq!(outcome.unwrap_err().conflict(), Some(Conflict::NotThere));
    }
    let tom = load(store, WORKSHOP, TECHNICIAN).await.unwrap().unwrap();
    assert_eq!(tom, person(TECHNICIAN, "Tom Reyes", Role::Technician).person);
}

fn session(person: PersonId, token: TokenSha256) -> NewSession {
    let (created, expires) = (MORNING, MORNING.plus_days(1));
    NewSession { token, workshop: WORKSHOP, person, device: DEVICE, created, expires }
}

/// Three sessions: two of the technician's, one of the manager's.
async fn signed_in(bench: &Bench) {
    for (person, token) in [(TECHNICIAN, [1; 32]), (TECHNICIAN, [2; 32]), (MANAGER, [3; 32])] {
        sessions::append(&bench.store, session(person, token)).await.unwrap();
    }
}

async fn tokens_that_hold(bench: &Bench) -> Vec<u8> {
    let mut left = Vec::new();
    for token in [[1; 32], [2; 32], [3; 32]] {
        let found = sessions::find(&bench.store, token, after(5)).await.unwrap();
        left.extend(found.map(|session| session.token[0]));
    }
    left
}

#[tokio::test]
async fn a_new_password_ends_every_session_but_the_one_that_set_it() {
    let bench = Bench::staffed().await;
    signed_in(&bench).await;
    let own = new_password(Some([2; 32]));
    change_password(&bench.store, WORKSHOP, TECHNICIAN, own).await.unwrap();
    assert_eq!(tokens_that_hold(&bench).await, [2, 3]);
    change_password(&bench.store, WORKSHOP, TECHNICIAN, new_password(None)).await.unwrap();
    assert_eq!(tokens_that_hold(&bench).await, [3]);
}

#[tokio::test]
async fn a_new_role_ends_that_persons_sessions_alone() {
    let bench = Bench::staffed().await;
    signed_in(&bench).await;
    change_role(&bench.store, WORKSHOP, TECHNICIAN, Role::Owner, after(1)).await.unwrap();
    assert_eq!(tokens_that_hold(&bench).await, [3]);
}

/// Names that begin alike, or hold what a pattern would read as any letter, keep their counts.
#[tokio::test]
async fn a_new_password_forgets_the_guesses_at_the_old_one_on_every_device() {
    let bench = Bench::staffed().await;
    let on_phone = sign_ins::on_device("tom", DEVICE);
    let names = ["tom", on_phone.as_str(), "tom2", "ines", "t_m on a phone"];
    let attempt = |name: &str| Attempt {
        workshop: WORKSHOP,
        sign_in: name.to_owned(),
        address: "a".to_owned(),
        at: MORNING,
    };
    for name in names {
        sign_ins::append(&bench.store, attempt(name)).await.unwrap();
    }
    change_password(&bench.store, WORKSHOP, TECHNICIAN, new_password(None)).await.unwrap();
    let mut counted = Vec::new();
    for name in names {
        counted.push(sign_ins::append(&bench.store, attempt(name)).await.unwrap().in_a_row);
    }
    assert_eq!(counted, [1, 1, 2, 2, 2]);
}
