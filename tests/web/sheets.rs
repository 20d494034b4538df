//! The sheet on the phone: what a step's form offers.

use fusewright::domain::instrument::Range;
use fusewright::domain::step::{StepKind, Unit};
use reqwest::multipart::Form;
use uuid::Uuid;

use crate::support::TestApp;

const DROP: &str = "prove.supply.drop_out";

async fn clamp(app: &TestApp, number: u128, label: &str, to: i64) -> String {
    let range = Range {
        unit: Unit::Ampere,
        from: 0.into(),
        to: to.into(),
        resolution: "0.01".parse().unwrap(),
        percent: 1.into(),
        digits: 2,
    };
    app.instrument(number, label, range).await
}

/// Which option of a choice is taken before anybody touches it.
fn preselected(page: &str, field: &str) -> String {
    let (_, select) = page.split_once(&format!("name=\"{field}\" data-ranges=")).unwrap();
    let (options, _) = select.split_once("</select>").unwrap();
    let taken = options.split("<option ").find(|option| option.contains(" selected>")).unwrap();
    taken.split('"').nth(1).unwrap().to_owned()
}

/// The tray is planned for 40 A; the one that ends below stands first in the alphabet.
#[tokio::test]
async fn the_form_of_a_drop_offers_for_each_figure_an_instrument_that_reads_it() {
    let app = TestApp::start().await;
    let volts = app.meter("Meter 1", "2026-01-01", "2026-12-31").await.to_string();
    let small = clamp(&app, 901, "A clamp", 39).await;
    let large = clamp(&app, 902, "B clamp", 40).await;
    let job = app.job_with_sheet().await.row.id;
    let technician = app.technician().await;
    let page = technician.get(&format!("/jobs/{job}/sheet?open={DROP}")).await;
    let (_, form) = page.text.split_once(&format!("data-step=\"{DROP}\"")).unwrap();
    assert_eq!(preselected(form, "instrument"), volts);
    assert_eq!(preselected(form, "current_instrument"), large);

    let form = Form::new()
        .text("id", Uuid::from_u128(903).to_string())
        .text("value", "0.2")
        .text("current", "forty")
        .text("instrument", volts.clone())
        .text("current_instrument", small.clone());
    let back = technician.post_parts(&format!("/jobs/{job}/steps/{DROP}"), form).await;
    back.has_status(422).says("Type one number");
    let (_, form) = back.text.split_once(&format!("data-step=\"{DROP}\"")).unwrap();
    assert_eq!(preselected(form, "instrument"), volts);
    assert_eq!(preselected(form, "current_instrument"), small, "what was chosen stays chosen");
}

/// People read a minus sign; what goes back to the server or to a script keeps what was typed.
#[tokio::test]
async fn numbers_on_a_page_have_a_minus_sign_and_fields_keep_the_hyphen() {
    let app = TestApp::start().await;
    let volts = app.meter("Meter 1", "2026-01-01", "2026-12-31").await.to_string();
    let amperes = clamp(&app, 901, "Clamp -20", 100).await;
    let job = app.job_with_sheet().await.row.id;
    let technician = app.technician().await;
    let form = |id: u128, drop: &str| {
        Form::new()
            .text("id", Uuid::from_u128(id).to_string())
            .text("remark_id", Uuid::from_u128(id + 1).to_string())
            .text("sheet", "1")
            .text("value", drop.to_owned())
            .text("current", "40")
            .text("instrument", volts.clone())
            .text("current_instrument", amperes.clone())
            .text("note", "Outside -5 <b>-7")
    };
    let path = format!("/jobs/{job}/steps/{DROP}");
    let back = technician.post_parts(&path, form(910, "-9")).await;
    back.has_status(422).says("value=\"-9\"").says("Is \u{2212}9 right?");
    back.says(">Outside -5 &#60;b&#62;-7</textarea>").says("Clamp \u{2212}20");
    technician.post_parts(&path, form(920, "-0.05")).await.has_status(303);
    let page = technician.get(&format!("/jobs/{job}/sheet")).await;
    page.says("\u{2212}0.05 V at 40 A").is_silent_about(">-0.05").is_silent_about(" -0.05");
}

/// `static/payload.js` reads a form by these and by nothing else of the step.
#[tokio::test]
async fn the_form_of_a_step_says_to_scripts_what_it_is_read_by() {
    let app = TestApp::start().await;
    let file = app.job_with_sheet().await;
    let technician = app.technician().await;
    let page = technician.get(&format!("/jobs/{}/sheet", file.row.id)).await.text;
    let mut orders = 0;
    for step in file.state.steps.iter().map(|state| &state.step) {
        let (_, form) = page.split_once(&format!("data-step=\"{}\"", step.key)).unwrap();
        let (form, _) = form.split_once("</form>").unwrap();
        let has = |mark: &str| assert!(form.contains(mark), "{}: {mark}", step.key);
        match &step.kind {
            StepKind::Torque { limits } | StepKind::Reading { limits, .. } => {
                for (side, limit) in [("lower", limits.lower), ("upper", limits.upper)] {
                    match limit {
                        Some(limit) => has(&format!("data-{side}=\"{limit}\"")),
                        None => assert!(!form.contains(&format!("data-{side}=")), "{}", step.key),
                    }
                }
            }
            StepKind::Order { choices, .. } => {
                let labels: Vec<&str> = form.split("data-label=\"").skip(1).collect();
                let labels: Vec<_> = labels.iter().filter_map(|at| at.split('"').next()).collect();
                assert_eq!(labels, *choices);
                orders += 1;
            }
            _ => {}
        }
        match &step.kind {
            StepKind::Torque { .. } => has("data-unit=\"N·m\""),
            StepKind::Reading { unit, .. } => has(&format!("data-unit=\"{unit}\"")),
            StepKind::PathDrop { resistance_max_milliohm: limit, .. } => {
                has("data-kind=\"ratio\"");
                has(&format!("data-limit-milliohm=\"{limit}\""));
            }
            kind => has(&format!("data-kind=\"{}\"", kind.word())),
        }
    }
    assert!(orders > 0, "the sheet has terminals to read back");
}
