//! Lines of re-inspections, the vehicles they belong to, and what is due by their certificates.

use fusewright::domain::ids::{JobId, Moment};
use fusewright::storage::due::{DueMark, SQL_DUE, Window, list};
use fusewright::storage::jobs::{load, of_vehicle, plain_mark};
use fusewright::storage::reinspections::{append, earlier_certificates, standing};
use fusewright::storage::{Conflict, MIGRATIONS, certificates, jobs};
use sqlx::{AssertSqlSafe, Row as _};
use uuid::Uuid;

use super::certificates::finished;
use super::fixture::{Bench, JOB, OTHER_JOB, OTHER_WORKSHOP, WORKSHOP, after, job};
use super::withdrawals::withdrawn;

const AGAIN: JobId = JobId(Uuid::from_u128(0x52));
const ONCE_MORE: JobId = JobId(Uuid::from_u128(0x53));
const FIRST: &str = "HV-26-00001-A";
const SECOND: &str = "HV-26-00002-B";

/// A workshop whose first job has its certificate.
async fn issued() -> Bench {
    let bench = Bench::working().await;
    certificates::append(&bench.store, WORKSHOP, finished(0, FIRST)).await.unwrap();
    bench
}

/// The certificate of a job, at its place in the register, some minutes after the first.
async fn certified(bench: &Bench, job: JobId, (index, number): (u64, &str)) {
    let issued = after(90 + i64::try_from(index).unwrap() * 10);
    let new = certificates::NewCertificate { job, issued, ..finished(index, number) };
    certificates::append(&bench.store, WORKSHOP, new).await.unwrap();
}

async fn again(bench: &Bench, id: JobId, earlier: JobId) -> Result<u64, Option<Conflict>> {
    let new = job(id, "Van, long", "AB12 CDE");
    append(&bench.store, WORKSHOP, (new, earlier)).await.map_err(|error| error.conflict())
}

#[tokio::test]
async fn a_re_inspection_gets_the_next_number_and_names_what_it_measures_again() {
    let bench = issued().await;
    assert_eq!(again(&bench, AGAIN, JOB).await, Ok(3));
    assert_eq!(again(&bench, AGAIN, JOB).await, Ok(3), "the same again");
    let of = load(&bench.store, WORKSHOP, AGAIN).await.unwrap().unwrap().again.unwrap();
    assert_eq!((of.earlier, of.certificate.as_str(), of.first), (JOB, FIRST, JOB));
    assert_eq!(load(&bench.store, WORKSHOP, JOB).await.unwrap().unwrap().again, None);
}

#[tokio::test]
async fn only_the_newest_certificate_in_force_is_started_from_and_one_at_a_time() {
    let bench = issued().await;
    let not_in_force = Err(Some(Conflict::CertificateNotInForce));
    assert_eq!(again(&bench, ONCE_MORE, OTHER_JOB).await, not_in_force);
    again(&bench, AGAIN, JOB).await.unwrap();
    assert_eq!(again(&bench, ONCE_MORE, JOB).await, Err(Some(Conflict::ReinspectionUnderWay)));
    certified(&bench, AGAIN, (1, SECOND)).await;
    assert_eq!(again(&bench, ONCE_MORE, JOB).await, not_in_force);
    let stands = standing(&bench.store, WORKSHOP, JOB).await.unwrap();
    assert_eq!((stands.under_way, stands.in_force), (None, Some((AGAIN, SECOND.to_owned()))));
    assert_eq!(again(&bench, ONCE_MORE, AGAIN).await, Ok(4));
    let of = load(&bench.store, WORKSHOP, ONCE_MORE).await.unwrap().unwrap().again.unwrap();
    assert_eq!((of.earlier, of.first), (AGAIN, JOB));
    let ends = earlier_certificates(&bench.store, WORKSHOP, ONCE_MORE).await.unwrap();
    let numbers: Vec<&str> = ends.iter().map(|row| row.number.as_str()).collect();
    assert_eq!(numbers, [FIRST, SECOND]);
    let ends = earlier_certificates(&bench.store, WORKSHOP, AGAIN).await.unwrap();
    assert_eq!(ends.len(), 1, "the first is the last");
}

#[tokio::test]
async fn a_withdrawn_certificate_is_not_started_from_and_the_one_before_is() {
    let bench = issued().await;
    again(&bench, AGAIN, JOB).await.unwrap();
    certified(&bench, AGAIN, (1, SECOND)).await;
    withdrawn(&bench, SECOND).await;
    assert_eq!(again(&bench, ONCE_MORE, AGAIN).await, Err(Some(Conflict::CertificateNotInForce)));
    assert_eq!(again(&bench, ONCE_MORE, JOB).await, Ok(4));
}

#[tokio::test]
async fn what_a_job_measures_again_never_changes() {
    let bench = issued().await;
    again(&bench, AGAIN, JOB).await.unwrap();
    let mut intruder = bench.intruder().await;
    for statement in ["update reinspection set certificate = 'X'", "delete from reinspection"] {
        assert!(sqlx::query(statement).execute(&mut intruder).await.is_err(), "{statement}");
    }
}

fn window(after: DueMark, first_jobs_only: bool) -> Window {
    Window { after, first_jobs_only, limit: 10 }
}

fn start() -> DueMark {
    DueMark { issued: Moment(0), certificate: String::new() }
}

async fn due(bench: &Bench, first_jobs_only: bool) -> Vec<String> {
    let rows = list(&bench.store, WORKSHOP, &window(start(), first_jobs_only)).await.unwrap();
    rows.into_iter().map(|row| row.certificate).collect()
}

#[tokio::test]
async fn of_a_line_the_newest_certificate_in_force_is_due() {
    let bench = issued().await;
    certified(&bench, OTHER_JOB, (1, "HV-26-00009-Z")).await;
    assert_eq!(due(&bench, false).await, [FIRST, "HV-26-00009-Z"]);
    again(&bench, AGAIN, JOB).await.unwrap();
    let rows = list(&bench.store, WORKSHOP, &window(start(), false)).await.unwrap();
    assert_eq!((rows[0].under_way, rows[1].under_way), (Some((AGAIN, 3)), None));
    certified(&bench, AGAIN, (2, SECOND)).await;
    assert_eq!(due(&bench, false).await, ["HV-26-00009-Z", SECOND]);
    assert_eq!(due(&bench, true).await, ["HV-26-00009-Z"], "joints of the second have settled");
    withdrawn(&bench, SECOND).await;
    assert_eq!(due(&bench, false).await, [FIRST, "HV-26-00009-Z"]);
    let none = list(&bench.store, OTHER_WORKSHOP, &window(start(), false)).await.unwrap();
    assert!(none.is_empty());
}

/// A later one of the line stands, even if what lies between was withdrawn.
#[tokio::test]
async fn a_gap_in_the_line_does_not_bring_the_first_back() {
    let bench = issued().await;
    again(&bench, AGAIN, JOB).await.unwrap();
    certified(&bench, AGAIN, (1, SECOND)).await;
    again(&bench, ONCE_MORE, AGAIN).await.unwrap();
    certified(&bench, ONCE_MORE, (2, "HV-26-00003-C")).await;
    withdrawn(&bench, SECOND).await;
    assert_eq!(due(&bench, false).await, ["HV-26-00003-C"]);
}

#[tokio::test]
async fn a_page_of_what_is_due_begins_behind_its_mark() {
    let bench = issued().await;
    certified(&bench, OTHER_JOB, (1, "HV-26-00009-Z")).await;
    let mark = DueMark { issued: after(90), certificate: FIRST.to_owned() };
    let rows = list(&bench.store, WORKSHOP, &window(mark, false)).await.unwrap();
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0].certificate, "HV-26-00009-Z");
    let one = Window { limit: 1, ..window(start(), false) };
    assert_eq!(list(&bench.store, WORKSHOP, &one).await.unwrap().len(), 1);
}

#[tokio::test]
async fn what_is_due_is_read_in_order_and_nothing_is_sorted() {
    let bench = Bench::working().await;
    let mut intruder = bench.intruder().await;
    let question = AssertSqlSafe(format!("explain query plan {SQL_DUE}"));
    let rows = sqlx::query(question).fetch_all(&mut intruder).await.unwrap();
    let plan: Vec<String> = rows.iter().map(|row| row.get("detail")).collect();
    assert!(plan[0].starts_with("SEARCH c USING INDEX certificate_by_issue "), "{plan:?}");
    let whole = plan.iter().any(|step| {
        let table = ["c", "j", "k", "u", "r", "o", "x", "n", "w", "l", "d"];
        table.iter().any(|table| step == &format!("SCAN {table}")) || step.contains("ORDER BY")
    });
    assert!(!whole, "{plan:?}");
}

#[test]
fn marks_are_compared_in_capitals_without_what_stands_between() {
    assert_eq!(plain_mark(" hp-21.kln\t"), "HP21KLN");
    assert_eq!(plain_mark("gö ab 123"), "GÖAB123");
    assert_eq!(plain_mark("–"), "");
}

#[tokio::test]
async fn a_job_without_registration_stands_alone() {
    let bench = Bench::working().await;
    for number in [0x60, 0x61] {
        let new = job(JobId(Uuid::from_u128(number)), "Trailer", "-");
        jobs::append(&bench.store, WORKSHOP, new).await.unwrap();
    }
    let found = of_vehicle(&bench.store, WORKSHOP, JobId(Uuid::from_u128(0x60))).await.unwrap();
    assert_eq!(found.len(), 1);
}

/// Jobs that were there before the migration get their marks from what the database can read.
#[tokio::test]
async fn the_migration_fills_the_marks_of_jobs_that_are_there() {
    let place = tempfile::TempDir::new().unwrap();
    let options = sqlx::sqlite::SqliteConnectOptions::new()
        .filename(place.path().join("database"))
        .create_if_missing(true);
    let mut db = sqlx::ConnectOptions::connect(&options).await.unwrap();
    let house = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/migrations");
    let mut names: Vec<_> =
        std::fs::read_dir(house).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    for (version, path) in (1..=13).zip(&names) {
        MIGRATIONS.run_to(version, &mut db).await.unwrap();
        let samples = std::fs::read_to_string(path).unwrap();
        sqlx::raw_sql(AssertSqlSafe(samples)).execute(&mut db).await.unwrap();
    }
    MIGRATIONS.run_to(14, &mut db).await.unwrap();
    let record = "insert into certificate select workshop_id, 'HV-26-00001-A', id, 1, \
        cast('{\"vehicle\":{\"vin_tail\":\"k40 73318\"}}' as blob), zeroblob(32), 'C', 0, 0 \
        from job where number = 1";
    sqlx::query(record).execute(&mut db).await.unwrap();
    sqlx::query("update job set registration = 'bä-12 cde' where number = 1")
        .execute(&mut db)
        .await
        .unwrap();
    MIGRATIONS.run_to(23, &mut db).await.unwrap();
    let rows = sqlx::query("select plate, vin from job order by number").fetch_all(&mut db).await;
    let marks: Vec<(String, String)> =
        rows.unwrap().iter().map(|row| (row.get("plate"), row.get("vin"))).collect();
    assert_eq!(marks[0], ("BÄ12CDE".to_owned(), "K4073318".to_owned()));
    assert_eq!(marks[1].1, "");
    assert_eq!(marks[1].0, plain_mark(&marks[1].0));
}
