//! Withdrawals: two people, one line, for good.

use fusewright::storage::certificates::{
    NewCertificate, append, find, list, next, register_list, standing,
};
use fusewright::storage::verify::{Fault, verify};
use fusewright::storage::withdrawals::{
    Confirmed, Request, Withdrawal, ask, confirm, drop_request, load, load_request,
};
use fusewright::storage::{Conflict, StorageError};

use super::certificates::finished;
use super::fixture::{Bench, JOB, MANAGER, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after};

const NUMBER: &str = "HV-26-00001-A";
const REASON: &str = "A joint was read at the wrong place.";

fn request() -> Request {
    let (number, reason) = (NUMBER.to_owned(), REASON.to_owned());
    Request { number, reason, asked_by: MANAGER, asked: after(100) }
}

fn confirmed() -> Confirmed {
    Confirmed { number: NUMBER.to_owned(), asked: after(100), by: TECHNICIAN, at: after(110) }
}

/// Asked by one, confirmed by another.
pub(super) async fn withdrawn(bench: &Bench, number: &str) -> Withdrawal {
    let number = number.to_owned();
    let request = Request { number: number.clone(), ..request() };
    ask(&bench.store, WORKSHOP, request).await.unwrap();
    confirm(&bench.store, WORKSHOP, Confirmed { number, ..confirmed() }).await.unwrap()
}

/// A workshop with one certificate.
async fn issued() -> Bench {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, finished(0, NUMBER)).await.unwrap();
    bench
}

fn conflict<T: std::fmt::Debug>(outcome: Result<T, StorageError>) -> Option<Conflict> {
    outcome.unwrap_err().conflict()
}

#[tokio::test]
async fn a_withdrawal_has_a_line_that_follows_on_the_last_one() {
    let bench = issued().await;
    let done = withdrawn(&bench, NUMBER).await;
    assert_eq!((done.index, done.at, done.reason.as_str()), (1, after(110), REASON));
    assert_eq!((done.asked_by, done.confirmed_by), (MANAGER, TECHNICIAN));
    // Reading checks each line against the one before.
    let lines = register_list(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!((lines.len(), lines[1].kind.as_str(), lines[1].at), (2, "withdraw", after(110)));
    assert_eq!(lines[1].number, NUMBER);
    assert_eq!(lines[1].record_sha256, lines[0].record_sha256);
    assert_eq!(lines[1].pdf_sha256, lines[0].pdf_sha256);
    let row = find(&bench.store, NUMBER).await.unwrap().unwrap();
    assert_eq!(row.withdrawn, Some(after(110)));
    assert!(!row.is_in_force());
    assert_eq!(load(&bench.store, WORKSHOP, NUMBER).await.unwrap(), Some(done));
    assert_eq!(load_request(&bench.store, WORKSHOP, NUMBER).await.unwrap(), None);
    assert_eq!(verify(&bench.store, WORKSHOP).await.unwrap().faults, []);
}

#[tokio::test]
async fn confirmed_twice_is_one_withdrawal_and_one_line() {
    let bench = issued().await;
    let first = withdrawn(&bench, NUMBER).await;
    let later = Confirmed { at: after(120), ..confirmed() };
    assert_eq!(confirm(&bench.store, WORKSHOP, later).await.unwrap(), first);
    assert_eq!(register_list(&bench.store, WORKSHOP).await.unwrap().len(), 2);
    assert_eq!(conflict(ask(&bench.store, WORKSHOP, request()).await), Some(Conflict::Withdrawn));
    let dropped = drop_request(&bench.store, WORKSHOP, NUMBER, after(100)).await;
    assert_eq!(conflict(dropped), Some(Conflict::Withdrawn));
}

#[tokio::test]
async fn whoever_asked_cannot_confirm_and_nothing_is_left_behind() {
    let bench = issued().await;
    ask(&bench.store, WORKSHOP, request()).await.unwrap();
    let alone = Confirmed { by: MANAGER, ..confirmed() };
    assert_eq!(conflict(confirm(&bench.store, WORKSHOP, alone).await), Some(Conflict::Rule));
    assert_eq!(register_list(&bench.store, WORKSHOP).await.unwrap().len(), 1);
    assert!(find(&bench.store, NUMBER).await.unwrap().unwrap().is_in_force());
    assert_eq!(load_request(&bench.store, WORKSHOP, NUMBER).await.unwrap(), Some(request()));
}

#[tokio::test]
async fn one_request_at_a_time_is_open_and_the_same_again_is_the_stored_one() {
    let bench = issued().await;
    ask(&bench.store, WORKSHOP, request()).await.unwrap();
    let again = Request { asked: after(105), ..request() };
    assert_eq!(ask(&bench.store, WORKSHOP, again).await.unwrap(), request());
    let other = Request { reason: "Another reason altogether.".to_owned(), ..request() };
    let refused = ask(&bench.store, WORKSHOP, other).await;
    assert_eq!(conflict(refused), Some(Conflict::WithdrawalAsked));
}

#[tokio::test]
async fn what_was_not_looked_at_is_neither_confirmed_nor_dropped() {
    let bench = issued().await;
    let unasked = confirm(&bench.store, WORKSHOP, confirmed()).await;
    assert_eq!(conflict(unasked), Some(Conflict::WithdrawalMoved));
    ask(&bench.store, WORKSHOP, request()).await.unwrap();
    drop_request(&bench.store, WORKSHOP, NUMBER, after(100)).await.unwrap();
    drop_request(&bench.store, WORKSHOP, NUMBER, after(100)).await.unwrap();
    ask(&bench.store, WORKSHOP, Request { asked: after(105), ..request() }).await.unwrap();
    let stale = confirm(&bench.store, WORKSHOP, confirmed()).await;
    assert_eq!(conflict(stale), Some(Conflict::WithdrawalMoved));
    let stale = drop_request(&bench.store, WORKSHOP, NUMBER, after(100)).await;
    assert_eq!(conflict(stale), Some(Conflict::WithdrawalMoved));
    assert_eq!(register_list(&bench.store, WORKSHOP).await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_reason_has_ten_to_five_hundred_characters() {
    let bench = issued().await;
    for (reason, stored) in
        [("é".repeat(9), false), ("é".repeat(501), false), ("é".repeat(500), true)]
    {
        let outcome = ask(&bench.store, WORKSHOP, Request { reason, ..request() }).await;
        assert_eq!(outcome.is_ok(), stored);
    }
    drop_request(&bench.store, WORKSHOP, NUMBER, after(100)).await.unwrap();
    let shortest = Request { reason: "é".repeat(10), ..request() };
    ask(&bench.store, WORKSHOP, shortest).await.unwrap();
}

#[tokio::test]
async fn no_certificate_and_no_other_workshop_can_be_withdrawn_from_here() {
    let bench = issued().await;
    let none = Request { number: "HV-26-00009-Z".to_owned(), ..request() };
    assert_eq!(conflict(ask(&bench.store, WORKSHOP, none).await), Some(Conflict::NotThere));
    let theirs = ask(&bench.store, OTHER_WORKSHOP, request()).await;
    assert_eq!(conflict(theirs), Some(Conflict::NotThere));
}

#[tokio::test]
async fn another_version_follows_and_the_first_stays_withdrawn() {
    let bench = issued().await;
    withdrawn(&bench, NUMBER).await;
    let place = next(&bench.store, WORKSHOP, JOB).await.unwrap();
    assert_eq!((place.index, place.version, place.replaces.as_deref()), (2, 2, Some(NUMBER)));
    let second = NewCertificate { version: 2, ..finished(2, "HV-26-00003-C") };
    append(&bench.store, WORKSHOP, second).await.unwrap();
    let both = list(&bench.store, WORKSHOP, JOB).await.unwrap();
    assert_eq!(both[0].withdrawn, Some(after(110)));
    assert_eq!(both[0].replaced_by.as_deref(), Some("HV-26-00003-C"));
    assert!(both[1].is_in_force());
    let now = standing(&bench.store, WORKSHOP).await.unwrap();
    let lines = register_list(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!((now.lines, now.head, now.last), (3, lines[2].hash, Some(lines[2].at)));
    let words: Vec<_> = now.certificates.iter().map(|c| (&c.number[..], c.withdrawn)).collect();
    assert_eq!(words, [(NUMBER, Some(after(110))), ("HV-26-00003-C", None)]);
    assert_eq!(verify(&bench.store, WORKSHOP).await.unwrap().faults, []);
}

#[tokio::test]
async fn a_withdrawal_that_is_taken_away_is_missed() {
    let bench = issued().await;
    withdrawn(&bench, NUMBER).await;
    bench.tamper(&["drop trigger withdrawal_is_not_deleted", "delete from withdrawal"]).await;
    let what = "the withdrawal that it stands for is gone";
    let faults = verify(&bench.store, WORKSHOP).await.unwrap().faults;
    assert_eq!(faults, [Fault::Register { index: 1, what }]);
}

#[tokio::test]
async fn a_withdrawal_that_is_made_up_has_no_line() {
    let bench = issued().await;
    bench
        .tamper(&["insert into withdrawal select workshop_id, number, 'Made up by somebody.', \
                   x'00000000000000000000000000000010', x'00000000000000000000000000000011', \
                   issued_ms, register_idx from certificate"])
        .await;
    let what = "its withdrawal has no line in the register";
    let faults = verify(&bench.store, WORKSHOP).await.unwrap().faults;
    assert_eq!(faults, [Fault::Certificate { number: NUMBER.to_owned(), what }]);
}
