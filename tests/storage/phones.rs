//! Phones that people share, and the codes that enrol them.

use fusewright::domain::ids::{DeviceId, Moment};
use fusewright::storage::Conflict;
use fusewright::storage::devices::{self, Device, Heard};
use fusewright::storage::enrol_codes::{self, Given, LIFE_MS, NewCode, TRIES_MAX};
use fusewright::storage::phones::{NewPhone, append, find, list, rename, revoke};
use fusewright::storage::sessions::{self, NewSession};
use tokio::task::JoinSet;
use uuid::Uuid;

use super::fixture::{Bench, DEVICE, MANAGER, MORNING, TECHNICIAN, WORKSHOP, after, device};

const PHONE: DeviceId = DeviceId(Uuid::from_u128(0x21));
const LINK: Given = Given::Link([1; 32]);
const TYPED: Given = Given::Typed([2; 32]);
const WRONG: Given = Given::Typed([3; 32]);

async fn with_code() -> Bench {
    let bench = Bench::staffed().await;
    enrol_codes::append(&bench.store, code()).await.unwrap();
    bench
}

fn code() -> NewCode {
    NewCode {
        workshop: WORKSHOP,
        made_by: MANAGER,
        link_sha256: [1; 32],
        typed_sha256: [2; 32],
        made: MORNING,
    }
}

fn phone(given: Given, at: Moment) -> NewPhone {
    let device = Device { id: PHONE, first_seen: at, label: "Bay 2".to_owned() };
    NewPhone { workshop: WORKSHOP, device, secret_sha256: [9; 32], given, at }
}

pub(super) async fn enrolled() -> Bench {
    let bench = with_code().await;
    assert!(append(&bench.store, phone(LINK, MORNING)).await.unwrap());
    bench
}

#[tokio::test]
async fn a_code_enrols_one_phone_by_its_link_or_by_its_letters() {
    for given in [LINK, TYPED] {
        let bench = with_code().await;
        assert!(append(&bench.store, phone(given, after(1))).await.unwrap());
        let proof = find(&bench.store, WORKSHOP, PHONE).await.unwrap().unwrap();
        assert_eq!((proof.secret_sha256, proof.revoked), (Some([9; 32]), false));
        for again in [LINK, TYPED] {
            let other = DeviceId(Uuid::from_u128(0x22));
            let device = Device { id: other, ..phone(again, after(1)).device };
            let new = NewPhone { device, ..phone(again, after(1)) };
            assert!(!append(&bench.store, new).await.unwrap());
            assert_eq!(find(&bench.store, WORKSHOP, other).await.unwrap(), None);
        }
    }
}

#[tokio::test]
async fn a_code_holds_for_ten_minutes_and_not_a_moment_longer() {
    let ends = MORNING.0 + LIFE_MS;
    assert_eq!(LIFE_MS, 600_000);
    for given in [LINK, TYPED] {
        let bench = with_code().await;
        assert!(!append(&bench.store, phone(given, Moment(ends))).await.unwrap());
        assert!(append(&bench.store, phone(given, Moment(ends - 1))).await.unwrap());
    }
}

#[tokio::test]
async fn five_wrong_tries_end_what_is_typed_and_not_what_is_scanned() {
    let bench = with_code().await;
    for _ in 0..TRIES_MAX - 1 {
        assert!(!append(&bench.store, phone(WRONG, MORNING)).await.unwrap());
    }
    // The fifth try may still be right.
    assert!(append(&bench.store, phone(TYPED, MORNING)).await.unwrap());
    let bench = with_code().await;
    for _ in 0..TRIES_MAX {
        assert!(!append(&bench.store, phone(WRONG, MORNING)).await.unwrap());
    }
    assert!(!append(&bench.store, phone(TYPED, MORNING)).await.unwrap());
    assert!(append(&bench.store, phone(LINK, MORNING)).await.unwrap());
}

#[tokio::test]
async fn a_wrong_link_counts_against_nothing() {
    let bench = with_code().await;
    for _ in 0..=TRIES_MAX {
        assert!(!append(&bench.store, phone(Given::Link([3; 32]), MORNING)).await.unwrap());
    }
    assert!(append(&bench.store, phone(TYPED, MORNING)).await.unwrap());
}

#[tokio::test]
async fn a_wrong_try_counts_against_every_code_and_a_new_code_begins_anew() {
    let bench = with_code().await;
    let other =
        NewCode { made_by: TECHNICIAN, link_sha256: [4; 32], typed_sha256: [5; 32], ..code() };
    enrol_codes::append(&bench.store, other).await.unwrap();
    for _ in 0..TRIES_MAX {
        append(&bench.store, phone(WRONG, MORNING)).await.unwrap();
    }
    let theirs = Given::Typed([5; 32]);
    assert!(!append(&bench.store, phone(theirs, MORNING)).await.unwrap());
    enrol_codes::append(&bench.store, other).await.unwrap();
    assert!(append(&bench.store, phone(theirs, MORNING)).await.unwrap());
}

#[tokio::test]
async fn a_new_code_of_the_same_person_ends_the_one_before() {
    let bench = with_code().await;
    let next = NewCode { link_sha256: [6; 32], typed_sha256: [7; 32], ..code() };
    enrol_codes::append(&bench.store, next).await.unwrap();
    assert!(!append(&bench.store, phone(LINK, MORNING)).await.unwrap());
    assert!(!append(&bench.store, phone(TYPED, MORNING)).await.unwrap());
    assert!(append(&bench.store, phone(Given::Typed([7; 32]), MORNING)).await.unwrap());
}

#[tokio::test]
async fn two_phones_that_give_one_code_at_once_are_one_phone() {
    let bench = with_code().await;
    let mut both = JoinSet::new();
    for number in [0x31, 0x32] {
        let (store, id) = (bench.store.clone(), DeviceId(Uuid::from_u128(number)));
        let device = Device { id, ..phone(LINK, MORNING).device };
        let new = NewPhone { device, ..phone(LINK, MORNING) };
        both.spawn(async move { append(&store, new).await.unwrap() });
    }
    let good = both.join_all().await.into_iter().filter(|good| *good).count();
    assert_eq!((good, list(&bench.store, WORKSHOP).await.unwrap().len()), (1, 1));
}

#[tokio::test]
async fn a_device_that_was_here_keeps_its_age_and_takes_the_new_name() {
    let bench = with_code().await;
    let known = Device { label: "Bay 3".to_owned(), first_seen: after(5), ..device(DEVICE) };
    let new = NewPhone { device: known, ..phone(LINK, after(5)) };
    assert!(append(&bench.store, new).await.unwrap());
    let [phone] = list(&bench.store, WORKSHOP).await.unwrap().try_into().unwrap();
    assert_eq!((phone.device.first_seen, phone.enrolled), (MORNING, after(5)));
    assert_eq!(phone.device.label, "Bay 3");
}

#[tokio::test]
async fn a_revoked_phone_is_not_enrolled_again_and_the_code_is_not_lost_by_it() {
    let bench = enrolled().await;
    revoke(&bench.store, WORKSHOP, PHONE, after(1)).await.unwrap();
    enrol_codes::append(&bench.store, code()).await.unwrap();
    let refused = append(&bench.store, phone(LINK, after(2))).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
    let fresh = Device { id: DeviceId(Uuid::from_u128(0x22)), ..phone(LINK, after(2)).device };
    let new = NewPhone { device: fresh, ..phone(LINK, after(2)) };
    assert!(append(&bench.store, new).await.unwrap());
}

fn session(token: u8, device: DeviceId) -> NewSession {
    NewSession {
        token: [token; 32],
        workshop: WORKSHOP,
        person: TECHNICIAN,
        device,
        created: after(i64::from(token)),
        expires: after(600),
    }
}

#[tokio::test]
async fn revoking_ends_the_sessions_on_that_phone_alone_and_none_begins_there() {
    let bench = enrolled().await;
    for (token, device) in [(1, PHONE), (2, PHONE), (3, DEVICE)] {
        sessions::append(&bench.store, session(token, device)).await.unwrap();
    }
    revoke(&bench.store, WORKSHOP, PHONE, after(5)).await.unwrap();
    for (token, holds) in [(1, false), (2, false), (3, true)] {
        let found = sessions::find(&bench.store, [token; 32], after(5)).await.unwrap();
        assert_eq!(found.is_some(), holds, "session {token}");
    }
    let refused = sessions::append(&bench.store, session(4, PHONE)).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
    assert!(find(&bench.store, WORKSHOP, PHONE).await.unwrap().unwrap().revoked);
    // Again changes nothing, not even since when.
    revoke(&bench.store, WORKSHOP, PHONE, after(9)).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP).await.unwrap()[0].revoked, Some(after(5)));
}

#[tokio::test]
async fn only_an_enrolled_phone_is_renamed_or_revoked() {
    let bench = enrolled().await;
    rename(&bench.store, WORKSHOP, PHONE, "Bay 4".to_owned()).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP).await.unwrap()[0].device.label, "Bay 4");
    for other in [DEVICE, DeviceId(Uuid::from_u128(0x99))] {
        let renamed = rename(&bench.store, WORKSHOP, other, "Mine".to_owned()).await;
        assert_eq!(renamed.unwrap_err().conflict(), Some(Conflict::NotThere));
        let revoked = revoke(&bench.store, WORKSHOP, other, MORNING).await;
        assert_eq!(revoked.unwrap_err().conflict(), Some(Conflict::NotThere));
    }
    revoke(&bench.store, WORKSHOP, PHONE, MORNING).await.unwrap();
    assert!(rename(&bench.store, WORKSHOP, PHONE, "Bay 5".to_owned()).await.is_err());
}

#[tokio::test]
async fn the_list_says_who_was_last_on_a_phone_and_what_it_said() {
    let bench = enrolled().await;
    let [phone] = list(&bench.store, WORKSHOP).await.unwrap().try_into().unwrap();
    assert_eq!((phone.seen, phone.heard), (None, None));
    sessions::append(&bench.store, session(1, PHONE)).await.unwrap();
    let manager = NewSession { person: MANAGER, ..session(2, PHONE) };
    sessions::append(&bench.store, manager).await.unwrap();
    let heard = Heard { at: after(3), waiting: 4, clock_off_ms: Some(-90_000) };
    devices::heard(&bench.store, WORKSHOP, PHONE, heard).await.unwrap();
    let [phone] = list(&bench.store, WORKSHOP).await.unwrap().try_into().unwrap();
    assert_eq!(phone.seen, Some((after(2), "Ines Okafor".to_owned())));
    assert_eq!(phone.heard, Some(heard));
}

#[tokio::test]
async fn a_phone_that_does_not_tell_its_clock_has_none_and_what_it_said_before_is_gone() {
    let bench = enrolled().await;
    let first = Heard { at: after(3), waiting: u32::MAX, clock_off_ms: Some(i64::MIN) };
    devices::heard(&bench.store, WORKSHOP, PHONE, first).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP).await.unwrap()[0].heard, Some(first));
    let next = Heard { at: after(4), waiting: 0, clock_off_ms: None };
    devices::heard(&bench.store, WORKSHOP, PHONE, next).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP).await.unwrap()[0].heard, Some(next));
    let stranger = DeviceId(Uuid::from_u128(0x99));
    let refused = devices::heard(&bench.store, WORKSHOP, stranger, next).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}
