//! Days of jobs: moved by one at a time, listed by week, by what is left over, by person.

use fusewright::domain::ids::JobId;
use fusewright::storage::Conflict;
use fusewright::storage::jobs::{
    Move, SQL_BEFORE, SQL_OF_DAYS, SQL_OPEN_OF, SQL_UNDATED, list_away, load, move_job, of_days,
    open_of, planned_before, refresh, set_away, undated,
};
use sqlx::{AssertSqlSafe, Row as _};
use time::Date;
use time::macros::date;

use super::fixture::{Bench, JOB, MANAGER, OTHER_JOB, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after};
use super::jobs::{derived, thirty};

const MONDAY: Date = date!(2026 - 11 - 23);
const SUNDAY: Date = date!(2026 - 11 - 29);

fn to(job: JobId, day: Option<Date>, seen: u32) -> Move {
    let (person, seen_person) = (Some(TECHNICIAN), Some(TECHNICIAN));
    Move { job, day, minutes: 120, person, seen, seen_person }
}

async fn moved(bench: &Bench, to: Move) -> Result<(), Option<Conflict>> {
    let done = move_job(&bench.store, WORKSHOP, to, after(5)).await;
    done.map_err(|why| why.conflict())
}

#[tokio::test]
async fn a_job_stands_where_it_was_moved_to_and_nowhere_else() {
    let bench = Bench::working().await;
    let row = load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    let first = Move { seen_person: row.technician, ..to(JOB, Some(MONDAY), 0) };
    moved(&bench, first).await.unwrap();
    let week = of_days(&bench.store, WORKSHOP, MONDAY, SUNDAY).await.unwrap();
    assert_eq!((week[0].row.id, week[0].day, week[0].minutes), (JOB, Some(MONDAY), 120));
    assert_eq!((week[0].version, week[0].row.technician), (1, Some(TECHNICIAN)));
    moved(&bench, to(JOB, Some(SUNDAY), 1)).await.unwrap();
    assert_eq!(of_days(&bench.store, WORKSHOP, SUNDAY, SUNDAY).await.unwrap().len(), 1);
    assert_eq!(of_days(&bench.store, WORKSHOP, MONDAY, MONDAY).await.unwrap(), []);
    assert_eq!(of_days(&bench.store, OTHER_WORKSHOP, MONDAY, SUNDAY).await.unwrap(), []);
    moved(&bench, to(JOB, None, 2)).await.unwrap();
    assert_eq!(of_days(&bench.store, WORKSHOP, MONDAY, SUNDAY).await.unwrap(), []);
    let (left, next) = undated(&bench.store, WORKSHOP, None, 9).await.unwrap();
    assert!(left.iter().any(|job| job.row.id == JOB && job.version == 3));
    assert_eq!(next, None);
}

#[tokio::test]
async fn nobody_moves_what_somebody_else_moved_meanwhile() {
    let bench = Bench::working().await;
    let row = load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    let first = Move { seen_person: row.technician, ..to(JOB, Some(MONDAY), 0) };
    moved(&bench, first.clone()).await.unwrap();
    let refused = Err(Some(Conflict::BoardMoved));
    for late in [
        Move { seen: 0, ..to(JOB, Some(SUNDAY), 0) },
        to(JOB, Some(SUNDAY), 2),
        Move { seen_person: None, person: Some(MANAGER), ..to(JOB, Some(SUNDAY), 1) },
    ] {
        assert_eq!(moved(&bench, late).await, refused);
    }
    let elsewhere = move_job(&bench.store, OTHER_WORKSHOP, to(JOB, None, 1), after(5)).await;
    assert_eq!(elsewhere.unwrap_err().conflict(), Some(Conflict::BoardMoved));
    // What was refused changed nothing, the person neither.
    let week = of_days(&bench.store, WORKSHOP, MONDAY, SUNDAY).await.unwrap();
    assert_eq!((week[0].day, week[0].row.technician), (Some(MONDAY), Some(TECHNICIAN)));
    refresh(&bench.store, WORKSHOP, JOB, derived("released", 9, after(9))).await.unwrap();
    assert_eq!(moved(&bench, to(JOB, Some(SUNDAY), 1)).await, refused);
}

#[tokio::test]
async fn what_is_left_from_days_before_is_listed_until_it_is_done() {
    let bench = Bench::working().await;
    let row = load(&bench.store, WORKSHOP, OTHER_JOB).await.unwrap().unwrap();
    let move_it = Move { seen_person: row.technician, ..to(OTHER_JOB, Some(MONDAY), 0) };
    moved(&bench, move_it).await.unwrap();
    let numbers = async |day| {
        let found = planned_before(&bench.store, WORKSHOP, day).await.unwrap();
        found.iter().map(|job| job.row.id).collect::<Vec<_>>()
    };
    assert_eq!(numbers(MONDAY).await, []);
    assert_eq!(numbers(date!(2026 - 11 - 24)).await, [OTHER_JOB]);
    refresh(&bench.store, WORKSHOP, OTHER_JOB, derived("review", 1, after(9))).await.unwrap();
    assert_eq!(numbers(date!(2026 - 11 - 24)).await, []);
}

#[tokio::test]
async fn a_person_sees_planned_days_first_then_what_waits_longest() {
    let bench = thirty().await;
    let all = open_of(&bench.store, WORKSHOP, TECHNICIAN, 50).await.unwrap();
    // Of fifteen jobs five are released.
    assert_eq!(all.len(), 10);
    let last = all.last().unwrap().row.id;
    moved(&bench, to(last, Some(MONDAY), 0)).await.unwrap();
    let again = open_of(&bench.store, WORKSHOP, TECHNICIAN, 3).await.unwrap();
    assert_eq!(again.len(), 3);
    assert_eq!((again[0].row.id, again[0].day), (last, Some(MONDAY)));
    assert!(again[1].row.since <= again[2].row.since);
    assert_eq!(open_of(&bench.store, OTHER_WORKSHOP, TECHNICIAN, 50).await.unwrap(), []);
}

#[tokio::test]
async fn jobs_without_a_day_come_page_by_page_each_once() {
    let bench = thirty().await;
    let (mut after, mut seen) = (None, Vec::new());
    loop {
        let (jobs, next) = undated(&bench.store, WORKSHOP, after, 4).await.unwrap();
        seen.extend(jobs.iter().map(|job| (job.row.since, job.row.id)));
        let Some(mark) = next else { break };
        after = Some(mark.to_string().parse().unwrap());
    }
    let mut sorted = seen.clone();
    sorted.sort_unstable();
    sorted.dedup();
    // Neither those for review nor the released ones wait for a day.
    assert_eq!((seen.len(), &sorted), (10, &seen));
}

#[tokio::test]
async fn somebody_is_away_until_they_are_there_after_all() {
    let bench = Bench::staffed().await;
    let (store, one) = (&bench.store, (TECHNICIAN, MONDAY));
    for is_away in [true, true] {
        set_away(store, WORKSHOP, one, is_away).await.unwrap();
    }
    assert_eq!(list_away(store, WORKSHOP, MONDAY, SUNDAY).await.unwrap(), [one]);
    assert_eq!(list_away(store, OTHER_WORKSHOP, MONDAY, SUNDAY).await.unwrap(), []);
    let strange = set_away(store, OTHER_WORKSHOP, one, true).await;
    assert_eq!(strange.unwrap_err().conflict(), Some(Conflict::NotThere));
    set_away(store, WORKSHOP, one, false).await.unwrap();
    assert_eq!(list_away(store, WORKSHOP, MONDAY, SUNDAY).await.unwrap(), []);
}

#[tokio::test]
async fn no_list_of_the_board_reads_or_sorts_all_jobs() {
    let bench = thirty().await;
    let mut intruder = bench.counted().await;
    for (sql, index) in [
        (SQL_OF_DAYS, "SEARCH j USING PRIMARY KEY "),
        (SQL_BEFORE, "SEARCH j USING INDEX job_by_wait "),
        (SQL_UNDATED, "SEARCH j USING INDEX job_by_wait "),
        (SQL_OPEN_OF, "SEARCH j USING INDEX job_by_"),
    ] {
        let question = AssertSqlSafe(format!("explain query plan {sql}"));
        let rows = sqlx::query(question).fetch_all(&mut intruder).await.unwrap();
        let plan: Vec<String> = rows.iter().map(|row| row.get("detail")).collect();
        assert!(plan.iter().any(|step| step.starts_with(index)), "{plan:?}");
        assert!(!plan.iter().any(|step| step.starts_with("SCAN j")), "{plan:?}");
    }
}
