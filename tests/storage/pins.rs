//! PINs of technicians.

use fusewright::domain::ids::{DeviceId, PersonId};
use fusewright::domain::person::Role;
use fusewright::storage::pin_tries::{self, Attempt, FREE_MAX, Turn};
use fusewright::storage::pins::{NewPin, accept, append, find, list, take, take_all};
use fusewright::storage::sessions::{self, NewSession};
use fusewright::storage::{Conflict, people, phones as shared};
use uuid::Uuid;

use super::fixture::{Bench, DEVICE, MANAGER, MORNING, TECHNICIAN, WORKSHOP, after};
use super::phones::enrolled;

const PHONE: DeviceId = DeviceId(Uuid::from_u128(0x21));

fn pin(person: PersonId, hash: &str) -> NewPin {
    let (hash, issued) = (hash.to_owned(), after(1));
    NewPin { workshop: WORKSHOP, person, hash, issued, issued_by: MANAGER }
}

fn attempt() -> Attempt {
    Attempt { workshop: WORKSHOP, device: PHONE, person: TECHNICIAN, at: after(2) }
}

async fn with_pin() -> Bench {
    let bench = enrolled().await;
    append(&bench.store, pin(TECHNICIAN, "one")).await.unwrap();
    bench
}

async fn hash_of(bench: &Bench, person: PersonId) -> Option<String> {
    find(&bench.store, WORKSHOP, person).await.unwrap().map(|(_, hash)| hash)
}

#[tokio::test]
async fn a_new_pin_stands_in_for_the_one_before() {
    let bench = with_pin().await;
    append(&bench.store, pin(TECHNICIAN, "two")).await.unwrap();
    assert_eq!(hash_of(&bench, TECHNICIAN).await.as_deref(), Some("two"));
    let [holder] = list(&bench.store, WORKSHOP).await.unwrap().try_into().unwrap();
    assert_eq!((holder.person.id, holder.issued), (TECHNICIAN, after(1)));
}

#[tokio::test]
async fn only_a_technician_who_may_sign_in_has_a_pin() {
    let bench = with_pin().await;
    for person in [MANAGER, PersonId(Uuid::from_u128(0x99))] {
        let refused = append(&bench.store, pin(person, "two")).await.unwrap_err();
        assert_eq!(refused.conflict(), Some(Conflict::NotThere));
    }
    people::disable(&bench.store, WORKSHOP, TECHNICIAN, after(2)).await.unwrap();
    assert!(append(&bench.store, pin(TECHNICIAN, "two")).await.is_err());
    assert_eq!(list(&bench.store, WORKSHOP).await.unwrap(), []);
}

#[tokio::test]
async fn a_pin_goes_with_the_right_to_sign_in_and_does_not_come_back_with_it() {
    let bench = with_pin().await;
    people::disable(&bench.store, WORKSHOP, TECHNICIAN, after(2)).await.unwrap();
    people::enable(&bench.store, WORKSHOP, TECHNICIAN).await.unwrap();
    assert_eq!(hash_of(&bench, TECHNICIAN).await, None);
}

#[tokio::test]
async fn a_pin_goes_with_the_role() {
    let bench = with_pin().await;
    for role in [Role::Manager, Role::Technician] {
        people::change_role(&bench.store, WORKSHOP, TECHNICIAN, role, after(2)).await.unwrap();
        assert_eq!(hash_of(&bench, TECHNICIAN).await, None);
    }
}

#[tokio::test]
async fn a_pin_is_taken_away_and_taking_none_away_changes_nothing() {
    let bench = with_pin().await;
    for _ in 0..2 {
        take(&bench.store, WORKSHOP, TECHNICIAN, after(2)).await.unwrap();
        assert_eq!(hash_of(&bench, TECHNICIAN).await, None);
    }
    append(&bench.store, pin(TECHNICIAN, "two")).await.unwrap();
    take_all(&bench.store).await.unwrap();
    assert_eq!(hash_of(&bench, TECHNICIAN).await, None);
}

#[tokio::test]
async fn a_new_pin_or_none_ends_what_was_begun_on_shared_phones_and_nothing_else() {
    for gives in [true, false] {
        let bench = with_pin().await;
        for (token, device) in [(1, PHONE), (2, DEVICE)] {
            let session = NewSession {
                token: [token; 32],
                workshop: WORKSHOP,
                person: TECHNICIAN,
                device,
                created: MORNING,
                expires: after(600),
            };
            sessions::append(&bench.store, session).await.unwrap();
        }
        if gives {
            append(&bench.store, pin(TECHNICIAN, "two")).await.unwrap();
        } else {
            take(&bench.store, WORKSHOP, TECHNICIAN, after(2)).await.unwrap();
        }
        for (token, holds) in [(1, false), (2, true)] {
            let found = sessions::find(&bench.store, [token; 32], after(3)).await.unwrap();
            assert_eq!(found.is_some(), holds, "session {token}");
        }
    }
}

#[tokio::test]
async fn a_good_pin_clears_the_person_and_gives_the_phone_its_attempt_back() {
    let bench = with_pin().await;
    for _ in 0..FREE_MAX {
        pin_tries::append(&bench.store, attempt()).await.unwrap();
    }
    assert!(accept(&bench.store, attempt(), "one".to_owned()).await.unwrap());
    for _ in 0..FREE_MAX {
        let turn = pin_tries::append(&bench.store, attempt()).await.unwrap();
        assert_eq!(turn, Turn::Taken);
    }
    let mut intruder = bench.intruder().await;
    let failures: i64 =
        sqlx::query_scalar("select failures from pin_hour").fetch_one(&mut intruder).await.unwrap();
    assert_eq!(failures, 2 * i64::from(FREE_MAX) - 1);
}

#[tokio::test]
async fn what_changed_while_a_pin_was_compared_counts() {
    let bench = with_pin().await;
    assert!(!accept(&bench.store, attempt(), "two".to_owned()).await.unwrap());
    let plain = Attempt { device: DEVICE, ..attempt() };
    assert!(!accept(&bench.store, plain, "one".to_owned()).await.unwrap());
    assert!(accept(&bench.store, attempt(), "one".to_owned()).await.unwrap());
    shared::revoke(&bench.store, WORKSHOP, PHONE, after(2)).await.unwrap();
    assert!(!accept(&bench.store, attempt(), "one".to_owned()).await.unwrap());
}
