//! Derived results: written with a job's state, never by an older one, and read by period and kit.

use fusewright::domain::ids::{InstrumentId, JobId};
use fusewright::domain::number::Decimal;
use fusewright::domain::step::Unit;
use fusewright::domain::trends::CountedResult;
use fusewright::domain::verdict::Verdict;
use fusewright::storage::Conflict;
use fusewright::storage::jobs::{Derived, refresh};
use fusewright::storage::results::{
    Results, SQL_IN_WINDOW, SQL_OF_KIT, Window, list, list_courses, list_unread,
};
use sqlx::{AssertSqlSafe, Row as _};
use uuid::Uuid;

use super::fixture::{Bench, JOB, MORNING, OTHER_JOB, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after};

fn counted(nth: u32, minutes: i64, verdict: Verdict) -> CountedResult {
    CountedResult {
        step: "prove.supply.drop_out".to_owned(),
        title: "Drop, positive path: Supply".to_owned(),
        nth,
        circuit: Some("supply".to_owned()),
        kind: "path_drop".to_owned(),
        figure: Some((Decimal::new(51234, 4), Unit::Milliohm)),
        planned: Some(Decimal::new(480, 2)),
        verdict,
        person: TECHNICIAN,
        instruments: [0x70, 0x71].map(|id| InstrumentId(Uuid::from_u128(id))).into(),
        recorded: after(minutes),
    }
}

fn derived(entry_count: u64, counted: Vec<CountedResult>) -> Derived {
    let results = Results {
        kit_code: "dock-30".to_owned(),
        counted,
        submitted: Some(after(60)),
        released: Some(after(120)),
        parts: Vec::new(),
        defects: Vec::new(),
    };
    Derived {
        stage: "released".to_owned(),
        steps_total: 1,
        steps_done: 1,
        flags: String::new(),
        entry_count,
        updated: after(1),
        vin: String::new(),
        results,
        notices: String::new(),
    }
}

fn window(from: i64, until: i64) -> Window {
    Window { from: after(from), until: after(until), kit: None }
}

async fn listed(bench: &Bench, window: &Window) -> Vec<(JobId, CountedResult)> {
    let (found, is_cut) = list(&bench.store, WORKSHOP, window).await.unwrap();
    assert!(!is_cut);
    found.into_iter().map(|result| (result.job, result.counted)).collect()
}

#[tokio::test]
async fn a_result_comes_back_as_it_was_put_in() {
    let bench = Bench::working().await;
    let mut bare = counted(2, 4, Verdict::Inconclusive);
    (bare.circuit, bare.figure, bare.planned) = (None, None, None);
    bare.instruments.clear();
    let both = vec![counted(1, 3, Verdict::Fail), bare];
    assert!(refresh(&bench.store, WORKSHOP, JOB, derived(3, both.clone())).await.unwrap());
    let (found, _) = list(&bench.store, WORKSHOP, &window(0, 60)).await.unwrap();
    assert_eq!((found[0].job_number, found[0].kit.as_str()), (1, "dock-30"));
    let back: Vec<CountedResult> = found.into_iter().rev().map(|one| one.counted).collect();
    assert_eq!(back, both, "the newest first");
    let elsewhere = list(&bench.store, OTHER_WORKSHOP, &window(0, 60)).await.unwrap();
    assert!(elsewhere.0.is_empty());
}

#[tokio::test]
async fn a_later_state_replaces_all_rows_and_an_earlier_one_none() {
    let bench = Bench::working().await;
    let first = derived(3, vec![counted(1, 3, Verdict::Fail), counted(2, 4, Verdict::Pass)]);
    refresh(&bench.store, WORKSHOP, JOB, first).await.unwrap();
    refresh(&bench.store, WORKSHOP, OTHER_JOB, derived(3, vec![counted(1, 9, Verdict::Pass)]))
        .await
        .unwrap();
    let later = derived(4, vec![counted(1, 5, Verdict::Pass)]);
    refresh(&bench.store, WORKSHOP, JOB, later).await.unwrap();
    let expected = [(OTHER_JOB, counted(1, 9, Verdict::Pass)), (JOB, counted(1, 5, Verdict::Pass))];
    assert_eq!(listed(&bench, &window(0, 60)).await, expected);
    let stale = derived(3, vec![counted(1, 3, Verdict::Fail)]);
    assert!(!refresh(&bench.store, WORKSHOP, JOB, stale).await.unwrap());
    assert_eq!(listed(&bench, &window(0, 60)).await, expected);
}

#[tokio::test]
async fn what_cannot_be_put_in_leaves_the_jobs_state_as_it_was() {
    let bench = Bench::working().await;
    let twice = derived(3, vec![counted(1, 3, Verdict::Fail), counted(1, 4, Verdict::Pass)]);
    assert!(refresh(&bench.store, WORKSHOP, JOB, twice).await.is_err());
    assert_eq!(listed(&bench, &window(0, 60)).await, []);
    let strange = refresh(&bench.store, OTHER_WORKSHOP, JOB, derived(3, vec![])).await;
    assert_eq!(strange.unwrap_err().conflict(), Some(Conflict::NotThere));
    let row = fusewright::storage::jobs::load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    assert_eq!(row.entry_count, 0, "rolled back with it");
}

#[tokio::test]
async fn a_window_takes_its_first_moment_and_not_its_last() {
    let bench = Bench::working().await;
    refresh(&bench.store, WORKSHOP, JOB, derived(1, vec![counted(1, 5, Verdict::Pass)]))
        .await
        .unwrap();
    for (from, until, found) in [(5, 6, 1), (6, 7, 0), (4, 5, 0)] {
        assert_eq!(listed(&bench, &window(from, until)).await.len(), found, "{from} to {until}");
    }
    for (kit, found) in [("dock-30", 1), ("dock-3", 0)] {
        let window = Window { kit: Some(kit.to_owned()), ..window(0, 60) };
        assert_eq!(listed(&bench, &window).await.len(), found, "{kit}");
    }
}

#[tokio::test]
async fn a_step_without_a_measurement_is_kept_and_not_listed() {
    let bench = Bench::working().await;
    let steps = vec![counted(1, 5, Verdict::Done), counted(2, 6, Verdict::Unable)];
    refresh(&bench.store, WORKSHOP, JOB, derived(1, steps)).await.unwrap();
    assert_eq!(listed(&bench, &window(0, 60)).await, []);
    let mut intruder = bench.intruder().await;
    let kept: i64 =
        sqlx::query_scalar("select count(*) from result").fetch_one(&mut intruder).await.unwrap();
    assert_eq!(kept, 2);
}

#[tokio::test]
async fn a_course_is_listed_by_its_release_with_the_kit_of_its_job() {
    let bench = Bench::working().await;
    refresh(&bench.store, WORKSHOP, JOB, derived(1, vec![])).await.unwrap();
    let mut open = derived(1, vec![]);
    open.results.released = None;
    refresh(&bench.store, WORKSHOP, OTHER_JOB, open).await.unwrap();
    let courses = list_courses(&bench.store, WORKSHOP, &window(120, 121)).await.unwrap();
    assert_eq!(courses.len(), 1);
    assert_eq!((courses[0].job, courses[0].opened), (JOB, MORNING));
    assert!((courses[0].whole_days() - 120.0 / 1440.0).abs() < 1e-9);
    assert!((courses[0].to_release_days() - 60.0 / 1440.0).abs() < 1e-9);
    let other_kit = Window { kit: Some("tray-40".to_owned()), ..window(0, 600) };
    for window in [window(121, 600), window(0, 120), other_kit] {
        assert!(list_courses(&bench.store, WORKSHOP, &window).await.unwrap().is_empty());
    }
}

#[tokio::test]
async fn jobs_from_before_are_listed_until_they_are_read() {
    let bench = Bench::working().await;
    assert!(list_unread(&bench.store, WORKSHOP, None).await.unwrap().is_empty(), "no entries yet");
    for job in [JOB, OTHER_JOB] {
        refresh(&bench.store, WORKSHOP, job, derived(2, vec![])).await.unwrap();
    }
    assert!(list_unread(&bench.store, WORKSHOP, None).await.unwrap().is_empty());
    bench.tamper(&["insert into result_due select workshop_id, id from job"]).await;
    assert_eq!(list_unread(&bench.store, WORKSHOP, None).await.unwrap(), [JOB, OTHER_JOB]);
    assert_eq!(list_unread(&bench.store, WORKSHOP, Some(JOB)).await.unwrap(), [OTHER_JOB]);
    assert!(list_unread(&bench.store, OTHER_WORKSHOP, None).await.unwrap().is_empty());
    refresh(&bench.store, WORKSHOP, JOB, derived(2, vec![])).await.unwrap();
    assert_eq!(list_unread(&bench.store, WORKSHOP, None).await.unwrap(), [OTHER_JOB]);
}

#[tokio::test]
async fn no_question_reads_the_results_of_other_periods() {
    let bench = Bench::working().await;
    let mut intruder = bench.intruder().await;
    for (sql, index) in [(SQL_IN_WINDOW, "result_by_time"), (SQL_OF_KIT, "result_by_kit")] {
        let question = AssertSqlSafe(format!("explain query plan {sql}"));
        let rows = sqlx::query(question).fetch_all(&mut intruder).await.unwrap();
        let plan: Vec<String> = rows.iter().map(|row| row.get("detail")).collect();
        assert!(plan[0].starts_with(&format!("SEARCH r USING INDEX {index} ")), "{plan:?}");
        assert!(!plan.iter().any(|step| step.starts_with("SCAN")), "{plan:?}");
    }
}
