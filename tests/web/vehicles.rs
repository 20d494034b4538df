//! The vehicle's page: which jobs are of it, and what can be done from there.

use super::again::{equipped, open, release, released, work};
use crate::support::TestApp;

const SPRING: &str = "00000000-0000-0000-0000-00000000a9a1";

#[tokio::test]
async fn every_job_of_a_vehicle_leads_to_one_page_with_all_of_them() {
    let app = equipped().await;
    let (first, paper) = released(&app).await;
    let manager = app.manager().await;
    let second = open(&manager, first, SPRING).await;
    // Under the same registration, typed in another way and not planned yet.
    let third = app.job_registered("hp21-kln").await;
    let apart = app.job_registered("HP 22 KLN").await;
    let at = format!("/vehicles/{first}");
    for job in [second, third] {
        assert_eq!(manager.get(&format!("/vehicles/{job}")).await.has_status(303).location(), at);
    }
    let page = manager.get(&at).await;
    for job in [first, second, third] {
        page.says(&format!("href=\"/jobs/{job}\""));
    }
    page.is_silent_about(&format!("/jobs/{apart}"));
    page.says("25 November 2027").says(&format!("/certificates/{}", paper.number));
    page.is_silent_about("/again");
    manager.get(&format!("/jobs/{third}")).await.says(&format!("href=\"/vehicles/{third}\""));
}

#[tokio::test]
async fn the_newest_certificate_of_a_line_is_the_one_that_is_inspected_again() {
    let app = equipped().await;
    let (first, _) = released(&app).await;
    let manager = app.manager().await;
    let at = format!("/vehicles/{first}");
    manager.get(&at).await.says(&format!("/jobs/{first}/again"));
    app.technician().await.get(&at).await.has_status(200).is_silent_about("/again");
    let second = open(&manager, first, SPRING).await;
    work(&app, second, &[]).await;
    release(&app, second).await;
    let page = manager.get(&at).await;
    page.says(&format!("/jobs/{second}/again")).is_silent_about(&format!("/jobs/{first}/again"));
    page.says("Followed").says("In force");
}

/// A plate may move to another vehicle: identification numbers that contradict each other part them.
#[tokio::test]
async fn a_registration_that_another_vehicle_carries_now_joins_nothing() {
    let app = TestApp::start().await;
    let one = app.job_with_sheet().await.row.id;
    let other = app.job_registered("HP 21 KLN").await;
    let plan = crate::support::PLAN_TEXT.replace("K4073318", "K4073319");
    let by = app.by(crate::support::MANAGER);
    let manager = app.manager().await;
    let joined = manager.get(&format!("/vehicles/{one}")).await;
    joined.says(&format!("/jobs/{other}"));
    fusewright::acts::plan::save(&app.store, &by, other, &plan).await.unwrap();
    manager.get(&format!("/vehicles/{one}")).await.is_silent_about(&format!("/jobs/{other}"));
    manager.get(&format!("/vehicles/{other}")).await.has_status(200);
}

#[tokio::test]
async fn an_identification_number_that_was_noted_longer_is_the_same() {
    let app = TestApp::start().await;
    let one = app.job_with_sheet().await.row.id;
    let other = app.job_registered("HP 21 KLN").await;
    let plan = crate::support::PLAN_TEXT.replace("K4073318", "WV1ZZZK4073318");
    let by = app.by(crate::support::MANAGER);
    fusewright::acts::plan::save(&app.store, &by, other, &plan).await.unwrap();
    let page = app.manager().await.get(&format!("/vehicles/{one}")).await;
    page.has_status(200).says(&format!("/jobs/{other}")).is_silent_about("Another registration");
}

#[tokio::test]
async fn the_same_identification_number_under_another_plate_is_shown_apart() {
    let app = TestApp::start().await;
    let one = app.job_with_sheet().await.row.id;
    let other = app.job_registered("NEW 1").await;
    let by = app.by(crate::support::MANAGER);
    let plan = crate::support::PLAN_TEXT;
    fusewright::acts::plan::save(&app.store, &by, other, plan).await.unwrap();
    let page = app.manager().await.get(&format!("/vehicles/{one}")).await;
    page.says("the same end of the VIN").says(&format!("/jobs/{other}"));
}

#[tokio::test]
async fn another_workshop_and_an_unknown_job_find_no_vehicle() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    app.stranger().await.get(&format!("/vehicles/{job}")).await.has_status(404);
    let nothing = "/vehicles/00000000-0000-0000-0000-0000000000aa";
    app.technician().await.get(nothing).await.has_status(404);
}
