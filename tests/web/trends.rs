//! Trends from outside: what the page says of many jobs and of few, its form, and its files as others read them.

use fusewright::acts::record::{compose, record};
use fusewright::acts::{job, trends};
use fusewright::domain::entry::Payload;
use fusewright::domain::ids::{EntryId, JobId};
use fusewright::domain::trends::CountedResult;
use fusewright::domain::verdict::Verdict;
use fusewright::storage::instruments;
use fusewright::storage::jobs::{Derived, refresh};
use fusewright::storage::results::{Results, Window, list};
use serde_json::{Value, json};
use sqlx::ConnectOptions as _;
use sqlx::sqlite::SqliteConnectOptions;

use super::again::{equipped, open, release, released, work};
use crate::documents::table_file::read_table;
use crate::domain::cast::{METER, dec, exact_instrument};
use crate::domain::trends::{measured, steady};
use crate::support::{Client, MORNING, TECHNICIAN, TestApp, WORKSHOP};

const RESTED: &str = "before.battery_rested";
const SPRING: &str = "00000000-0000-0000-0000-00000000a9a3";

/// Jobs whose first path was measured at so many thousandths of the planned, in this order.
async fn many(permille: &[i64]) -> TestApp {
    let app = TestApp::start().await;
    instruments::append(&app.store, WORKSHOP, exact_instrument(), app.now()).await.unwrap();
    let mut results = measured(permille);
    results.reverse();
    for (at, result) in results.into_iter().enumerate() {
        app.pass_minutes(1);
        let job = app.job_registered(&format!("AB {at}")).await;
        let mut counted = result.counted;
        (counted.person, counted.recorded) = (TECHNICIAN, app.now());
        derive(&app, job, vec![counted]).await;
    }
    app
}

async fn derive(app: &TestApp, job: JobId, counted: Vec<CountedResult>) {
    let (submitted, released) = (Some(app.now()), Some(app.now()));
    let kit_code = "TRAY-40".to_owned();
    let results = Results { kit_code, counted, submitted, released, ..Results::default() };
    let derived = Derived {
        stage: "released".to_owned(),
        steps_total: 1,
        steps_done: 1,
        flags: String::new(),
        entry_count: 1,
        updated: app.now(),
        vin: String::new(),
        results,
        notices: String::new(),
    };
    assert!(refresh(&app.store, WORKSHOP, job, derived).await.unwrap());
}

async fn write(app: &TestApp, id: JobId, step: &str, payload: Payload) {
    let by = app.by(TECHNICIAN);
    let file = job::load(&app.store, WORKSHOP, id).await.unwrap();
    let entry = EntryId(fusewright::world::new_id(app.now()).unwrap());
    let body = compose(&by, entry, &file, step, payload).write().unwrap();
    let (answers, _) = record(&app.store, &by, id, vec![body]).await.unwrap();
    assert!(answers[0].is_ok());
}

async fn file(client: &Client, path: &str) -> Value {
    let reply = client.get(path).await;
    reply.has_status(200);
    let name = if path.contains(".csv") { "trends.csv" } else { "trends.xlsx" };
    let disposition = format!("attachment; filename=\"{name}\"");
    assert_eq!(reply.header("content-disposition"), disposition);
    read_table(name, &reply.bytes)
}

#[tokio::test]
async fn a_workshop_without_a_measurement_is_told_what_is_missing() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let page = manager.get("/trends").await;
    page.has_status(200)
        .says("Nothing was measured in this period")
        .is_silent_about("<svg class=\"drawing");
    manager.get("/jobs").await.says("href=\"/trends\"");
    app.technician().await.get("/jobs").await.is_silent_about("href=\"/trends\"");
    assert_eq!(file(&manager, "/trends.csv").await["csv"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn few_jobs_are_listed_and_not_drawn() {
    let app = many(&steady(19)).await;
    let page = app.manager().await.get("/trends").await;
    page.says("19 results: too few to say. A control chart needs 20.").says("Job 19</a>");
    page.is_silent_about("<svg class=\"drawing").says("19 of 19").says("too few to say");
    page.is_silent_about("100 %");
}

#[tokio::test]
async fn a_row_above_the_centre_line_is_drawn_told_and_listed() {
    let mut work = steady(24);
    work.extend([1030, 1020, 1030, 1020, 1030, 1020]);
    let app = many(&work).await;
    let page = app.manager().await.get("/trends").await;
    page.has_status(200)
        .says("Seven in a row above the centre line, since job 24: look at the crimp");
    page.says("All were measured with Meter 1: look at it too.").says("Tove Lind");
    assert_eq!(page.text.matches("<svg class=\"drawing\"").count(), 2, "wide and narrow");
    page.says("id=\"chart-wide-title\"").says("id=\"chart-title\"").says("100 %").says("30 of 30");
    page.says("<ol class=\"signals\" reversed start=\"1\">")
        .says("Half within")
        .says("0 min")
        .says("data-label=\"Signal\">1</td>");
}

#[tokio::test]
async fn the_form_narrows_what_is_counted() {
    let app = many(&steady(3)).await;
    let manager = app.manager().await;
    for (query, found) in [
        ("", 3),
        ("?kit=TRAY-40", 3),
        ("?from=2026-11-25&to=2026-11-25", 3),
        ("?from=2026-11-26&to=2026-11-26", 0),
        ("?from=2026-11-24&to=2026-11-24", 0),
        (&format!("?person={TECHNICIAN}&instrument={METER}"), 3),
        (&format!("?person={}", crate::support::OWNER), 0),
        ("?path=TRAY-40/prove.other.drop_out", 3),
    ] {
        let rows = file(&manager, &format!("/trends.csv{query}")).await;
        assert_eq!(rows["csv"].as_array().unwrap().len(), found + 1, "{query}");
        manager.get(&format!("/trends{query}")).await.has_status(200);
    }
}

#[tokio::test]
async fn what_cannot_be_asked_is_refused_with_what_to_do() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    for (query, words) in [
        ("from=tomorrow", "Write a date as 2026-11-25."),
        ("to=2026-13-01", "Write a date as 2026-11-25."),
        ("from=2026-11-26&to=2026-11-25", "This day lies before the first one."),
        ("kit=none", "Choose one of the list."),
        ("path=none", "Choose one of the list."),
        ("person=none", "Choose one of the list."),
        ("person=00000000-0000-0000-0000-000000000099", "Choose one of the list."),
        ("instrument='--", "Choose one of the list."),
    ] {
        let page = manager.get(&format!("/trends?{query}")).await;
        page.has_status(422).says(words).says("name=\"from\"");
        for name in ["csv", "xlsx"] {
            manager.get(&format!("/trends.{name}?{query}")).await.has_status(422).says(words);
        }
    }
    manager.get("/trends?from=0000-01-01&to=9999-12-31").await.has_status(200);
}

/// A failing result, its correction and a re-inspection, through the record itself.
#[tokio::test]
async fn results_follow_the_record_and_a_re_inspection_stays_out() {
    let app = equipped().await;
    let job = app.job_with_sheet().await.row.id;
    let manager = app.manager().await;
    let reading = |value: &str| Payload::Reading { value: dec(value), instrument: METER };
    write(&app, job, RESTED, reading("11.0")).await;
    let done = Payload::Remark { text: "Posts cleaned.".to_owned(), photos: Vec::new() };
    write(&app, job, RESTED, done).await;
    app.pass_minutes(1);
    write(&app, job, RESTED, reading("12.6")).await;
    let rows = file(&manager, "/trends.csv").await;
    let rows = rows["csv"].as_array().unwrap();
    let told: Vec<_> = rows[1..].iter().map(|row| (&row[5], &row[8], &row[9], &row[12])).collect();
    let told = json!(told);
    assert_eq!(told, json!([["2", "12.6", "V", "Pass"], ["1", "11.0", "V", "Fail"]]));
    manager.get("/trends").await.says("Checks that failed most at first").says("0 of 1");
    app.pass_minutes(1);
    work(&app, job, &[]).await;
    release(&app, job).await;
    let before = file(&manager, "/trends.csv").await;
    manager.get("/trends").await.says("1 job was released in this period: too few to say.");
    let again = open(&manager, job, SPRING).await;
    work(&app, again, &[]).await;
    assert_eq!(file(&manager, "/trends.csv").await, before);
}

#[tokio::test]
async fn a_spreadsheet_has_a_sheet_for_each_table_with_numbers_as_numbers() {
    let app = many(&steady(20)).await;
    let book = file(&app.manager().await, "/trends.xlsx").await;
    let names: Vec<&String> = book.as_object().unwrap().keys().collect();
    assert_eq!(names.len(), 5, "{names:?}");
    let chart = book["Control chart"].as_array().unwrap();
    assert_eq!((chart.len(), &chart[0][3][1]), (21, &json!("Measured [mΩ]")));
    assert_eq!(chart[1][3], json!(["n", 4.95]));
    assert_eq!((&chart[1][1][0], &chart[1][7]), (&json!("d"), &json!(["n", 1])));
    assert_eq!(book["Results"][1][8], json!(["n", 5.05]));
    assert_eq!(book["First-time pass"][1][4], json!(["n", 100]));
    assert_eq!(book["Cycle times"][1][6][0], "n");
}

#[tokio::test]
async fn a_name_that_looks_like_a_formula_is_text_in_the_files() {
    let app = many(&steady(1)).await;
    let mut tool = exact_instrument();
    (tool.id.0, tool.label) = (uuid::Uuid::from_u128(0xf0), "=1+1".to_owned());
    tool.calibrations[0].id.0 = uuid::Uuid::from_u128(0xf1);
    let id = tool.id;
    instruments::append(&app.store, WORKSHOP, tool, app.now()).await.unwrap();
    let job = app.job_registered("XY 1").await;
    let mut counted = measured(&[1000]).remove(0).counted;
    (counted.instruments, counted.recorded) = (vec![id], app.now());
    derive(&app, job, vec![counted]).await;
    let manager = app.manager().await;
    let query = format!("?instrument={id}");
    assert_eq!(file(&manager, &format!("/trends.csv{query}")).await["csv"][1][14], "'=1+1");
    let book = file(&manager, &format!("/trends.xlsx{query}")).await;
    assert_eq!(book["Results"][1][14], json!(["s", "=1+1"]));
}

#[tokio::test]
async fn jobs_from_before_are_read_once_and_the_page_says_while_they_are_not() {
    let app = equipped().await;
    released(&app).await;
    let window = Window { from: MORNING, until: MORNING.plus_days(1), kit: None };
    let before = list(&app.store, WORKSHOP, &window).await.unwrap();
    assert!(before.0.len() > 10);
    let options = SqliteConnectOptions::new().filename(app.store.folder().join("fusewright.db"));
    let mut intruder = options.connect().await.unwrap();
    for before in [
        "delete from result",
        "delete from job_course",
        "insert into result_due select workshop_id, id from job",
    ] {
        sqlx::query(before).execute(&mut intruder).await.unwrap();
    }
    let manager = app.manager().await;
    manager.get("/trends").await.says("Earlier jobs are still being read.");
    assert_eq!(trends::fill(&app.store).await.unwrap(), 1);
    assert_eq!(list(&app.store, WORKSHOP, &window).await.unwrap(), before);
    manager.get("/trends").await.is_silent_about("still being read");
    assert_eq!(trends::fill(&app.store).await.unwrap(), 0);
    assert!(before.0.iter().any(|one| one.counted.verdict == Verdict::Pass));
}

#[tokio::test]
async fn another_workshop_sees_none_of_it() {
    let app = many(&steady(20)).await;
    let stranger = app.stranger().await;
    stranger.get("/trends").await.says("Nothing was measured").is_silent_about("Tove Lind");
    let rows = file(&stranger, "/trends.csv").await;
    assert_eq!(rows["csv"].as_array().unwrap().len(), 1);
    stranger.get(&format!("/trends?person={TECHNICIAN}")).await.has_status(422);
}
