//! The customer's link: made once, opened without an account, counted, revoked, and silent otherwise.

use fusewright::acts::links::digest;
use fusewright::domain::ids::JobId;
use fusewright::storage::withdrawals::{self, Confirmed, Request};
use fusewright::storage::{certificates, links};

use crate::documents::tools::words;
use crate::support::{Client, MANAGER, OWNER, Reply, TestApp, WORKSHOP};

const PDF: &[u8] = b"%PDF one";

async fn released() -> (TestApp, JobId) {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    app.certificate(job, PDF).await;
    (app, job)
}

/// The path of the link that this answer shows.
fn shown(reply: &Reply) -> String {
    let at = reply.text.find("/handover/open/").unwrap();
    reply.text[at..].chars().take_while(|c| !matches!(c, '<' | '"')).collect()
}

async fn link(app: &TestApp, job: JobId, days: &str) -> String {
    let technician = app.technician().await;
    let made = technician.post(&format!("/jobs/{job}/links"), &[("days", days)]).await;
    shown(made.has_status(200))
}

/// A customer who has opened the link.
async fn customer(app: &TestApp, path: &str) -> Client {
    let opened = app.nobody().get(path).await;
    assert_eq!(opened.has_status(303).location(), "/handover");
    assert_eq!(opened.header("referrer-policy"), "no-referrer");
    let cookie = opened.header("set-cookie");
    assert!(cookie.contains("HttpOnly; SameSite=Lax; Max-Age=3600"), "{cookie}");
    app.nobody().with_cookie(cookie.split(';').next().unwrap())
}

#[tokio::test]
async fn whoever_has_the_link_reads_the_handover_and_takes_both_papers_along() {
    let (app, job) = released().await;
    let path = link(&app, job, "90").await;
    let customer = customer(&app, &path).await;
    let page = customer.get("/handover").await;
    for stands in
        ["HP 21 KLN", "Jonas Weir", "Find the fuse", "Make it safe", "50 A", "BY-26-00001-"]
    {
        page.has_status(200).says(stands);
    }
    assert_eq!(page.header("x-robots-tag"), "noindex, nofollow");
    assert_eq!(page.header("cache-control"), "no-store");
    page.is_silent_about(&path);
    let paper = customer.get("/handover/paper.pdf").await;
    assert!(words(&paper.has_status(200).bytes).contains("Find the fuse"));
    assert_eq!(customer.get("/handover/certificate.pdf").await.has_status(200).bytes, PDF);
    let drawing = customer.get("/handover/wiring/1").await;
    assert_eq!(drawing.has_status(200).header("content-type"), "image/svg+xml");
    for nothing in ["/handover/wiring/0", "/handover/wiring/99"] {
        customer.get(nothing).await.has_status(404);
    }
}

/// The page and the paper are made from the same content: whatever the page says stands on the paper.
#[tokio::test]
async fn the_page_holds_the_words_of_the_paper() {
    let (app, job) = released().await;
    let customer = customer(&app, &link(&app, job, "90").await).await;
    let page = customer.get("/handover").await;
    let content = fusewright::acts::handover::content(&app.store, &app.address, (WORKSHOP, job));
    let paper = content.await.unwrap().paper;
    let mut said: Vec<&str> = Vec::new();
    said.extend(paper.fuses.iter().flat_map(|fuse| [&*fuse.place, &*fuse.rating, &*fuse.protects]));
    said.extend(paper.safe.iter().flat_map(|step| [&*step.what, &*step.how]));
    said.extend(paper.watch.iter().flat_map(|line| [&*line.sign, &*line.act]));
    said.extend(paper.care.iter().flat_map(|line| [&*line.when, &*line.what, &*line.why]));
    said.extend(
        paper.circuits.iter().flat_map(|line| [&*line.purpose, &*line.length, &*line.cable]),
    );
    said.extend(paper.terminals.iter().flat_map(|row| row.positions.iter().map(|at| &*at.label)));
    let results = paper.results.iter().flat_map(|group| &group.lines);
    said.extend(results.flat_map(|line| [&*line.title, &*line.value, &*line.plain]));
    said.extend(paper.cautions.iter().map(|line| &*line.title));
    assert!(said.len() > 40, "{} texts are too few to compare", said.len());
    for text in said {
        let escaped = text.replace('\'', "&#39;");
        assert!(page.text.contains(&escaped), "{text} is missing");
    }
}

#[tokio::test]
async fn each_opening_counts_and_looking_does_not() {
    let (app, job) = released().await;
    let path = link(&app, job, "7").await;
    let first = customer(&app, &path).await;
    customer(&app, &path).await;
    first.get("/handover").await.has_status(200);
    let listed = app.manager().await.get(&format!("/jobs/{job}/links")).await;
    listed.says("2 times, last 0 min ago").says("Tove Lind").is_silent_about(&path);
}

#[tokio::test]
async fn wrong_ended_and_revoked_links_get_the_same_answer() {
    let (app, job) = released().await;
    let (week, month) = (link(&app, job, "7").await, link(&app, job, "30").await);
    let looking = customer(&app, &month).await;
    app.pass_minutes(7 * 24 * 60);
    let ended = app.nobody().get(&week).await;
    ended.has_status(404).says("Nothing here");
    let wrong = app.nobody().get(&format!("/handover/open/{}", "0".repeat(64))).await;
    assert_eq!((wrong.status, &wrong.text), (404, &ended.text));
    looking.get("/handover").await.has_status(200);

    let token = month.rsplit('/').next().unwrap();
    let row = links::find(&app.store, digest(token), app.now()).await.unwrap().unwrap();
    let manager = app.manager().await;
    let revoked = manager.post(&format!("/jobs/{job}/links/{}/revoke", row.id), &[]).await;
    manager.get(revoked.has_status(303).location()).await.says("sees nothing any more");
    let gone = app.nobody().get(&month).await;
    assert_eq!((gone.status, &gone.text), (404, &ended.text));
    for part in ["", "/paper.pdf", "/certificate.pdf", "/wiring/1"] {
        let reply = looking.get(&format!("/handover{part}")).await;
        assert_eq!((reply.status, &reply.text), (404, &ended.text), "{part}");
        assert!(reply.header("set-cookie").starts_with("handover=; "), "the cookie is taken back");
    }
}

#[tokio::test]
async fn a_link_can_only_be_made_for_a_certificate_in_force_and_a_span_of_the_list() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let at = format!("/jobs/{job}/links");
    let manager = app.manager().await;
    manager.get(&format!("/jobs/{job}")).await.is_silent_about(&at);
    manager.post(&at, &[("days", "90")]).await.has_status(409).says("Release the job first");
    app.certificate(job, PDF).await;
    manager.get(&format!("/jobs/{job}")).await.says(&at);
    for days in ["", "0", "-7", "3650", "ninety"] {
        let reply = manager.post(&at, &[("days", days)]).await;
        reply.has_status(422).says("Choose one of the spans");
    }
    assert_eq!(links::list(&app.store, WORKSHOP, job).await.unwrap(), []);
    app.stranger().await.post(&at, &[("days", "90")]).await.has_status(404);
}

#[tokio::test]
async fn a_customer_sees_photos_of_their_own_job_alone() {
    let (app, job) = released().await;
    let customer = customer(&app, &link(&app, job, "90").await).await;
    customer.get(&format!("/handover/photos/{}", "0a".repeat(32))).await.has_status(404);
    customer.get("/handover/photos/none").await.has_status(404);
    // The link opens the customer's pages and no others.
    customer.get("/jobs").await.has_status(303);
    customer.get(&format!("/photos/{}", "0a".repeat(32))).await.has_status(303);
}

#[tokio::test]
async fn after_a_withdrawal_the_link_says_so_and_gives_no_paper() {
    let (app, job) = released().await;
    let customer = customer(&app, &link(&app, job, "90").await).await;
    let row = certificates::list(&app.store, WORKSHOP, job).await.unwrap().remove(0);
    let reason = "A joint was read at the wrong stud.".to_owned();
    let request =
        Request { number: row.number.clone(), reason, asked_by: MANAGER, asked: app.now() };
    withdrawals::ask(&app.store, WORKSHOP, request).await.unwrap();
    customer.get("/handover").await.says("Find the fuse");
    let (asked, by, at) = (app.now(), OWNER, app.now());
    let confirmed = Confirmed { number: row.number, asked, by, at };
    withdrawals::confirm(&app.store, WORKSHOP, confirmed).await.unwrap();
    customer.get("/handover").await.has_status(200).says("Do not rely on an earlier handover");
    customer.get("/handover").await.is_silent_about("Find the fuse");
    customer.get("/handover/paper.pdf").await.has_status(409).says("Back to the handover");
    customer.get("/handover/certificate.pdf").await.has_status(404);
}

/// A label beside a fuse carries the check code: at the roadside it leads to what matters, and tells nobody
/// whose vehicle it is.
#[tokio::test]
async fn whoever_scans_a_label_finds_fuse_and_isolation_and_nothing_about_the_customer() {
    let (app, job) = released().await;
    let row = certificates::list(&app.store, WORKSHOP, job).await.unwrap().remove(0);
    let check = format!("/verify/{}/{}", row.number, row.code);
    let safe = format!("{check}/safe");
    let nobody = app.nobody();
    nobody.get(&check).await.has_status(200).says(&safe);
    let page = nobody.get(&safe).await;
    page.has_status(200).says("Find the fuse").says("50 A").says("Make it safe").says(&check);
    for private in ["Jonas Weir", "HP 21 KLN", "K4073318"] {
        page.is_silent_about(private);
    }
    let wrong = format!("/verify/{}/{}/safe", row.number, "0".repeat(row.code.len()));
    nobody.get(&wrong).await.has_status(404).is_silent_about("Find the fuse");
    nobody.get(&format!("/verify/{}", row.number)).await.is_silent_about("/safe");
}
