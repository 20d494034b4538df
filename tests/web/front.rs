//! The front page and the two addresses for machines.

use crate::support::TestApp;

#[tokio::test]
async fn the_front_leads_to_the_first_run_until_there_is_an_owner() {
    let app = TestApp::empty().await;
    assert_eq!(app.nobody().get("/").await.has_status(303).location(), "/first-run");
    assert_eq!(app.nobody().get("/sign-in").await.has_status(303).location(), "/first-run");
}

#[tokio::test]
async fn the_front_leads_strangers_to_the_sign_in_and_people_to_their_jobs() {
    let app = TestApp::start().await;
    assert_eq!(app.nobody().get("/").await.has_status(303).location(), "/sign-in");
    assert_eq!(app.technician().await.get("/").await.has_status(303).location(), "/jobs");
}

#[tokio::test]
async fn machines_hear_that_the_server_is_ready_until_it_cannot_store() {
    let app = TestApp::start().await;
    assert_eq!(app.nobody().get("/livez").await.has_status(200).text, "ok");
    assert_eq!(app.nobody().get("/readyz").await.has_status(200).text, "ok");
    app.store.close().await;
    assert_eq!(app.nobody().get("/livez").await.has_status(200).text, "ok");
    app.nobody().get("/readyz").await.has_status(503);
}

#[tokio::test]
async fn an_unknown_address_says_so_on_a_page() {
    let app = TestApp::start().await;
    app.nobody().get("/no-such-thing").await.has_status(404).says("<h1>Nothing here</h1>");
}

/// A slip in the address gets a page of the house with a way out, not the framework's bare words.
#[tokio::test]
async fn an_address_that_cannot_be_read_gets_a_page_that_says_what_to_do() {
    let app = TestApp::start().await;
    let reply = app.technician().await.get("/jobs/nonsense").await;
    assert_eq!(reply.status, 400);
    assert!(reply.text.contains("what was recorded before is safe"), "{}", reply.text);
    assert!(reply.text.contains("href=\"/\""), "there is a way out");
}
