//! Jobs and their lists.

use fusewright::domain::ids::{JobId, KitId, Moment, PersonId};
use fusewright::storage::Conflict;
use fusewright::storage::jobs::{
    Derived, Filter, PageMark, SQL_LIST_ALL, STAGE_FIRST, append, assign, find, list, load, refresh,
};
use fusewright::storage::results::Results;
use sqlx::{AssertSqlSafe, Row as _};
use tokio::task::JoinSet;
use uuid::Uuid;

use super::fixture::{
    Bench, JOB, MANAGER, MORNING, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after, job,
};

pub(super) fn derived(stage: &str, entry_count: u64, updated: Moment) -> Derived {
    let (stage, flags) = (stage.to_owned(), "[\"clash\"]".to_owned());
    let vin = "K4073318".to_owned();
    let results = Results::default();
    let notices = "improbable:1".to_owned();
    Derived {
        stage,
        steps_total: 45,
        steps_done: 3,
        flags,
        entry_count,
        updated,
        vin,
        results,
        notices,
    }
}

pub(super) fn numbered(number: u128) -> JobId {
    JobId(Uuid::from_u128(0x5000 + number))
}

#[tokio::test]
async fn a_new_job_carries_what_lists_show() {
    let bench = Bench::working().await;
    let there = load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    assert_eq!((there.number, there.stage.as_str()), (1, STAGE_FIRST));
    assert_eq!(there.customer_name, "Lena Sommer");
    assert_eq!((there.kit_code.as_str(), there.kit_edition), ("dock-30", 1));
    assert_eq!(there.technician_name.as_deref(), Some("Tom Reyes"));
    assert_eq!((there.opened, there.updated, there.entry_count), (MORNING, MORNING, 0));
    assert_eq!(find(&bench.store, WORKSHOP, 1).await.unwrap(), Some(there));
    assert!(load(&bench.store, OTHER_WORKSHOP, JOB).await.unwrap().is_none());
    assert!(find(&bench.store, WORKSHOP, 3).await.unwrap().is_none());
}

#[tokio::test]
async fn jobs_opened_at_once_get_numbers_without_gaps_or_doubles() {
    let bench = Bench::staffed().await;
    let mut opening = JoinSet::new();
    for number in 0..30 {
        let (store, new) = (bench.store.clone(), job(numbered(number), "Van", ""));
        opening.spawn(async move { append(&store, WORKSHOP, new).await.unwrap() });
    }
    let mut given = opening.join_all().await;
    given.sort_unstable();
    assert_eq!(given, (1..=30).collect::<Vec<u64>>());
}

#[tokio::test]
async fn a_job_sent_twice_keeps_its_number() {
    let bench = Bench::working().await;
    assert_eq!(append(&bench.store, WORKSHOP, job(JOB, "Van", "")).await.unwrap(), 1);
    assert_eq!(append(&bench.store, WORKSHOP, job(numbered(3), "Van", "")).await.unwrap(), 3);
}

#[tokio::test]
async fn a_job_of_an_unknown_kit_is_refused() {
    let bench = Bench::staffed().await;
    let mut new = job(JOB, "Van", "");
    new.kit = KitId(Uuid::from_u128(0x999));
    let refused = append(&bench.store, WORKSHOP, new).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}

#[tokio::test]
async fn a_state_of_fewer_entries_never_replaces_one_of_more() {
    let bench = Bench::working().await;
    assert!(refresh(&bench.store, WORKSHOP, JOB, derived("working", 7, after(9))).await.unwrap());
    assert!(!refresh(&bench.store, WORKSHOP, JOB, derived("ready", 6, after(10))).await.unwrap());
    let there = load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    assert_eq!((there.stage.as_str(), there.entry_count), ("working", 7));
    assert_eq!((there.steps_done, there.steps_total, there.updated), (3, 45, after(9)));
    assert_eq!(there.flags, "[\"clash\"]");
    // The same number of entries may be derived anew, by a later version of the rules.
    assert!(refresh(&bench.store, WORKSHOP, JOB, derived("review", 7, after(8))).await.unwrap());
    let there = load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    assert_eq!((there.stage.as_str(), there.updated), ("review", after(9)));
}

#[tokio::test]
async fn what_is_derived_for_no_job_is_refused() {
    let bench = Bench::working().await;
    let lost = refresh(&bench.store, OTHER_WORKSHOP, JOB, derived("working", 1, after(1))).await;
    assert_eq!(lost.unwrap_err().conflict(), Some(Conflict::NotThere));
}

#[tokio::test]
async fn a_job_changes_hands() {
    let bench = Bench::working().await;
    assign(&bench.store, WORKSHOP, JOB, Some(MANAGER), after(1)).await.unwrap();
    let there = load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    assert_eq!(there.technician_name.as_deref(), Some("Ines Okafor"));
    assign(&bench.store, WORKSHOP, JOB, None, after(2)).await.unwrap();
    let there = load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    assert_eq!((there.technician, there.technician_name), (None, None));
    let stranger = Some(PersonId(Uuid::from_u128(0x77)));
    let refused = assign(&bench.store, WORKSHOP, JOB, stranger, after(3)).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}

/// Thirty jobs, several with the same moment of change, in three stages, of two technicians.
pub(super) async fn thirty() -> Bench {
    let bench = Bench::staffed().await;
    for number in 0..30_u128 {
        let mut new = job(numbered(number), &format!("Van {number}"), "");
        new.technician = Some(if number % 2 == 0 { TECHNICIAN } else { MANAGER });
        append(&bench.store, WORKSHOP, new).await.unwrap();
        let stage = ["working", "review", "released"][usize::try_from(number % 3).unwrap()];
        let change = derived(stage, 1, after(i64::try_from(number / 4).unwrap()));
        refresh(&bench.store, WORKSHOP, numbered(number), change).await.unwrap();
    }
    bench
}

#[tokio::test]
async fn pages_show_every_job_once_the_latest_change_first() {
    let bench = thirty().await;
    let mut filter = Filter { limit: 7, ..Filter::default() };
    let mut seen = Vec::new();
    loop {
        let page = list(&bench.store, WORKSHOP, &filter).await.unwrap();
        assert!(page.jobs.len() <= 7);
        seen.extend(page.jobs.iter().map(|job| (job.updated, job.id)));
        let Some(next) = page.next else { break };
        // The mark goes through an address.
        filter.before = Some(next.to_string().parse::<PageMark>().unwrap());
    }
    let mut sorted = seen.clone();
    sorted.sort_unstable();
    sorted.dedup();
    sorted.reverse();
    assert_eq!(seen, sorted);
    assert_eq!(seen.len(), 30);
}

#[tokio::test]
async fn a_page_that_ends_with_the_last_job_has_no_next() {
    let bench = thirty().await;
    let exact = Filter { limit: 30, ..Filter::default() };
    assert_eq!(list(&bench.store, WORKSHOP, &exact).await.unwrap().next, None);
    let one_less = Filter { limit: 29, ..Filter::default() };
    assert!(list(&bench.store, WORKSHOP, &one_less).await.unwrap().next.is_some());
}

#[test]
fn what_is_no_page_mark_is_refused() {
    for text in ["", "12", "-", "x-00000000-0000-0000-0000-000000000050", "12-xyz"] {
        assert!(text.parse::<PageMark>().is_err(), "{text}");
    }
}

#[tokio::test]
async fn no_list_reads_or_sorts_the_whole_table() {
    let bench = Bench::working().await;
    let mut intruder = bench.intruder().await;
    for (sql, index) in [(SQL_LIST_ALL, "job_by_change")] {
        let question = AssertSqlSafe(format!("explain query plan {sql}"));
        let rows = sqlx::query(question).fetch_all(&mut intruder).await.unwrap();
        let plan: Vec<String> = rows.iter().map(|row| row.get("detail")).collect();
        assert!(plan[0].starts_with(&format!("SEARCH j USING INDEX {index} ")), "{plan:?}");
        let whole = plan.iter().any(|step| step.starts_with("SCAN") || step.contains("B-TREE"));
        assert!(!whole, "{plan:?}");
    }
}
