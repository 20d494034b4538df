//! An instrument read wrongly: what its recall takes back, what it leaves as it is, and what ends it. And the
//! warnings before a calibration ends.

use std::io::Cursor;

use fusewright::acts::archive::check;
use fusewright::acts::job::load;
use fusewright::domain::ids::JobId;
use fusewright::domain::job::Stage;
use fusewright::storage::{certificates, instruments, jobs};
use serde_json::Value;

use super::again::{equipped, released, work};
use crate::documents::tools::read_calendar;
use crate::domain::cast::METER;
use crate::support::{Client, Reply, TestApp, WORKSHOP};

const RECALL: [(&str, &str); 5] = [
    ("from", "2026-11-01"),
    ("found_on", "2026-11-25"),
    ("reason", "Reads 4 % high at 12 V."),
    ("percent", "4"),
    ("digits", ""),
];

async fn recall(client: &Client, fields: &[(&str, &str)]) -> Reply {
    client.post(&format!("/instruments/{METER}/recall"), fields).await
}

/// One job released with its certificate, one in review.
async fn two_jobs() -> (TestApp, JobId, JobId) {
    let app = equipped().await;
    let (first, _) = released(&app).await;
    let second = app.job_with_sheet().await.row.id;
    work(&app, second, &[]).await;
    app.pass_minutes(10);
    (app, first, second)
}

async fn stage(app: &TestApp, job: JobId) -> String {
    jobs::load(&app.store, WORKSHOP, job).await.unwrap().unwrap().stage
}

#[tokio::test]
async fn a_recall_takes_back_what_is_not_released_and_lists_what_is() {
    let (app, first, second) = two_jobs().await;
    let manager = app.manager().await;
    let before = load(&app.store, WORKSHOP, first).await.unwrap().state;
    let paper = certificates::list(&app.store, WORKSHOP, first).await.unwrap();
    assert_eq!(stage(&app, second).await, "review");

    let done = recall(&manager, &RECALL).await;
    let page = manager.get(done.has_status(303).location()).await;
    page.has_status(200).says("Reads 4 % high at 12 V.").says("Not released yet");
    page.says("Released already").says(&format!("href=\"/jobs/{second}/review\""));
    page.says(&format!("href=\"/jobs/{first}/again\"")).says("Jonas Weir");
    page.says("Still passes").says("Margin used up").says("Nothing taken with it counts");
    page.says("In the bays").says("would still pass");

    // The lists know it without anybody having opened the job.
    assert_eq!(stage(&app, second).await, "working");
    let after = load(&app.store, WORKSHOP, second).await.unwrap().state;
    assert_eq!(after.stage(), Stage::Working);
    // Whatever else was measured stands.
    let standing = after.steps.iter().filter(|step| step.result().is_some()).count();
    assert!(standing > 0 && standing < after.steps.len());
    let sheet = app.technician().await.get(&format!("/jobs/{second}/sheet")).await;
    sheet.says("was recalled").says("recalled: does not count");

    // The certificate and all it rests on are as they were; the job's page says what was found.
    assert_eq!(load(&app.store, WORKSHOP, first).await.unwrap().state, before);
    assert_eq!(certificates::list(&app.store, WORKSHOP, first).await.unwrap(), paper);
    let job = manager.get(&format!("/jobs/{first}")).await;
    job.says("Found since").says("was out of tolerance since 1 November 2026");
    job.says("the certificate stands as it was issued");
    app.technician().await.get(&format!("/jobs/{first}")).await.says("Found since");
    manager.get(&format!("/jobs/{second}")).await.is_silent_about("Found since");
}

/// The entries, judged anew by whoever opens the archive, come to what was certified.
#[tokio::test]
async fn an_archive_that_is_written_after_a_recall_holds() {
    let (app, first, _) = two_jobs().await;
    recall(&app.manager().await, &RECALL).await.has_status(303);
    let archive = app.owner().await.get(&format!("/jobs/{first}/archive")).await;
    let bytes = archive.has_status(200).bytes.clone();
    let (contents, report) = check(Cursor::new(bytes)).unwrap();
    assert!(report.faults.is_empty(), "{:?}", report.faults);
    let recalled = contents.about.instruments.iter().filter(|one| !one.recalls.is_empty());
    assert_eq!(recalled.count(), 1, "the recall goes with it");
}

#[tokio::test]
async fn every_reading_in_doubt_stands_in_the_file_with_value_limit_margin_and_verdict() {
    let (app, _, _) = two_jobs().await;
    let manager = app.manager().await;
    let there = recall(&manager, &RECALL).await.has_status(303).location().to_owned();
    let path = there.split('?').next().unwrap().to_owned();
    let file = manager.get(&format!("{path}/readings.csv")).await;
    assert_eq!(
        file.header("content-disposition"),
        "attachment; filename=\"readings-in-doubt.csv\""
    );
    let lines: Vec<&str> = file.has_status(200).text.lines().collect();
    assert!(lines[0].starts_with("Recorded (UTC),Job,Vehicle,Step,Value,Limit,Margin,Verdict"));
    let page = manager.get(&path).await;
    let counted = format!("{} readings of 2 jobs rest on it.", lines.len() - 1);
    page.says(&counted);
    let rested: Vec<&&str> = lines.iter().filter(|line| line.contains("12.6 V")).collect();
    assert!(rested.iter().all(|line| line.contains(",Pass,yes,")), "{rested:?}");
    // What was typed in the address counts, and a slip is told.
    let spared = manager.get(&format!("{path}?percent=0.001&digits=")).await;
    spared.says("Still passes").is_silent_about("Margin used up");
    manager.get(&format!("{path}?percent=lots")).await.says("Write a figure from 0 to 100");
    let asked = manager.get(&format!("{path}?percent=&digits=")).await;
    asked.is_silent_about("Still passes").says("not asked");
}

#[tokio::test]
async fn only_a_later_calibration_ends_a_recall_and_what_was_read_meanwhile_stays_out() {
    let (app, _, second) = two_jobs().await;
    let manager = app.manager().await;
    let there = recall(&manager, &RECALL).await.has_status(303).location().to_owned();
    manager.get("/instruments").await.says("Recalled").says("To see to: 1 recalled");
    let path = format!("/instruments/{METER}/calibrations");
    let from =
        |day: &'static str| [("done_on", day), ("due_on", "2027-11-24"), ("certificate", "CAL-19")];
    manager.post(&path, &from("2026-11-24")).await.has_status(303);
    manager.get("/instruments").await.says("Recalled");
    app.pass_minutes(24 * 60);
    let manager = app.manager().await;
    manager.post(&path, &from("2026-11-26")).await.has_status(303);
    manager.get("/instruments").await.is_silent_about("Recalled");
    manager.get(&there).await.says("Calibrated on 26 November 2026: later readings count.");
    assert_eq!(stage(&app, second).await, "working", "yesterday's readings do not come back");
    work(&app, second, &[]).await;
    assert_eq!(stage(&app, second).await, "review");
}

#[tokio::test]
async fn a_recall_with_faults_is_not_noted_and_the_form_comes_back() {
    let app = equipped().await;
    let manager = app.manager().await;
    for (name, typed, sentence) in [
        ("from", "2026-11-26", "This is after it was found."),
        ("from", "yesterday", "Write a date as 2026-11-25."),
        ("found_on", "2026-11-26", "This day is yet to come."),
        ("reason", "", "Fill this in."),
        ("percent", "101", "Write a figure from 0 to 100"),
        ("percent", "-4", "Write a figure from 0 to 100"),
        ("digits", "1.5", "Write a whole number up to 9999."),
    ] {
        let fields = RECALL.map(|field| if field.0 == name { (name, typed) } else { field });
        let reply = recall(&manager, &fields).await;
        reply.has_status(422).says(sentence).says(&format!("href=\"#{name}\""));
        reply.says(if name == "reason" { "value=\"2026-11-01\"" } else { "Reads 4 % high" });
    }
    // Today is the first day in doubt that can be.
    let today = RECALL.map(|field| if field.0 == "from" { ("from", "2026-11-25") } else { field });
    recall(&manager, &today).await.has_status(303);
    let known = instruments::load(&app.store, WORKSHOP, METER).await.unwrap().unwrap();
    assert_eq!(known.recalls.len(), 1);
}

#[tokio::test]
async fn technicians_and_strangers_recall_nothing_and_see_nothing_of_it() {
    let (app, _, _) = two_jobs().await;
    let technician = app.technician().await;
    recall(&technician, &RECALL).await.has_status(403);
    let stranger = app.stranger().await;
    recall(&stranger, &RECALL).await.has_status(404);
    let there = recall(&app.manager().await, &RECALL).await;
    let path = there.has_status(303).location().split('?').next().unwrap().to_owned();
    for tail in ["", "/readings.csv"] {
        technician.get(&format!("{path}{tail}")).await.has_status(403);
        stranger.get(&format!("{path}{tail}")).await.has_status(404);
    }
}

#[tokio::test]
async fn what_was_found_is_text_and_never_markup() {
    let app = equipped().await;
    let manager = app.manager().await;
    let reason = "<img src=x onerror=alert(1)>\" autofocus";
    let fields = RECALL.map(|field| if field.0 == "reason" { ("reason", reason) } else { field });
    let there = recall(&manager, &fields).await.has_status(303).location().to_owned();
    for page in [manager.get(&there).await, manager.get(&format!("/instruments/{METER}")).await] {
        page.says("&#60;img src=x").is_silent_about("<img src=x");
    }
}

/// Today is 25 November 2026.
#[tokio::test]
async fn a_calibration_that_ends_soon_is_told_where_it_matters() {
    let app = TestApp::start().await;
    app.meter("Meter 03", "2026-01-01", "2026-12-01").await;
    app.meter("Meter 04", "2026-01-01", "2027-06-01").await;
    let manager = app.manager().await;
    manager.get("/jobs").await.says("<span class=\"nav__count\">1</span>");
    manager.get("/instruments").await.says("To see to: 1 due within 30 days.");
    let technician = app.technician().await;
    technician.get("/jobs").await.is_silent_about("nav__count");
    let job = app.job_with_sheet().await.row.id;
    let sheet = technician.get(&format!("/jobs/{job}/sheet?open=before.battery_rested")).await;
    sheet.says("Meter 03, calibration ends in 6 days").says("Meter 04, in date to 2027-06-01");
    for (days, words) in [(5, "calibration ends tomorrow"), (1, "calibration ends today")] {
        app.pass_minutes(days * 24 * 60);
        let technician = app.technician().await;
        let sheet = technician.get(&format!("/jobs/{job}/sheet?open=before.battery_rested")).await;
        sheet.says(&format!("Meter 03, {words}"));
    }
}

#[tokio::test]
async fn the_calendar_names_the_day_on_which_a_calibration_ends() {
    let app = TestApp::start().await;
    let meter = app.meter("Meter, 03", "2026-01-01", "2026-12-01").await;
    let manager = app.manager().await;
    let page = manager.post("/due/calendar", &[]).await;
    let end = page.text.find(".ics").unwrap() + ".ics".len();
    let address = &page.text[page.text[..end].rfind("/calendar/").unwrap()..end];
    let read = async || -> Value {
        let reply = app.nobody().get(address).await;
        serde_json::from_str(&read_calendar(&reply.has_status(200).bytes)).unwrap()
    };
    let event = read().await["events"][0].clone();
    assert_eq!(event["title"], "Calibration ends: Meter, 03");
    assert_eq!((&event["day"], &event["sequence"]), (&"2026-12-01".into(), &0.into()));
    assert_eq!(event["uid"], format!("{meter}-calibration"));
    let next = [("done_on", "2026-11-25"), ("due_on", "2027-11-25"), ("certificate", "C-2")];
    manager.post(&format!("/instruments/{meter}/calibrations"), &next).await.has_status(303);
    let moved = read().await["events"][0].clone();
    assert_eq!((&moved["day"], &moved["sequence"]), (&"2027-11-25".into(), &1.into()));
    assert_eq!(moved["uid"], event["uid"]);
    manager.post(&format!("/instruments/{meter}/retire"), &[]).await.has_status(303);
    assert_eq!(read().await["events"], Value::Array(Vec::new()));
}
