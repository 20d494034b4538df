//! The workshop's own limits: bands, reasons, and which sheets they hold for.

use fusewright::storage::limit_choices;

use crate::support::{TestApp, WORKSHOP};

const USUAL: [(&str, &str); 4] = [
    ("insulation", "0.5"),
    ("path_margin", "15"),
    ("terminal_rise", "30"),
    ("string_tolerance", "5"),
];

fn with<'a>(name: &str, figure: &'a str, reason: &'a str) -> Vec<(&'a str, &'a str)> {
    let mut fields: Vec<(&str, &str)> = USUAL
        .iter()
        .map(|(known, usual)| (*known, if *known == name { figure } else { *usual }))
        .collect();
    fields.push(("reason", reason));
    fields
}

#[tokio::test]
async fn a_limit_lies_in_its_band_and_a_looser_one_wants_a_reason() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    for (name, figure, reason, status) in [
        ("insulation", "1000", "", 303),
        ("insulation", "1000.1", "", 422),
        ("insulation", "0.1", "Damp yard", 303),
        ("insulation", "0.49", "", 422),
        ("insulation", "0.09", "Damp yard", 422),
        ("path_margin", "5", "", 303),
        ("path_margin", "4.9", "", 422),
        ("path_margin", "25", "Long runs", 303),
        ("path_margin", "25.1", "Long runs", 422),
        ("path_margin", "15,1", "", 422),
        ("terminal_rise", "45", "Rated terminals", 303),
        ("terminal_rise", "45.1", "Rated terminals", 422),
        ("string_tolerance", "10", "Old modules", 303),
        ("string_tolerance", "10.1", "Old modules", 422),
        ("string_tolerance", "much", "", 422),
    ] {
        let reply = owner.post("/settings/rules", &with(name, figure, reason)).await;
        assert_eq!(reply.status, status, "{name} {figure} {reason}");
    }
    let reply = owner.post("/settings/rules", &with("path_margin", "20", "")).await;
    reply.has_status(422).says("Write why, or take the usual figure").says("value=\"20\"");
    let long = "r".repeat(301);
    owner.post("/settings/rules", &with("path_margin", "20", &long)).await.has_status(422);
}

#[tokio::test]
async fn a_choice_is_kept_for_good_and_the_same_again_makes_no_other() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    owner.post("/settings/rules", &with("path_margin", "20", "Long <runs>")).await.has_status(303);
    owner.post("/settings/rules", &with("path_margin", "20", "Long <runs>")).await.has_status(303);
    owner.post("/settings/rules", &with("path_margin", "12", "")).await.has_status(303);
    let kept = limit_choices::list(&app.store, WORKSHOP).await.unwrap();
    let margins: Vec<String> = kept.iter().map(|of| of.path_margin_percent.to_string()).collect();
    assert_eq!(margins, ["12", "20"]);
    let page = owner.get("/settings/rules").await;
    page.says("Long &#60;runs&#62;").says("IEC 60228").says("from memory").says("value=\"12\"");
    owner.get("/audit").await.says("chose the workshop");
    let manager = app.manager().await.get("/settings/rules").await;
    manager.has_status(200).says("IEC 60228").is_silent_about("Keep these limits");
    let stranger = app.stranger().await.get("/settings/rules").await;
    stranger.has_status(200).is_silent_about("Long &#60;runs");
}

#[tokio::test]
async fn a_sheet_that_was_made_stays_and_the_next_one_has_the_chosen_limits() {
    let app = TestApp::start().await;
    let before = app.job_with_sheet().await;
    let text = before.sheets[0].text();
    assert!(!text.contains("choice of"));
    let owner = app.owner().await;
    owner.post("/settings/rules", &with("terminal_rise", "20", "")).await.has_status(303);
    let now = fusewright::acts::job::load(&app.store, WORKSHOP, before.row.id).await.unwrap();
    assert_eq!(now.sheets[0].text(), text);
    let after = app.job_with_sheet().await;
    let text = after.sheets[0].text();
    assert!(text.contains("20 K is the workshop's choice of"), "{text}");
}
