//! Changing one's own password.

use crate::support::{Client, PASSWORD, Reply, TestApp};

const NEW: &str = "six brown otters dive";

async fn change(client: &Client, current: &str, new: &str, repeat: &str) -> Reply {
    let fields = [("current", current), ("password", new), ("repeat", repeat)];
    client.post("/password", &fields).await
}

#[tokio::test]
async fn the_frame_of_every_page_leads_there() {
    let app = TestApp::start().await;
    let technician = app.technician().await;
    technician.get("/jobs").await.says("href=\"/password\"");
    let page = technician.get("/password").await;
    page.has_status(200).says("name=\"current\" type=\"password\"").says("value=\"tove\"");
}

#[tokio::test]
async fn a_new_password_counts_at_once_and_ends_the_other_sessions() {
    let app = TestApp::start().await;
    let (here, elsewhere) = (app.technician().await, app.technician().await);
    let reply = change(&here, PASSWORD, NEW, NEW).await;
    let to = reply.has_status(303).location().to_owned();
    here.get(&to).await.has_status(200).says("Wherever else you were signed in");
    elsewhere.get("/jobs").await.has_status(303);
    let old = [("name", "tove"), ("password", PASSWORD)];
    app.nobody().post("/sign-in", &old).await.has_status(422);
    app.nobody().post("/sign-in", &[("name", "tove"), ("password", NEW)]).await.has_status(303);
    app.manager().await;
}

#[tokio::test]
async fn without_the_current_password_nothing_changes() {
    let app = TestApp::start().await;
    let technician = app.technician().await;
    let reply = change(&technician, "not the password at all", NEW, NEW).await;
    reply.has_status(422).says("href=\"#current\">Current password: This is not your password");
    reply.is_silent_about("otters");
    app.technician().await;
}

#[tokio::test]
async fn a_new_password_is_typed_twice_and_hard_to_guess() {
    let app = TestApp::start().await;
    let technician = app.technician().await;
    let reply = change(&technician, PASSWORD, NEW, "six brown otters dived").await;
    reply.has_status(422).says("The two passwords differ");
    let short = change(&technician, PASSWORD, "six otters", "six otters").await;
    short.has_status(422).says("at least 15 characters");
    let name = change(&technician, PASSWORD, "tove and six otters", "tove and six otters").await;
    name.has_status(422).says("guessed first");
    app.technician().await;
}

/// A phone that lies about must not be a place to guess at.
#[tokio::test]
async fn guesses_at_the_current_password_are_counted_as_at_the_sign_in() {
    let app = TestApp::start().await;
    let phone = app.technician().await;
    for _ in 0..10 {
        change(&phone, "not the password at all", NEW, NEW).await.has_status(422);
    }
    let refused = change(&phone, PASSWORD, NEW, NEW).await;
    refused.has_status(429).says("Too many passwords were tried. Try again in 16 minutes.");
    // The sign-in on this phone has no tries left either; after the window both have.
    let right = [("name", "tove"), ("password", PASSWORD)];
    phone.post("/sign-in", &right).await.has_status(429);
    app.pass_minutes(16);
    change(&phone, PASSWORD, NEW, NEW).await.has_status(303);
}

#[tokio::test]
async fn slips_in_the_new_password_are_no_guesses_at_the_current_one() {
    let app = TestApp::start().await;
    let phone = app.technician().await;
    for _ in 0..15 {
        change(&phone, PASSWORD, NEW, "something else").await.has_status(422);
    }
    change(&phone, PASSWORD, NEW, NEW).await.has_status(303);
}

#[tokio::test]
async fn a_new_password_opens_a_name_that_guesses_had_closed() {
    let app = TestApp::start().await;
    let phone = app.technician().await;
    for _ in 0..11 {
        let wrong = [("name", "tove"), ("password", "not the password at all")];
        app.nobody().post("/sign-in", &wrong).await;
    }
    let right = [("name", "tove"), ("password", NEW)];
    app.nobody().post("/sign-in", &right).await.has_status(429);
    change(&phone, PASSWORD, NEW, NEW).await.has_status(303);
    app.nobody().post("/sign-in", &right).await.has_status(303);
}
