//! Which jobs an instrument was used for: found for every entry that names it, however it was added.

use fusewright::domain::entry::{Body, Payload};
use fusewright::domain::ids::{InstrumentId, JobId, Moment};
use fusewright::domain::number::Decimal;
use fusewright::storage::entries::{NewEntry, append};
use fusewright::storage::instrument_use::{
    ReadingMark, Span, UsedIn, count, list, list_open, list_readings,
};
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
    let (store, begin) = (&bench.store, Span::since(after(0)));
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
    assert_eq!(
        list(&bench.store, (WORKSHOP, METER), Span::since(after(5)), None, 9).await.unwrap(),
        [late]
    );
    assert_eq!(
        list(&bench.store, (WORKSHOP, METER), Span::since(after(6)), None, 9).await.unwrap(),
        []
    );
    assert_eq!(
        count(&bench.store, (WORKSHOP, METER), Span::since(after(6))).await.unwrap(),
        (0, 0)
    );
}

#[tokio::test]
async fn a_long_list_goes_on_where_the_page_before_ended() {
    let bench = used().await;
    let first =
        list(&bench.store, (WORKSHOP, METER), Span::since(after(0)), None, 1).await.unwrap();
    assert_eq!(first[0].job, JOB);
    let mark = PageMark { updated: first[0].last, id: first[0].job };
    let rest =
        list(&bench.store, (WORKSHOP, METER), Span::since(after(0)), Some(mark), 1).await.unwrap();
    assert_eq!(rest[0].job, OTHER_JOB);
    let mark = PageMark { updated: rest[0].last, id: rest[0].job };
    assert_eq!(
        list(&bench.store, (WORKSHOP, METER), Span::since(after(0)), Some(mark), 1).await.unwrap(),
        []
    );
}

#[tokio::test]
async fn a_span_ends_before_its_last_moment_and_tells_released_jobs_apart() {
    let bench = used().await;
    let of = (WORKSHOP, METER);
    let until_five = Span { until: after(5), ..Span::since(after(0)) };
    assert_eq!(count(&bench.store, of, until_five).await.unwrap(), (2, 2));
    let until_six = Span { until: Moment(after(5).0 + 1), ..until_five };
    assert_eq!(count(&bench.store, of, until_six).await.unwrap(), (2, 3));
    let released = Span { released: Some(true), ..until_six };
    assert_eq!(list(&bench.store, of, released, None, 9).await.unwrap(), []);
    let open = Span { released: Some(false), ..until_six };
    assert_eq!(list(&bench.store, of, open, None, 9).await.unwrap().len(), 2);
    assert_eq!(list_open(&bench.store, of).await.unwrap().len(), 2);
    assert_eq!(list_open(&bench.store, (OTHER_WORKSHOP, METER)).await.unwrap(), []);
}

#[tokio::test]
async fn single_readings_come_newest_first_and_go_on_page_by_page() {
    let bench = used().await;
    let (of, span) = ((WORKSHOP, METER), Span::since(after(0)));
    let all = list_readings(&bench.store, of, span, None, 9).await.unwrap();
    let moments: Vec<Moment> = all.iter().map(|mark| mark.recorded).collect();
    assert_eq!(moments, [after(5), after(3), after(1)]);
    let mut paged: Vec<ReadingMark> = Vec::new();
    while let [one] =
        list_readings(&bench.store, of, span, paged.last().copied(), 1).await.unwrap().as_slice()
    {
        paged.push(*one);
    }
    assert_eq!(paged, all);
}
