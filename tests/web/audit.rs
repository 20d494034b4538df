//! Who did what: every act has its words or stands elsewhere, each done one is written down once, refused
//! ones are not, and only owners read it.

use std::collections::BTreeSet;

use fusewright::storage::audit::{AuditFilter, AuditRow, append, list};
use fusewright::web::{AUDITED, table};
use reqwest::Method;
use uuid::Uuid;

use crate::support::{DEVICE, MANAGER, TECHNICIAN, TestApp, WORKSHOP};

/// Acts that are an entry of a job's own chain, or change nothing, or that nobody does who is signed in.
const ELSEWHERE: [&str; 19] = [
    "/first-run",
    "/enrol",
    "/jobs/{job}/plan",
    "/jobs/{job}/plan/preview",
    "/jobs/{job}/plan/acknowledge",
    "/jobs/{job}/sheet",
    "/jobs/{job}/steps/{step}",
    "/jobs/{job}/submit",
    "/sync",
    "/photos/{sha256}/upload",
    "/jobs/{job}/defects",
    "/jobs/{job}/defects/{defect}/rework",
    "/jobs/{job}/defects/{defect}/confirm",
    "/jobs/{job}/return",
    "/jobs/{job}/concession",
    "/jobs/{job}/release",
    "/outbox-file",
    "/kits/{kit}/edit/check",
    "/kits/{kit}/edit/drop",
];

async fn acts(app: &TestApp) -> Vec<AuditRow> {
    let filter = AuditFilter { limit: 100, ..AuditFilter::default() };
    let acts = list(&app.store, WORKSHOP, &filter).await.unwrap();
    acts.into_iter().map(|act| act.row).collect()
}

#[test]
fn every_act_has_its_words_or_stands_elsewhere_and_none_both() {
    let routes = table();
    let of_routes: BTreeSet<&str> =
        routes.iter().filter(|r| r.method == Method::POST).map(|route| route.path).collect();
    let audited: BTreeSet<&str> = AUDITED.iter().map(|(path, _)| *path).collect();
    let elsewhere: BTreeSet<&str> = ELSEWHERE.into();
    assert_eq!(audited.intersection(&elsewhere).count(), 0);
    assert_eq!(&audited | &elsewhere, of_routes);
}

#[tokio::test]
async fn what_was_done_is_written_down_with_who_and_to_whom_and_what_was_refused_is_not() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let disable = format!("/people/{}/disable", TECHNICIAN.0);
    manager.post(&disable, &[]).await.has_status(303);
    // Refused: not this person's to do, no such person, a form with faults.
    manager.post(&format!("/people/{}/disable", MANAGER.0), &[]).await;
    let nobody = Uuid::from_u128(0xdead);
    manager.post(&format!("/people/{nobody}/disable"), &[]).await.has_status(404);
    manager.post("/people", &[("name", "")]).await.has_status(422);
    let done: Vec<(String, String)> =
        acts(&app).await.into_iter().map(|row| (row.act, row.address)).collect();
    assert_eq!(done[0], ("/people/{person}/disable".to_owned(), disable));
    assert_eq!(done.iter().filter(|(act, _)| act.starts_with("/people")).count(), 1, "{done:?}");
    assert_eq!(done.iter().filter(|(act, _)| act == "/sign-in").count(), 1, "{done:?}");
    assert_eq!(acts(&app).await[0].person, MANAGER);

    let owner = app.owner().await;
    let page = owner.get("/audit").await;
    page.has_status(200).says("Mika Saari").says("disabled").says("Tove Lind");
    for client in [app.manager().await, app.nobody()] {
        assert!(matches!(client.get("/audit").await.status, 303 | 403));
    }
    let stranger = app.stranger().await.get("/audit").await;
    stranger.is_silent_about("Mika Saari");
}

#[tokio::test]
async fn the_list_is_searched_by_person_act_and_day_and_goes_on_page_by_page() {
    let app = TestApp::start().await;
    for number in 0..150 {
        let (act, person) =
            if number % 2 == 0 { ("/settings", MANAGER) } else { ("/instruments", TECHNICIAN) };
        let row = AuditRow {
            at: app.now(),
            person,
            device: DEVICE,
            act: act.to_owned(),
            address: act.to_owned(),
        };
        append(&app.store, WORKSHOP, row).await.unwrap();
    }
    // Each at the same moment, and yet in order.
    let all = AuditFilter { limit: 200, ..AuditFilter::default() };
    let all = list(&app.store, WORKSHOP, &all).await.unwrap();
    assert!(all.iter().map(|act| act.number).eq((1..=150).rev()));
    assert!(all.iter().all(|act| (act.row.person == TECHNICIAN) == (act.number % 2 == 0)));
    let of_one = AuditFilter {
        person: Some(TECHNICIAN),
        act: Some("/instruments".to_owned()),
        limit: 200,
        ..AuditFilter::default()
    };
    assert_eq!(list(&app.store, WORKSHOP, &of_one).await.unwrap().len(), 75);
    let late =
        AuditFilter { from: Some(app.now().plus_days(1)), limit: 9, ..AuditFilter::default() };
    assert_eq!(list(&app.store, WORKSHOP, &late).await.unwrap(), []);
    let owner = app.owner().await;
    let query = "/audit?act=%2Fsettings&from=2026-11-25&until=2026-11-25";
    let first = owner.get(query).await;
    first.has_status(200).is_silent_about("rel=\"next\"");
    assert_eq!(first.text.matches("data-label=\"What\"").count(), 75);
    let all = owner.get("/audit").await;
    assert_eq!(all.text.matches("data-label=\"What\"").count(), 100);
    let at = all.text.find("/audit?person=").unwrap();
    let next: String = all.text[at..].chars().take_while(|c| *c != '"').collect();
    let rest = owner.get(&next.replace("&#38;", "&").replace("&amp;", "&")).await;
    // The owner's own signing in stands among them.
    assert_eq!(rest.text.matches("data-label=\"What\"").count(), 51);
    owner.get("/audit?from=soon").await.has_status(200).says("Choose a day.");
}

/// A text is looked for in names, in addresses and in what was done, whoever it was done by or to.
#[tokio::test]
async fn a_text_finds_acts_by_person_device_instrument_job_and_words() {
    let app = TestApp::start().await;
    let meter = app.meter("Meter Ä 3", "2026-01-01", "2027-01-01").await;
    let job = app.job_with_sheet().await.row;
    let manager = app.manager().await;
    manager.post(&format!("/instruments/{meter}/retire"), &[]).await.has_status(303);
    manager.post(&format!("/people/{TECHNICIAN}/disable"), &[]).await.has_status(303);
    let assign = [("technician", "")];
    manager.post(&format!("/jobs/{}/assign", job.id), &assign).await.has_status(303);
    let owner = app.owner().await;
    let count = async |text: &str| {
        let page = owner.get(&format!("/audit?text={text}")).await;
        page.has_status(200).text.matches("data-label=\"What\"").count()
    };
    // Signed in, retired, disabled, assigned: all by Mika; disabled: to Tove.
    assert_eq!(count("mika").await, 4);
    assert_eq!(count("tove%20lind").await, 1);
    assert_eq!(count("meter%20%C3%A4").await, 1);
    assert_eq!(count("hp%2021").await, 1);
    assert_eq!(count(&format!("job%20{}", job.number)).await, 1);
    assert_eq!(count("RETIRED").await, 1);
    assert_eq!(count(&job.id.to_string()).await, 1);
    assert_eq!(count("nobody%20of%20this%20name").await, 0);
    assert_eq!(count("%25").await, 0, "a percent sign is a percent sign");
    let both = owner.get("/audit?text=mika&act=%2Fpeople%2F%7Bperson%7D%2Fdisable").await;
    both.says("Tove Lind").says("value=\"mika\"");
    assert_eq!(both.text.matches("data-label=\"What\"").count(), 1);
    owner.get(&format!("/audit?text={}", "x".repeat(101))).await.says("at most 100 characters");
}
