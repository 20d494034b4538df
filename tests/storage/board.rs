//! Planned days: moved once by whoever saw the job as it is, listed by week and person, and who is away.

use fusewright::domain::ids::{JobId, PersonId};
use fusewright::storage::board::{
    Move, Planned, SQL_OF_PERSON, SQL_PAST, SQL_UNDATED, SQL_WEEK, Saw, append_away, append_move,
    list_away, list_of_person, list_past, list_undated, list_week, load, take_away_back,
    usual_minutes,
};
use fusewright::storage::jobs;
use sqlx::{AssertSqlSafe, Row as _};
use time::Date;
use time::macros::date;

use super::fixture::{Bench, JOB, MANAGER, OTHER_JOB, OTHER_WORKSHOP, TECHNICIAN, WORKSHOP, after};

const MONDAY: Date = date!(2026 - 11 - 23);
const SUNDAY: Date = date!(2026 - 11 - 29);
const TUESDAY: Date = date!(2026 - 11 - 24);

fn to(job: JobId, day: Option<Date>, version: u64) -> Move {
    let saw = Saw { version, technician: Some(TECHNICIAN) };
    Move { job, technician: Some(TECHNICIAN), day, days: 1, minutes: 300, saw }
}

async fn moved(bench: &Bench, new: Move) -> bool {
    append_move(&bench.store, WORKSHOP, new, after(1)).await.unwrap()
}

async fn planned(bench: &Bench, job: JobId) -> Planned {
    load(&bench.store, WORKSHOP, job).await.unwrap().unwrap().planned
}

#[tokio::test]
async fn a_job_goes_to_its_day_and_person_and_back_and_keeps_its_hours() {
    let bench = Bench::working().await;
    assert_eq!(planned(&bench, JOB).await, Planned::default());
    let given = Move { technician: Some(MANAGER), ..to(JOB, Some(TUESDAY), 0) };
    assert!(moved(&bench, given).await);
    let there = load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    assert_eq!((there.technician, there.planned.day), (Some(MANAGER), Some(TUESDAY)));
    let row = jobs::load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap();
    assert_eq!(row.technician, Some(MANAGER), "the job itself is given to them");
    let saw = Saw { version: 1, technician: Some(MANAGER) };
    assert!(moved(&bench, Move { saw, ..to(JOB, None, 0) }).await);
    let back = planned(&bench, JOB).await;
    assert_eq!((back.day, back.minutes, back.version), (None, Some(300), 2));
}

#[tokio::test]
async fn whoever_saw_an_older_version_or_another_person_moves_nothing() {
    let bench = Bench::working().await;
    assert!(moved(&bench, to(JOB, Some(TUESDAY), 0)).await);
    assert!(!moved(&bench, to(JOB, Some(SUNDAY), 0)).await, "somebody moved it meanwhile");
    jobs::assign(&bench.store, WORKSHOP, JOB, None, after(2)).await.unwrap();
    assert!(!moved(&bench, to(JOB, Some(SUNDAY), 1)).await, "somebody gave it away meanwhile");
    assert_eq!(planned(&bench, JOB).await.day, Some(TUESDAY));
}

#[tokio::test]
async fn another_workshop_neither_sees_nor_moves_it() {
    let bench = Bench::working().await;
    let stolen = append_move(&bench.store, OTHER_WORKSHOP, to(JOB, Some(TUESDAY), 0), after(1));
    assert!(!stolen.await.unwrap());
    assert!(moved(&bench, to(JOB, Some(TUESDAY), 0)).await);
    let week = list_week(&bench.store, OTHER_WORKSHOP, (MONDAY, SUNDAY)).await.unwrap();
    assert!(week.is_empty());
    assert!(load(&bench.store, OTHER_WORKSHOP, JOB).await.unwrap().is_none());
}

#[tokio::test]
async fn a_week_has_what_may_run_in_it_and_the_rest_has_no_day_or_is_past() {
    let bench = Bench::working().await;
    assert!(moved(&bench, to(JOB, Some(TUESDAY), 0)).await);
    let week = list_week(&bench.store, WORKSHOP, (MONDAY, SUNDAY)).await.unwrap();
    assert_eq!(week.iter().map(|job| job.id).collect::<Vec<_>>(), [JOB]);
    let earlier = (date!(2026 - 11 - 16), date!(2026 - 11 - 22));
    assert!(list_week(&bench.store, WORKSHOP, earlier).await.unwrap().is_empty());
    let (undated, more) = list_undated(&bench.store, WORKSHOP, 0).await.unwrap();
    assert_eq!((undated.len(), undated[0].id, more), (1, OTHER_JOB, false));
    assert!(list_undated(&bench.store, WORKSHOP, 2).await.unwrap().0.is_empty());
    assert!(list_past(&bench.store, WORKSHOP, TUESDAY).await.unwrap().is_empty());
    assert_eq!(list_past(&bench.store, WORKSHOP, SUNDAY).await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_persons_list_is_in_the_order_of_the_days_with_the_undated_last() {
    let bench = Bench::working().await;
    assert!(moved(&bench, to(OTHER_JOB, Some(TUESDAY), 0)).await);
    let jobs = list_of_person(&bench.store, WORKSHOP, TECHNICIAN).await.unwrap();
    assert_eq!(jobs.iter().map(|job| job.id).collect::<Vec<_>>(), [OTHER_JOB, JOB]);
    assert!(list_of_person(&bench.store, WORKSHOP, MANAGER).await.unwrap().is_empty());
}

#[tokio::test]
async fn what_is_usual_for_a_kit_is_the_middle_of_what_was_planned() {
    let bench = Bench::working().await;
    assert_eq!(usual_minutes(&bench.store, WORKSHOP, "dock-30").await.unwrap(), None);
    assert!(moved(&bench, to(JOB, Some(TUESDAY), 0)).await);
    assert_eq!(usual_minutes(&bench.store, WORKSHOP, "dock-30").await.unwrap(), Some(300));
    assert_eq!(usual_minutes(&bench.store, WORKSHOP, "other").await.unwrap(), None);
}

#[tokio::test]
async fn days_away_are_noted_once_and_taken_back() {
    let bench = Bench::working().await;
    let noted = || append_away(&bench.store, WORKSHOP, TECHNICIAN, vec![TUESDAY, SUNDAY]);
    noted().await.unwrap();
    noted().await.unwrap();
    let away = |workshop| list_away(&bench.store, workshop, (MONDAY, SUNDAY));
    let both: [(PersonId, Date); 2] = [(TECHNICIAN, TUESDAY), (TECHNICIAN, SUNDAY)];
    assert_eq!(away(WORKSHOP).await.unwrap(), both);
    assert!(away(OTHER_WORKSHOP).await.unwrap().is_empty());
    take_away_back(&bench.store, WORKSHOP, (TECHNICIAN, TUESDAY)).await.unwrap();
    assert_eq!(away(WORKSHOP).await.unwrap(), [(TECHNICIAN, SUNDAY)]);
}

#[tokio::test]
async fn no_list_reads_all_jobs() {
    let bench = Bench::working().await;
    let mut intruder = bench.intruder().await;
    for sql in [SQL_WEEK, SQL_PAST, SQL_UNDATED, SQL_OF_PERSON] {
        let question = AssertSqlSafe(format!("explain query plan {sql}"));
        let rows = sqlx::query(question).fetch_all(&mut intruder).await.unwrap();
        let plan: Vec<String> = rows.iter().map(|row| row.get("detail")).collect();
        assert!(!plan.iter().any(|step| step.starts_with("SCAN")), "{plan:?}");
    }
}
