//! Opening a job: what the form asks for, and that a form sent twice opens one job.

use fusewright::storage::jobs::{self, Filter};

use crate::support::{Client, Reply, TestApp, WORKSHOP};

const ID: &str = "0199b000-0000-7000-8000-0000000000a1";

async fn open(manager: &Client, kit: &str, changes: &[(&str, &str)]) -> Reply {
    let sound = [
        ("id", ID),
        ("vehicle", "Panel van, long"),
        ("registration", "KV 34 TMS"),
        ("kit", kit),
        ("technician", ""),
        ("customer", "Hazel Joinery"),
        ("contact", ""),
        ("address", ""),
    ];
    let new = |name: &str| changes.iter().find(|(new, _)| *new == name);
    let fields = sound.map(|field| *new(field.0).unwrap_or(&field));
    manager.post("/jobs/new", &fields).await
}

async fn count(app: &TestApp) -> usize {
    let filter = Filter { before: None, limit: 9 };
    jobs::list(&app.store, WORKSHOP, &filter).await.unwrap().jobs.len()
}

#[tokio::test]
async fn the_same_form_sent_twice_opens_one_job() {
    let app = TestApp::start().await;
    let (kit, manager) = (app.kit().await.to_string(), app.manager().await);
    for _ in 0..2 {
        let reply = open(&manager, &kit, &[]).await;
        assert_eq!(reply.has_status(303).location(), format!("/jobs/{ID}/plan"));
    }
    assert_eq!(count(&app).await, 1);
}

#[tokio::test]
async fn a_job_with_faults_is_not_opened_and_the_form_comes_back_with_each_of_them() {
    let app = TestApp::start().await;
    let (kit, manager) = (app.kit().await.to_string(), app.manager().await);
    let slips = [("registration", ""), ("customer", " "), ("kit", "none")];
    let reply = open(&manager, &kit, &slips).await;
    reply.has_status(422).says("Panel van, long").says(&format!("value=\"{ID}\""));
    reply.says("<a href=\"#registration\">Registration: Fill this in.");
    reply.says("<a href=\"#customer\">Name: Fill this in.");
    reply.says("<a href=\"#kit\">Kit and edition: Choose a kit.");
    assert_eq!(count(&app).await, 0);
}

#[tokio::test]
async fn what_was_chosen_is_chosen_still_when_the_form_comes_back() {
    let app = TestApp::start().await;
    let (kit, manager) = (app.kit().await.to_string(), app.manager().await);
    let technician = crate::support::TECHNICIAN.to_string();
    let reply = open(&manager, &kit, &[("vehicle", ""), ("technician", &technician)]).await;
    reply.has_status(422).says(&format!("<option value=\"{kit}\" selected>"));
    reply.says(&format!("<option value=\"{technician}\" selected>"));
}

#[tokio::test]
async fn a_registration_fits_up_to_fifty_characters() {
    let app = TestApp::start().await;
    let (kit, manager) = (app.kit().await.to_string(), app.manager().await);
    let long = "K".repeat(51);
    let reply = open(&manager, &kit, &[("registration", &long)]).await;
    reply.has_status(422).says("Use at most 50 characters.");
    open(&manager, &kit, &[("registration", &long[1..])]).await.has_status(303);
}

#[tokio::test]
async fn a_form_that_lost_its_number_gets_a_new_one_and_opens_nothing_yet() {
    let app = TestApp::start().await;
    let (kit, manager) = (app.kit().await.to_string(), app.manager().await);
    let reply = open(&manager, &kit, &[("id", "")]).await;
    reply.has_status(422).says("had lost its number").is_silent_about("name=\"id\" value=\"\"");
    assert_eq!(count(&app).await, 0);
}
