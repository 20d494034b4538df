//! The solar string on the phone and in the review: two figures, limits that follow one of them.

use fusewright::domain::ids::JobId;
use fusewright::domain::instrument::Range;
use fusewright::domain::number::Decimal;
use fusewright::domain::step::Unit;
use reqwest::multipart::Form;
use uuid::Uuid;

use crate::support::{Client, Reply, TestApp};

const STEP: &str = "prove.solar_string";

/// A job whose string has 44.8 V at 25 °C, −0.28 %/K, before an input for 55 V.
struct Bay {
    _app: TestApp,
    job: JobId,
    technician: Client,
    manager: Client,
    meter: String,
    thermometer: String,
}

impl Bay {
    async fn open() -> Self {
        let app = TestApp::start().await;
        let meter = tool(&app, 0x700, "Meter 1", Unit::Volt).await;
        let thermometer = tool(&app, 0x701, "Thermometer 1", Unit::Celsius).await;
        let job = app.job_with_sheet().await.row.id;
        let (technician, manager) = (app.technician().await, app.manager().await);
        Self { _app: app, job, technician, manager, meter, thermometer }
    }

    /// The form as a browser without scripts sends it.
    fn typed(&self, entry: u128, voltage: &str, cell: &str) -> Form {
        Form::new()
            .text("id", Uuid::from_u128(entry).to_string())
            .text("remark_id", Uuid::from_u128(entry + 1).to_string())
            .text("sheet", "1")
            // A result before it was seen.
            .text("supersedes", Uuid::from_u128(entry - 2).to_string())
            .text("value", voltage.to_owned())
            .text("cell", cell.to_owned())
            .text("instrument", self.meter.clone())
            .text("thermometer", self.thermometer.clone())
    }

    async fn sent(&self, form: Form) -> Reply {
        self.technician.post_parts(&format!("/jobs/{}/steps/{STEP}", self.job), form).await
    }

    /// The inside of the step on the sheet.
    async fn step(&self) -> String {
        let page = self.technician.get(&format!("/jobs/{}/sheet?open={STEP}", self.job)).await;
        form_of(&page.text).to_owned()
    }
}

/// The step up to the end of its form: what to do and what was recorded stand before it.
fn form_of(page: &str) -> &str {
    let (_, from) = page.split_once(&format!("data-key=\"{STEP}\"")).unwrap();
    from.split_once("</form>").unwrap().0
}

/// An instrument that leaves nothing open.
async fn tool(app: &TestApp, number: u128, label: &str, unit: Unit) -> String {
    let range = Range {
        unit,
        from: Decimal::ZERO,
        to: Decimal::from(500),
        resolution: Decimal::new(1, 2),
        percent: Decimal::ZERO,
        digits: 0,
    };
    app.instrument(number, label, range).await
}

#[tokio::test]
async fn the_form_asks_for_both_figures_and_the_gauge_waits_for_the_temperature() {
    let bay = Bay::open().await;
    let form = bay.step().await;
    for part in [
        "data-kind=\"solar_open\"",
        "data-string-voc-v=\"44.8\"",
        "data-in-series=\"2\"",
        "data-percent-per-k=\"-0.28\"",
        "data-tolerance-percent=\"5\"",
        "data-upper-v=\"55\"",
        "name=\"value\" type=\"text\" inputmode=\"decimal\"",
        "name=\"cell\" type=\"text\" inputmode=\"decimal\"",
        "<b>a minus sign means wrong polarity, stop</b>",
        "A solar module in daylight is live",
        "data-guard=\"lower\" data-at=\"\"",
    ] {
        assert!(form.contains(part), "{part} in {form}");
    }
    for (name, id) in [("instrument", &bay.meter), ("thermometer", &bay.thermometer)] {
        let (_, select) = form.split_once(&format!("name=\"{name}\" data-ranges=")).unwrap();
        let (options, _) = select.split_once("</select>").unwrap();
        assert_eq!(options.matches("<option ").count(), 1, "{options}");
        assert!(options.contains(id.as_str()), "{options}");
    }
}

/// By hand: at 25 °C 44.8 V, less 5 % 42.56 V; at 45 °C 44.8 × 0.944 = 42.2912 V, less 5 % 40.17664 V.
#[tokio::test]
async fn the_limits_follow_the_temperature_that_is_typed() {
    let cases = [
        ("42.56", "25", "Pass"),
        ("42.55", "25", "Fail"),
        ("40.18", "45", "Pass"),
        ("40.17", "45", "Fail"),
        ("47.04", "25", "Pass"),
        ("47.05", "25", "Fail"),
    ];
    let bay = Bay::open().await;
    for (entry, (voltage, cell, verdict)) in (0x800_u128..).step_by(2).zip(cases) {
        bay.sent(bay.typed(entry, voltage, cell)).await.has_status(303);
        let page = bay.technician.get(&format!("/jobs/{}/sheet?after={STEP}", bay.job)).await;
        let (_, saved) = page.text.split_once("step__saved").unwrap();
        let (saved, _) = saved.split_once("</p>").unwrap();
        assert!(saved.contains(&format!("{voltage} V at {cell} °C")), "{saved}");
        assert!(saved.contains(verdict), "{voltage} V at {cell} °C: {saved}");
    }
}

#[tokio::test]
async fn a_form_that_comes_back_keeps_both_figures_and_draws_the_limits_that_are_known() {
    let bay = Bay::open().await;
    let back = bay.sent(bay.typed(0x800, "forty", "45")).await;
    back.has_status(422).says("Type one number, for example 40.6.");
    let form = form_of(&back.text);
    assert!(form.contains("value=\"forty\"") && form.contains("value=\"45\""), "{form}");
    // 42.2912 V ± 5 %, inwards.
    assert!(form.contains("data-at=\"40.18\"") && form.contains(">44.40</text>"), "{form}");
    let back = bay.sent(bay.typed(0x800, "40.5", "warm")).await;
    back.has_status(422).says("Type one number, for example 45.5.");
    assert!(form_of(&back.text).contains("value=\"warm\""), "what was typed stays");
    let none = bay.typed(0x800, "40.5", "45").text("thermometer", "");
    bay.sent(none).await.has_status(422).says("Choose the instrument that measured the °C.");
}

#[tokio::test]
async fn a_slip_in_either_figure_is_asked_about_once() {
    let bay = Bay::open().await;
    let slips =
        [("4.2", "45", "Is 4.2 V at 45 °C right?"), ("42", "452", "Is 42 V at 452 °C right?")];
    for (voltage, cell, question) in slips {
        let asked = bay.sent(bay.typed(0x800, voltage, cell)).await;
        asked.has_status(422).says(question);
    }
    let kept = bay.typed(0x800, "42", "452").text("improbable", "yes");
    bay.sent(kept).await.has_status(303);
    let form = bay.step().await;
    assert!(form.contains("Not counted"), "{form}");
    assert!(form.contains("No cell in daylight has 452 °C"), "{form}");
}

#[tokio::test]
async fn a_plain_fail_is_not_asked_about_and_wrong_polarity_is_a_fail() {
    let bay = Bay::open().await;
    bay.sent(bay.typed(0x800, "-42.1", "45")).await.has_status(303);
    let page = bay.manager.get(&format!("/jobs/{}/review?step={STEP}", bay.job)).await;
    page.has_status(200)
        .says("Wrong polarity: stop. Leave the input unplugged")
        .says("40.18 to 44.40 V")
        .says("42.29 V")
        .says("Polarity");
    bay.sent(bay.typed(0x802, "21", "45")).await.has_status(303);
    let page = bay.manager.get(&format!("/jobs/{}/review?step={STEP}", bay.job)).await;
    page.says("That comes nearest to 1 of 2 modules").says("As modules").says("1 of 2");
}
