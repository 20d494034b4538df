//! Instruments: calibration state, new ones, ranges, torque tools by class.

use fusewright::domain::instrument::{Instrument, Range};
use fusewright::domain::number::Decimal;
use fusewright::domain::step::Unit;
use fusewright::storage::{entries, instruments};

use super::outbox_file::loaded_day;
use super::sync::Phone;
use crate::support::{TestApp, WORKSHOP};

const METER: [(&str, &str); 13] = [
    ("label", "Meter 03"),
    ("kind", "Multimeter"),
    ("serial", "M-3"),
    ("preset", "typed"),
    ("unit_1", "V"),
    ("from_1", "0"),
    ("to_1", "60"),
    ("resolution_1", "0,01"),
    ("percent_1", "0.5"),
    ("digits_1", "3"),
    ("done_on", "2026-03-01"),
    ("due_on", "2027-03-01"),
    ("certificate", "CAL-17"),
];

fn meter_with(changes: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
    let is_new = |name: &str| changes.iter().any(|(new, _)| *new == name);
    let kept = METER.into_iter().filter(|field| !is_new(field.0));
    kept.chain(changes.iter().copied()).collect()
}

async fn stored(app: &TestApp) -> Vec<Instrument> {
    instruments::list(&app.store, WORKSHOP).await.unwrap()
}

#[tokio::test]
async fn a_meter_is_added_with_its_range_and_calibration() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let done = manager.post("/instruments", &METER).await;
    let page = manager.get(done.has_status(303).location()).await;
    page.says("Meter 03").says("0 to 60 V, ±(0.5 % + 3 × 0.01 V)").says("1 March 2027");
    page.says("In date");
    let meter = stored(&app).await.remove(0);
    let range = Range {
        unit: Unit::Volt,
        from: Decimal::ZERO,
        to: Decimal::from(60),
        resolution: Decimal::new(1, 2),
        percent: Decimal::new(5, 1),
        digits: 3,
    };
    assert_eq!(meter.ranges, [range]);
    assert_eq!(meter.calibrations[0].due_on, "2027-03-01");
    assert_eq!(meter.calibrations[0].certificate, "CAL-17");
}

#[tokio::test]
async fn six_ranges_fit_and_empty_rows_are_left_out() {
    let app = TestApp::start().await;
    let second = [
        ("unit_6", "mA"),
        ("from_6", "0"),
        ("to_6", "400"),
        ("resolution_6", "0.1"),
        ("percent_6", "1"),
        ("digits_6", ""),
        ("unit_2", "A"),
    ];
    app.manager().await.post("/instruments", &meter_with(&second)).await.has_status(303);
    let units: Vec<Unit> = stored(&app).await[0].ranges.iter().map(|range| range.unit).collect();
    assert_eq!(units, [Unit::Volt, Unit::Milliampere]);
}

/// Type II class A: ±4 % above 10 N·m, ±6 % at or below (ISO 6789:2003, seen in a maker's manual
/// that quotes it; kept in ISO 6789-1:2017).
#[tokio::test]
async fn a_torque_wrench_takes_its_accuracy_from_its_class() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    for (from, to, expected) in [
        ("5", "60", vec![("5", "10", "6"), ("10", "60", "4")]),
        ("1", "10", vec![("1", "10", "6")]),
        ("10", "50", vec![("10", "10", "6"), ("10", "50", "4")]),
        ("10.1", "50", vec![("10.1", "50", "4")]),
    ] {
        let wrench = [("preset", "torque"), ("from_1", from), ("to_1", to), ("percent_1", "")];
        manager.post("/instruments", &meter_with(&wrench)).await.has_status(303);
        let added = stored(&app).await.into_iter().max_by_key(|one| one.id).unwrap();
        let ranges: Vec<_> = added
            .ranges
            .iter()
            .map(|r| (r.from.to_string(), r.to.to_string(), r.percent.to_string()))
            .collect();
        let expected: Vec<_> = expected
            .into_iter()
            .map(|(from, to, percent)| (from.to_owned(), to.to_owned(), percent.to_owned()))
            .collect();
        assert_eq!(ranges, expected);
        assert!(added.ranges.iter().all(|r| r.unit == Unit::NewtonMetre && r.digits == 0));
        app.pass_minutes(1);
    }
}

#[tokio::test]
async fn an_instrument_with_faults_is_not_added_and_the_form_comes_back() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    for (name, typed, sentence) in [
        ("label", "", "Fill this in."),
        ("from_1", "-5", "Write it without its sign"),
        ("to_1", "0", "Write more than 0, where the range begins."),
        ("resolution_1", "0", "Write more than 0 and at most 60."),
        ("percent_1", "101", "Write a figure from 0 to 100."),
        ("percent_1", "a lot", "Write a number"),
        ("digits_1", "1.5", "Write a whole number up to 9999."),
        ("unit_1", "furlong", "Choose a unit."),
        ("done_on", "2026-11-26", "This day is yet to come."),
        ("done_on", "01.03.2026", "Write a date as 2026-11-25."),
        ("due_on", "2026-02-28", "This is before it was calibrated."),
    ] {
        let reply = manager.post("/instruments", &meter_with(&[(name, typed)])).await;
        reply.has_status(422).says(sentence).says("value=\"M-3\"");
        reply.says(&format!("href=\"#{name}\""));
    }
    let exact = [("percent_1", "0"), ("digits_1", "0")];
    let reply = manager.post("/instruments", &meter_with(&exact)).await;
    reply.has_status(422).says("Nothing measures exactly");
    assert!(stored(&app).await.is_empty());
}

#[tokio::test]
async fn a_calibration_on_the_day_itself_is_taken() {
    let app = TestApp::start().await;
    let today = [("done_on", "2026-11-25"), ("due_on", "2026-11-25")];
    app.manager().await.post("/instruments", &meter_with(&today)).await.has_status(303);
}

/// Today is 25 November 2026.
#[tokio::test]
async fn the_list_says_how_long_readings_count() {
    for (due, words, shape) in [
        ("2026-12-26", "In date", "pass"),
        ("2026-12-25", "30 days left", "caution"),
        ("2026-11-26", "1 day left", "caution"),
        ("2026-11-25", "Last day", "caution"),
        ("2026-11-24", "Out of date", "stop"),
    ] {
        let app = TestApp::start().await;
        app.meter("Meter 03", "2026-01-01", due).await;
        let page = app.technician().await.get("/instruments").await;
        page.says(&format!("</svg>{words}<")).says(&format!("mark--{shape}"));
    }
}

#[tokio::test]
async fn a_new_calibration_brings_an_instrument_back() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let meter = app.meter("Meter 03", "2025-01-01", "2026-01-01").await;
    manager.get("/instruments").await.says("Out of date");
    let path = format!("/instruments/{meter}/calibrations");
    let faulty = manager.post(&path, &[("done_on", "2026-11-01"), ("due_on", "")]).await;
    faulty.has_status(422).says("In date to: Fill this in.").says("value=\"2026-11-01\"");
    faulty.says(&format!("href=\"#due_on-{meter}\""));
    let calibration =
        [("done_on", "2026-11-01"), ("due_on", "2027-11-01"), ("certificate", "CAL-18")];
    let done = manager.post(&path, &calibration).await;
    let page = manager.get(done.has_status(303).location()).await;
    page.says("1 November 2027").says("In date").is_silent_about("Out of date");
}

#[tokio::test]
async fn a_retired_instrument_is_listed_as_such_and_takes_no_calibration() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let meter = app.meter("Meter 03", "2026-01-01", "2027-01-01").await;
    manager.post(&format!("/instruments/{meter}/retire"), &[]).await.has_status(303);
    let page = manager.get("/instruments").await;
    page.says("Meter 03").says("Retired").is_silent_about(&format!("/instruments/{meter}/retire"));
    manager.post(&format!("/instruments/{meter}/calibrations"), &[]).await.has_status(404);
    manager.post(&format!("/instruments/{meter}/retire"), &[]).await.has_status(404);
}

#[tokio::test]
async fn technicians_look_and_do_not_change() {
    let app = TestApp::start().await;
    let meter = app.meter("Meter 03", "2026-01-01", "2027-01-01").await;
    let technician = app.technician().await;
    let page = technician.get("/instruments").await;
    page.has_status(200).says("Meter 03").is_silent_about("Add an instrument");
    page.is_silent_about("/retire");
    technician.post(&format!("/instruments/{meter}/retire"), &[]).await.has_status(403);
}

#[tokio::test]
async fn a_label_is_text_and_never_markup() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let label = [("label", "<script>alert(1)</script>\" onfocus=\"x")];
    manager.post("/instruments", &meter_with(&label)).await.has_status(303);
    let page = manager.get("/instruments").await;
    page.says("&#60;script&#62;alert(1)").is_silent_about("<script>alert");
    page.is_silent_about("\" onfocus=\"");
}

/// An instrument turns out to have read wrongly: which jobs rest on it, and since when.
#[tokio::test]
async fn an_instruments_page_lists_the_jobs_that_rest_on_its_readings() {
    let phone = Phone::new().await;
    loaded_day(&phone).await;
    let app = &phone.app;
    let manager = app.manager().await;
    let entries = entries::list(&app.store, WORKSHOP, phone.job).await.unwrap();
    let named: Vec<_> = entries.iter().map(|one| one.body.payload.instruments()).collect();
    let instrument = named.iter().flatten().next().unwrap();
    let page = manager.get(&format!("/instruments/{instrument}?since=2026-01-01")).await;
    let uses = named.iter().filter(|all| all.contains(instrument)).count();
    page.has_status(200).says(&format!("{uses} readings of one job rest on it."));
    page.says(&format!("/jobs/{}", phone.job)).says("send these steps back");
    let later = manager.get(&format!("/instruments/{instrument}?since=2099-01-01")).await;
    later.says("No reading was taken with it since then.");
    let wrong = manager.get(&format!("/instruments/{instrument}?since=soon")).await;
    wrong.has_status(200).says("Choose a day.");
    app.technician().await.get(&format!("/instruments/{instrument}")).await.has_status(403);
    app.stranger().await.get(&format!("/instruments/{instrument}")).await.has_status(404);
}
