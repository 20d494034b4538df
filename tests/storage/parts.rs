//! Batch and serial numbers over all jobs: found by a piece or exactly, page by page, of one workshop alone.

use fusewright::domain::kit::PartMark;
use fusewright::domain::parts::{Carried, FittedPart};
use fusewright::storage::jobs::{Derived, refresh};
use fusewright::storage::parts::{Recall, find, known};
use fusewright::storage::results::Results;

use super::fixture::{Bench, JOB, OTHER_JOB, OTHER_WORKSHOP, WORKSHOP, after};

fn holder(seq: u64, value: &str, carried: Carried) -> FittedPart {
    FittedPart {
        seq,
        name: "Fuse holder, 40 A".to_owned(),
        number: "TW-FH40-2".to_owned(),
        mark: PartMark::Batch,
        value: value.to_owned(),
        carried,
        recorded: after(i64::try_from(seq).unwrap()),
    }
}

fn derived(entry_count: u64, parts: Vec<FittedPart>) -> Derived {
    Derived {
        stage: "working".to_owned(),
        steps_total: 1,
        steps_done: 1,
        flags: String::new(),
        entry_count,
        updated: after(1),
        vin: String::new(),
        notices: String::new(),
        results: Results { parts, ..Results::default() },
    }
}

async fn fitted() -> Bench {
    let bench = Bench::working().await;
    let one =
        vec![holder(3, "FH-26-117", Carried::Corrected), holder(4, "FH-26-131", Carried::Yes)];
    refresh(&bench.store, WORKSHOP, JOB, derived(5, one)).await.unwrap();
    let other = vec![holder(2, "Batch FH 26 117", Carried::Yes)];
    refresh(&bench.store, WORKSHOP, OTHER_JOB, derived(3, other)).await.unwrap();
    bench
}

fn asked(part: &str, value: &str, exact: bool) -> Recall {
    Recall { part: part.to_owned(), value: value.to_owned(), exact, before: None, limit: 9 }
}

async fn values(bench: &Bench, recall: &Recall) -> Vec<String> {
    let found = find(&bench.store, WORKSHOP, recall).await.unwrap();
    found.into_iter().map(|found| found.part.value).collect()
}

#[tokio::test]
async fn a_batch_is_found_by_a_piece_however_it_was_typed_and_exactly_only_as_a_whole() {
    let bench = fitted().await;
    for (part, value, exact, expected) in [
        ("", "fh26117", false, &["FH-26-117", "Batch FH 26 117"][..]),
        ("", "FH 26-117", true, &["FH-26-117"]),
        ("", "fh-26", true, &[]),
        ("fuse holder", "26", false, &["FH-26-131", "FH-26-117", "Batch FH 26 117"]),
        ("fh40", "131", false, &["FH-26-131"]),
        ("relay", "131", false, &[]),
        ("", "%", false, &["FH-26-131", "FH-26-117", "Batch FH 26 117"]),
    ] {
        assert_eq!(values(&bench, &asked(part, value, exact)).await, expected, "{part}/{value}");
    }
    assert_eq!(find(&bench.store, OTHER_WORKSHOP, &asked("", "26", false)).await.unwrap(), []);
    assert!(known(&bench.store, OTHER_WORKSHOP).await.unwrap().is_empty());
    assert_eq!(known(&bench.store, WORKSHOP).await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_long_list_goes_on_where_the_page_before_ended() {
    let bench = fitted().await;
    let mut recall = Recall { limit: 2, ..asked("holder", "", false) };
    let first = find(&bench.store, WORKSHOP, &recall).await.unwrap();
    assert_eq!(first.len(), 2);
    recall.before = first.last().map(fusewright::storage::parts::FoundPart::page);
    assert_eq!(values(&bench, &recall).await, ["Batch FH 26 117"]);
}

#[tokio::test]
async fn a_later_state_of_a_job_takes_the_place_of_its_rows_and_an_earlier_one_does_not() {
    let bench = fitted().await;
    let later = derived(6, vec![holder(4, "FH-26-131", Carried::Corrected)]);
    refresh(&bench.store, WORKSHOP, JOB, later).await.unwrap();
    refresh(&bench.store, WORKSHOP, JOB, derived(2, vec![])).await.unwrap();
    let found = find(&bench.store, WORKSHOP, &asked("", "131", false)).await.unwrap();
    assert_eq!(found[0].part, holder(4, "FH-26-131", Carried::Corrected));
    assert_eq!(values(&bench, &asked("", "FH26117", true)).await, [""; 0]);
}
