//! Withdrawing a certificate: asked, refused to the same person, confirmed, told to all, made anew.

use fusewright::domain::certificate::on_paper;
use fusewright::storage::certificates::{self, CertificateRow, register_list};
use fusewright::storage::{verify, withdrawals};
use serde_json::Value;

use super::outbox_file::loaded_day;
use super::sync::Phone;
use crate::documents::tools::words;
use crate::support::{Client, OWNER, Reply, TestApp, WORKSHOP};

const REASON: &str = "The earth joint was read at the wrong stud.";

async fn ask(client: &Client, number: &str, reason: &str) -> Reply {
    client.post(&format!("/certificates/{number}/withdraw"), &[("reason", reason)]).await
}

/// Presses a button of the request that is open.
async fn press(app: &TestApp, client: &Client, number: &str, what: &str) -> Reply {
    let open = withdrawals::load_request(&app.store, WORKSHOP, number).await.unwrap();
    let asked = open.map_or(0, |request| request.asked.0).to_string();
    client.post(&format!("/certificates/{number}/withdraw/{what}"), &[("asked", &asked)]).await
}

async fn start() -> (TestApp, CertificateRow) {
    let app = TestApp::start().await;
    let row = app.certificate(app.job_with_sheet().await.row.id, b"%PDF one").await;
    (app, row)
}

/// The whole way, on a job that was really released.
#[tokio::test]
async fn a_withdrawn_certificate_is_told_to_all_and_another_takes_its_place() {
    let phone = Phone::new().await;
    loaded_day(&phone).await;
    let app = &phone.app;
    let (owner, manager) = (app.owner().await, app.manager().await);
    let release = format!("/jobs/{}/release", phone.job);
    owner.post(&release, &[("name", "Olga Tamm")]).await.has_status(303);
    let old = certificates::list(&app.store, WORKSHOP, phone.job).await.unwrap().remove(0);
    let review = format!("/jobs/{}/review", phone.job);
    owner.get(&review).await.has_status(200).says("Withdraw this certificate");

    let reply = ask(&manager, &old.number, REASON).await;
    manager.get(reply.has_status(303).location()).await.says("stays in force until a second");
    let waiting = manager.get(&review).await;
    waiting.says("Mika Saari asked on 25 November 2026").says(REASON);
    waiting.says("Leave it in force").is_silent_about("Confirm the withdrawal");
    let refused = press(app, &manager, &old.number, "confirm").await;
    refused.has_status(422).says("You asked for this withdrawal yourself. Another manager");
    app.nobody().get(&format!("/verify/{}", old.number)).await.says("Genuine");

    owner.get(&review).await.says("Confirm the withdrawal");
    let reply = press(app, &owner, &old.number, "confirm").await;
    owner.get(reply.has_status(303).location()).await.says("is told so from now on");
    press(app, &owner, &old.number, "confirm").await.has_status(303);
    told_to_all(app, &old).await;
    let review_now = owner.get(&review).await;
    review_now.says("Mika Saari asked, Olga Tamm confirmed").says("Issue a new certificate");
    phone.client.get(&format!("/certificates/{}", old.number)).await.has_status(200);

    let handover = format!("/jobs/{}/handover", phone.job);
    owner.get(&handover).await.has_status(409).says("is withdrawn. Issue a new one first");
    owner.get(&format!("/jobs/{}", phone.job)).await.is_silent_about(&handover);

    issued_anew(&phone, &owner, &old).await;
    owner.get(&handover).await.has_status(200);
}

async fn told_to_all(app: &TestApp, old: &CertificateRow) {
    let by_number = app.nobody().get(&format!("/verify/{}", old.number)).await;
    by_number.has_status(200).says("Withdrawn").says("25 November 2026").is_silent_about(REASON);
    by_number.is_silent_about("Genuine");
    let by_code = app.nobody().get(&format!("/verify/{}/{}", old.number, old.code)).await;
    by_code.has_status(200).says("Withdrawn").says(REASON);
    let list = app.nobody().get("/status-list").await;
    list.says(&format!("{} withdrawn 2026-11-25T", on_paper(&old.number)));
    list.is_silent_about(REASON);
}

async fn issued_anew(phone: &Phone, owner: &Client, old: &CertificateRow) {
    let app = &phone.app;
    let issue = format!("/jobs/{}/certificate", phone.job);
    owner.post(&issue, &[]).await.has_status(303);
    // One that is in force stays.
    owner.post(&issue, &[]).await.has_status(303);
    let both = certificates::list(&app.store, WORKSHOP, phone.job).await.unwrap();
    let [first, second] = &both[..] else { panic!("{} certificates", both.len()) };
    assert_eq!((second.version, first.replaced_by.as_ref()), (2, Some(&second.number)));
    register_has(app, &["issue", "withdraw", "replace"]).await;
    let record: Value = serde_json::from_slice(&second.record).unwrap();
    assert_eq!(record["replaces"], on_paper(&old.number));
    assert!(!String::from_utf8_lossy(&old.record).contains("\"replaces\""));
    let pdf = owner.get(&format!("/certificates/{}", second.number)).await;
    let replaces = format!("Replaces certificate {}", on_paper(&old.number));
    assert!(words(&pdf.has_status(200).bytes).contains(&replaces));
    both_are_told_apart(phone, owner, (old, second)).await;
}

/// Lines of these kinds, and everything that was promised never to change.
async fn register_has(app: &TestApp, kinds: &[&str]) {
    let lines = register_list(&app.store, WORKSHOP).await.unwrap();
    let found: Vec<&str> = lines.iter().map(|line| line.kind.as_str()).collect();
    assert_eq!(found, kinds);
    assert_eq!(verify::verify(&app.store, WORKSHOP).await.unwrap().faults, []);
}

async fn both_are_told_apart(
    phone: &Phone,
    owner: &Client,
    (old, second): (&CertificateRow, &CertificateRow),
) {
    let app = &phone.app;
    let old_page = app.nobody().get(&format!("/verify/{}/{}", old.number, old.code)).await;
    old_page.says("Withdrawn").says(&format!("It is {}", on_paper(&second.number)));
    app.nobody().get(&format!("/verify/{}", second.number)).await.says("Genuine");
    let review = owner.get(&format!("/jobs/{}/review", phone.job)).await;
    review.says("Earlier certificates").says(", withdrawn on 25 November 2026");
    review.says("Withdraw this certificate").is_silent_about("Issue a new certificate");
}

#[tokio::test]
async fn a_reason_that_is_too_short_or_too_long_comes_back_with_what_to_write() {
    let (app, row) = start().await;
    let manager = app.manager().await;
    for reason in ["123456789".to_owned(), "é".repeat(501), "  too short ".replace("short", "")] {
        let reply = ask(&manager, &row.number, &reason).await;
        reply.has_status(422).says("Write in 10 to 500 characters why the certificate stands");
        reply.says("<details class=\"note\" id=\"certificate\" open>");
    }
    ask(&manager, &row.number, "12345678\u{7}90").await.has_status(422).says("plain letters");
    ask(&manager, &row.number, &"é".repeat(500)).await.has_status(303);
    press(&app, &manager, &row.number, "drop").await.has_status(303);
    ask(&manager, &row.number, "1234567890").await.has_status(303);
}

#[tokio::test]
async fn a_request_that_is_dropped_leaves_the_certificate_in_force() {
    let (app, row) = start().await;
    let (manager, owner) = (app.manager().await, app.owner().await);
    ask(&manager, &row.number, REASON).await.has_status(303);
    let twice = ask(&owner, &row.number, "Another reason altogether.").await;
    twice.has_status(409).says("Somebody has asked for this withdrawal already");
    let reply = press(&app, &owner, &row.number, "drop").await;
    owner.get(reply.has_status(303).location()).await.says("The certificate stays in force.");
    press(&app, &owner, &row.number, "confirm").await.has_status(409);
    app.nobody().get(&format!("/verify/{}", row.number)).await.says("Genuine");
}

#[tokio::test]
async fn only_the_request_that_was_read_is_confirmed() {
    let (app, row) = start().await;
    let (manager, owner) = (app.manager().await, app.owner().await);
    ask(&manager, &row.number, REASON).await.has_status(303);
    let read = app.now().0.to_string();
    press(&app, &manager, &row.number, "drop").await.has_status(303);
    app.pass_minutes(1);
    ask(&manager, &row.number, "Something else altogether.").await.has_status(303);
    let confirm = format!("/certificates/{}/withdraw/confirm", row.number);
    let stale = owner.post(&confirm, &[("asked", &read)]).await;
    stale.has_status(409).says("written anew in the meantime");
    owner.post(&confirm, &[]).await.has_status(422).says("read the reason, and confirm");
    app.nobody().get(&format!("/verify/{}", row.number)).await.says("Genuine");
}

#[tokio::test]
async fn whoever_is_alone_is_told_to_add_a_second_person() {
    let (app, row) = start().await;
    let manager = app.manager().await;
    let now = app.now();
    fusewright::storage::people::disable(&app.store, WORKSHOP, OWNER, now).await.unwrap();
    ask(&manager, &row.number, REASON).await.has_status(303);
    let review = manager.get(&format!("/jobs/{}/review", row.job)).await;
    review.says("add a second manager or owner under People");
    let refused = press(&app, &manager, &row.number, "confirm").await;
    refused.has_status(422).says("add a second manager or owner under People");
}

#[tokio::test]
async fn one_that_was_replaced_or_belongs_to_others_is_not_withdrawn() {
    let (app, row) = start().await;
    let manager = app.manager().await;
    let newer = app.certificate(row.job, b"%PDF two").await;
    let replaced = ask(&manager, &row.number, REASON).await;
    replaced.has_status(422).says("has taken the place of this one");
    let stranger = app.stranger().await;
    ask(&stranger, &newer.number, REASON).await.has_status(404);
    press(&app, &stranger, &newer.number, "confirm").await.has_status(404);
    let technician = app.technician().await;
    ask(&technician, &newer.number, REASON).await.has_status(403);
}
