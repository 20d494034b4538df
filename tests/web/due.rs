//! What is due, and the calendar that tells it to programs which cannot sign in.

use fusewright::domain::ids::JobId;
use fusewright::storage::calendar_tokens;
use serde_json::Value;

use super::again::{equipped, open, release, released, work};
use crate::documents::tools::read_calendar;
use crate::support::{Client, MANAGER, Reply, TestApp, WORKSHOP};

const SPRING: &str = "00000000-0000-0000-0000-00000000a9a1";

/// The path of the address that a page shows.
fn address(page: &Reply) -> String {
    let end = page.text.find(".ics").unwrap() + ".ics".len();
    let start = page.text[..end].rfind("/calendar/").unwrap();
    page.text[start..end].to_owned()
}

async fn subscribe(client: &Client) -> String {
    address(client.post("/due/calendar", &[]).await.has_status(200))
}

fn read(reply: &Reply) -> Value {
    serde_json::from_str(&read_calendar(&reply.has_status(200).bytes)).unwrap()
}

fn place(page: &Reply, words: &str) -> usize {
    page.text.find(words).unwrap_or_else(|| panic!("no {words}"))
}

fn days(app: &TestApp, days: i64) {
    app.pass_minutes(days * 24 * 60);
}

async fn withdraw(app: &TestApp, number: &str) {
    let (owner, manager) = (app.owner().await, app.manager().await);
    let reason = [("reason", "The earth joint was read at the wrong stud.")];
    manager.post(&format!("/certificates/{number}/withdraw"), &reason).await.has_status(303);
    let open = fusewright::storage::withdrawals::load_request(&app.store, WORKSHOP, number);
    let asked = open.await.unwrap().unwrap().asked.0.to_string();
    let confirm = format!("/certificates/{number}/withdraw/confirm");
    owner.post(&confirm, &[("asked", &asked)]).await.has_status(303);
}

#[tokio::test]
async fn each_certificate_in_force_asks_for_its_joints_and_its_inspection() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    manager.get("/due").await.has_status(200).says("Nothing is due");
    let job = app.job_with_sheet().await.row.id;
    app.certificate(job, b"%PDF one").await;
    let page = manager.get("/due").await;
    page.says("HP 21 KLN").says("Joints checked after first use").says("23 December 2026");
    page.says("Yearly inspection").says("25 November 2027").says("in 28 days");
    assert!(place(&page, "December 2026") < place(&page, "November 2027"));
    page.says(&format!("/jobs/{job}/again")).says(&format!("/vehicles/{job}"));
}

/// At the day itself it is due, a day later overdue.
#[tokio::test]
async fn what_is_overdue_stands_first_from_the_day_after_on() {
    let app = TestApp::start().await;
    app.certificate(app.job_with_sheet().await.row.id, b"%PDF one").await;
    days(&app, 365);
    let later = app.job_registered("LATER 1").await;
    app.certificate(later, b"%PDF two").await;
    let page = app.manager().await.get("/due").await;
    page.says("today").is_silent_about("overdue");
    days(&app, 1);
    let page = app.manager().await.get("/due").await;
    page.says("1 day overdue");
    assert!(place(&page, "HP 21 KLN") < place(&page, "LATER 1"));
    page.is_silent_about("Joints checked after first use</span><small>Job 1");
}

#[tokio::test]
async fn a_re_inspection_that_is_done_takes_the_first_certificates_place() {
    let app = equipped().await;
    let (first, _) = released(&app).await;
    let manager = app.manager().await;
    let again = open(&manager, first, SPRING).await;
    let page = manager.get("/due").await;
    page.says("Under way: job 2").is_silent_about("/again");
    days(&app, 300);
    work(&app, again, &[]).await;
    let row = release(&app, again).await;
    let page = app.manager().await.get("/due").await;
    page.says("Job 2, certificate").is_silent_about("Job 1, certificate");
    page.is_silent_about("Joints checked after first use");
    withdraw(&app, &row.number).await;
    let page = app.manager().await.get("/due").await;
    page.says("Job 1, certificate").is_silent_about("Job 2, certificate");
}

#[tokio::test]
async fn a_withdrawn_certificate_asks_for_nothing() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job_with_sheet().await.row.id, b"%PDF one").await;
    withdraw(&app, &row.number).await;
    app.manager().await.get("/due").await.says("Nothing is due");
}

#[tokio::test]
async fn a_long_list_goes_on_where_the_page_ended_and_shows_each_once() {
    let app = TestApp::start().await;
    for number in 0..61 {
        let job = app.job_registered(&format!("AB {number:03}")).await;
        app.certificate(job, b"%PDF").await;
    }
    let manager = app.manager().await;
    let (mut at, mut rows, mut pages) = ("/due".to_owned(), 0, 0);
    loop {
        let page = manager.get(&at).await;
        rows += page.has_status(200).text.matches("data-label=\"Day\"").count();
        pages += 1;
        let Some(from) = page.text.find("/due?after=") else { break };
        at = page.text[from..].split('"').next().unwrap().replace("&#38;", "&");
    }
    assert_eq!((rows, pages), (122, 2), "61 joints and 61 inspections");
    manager.get("/due?after=nonsense").await.has_status(200).says("AB 000");
}

#[tokio::test]
async fn a_calendar_program_reads_vehicles_and_dates_and_no_customers() {
    let app = TestApp::start().await;
    let name = format!("Gefährt, lang; שלום {}", "x".repeat(181));
    let job = app.job_for(&name, "HÖ,21").await;
    app.certificate(job, b"%PDF one").await;
    let address = subscribe(&app.manager().await).await;
    assert_eq!(address.len(), "/calendar/".len() + 64 + ".ics".len());
    let reply = app.nobody().get(&address).await;
    assert_eq!(reply.header("content-type"), "text/calendar; charset=utf-8");
    assert_eq!(reply.header("cache-control"), "no-store, private");
    let calendar = read(&reply);
    let events = calendar["events"].as_array().unwrap();
    assert_eq!(events.len(), 2);
    assert_eq!(events[1]["title"], format!("Yearly inspection: HÖ,21, {name}"));
    assert_eq!(events[1]["day"], "2027-11-25");
    assert_eq!(events[1]["uid"], format!("{job}-inspection"));
    assert_eq!(events[1]["url"], format!("{}/jobs/{job}", app.address));
    assert!(events[1]["words"].as_str().unwrap().contains("Job 1, certificate BY-26-00001-"));
    reply.is_silent_about("Jonas").is_silent_about("Weir").is_silent_about("Mill Lane");
    assert_eq!(
        reply.text,
        app.nobody().get(&address).await.text,
        "the same until something changes"
    );
}

/// Issued anew, the event stays one and counts up.
#[tokio::test]
async fn another_certificate_of_the_job_moves_its_event() {
    let app = TestApp::start().await;
    let job: JobId = app.job_with_sheet().await.row.id;
    let row = app.certificate(job, b"%PDF one").await;
    let address = subscribe(&app.manager().await).await;
    let before = read(&app.nobody().get(&address).await);
    withdraw(&app, &row.number).await;
    days(&app, 10);
    app.certificate(job, b"%PDF two").await;
    let after = read(&app.nobody().get(&address).await);
    let of = |calendar: &Value, key: &str| calendar["events"][1][key].clone();
    assert_eq!(of(&after, "uid"), of(&before, "uid"));
    assert_eq!((of(&before, "sequence"), of(&after, "sequence")), (0.into(), 1.into()));
    assert_eq!(of(&after, "day"), "2027-12-05");
}

#[tokio::test]
async fn a_wrong_a_replaced_and_a_revoked_address_get_the_same_answer() {
    let app = TestApp::start().await;
    let (manager, nobody) = (app.manager().await, app.nobody());
    let old = subscribe(&manager).await;
    nobody.get(&old).await.has_status(200);
    let new = subscribe(&manager).await;
    assert_ne!(old, new);
    manager.get("/due").await.says("Yours was made on").is_silent_about(".ics");
    let owners = subscribe(&app.owner().await).await;
    let wrong = format!("/calendar/{}.ics", "0a".repeat(32));
    let unknown = nobody.get(&wrong).await;
    let same = |reply: &Reply| {
        assert_eq!((reply.status, &reply.text), (404, &unknown.text));
        assert_eq!(reply.header("content-type"), unknown.header("content-type"));
    };
    same(&unknown);
    same(&nobody.get(&old).await);
    manager.post("/due/calendar/revoke", &[]).await.has_status(303);
    same(&nobody.get(&new).await);
    same(&nobody.get("/calendar/none.ics").await);
    same(&nobody.get(&new.replace(".ics", "")).await);
    manager.post("/due/calendar/revoke", &[]).await.has_status(404);
    nobody.get(&owners).await.has_status(200);
}

#[tokio::test]
async fn only_the_digest_of_an_address_is_stored() {
    let app = TestApp::start().await;
    let address = subscribe(&app.manager().await).await;
    let secret = address.trim_start_matches("/calendar/").trim_end_matches(".ics");
    let made = calendar_tokens::load(&app.store, WORKSHOP, MANAGER).await.unwrap();
    assert_eq!(made, Some(app.now()));
    let files = std::fs::read_dir(app.store.folder()).unwrap();
    let mut looked_at = 0;
    for file in files.map(|file| file.unwrap().path()).filter(|path| path.is_file()) {
        let bytes = std::fs::read(&file).unwrap();
        let found = bytes.windows(secret.len()).any(|some| some == secret.as_bytes());
        assert!(!found, "{} holds it", file.display());
        looked_at += 1;
    }
    assert!(looked_at > 0);
}

/// Whoever may not sign in any more, or is no manager any more, has no calendar either.
#[tokio::test]
async fn the_calendar_of_somebody_who_left_ends() {
    let app = TestApp::start().await;
    let address = subscribe(&app.manager().await).await;
    let owner = app.owner().await;
    owner.post(&format!("/people/{MANAGER}/disable"), &[]).await.has_status(303);
    app.nobody().get(&address).await.has_status(404);
    owner.post(&format!("/people/{MANAGER}/enable"), &[]).await.has_status(303);
    app.nobody().get(&address).await.has_status(404);
    let address = subscribe(&app.manager().await).await;
    app.nobody().get(&address).await.has_status(200);
    let role = [("role", "technician")];
    owner.post(&format!("/people/{MANAGER}/role"), &role).await.has_status(303);
    app.nobody().get(&address).await.has_status(404);
}

#[tokio::test]
async fn another_workshop_sees_none_of_it() {
    let app = TestApp::start().await;
    app.certificate(app.job_with_sheet().await.row.id, b"%PDF one").await;
    let stranger = app.stranger().await;
    stranger.get("/due").await.has_status(200).is_silent_about("HP 21 KLN");
    let address = subscribe(&stranger).await;
    let calendar = read(&app.nobody().get(&address).await);
    assert_eq!(calendar["events"], Value::Array(vec![]));
    assert_eq!(calendar["name"], "Due at Other Yard");
}
