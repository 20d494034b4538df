//! Which jobs an instrument was used for: found for every entry that names it, however it was added.

use fusewright::domain::entry::{Body, Payload};
use fusewright::domain::ids::{InstrumentId, JobId};
use fusewright::domain::number::Decimal;
use fusewright::storage::entries::{NewEntry, append};
use fusewright::storage::instrument_use::{UsedIn, count, list};
use fusewright::storage::jobs::PageMark;
use uuid::Uuid;

use super::fixture::{
    Bench, JOB, OTHER_JOB, OTHER_WORKSHOP, WORKSHOP, after, from_technician, note,
};

const METER: InstrumentId = InstrumentId(Uuid::from_u128(0x70));
const CLAMP: InstrumentId = InstrumentId(Uuid::from_u128(0x71));

fn recorded(number: u128, job: JobId, minute: i64, payload: Payload) -> NewEntry {
    let plain = note(number, job);
    let body = Body { at: after(minute).rfc3339(), payload, ..plain.body };
    NewEntry { bytes: body.write().unwrap(), body, salt: plain.salt }
}

fn reading(number: u128, job: JobId, minute: i64) -> NewEntry {
    let payload = Payload::Reading { value: Decimal::new(125, 1), instrument: METER };
    recorded(number, job, minute, payload)
}

fn path_drop(number: u128, job: JobId, minute: i64) -> NewEntry {
    let payload = Payload::PathDrop {
        drop_v: Decimal::ONE,
        current_a: Decimal::TEN,
        instrument: METER,
        current_instrument: CLAMP,
    };
    recorded(number, job, minute, payload)
}

async fn used() -> Bench {
    let bench = Bench::working().await;
    let of_one = vec![reading(1, JOB, 1), note(2, JOB), path_drop(3, JOB, 5)];
    append(&bench.store, WORKSHOP, JOB, from_technician(of_one)).await.unwrap();
    let of_other = vec![path_drop(4, OTHER_JOB, 3)];
    append(&bench.store, WORKSHOP, OTHER_JOB, from_technician(of_other)).await.unwrap();
    bench
}

#[tokio::test]
async fn every_instrument_that_an_entry_names_leads_to_its_job() {
    let bench = used().await;
    let (store, begin) = (&bench.store, after(0));
    let one = UsedIn { job: JOB, readings: 2, first: after(1), last: after(5) };
    let other = UsedIn { job: OTHER_JOB, readings: 1, first: after(3), last: after(3) };
    assert_eq!(list(store, (WORKSHOP, METER), begin, None, 9).await.unwrap(), [one, other]);
    let clamped = UsedIn { readings: 1, first: after(5), ..one };
    assert_eq!(list(store, (WORKSHOP, CLAMP), begin, None, 9).await.unwrap(), [clamped, other]);
    assert_eq!(count(store, (WORKSHOP, METER), begin).await.unwrap(), (2, 3));
    assert_eq!(list(store, (OTHER_WORKSHOP, METER), begin, None, 9).await.unwrap(), []);
}

#[tokio::test]
async fn what_was_read_before_the_day_in_question_is_left_out() {
    let bench = used().await;
    let late = UsedIn { job: JOB, readings: 1, first: after(5), last: after(5) };
    assert_eq!(list(&bench.store, (WORKSHOP, METER), after(5), None, 9).await.unwrap(), [late]);
    assert_eq!(list(&bench.store, (WORKSHOP, METER), after(6), None, 9).await.unwrap(), []);
    assert_eq!(count(&bench.store, (WORKSHOP, METER), after(6)).await.unwrap(), (0, 0));
}

#[tokio::test]
async fn a_long_list_goes_on_where_the_page_before_ended() {
    let bench = used().await;
    let first = list(&bench.store, (WORKSHOP, METER), after(0), None, 1).await.unwrap();
    assert_eq!(first[0].job, JOB);
    let mark = PageMark { updated: first[0].last, id: first[0].job };
    let rest = list(&bench.store, (WORKSHOP, METER), after(0), Some(mark), 1).await.unwrap();
    assert_eq!(rest[0].job, OTHER_JOB);
    let mark = PageMark { updated: rest[0].last, id: rest[0].job };
    assert_eq!(list(&bench.store, (WORKSHOP, METER), after(0), Some(mark), 1).await.unwrap(), []);
}
