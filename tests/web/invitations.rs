//! Invitations: made by whoever may give the role, used once by whoever has the link, and ended at once with
//! whoever made them.

use fusewright::domain::person::Role;
use fusewright::storage::audit::{AuditFilter, list};
use fusewright::storage::invitations::{self, TRIES_MAX};
use fusewright::storage::people;

use super::phones::{between, code, enrol};
use crate::support::{Client, MANAGER, PASSWORD, Reply, TECHNICIAN, TestApp, WORKSHOP};

async fn make(client: &Client, role: &str) -> Reply {
    let fields = [("invited", "Runa"), ("invited_role", role)];
    client.post("/people/invitations", &fields).await
}

/// The secret of a fresh invitation for a technician.
async fn invited(client: &Client) -> String {
    let reply = make(client, "technician").await;
    between(&reply.has_status(200).text, "/invited?code=", "<").to_owned()
}

async fn join(client: &Client, code: &str, sign_in: &str, password: &str) -> Reply {
    let fields = [
        ("code", code),
        ("name", "Runa Holt"),
        ("sign_in", sign_in),
        ("password", password),
        ("repeat", PASSWORD),
    ];
    client.post("/invited", &fields).await
}

#[tokio::test]
async fn whoever_is_invited_chooses_name_and_password_and_is_in() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let code = invited(&manager).await;
    assert_eq!(code.len(), 64);
    let runa = app.nobody();
    // Opening it changes nothing, however often.
    for _ in 0..2 {
        let page = runa.get(&format!("/invited?code={code}")).await;
        page.has_status(200).says("Birch Yard Vehicle Electrics").says("You join as technician");
        page.says("value=\"Runa\"");
    }
    join(&runa, &code, "Runa", PASSWORD).await.has_status(303);
    runa.get("/jobs").await.has_status(200).says("Runa Holt");
    app.signed_in("runa").await;
    let (person, _) = people::find(&app.store, WORKSHOP, "runa").await.unwrap().unwrap();
    assert_eq!((person.name.as_str(), person.role), ("Runa Holt", Role::Technician));
    // Once.
    join(&app.nobody(), &code, "second", PASSWORD).await.has_status(404);
    app.nobody().get(&format!("/invited?code={code}")).await.has_status(404);
    manager.get("/people").await.says("Runa Holt").is_silent_about("Invited, and not here yet");
    let filter = AuditFilter { limit: 9, ..AuditFilter::default() };
    let acts = list(&app.store, WORKSHOP, &filter).await.unwrap();
    let done: Vec<&str> = acts.iter().map(|act| act.row.act.as_str()).collect();
    assert!(done.contains(&"/people/invitations") && done.contains(&"/invited"), "{done:?}");
    let joined = acts.iter().find(|act| act.row.act == "/invited").unwrap();
    assert_eq!((joined.person.as_str(), joined.row.address.as_str()), ("Runa Holt", "/invited"));
    app.owner().await.get("/audit").await.says("joined by an invitation");
}

#[tokio::test]
async fn a_form_with_faults_comes_back_and_the_link_goes_on() {
    let app = TestApp::start().await;
    let code = invited(&app.manager().await).await;
    let runa = app.nobody();
    let short = join(&runa, &code, "runa", "too short").await;
    short.has_status(422).says("at least 15 characters").says("value=\"runa\"");
    short.is_silent_about("value=\"too short\"").says("The two passwords differ");
    join(&runa, &code, "tove", PASSWORD).await.has_status(422).says("Choose another one.");
    join(&runa, &code, "runa", PASSWORD).await.has_status(303);
}

#[tokio::test]
async fn so_many_forms_that_cannot_be_taken_end_it_and_one_less_does_not() {
    for (tries, left) in [(TRIES_MAX - 1, true), (TRIES_MAX, false)] {
        let app = TestApp::start().await;
        let code = invited(&app.manager().await).await;
        for _ in 0..tries {
            join(&app.nobody(), &code, "tove", PASSWORD).await.has_status(422);
        }
        let status = if left { 303 } else { 404 };
        join(&app.nobody(), &code, "runa", PASSWORD).await.has_status(status);
    }
}

#[tokio::test]
async fn it_ends_after_three_days_and_when_it_is_revoked_and_looks_like_a_wrong_one() {
    let app = TestApp::start().await;
    let code = invited(&app.manager().await).await;
    let open = format!("/invited?code={code}");
    app.pass_minutes(3 * 24 * 60 - 1);
    app.nobody().get(&open).await.has_status(200);
    app.pass_minutes(1);
    let late = app.nobody().get(&open).await;
    let manager = app.manager().await;
    let revoked = invited(&manager).await;
    let page = manager.get("/people").await;
    let path = between(&page.text, "/people/invitations/", "\"").to_owned();
    let done = manager.post(&format!("/people/invitations/{path}"), &[]).await;
    manager.get(done.has_status(303).location()).await.says("opens nothing any more");
    manager.post(&format!("/people/invitations/{path}"), &[]).await.has_status(404);
    let wrong = app.nobody().get(&format!("/invited?code={}", "0a".repeat(32))).await;
    let taken_back = app.nobody().get(&format!("/invited?code={revoked}")).await;
    for reply in [&late, &taken_back, &app.nobody().get("/invited?code=x").await] {
        assert_eq!((reply.status, &reply.text), (404, &wrong.text));
    }
    join(&app.nobody(), &revoked, "runa", PASSWORD).await.has_status(404);
}

#[tokio::test]
async fn managers_invite_technicians_and_an_owner_invites_everybody() {
    let app = TestApp::start().await;
    let (manager, owner) = (app.manager().await, app.owner().await);
    for role in ["manager", "owner"] {
        make(&manager, role).await.has_status(403);
        make(&owner, role).await.has_status(200);
    }
    make(&manager, "cook").await.has_status(422).says("Choose one of the roles.");
    make(&app.technician().await, "technician").await.has_status(403);
    // Nor does a manager take back what an owner gave.
    let page = owner.get("/people").await;
    let path = between(&page.text, "/people/invitations/", "\"").to_owned();
    manager.get("/people").await.is_silent_about("/people/invitations/");
    manager.post(&format!("/people/invitations/{path}"), &[]).await.has_status(403);
    let stranger = app.stranger().await;
    stranger.post(&format!("/people/invitations/{path}"), &[]).await.has_status(404);
    owner.post(&format!("/people/invitations/{path}"), &[]).await.has_status(303);
}

#[tokio::test]
async fn only_the_digest_of_a_link_is_stored() {
    let app = TestApp::start().await;
    let code = invited(&app.manager().await).await;
    let digest = fusewright::domain::seal::sha256(format!("invitation/1\n{code}").as_bytes());
    assert!(invitations::find(&app.store, digest, app.now()).await.unwrap().is_some());
    app.store.health().await.unwrap();
    for entry in std::fs::read_dir(app.store.folder()).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            let bytes = std::fs::read(&path).unwrap();
            assert!(!bytes.windows(64).any(|window| window == code.as_bytes()), "{path:?}");
        }
    }
}

/// Everything that somebody holds or gave out, from one touch on.
#[tokio::test]
async fn disabling_somebody_ends_all_they_hold_and_all_they_gave_out() {
    let app = TestApp::start().await;
    let (owner, desk, tablet) = (app.owner().await, app.manager().await, app.manager().await);
    let invitation = invited(&desk).await;
    let enrol_code = code(&app).await;
    let page = desk.post("/due/calendar", &[]).await;
    let calendar = format!("/calendar/{}.ics", between(&page.text, "/calendar/", ".ics"));
    app.nobody().get(&calendar).await.has_status(200);

    owner.post(&format!("/people/{MANAGER}/disable"), &[]).await.has_status(303);
    for session in [&desk, &tablet] {
        assert!(session.get("/people").await.has_status(303).location().starts_with("/sign-in"));
    }
    let again = [("name", "mika"), ("password", PASSWORD)];
    app.nobody().post("/sign-in", &again).await.has_status(422);
    join(&app.nobody(), &invitation, "runa", PASSWORD).await.has_status(404);
    enrol(&app.nobody(), &enrol_code, "Bay 2").await.has_status(422);
    app.nobody().get(&calendar).await.has_status(404);

    // Let in again, none of it comes back.
    owner.post(&format!("/people/{MANAGER}/enable"), &[]).await.has_status(303);
    desk.get("/people").await.has_status(303);
    join(&app.nobody(), &invitation, "runa", PASSWORD).await.has_status(404);
    enrol(&app.nobody(), &enrol_code, "Bay 2").await.has_status(422);
    app.nobody().get(&calendar).await.has_status(404);
    app.manager().await.get("/people").await.has_status(200);
}

/// The same of a technician: the PIN, and what was begun with it on a phone that people share.
#[tokio::test]
async fn disabling_a_technician_ends_the_pin_and_the_session_on_a_shared_phone() {
    let app = TestApp::start().await;
    let phone = super::phones::phone(&app).await;
    let manager = app.manager().await;
    let give = format!("/people/{TECHNICIAN}/pin");
    let reply = manager.post(&give, &[]).await;
    let pin = between(&reply.has_status(200).text, "code--large\">", "<").to_owned();
    let take_over = [("person", TECHNICIAN.to_string()), ("pin", pin)];
    let fields: Vec<(&str, &str)> =
        take_over.iter().map(|(name, value)| (*name, value.as_str())).collect();
    phone.post("/switch", &fields).await.has_status(303);
    phone.get("/jobs").await.has_status(200);
    manager.post(&format!("/people/{TECHNICIAN}/disable"), &[]).await.has_status(303);
    phone.get("/jobs").await.has_status(303);
    assert_ne!(phone.post("/switch", &fields).await.status, 303);
    manager.post(&format!("/people/{TECHNICIAN}/enable"), &[]).await.has_status(303);
    assert_ne!(phone.post("/switch", &fields).await.status, 303, "the old PIN stays gone");
}

/// An owner who becomes a technician cannot let an owner in by a link from before.
#[tokio::test]
async fn another_role_takes_back_what_was_given_out_in_the_old_one() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let role = |role: &'static str| [("role", role)];
    owner.post(&format!("/people/{MANAGER}/role"), &role("owner")).await.has_status(303);
    let second = app.manager().await;
    let reply = make(&second, "owner").await;
    let code = between(&reply.has_status(200).text, "/invited?code=", "<").to_owned();
    owner.post(&format!("/people/{MANAGER}/role"), &role("manager")).await.has_status(303);
    join(&app.nobody(), &code, "runa", PASSWORD).await.has_status(404);
}
