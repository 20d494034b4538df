//! Switching between people on a shared phone.

use fusewright::domain::ids::PersonId;
use fusewright::domain::step::StepKind;
use fusewright::storage::{entries, people, pepper, pins};
use reqwest::Method;
use serde_json::Value;
use uuid::Uuid;

use super::phones::{between, code, enrol, only_phone, phone};
use crate::support::{
    Client, MANAGER, OWNER, PASSWORD, Reply, TECHNICIAN, TestApp, WORKSHOP, send,
};

/// A PIN as a manager reads it out.
async fn pin_for(app: &TestApp, person: PersonId) -> String {
    let reply = app.manager().await.post(&format!("/people/{person}/pin"), &[]).await;
    between(&reply.has_status(200).text, "code--large\">", "<").to_owned()
}

async fn switch(client: &Client, person: PersonId, pin: &str) -> Reply {
    client.post("/switch", &[("person", &person.to_string()), ("pin", pin)]).await
}

async fn switch_json(client: &Client, person: PersonId, pin: &str) -> Reply {
    let request = client.request(Method::POST, "/switch").header("sec-fetch-site", "same-origin");
    let form = [("person", person.to_string()), ("pin", pin.to_owned())];
    send(request.header("accept", "application/json").form(&form)).await
}

/// Six digits that are not these.
fn wrong(pin: &str) -> String {
    let number: u32 = pin.replace(' ', "").parse().unwrap();
    format!("{:06}", (number + 1) % 1_000_000)
}

/// A second technician.
async fn runa(app: &TestApp) -> PersonId {
    let fields = [
        ("name", "Runa Holt"),
        ("sign_in", "runa"),
        ("role", "technician"),
        ("password", PASSWORD),
    ];
    app.manager().await.post("/people", &fields).await.has_status(303);
    people::find(&app.store, WORKSHOP, "runa").await.unwrap().unwrap().0.id
}

#[tokio::test]
async fn a_phone_lists_technicians_with_a_pin_as_a_form_that_needs_no_script() {
    let app = TestApp::start().await;
    let client = phone(&app).await;
    client.get("/switch").await.has_status(200).says("Nobody has a PIN yet");
    pin_for(&app, TECHNICIAN).await;
    let page = client.get("/switch?next=/instruments").await;
    page.has_status(200).says("Bay 2").says("method=\"post\" action=\"/switch\"");
    page.says(&format!(
        "type=\"radio\" id=\"w-{TECHNICIAN}\" name=\"person\" value=\"{TECHNICIAN}\""
    ));
    page.says("inputmode=\"numeric\" autocomplete=\"off\"").says("value=\"/instruments\"");
    page.is_silent_about("Mika Saari");
}

#[tokio::test]
async fn entries_are_recorded_under_whoever_took_the_phone_over() {
    let app = TestApp::start().await;
    let (client, other) = (phone(&app).await, runa(&app).await);
    let job = app.job_with_sheet().await;
    let device = only_phone(&app).await;
    let confirm = job.state.steps.iter().find(|state| state.step.kind == StepKind::Confirm);
    let path = format!("/jobs/{}/steps/{}", job.row.id, confirm.unwrap().step.key);
    for (number, person) in [(1, TECHNICIAN), (2, other), (3, TECHNICIAN)] {
        let pin = pin_for(&app, person).await;
        let reply = switch(&client, person, &pin).await;
        assert_eq!(reply.has_status(303).location(), "/jobs");
        let form = reqwest::multipart::Form::new()
            .text("id", Uuid::from_u128(0xe000 + number).to_string())
            .text("remark_id", Uuid::from_u128(0xf000 + number).to_string())
            .text("sheet", "1")
            .text("unable", format!("Not possible, {number}"));
        client.post_parts(&path, form).await.has_status(303);
        let entry = entries::list(&app.store, WORKSHOP, job.row.id).await.unwrap().pop().unwrap();
        assert_eq!((entry.person, entry.device), (person, device));
    }
}

#[tokio::test]
async fn taking_over_ends_the_session_before_on_this_phone_and_on_no_other() {
    let app = TestApp::start().await;
    let (client, desk) = (phone(&app).await, app.manager().await);
    let fields = [("name", "mika"), ("password", PASSWORD)];
    let reply = client.post("/sign-in", &fields).await;
    let cookie = reply.headers.get_all("set-cookie").iter().map(|value| value.to_str().unwrap());
    let before = cookie.map(|c| between(c, "", ";")).find(|c| c.starts_with("session=")).unwrap();
    let before = app.nobody().with_cookie(before);
    before.get("/kits").await.has_status(200);
    let pin = pin_for(&app, TECHNICIAN).await;
    switch(&client, TECHNICIAN, &pin).await.has_status(303);
    client.get("/jobs").await.has_status(200).says("Tove Lind");
    before.get("/kits").await.has_status(303);
    desk.get("/kits").await.has_status(200);
}

#[tokio::test]
async fn a_way_on_within_this_server_is_taken_and_no_other() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    let person = TECHNICIAN.to_string();
    for (next, to) in [
        ("/instruments", "/instruments"),
        ("", "/jobs"),
        ("https://elsewhere.example", "/"),
        ("//x", "/"),
    ] {
        let fields = [("person", person.as_str()), ("pin", pin.as_str()), ("next", next)];
        assert_eq!(client.post("/switch", &fields).await.has_status(303).location(), to);
    }
}

#[tokio::test]
async fn a_pin_is_shown_once_and_stands_nowhere() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let reply = manager.post(&format!("/people/{TECHNICIAN}/pin"), &[]).await;
    let pin = between(&reply.has_status(200).says("Tove Lind").text, "code--large\">", "<");
    let plain = pin.replace(' ', "");
    assert!(plain.len() == 6 && plain.bytes().all(|byte| byte.is_ascii_digit()), "{pin}");
    let page = manager.get("/people").await;
    page.says("Given on 2026-11-25").says("Give a new PIN").is_silent_about(pin);
    let (_, hash) = pins::find(&app.store, WORKSHOP, TECHNICIAN).await.unwrap().unwrap();
    assert!(hash.starts_with("$argon2id$") && !hash.contains(&plain), "{hash}");
    // The slow hash is over the keyed digest: without the pepper, the right PIN does not match.
    let pepper = pepper::load(&app.keys()).await.unwrap().unwrap();
    let mixed = fusewright::web::mixed_pin(&pepper, &plain).unwrap();
    assert!(matches(&mixed, &hash) && !matches(&plain, &hash));
}

fn matches(secret: &str, stored: &str) -> bool {
    use argon2::PasswordVerifier as _;
    use argon2::password_hash::phc::PasswordHash;
    let hash = PasswordHash::new(stored).unwrap();
    argon2::Argon2::default().verify_password(secret.as_bytes(), &hash).is_ok()
}

/// RFC 2104 by hand: H(key ⊕ opad ‖ H(key ⊕ ipad ‖ text)), the key filled up with zeros to 64 bytes.
#[tokio::test]
async fn a_pin_is_mixed_with_the_pepper_as_hmac_says() {
    use fusewright::domain::seal::{hex, sha256};
    let app = TestApp::empty().await;
    let pepper = pepper::append(&app.keys(), [0x5a; 32]).await.unwrap();
    let pad = |with: u8| -> Vec<u8> {
        let key = [0x5a; 32].into_iter().chain([0; 32]);
        key.map(|byte: u8| byte ^ with).collect()
    };
    let inner = sha256(&[pad(0x36), b"004711".to_vec()].concat());
    let outer = sha256(&[pad(0x5c), inner.to_vec()].concat());
    assert_eq!(fusewright::web::mixed_pin(&pepper, "004711").unwrap(), hex(&outer));
}

#[tokio::test]
async fn a_new_pin_counts_and_the_one_before_does_not() {
    let app = TestApp::start().await;
    let client = phone(&app).await;
    let old = pin_for(&app, TECHNICIAN).await;
    switch(&client, TECHNICIAN, &old).await.has_status(303);
    let new = pin_for(&app, TECHNICIAN).await;
    // Whoever came with the old one is out.
    client.get("/jobs").await.has_status(303);
    if old != new {
        switch(&client, TECHNICIAN, &old).await.has_status(422);
    }
    switch(&client, TECHNICIAN, &new.replace(' ', "")).await.has_status(303);
}

#[tokio::test]
async fn a_pin_that_is_taken_away_is_gone_with_its_name() {
    let app = TestApp::start().await;
    let (client, manager) = (phone(&app).await, app.manager().await);
    let pin = pin_for(&app, TECHNICIAN).await;
    let reply = manager.post(&format!("/people/{TECHNICIAN}/pin/take"), &[]).await;
    let page = manager.get(reply.has_status(303).location()).await;
    page.says("The PIN is gone").says("Give a PIN").is_silent_about("/pin/take");
    client.get("/switch").await.says("Nobody has a PIN yet");
    switch(&client, TECHNICIAN, &pin).await.has_status(422);
}

#[tokio::test]
async fn disabling_or_another_role_takes_the_pin() {
    let app = TestApp::start().await;
    let (client, owner) = (phone(&app).await, app.owner().await);
    let pin = pin_for(&app, TECHNICIAN).await;
    owner.post(&format!("/people/{TECHNICIAN}/disable"), &[]).await.has_status(303);
    switch(&client, TECHNICIAN, &pin).await.has_status(422);
    owner.post(&format!("/people/{TECHNICIAN}/pin"), &[]).await.has_status(422);
    owner.post(&format!("/people/{TECHNICIAN}/enable"), &[]).await.has_status(303);
    switch(&client, TECHNICIAN, &pin).await.has_status(422);
    let pin = pin_for(&app, TECHNICIAN).await;
    switch(&client, TECHNICIAN, &pin).await.has_status(303);
    let role = [("role", "manager")];
    owner.post(&format!("/people/{TECHNICIAN}/role"), &role).await.has_status(303);
    client.get("/jobs").await.has_status(303);
    switch(&client, TECHNICIAN, &pin).await.has_status(422);
}

#[tokio::test]
async fn pins_are_for_technicians_and_given_by_those_who_look_after_them() {
    let app = TestApp::start().await;
    let (technician, manager, owner) =
        (app.technician().await, app.manager().await, app.owner().await);
    technician.post(&format!("/people/{TECHNICIAN}/pin"), &[]).await.has_status(403);
    for person in [MANAGER, OWNER] {
        manager.post(&format!("/people/{person}/pin"), &[]).await.has_status(403);
    }
    let reply = owner.post(&format!("/people/{MANAGER}/pin"), &[]).await;
    reply.has_status(422).says("A PIN is for technicians");
    let page = owner.get("/people").await;
    assert_eq!(page.text.matches("/pin\"").count(), 1);
    assert_eq!(pins::list(&app.store, WORKSHOP).await.unwrap(), []);
}

#[tokio::test]
async fn a_form_that_cannot_be_right_is_no_try() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    let person = TECHNICIAN.to_string();
    for _ in 0..3 {
        for (who, typed, words) in [
            ("", pin.as_str(), "Choose your name."),
            (person.as_str(), "", "Type the six digits of your PIN."),
            (person.as_str(), "12345", "Type the six digits of your PIN."),
            (person.as_str(), "1234567", "Type the six digits of your PIN."),
            (person.as_str(), "12345x", "Type the six digits of your PIN."),
        ] {
            let reply = client.post("/switch", &[("person", who), ("pin", typed)]).await;
            reply.has_status(422).says(words);
        }
    }
    switch(&client, TECHNICIAN, &pin).await.has_status(303);
}

#[tokio::test]
async fn five_wrong_pins_are_free_then_even_the_right_one_waits() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    for _ in 0..5 {
        let reply = switch(&client, TECHNICIAN, &wrong(&pin)).await;
        reply.has_status(422).says("Name and PIN do not belong together.").says(" checked>");
        reply.is_silent_about(&wrong(&pin));
    }
    let reply = switch(&client, TECHNICIAN, &pin).await;
    reply.has_status(429).says("Try again in 61 seconds.").says("name=\"pin\"");
    assert_eq!(reply.header("retry-after"), "61");
    // Others go on meanwhile.
    let other = runa(&app).await;
    let theirs = pin_for(&app, other).await;
    switch(&client, other, &theirs).await.has_status(303);
    app.pass_minutes(1);
    switch(&client, TECHNICIAN, &pin).await.has_status(303);
    // A good one starts the count anew.
    for _ in 0..5 {
        switch(&client, TECHNICIAN, &wrong(&pin)).await.has_status(422);
    }
}

#[tokio::test]
async fn ten_wrong_pins_lock_until_a_manager_gives_a_new_one() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    for number in 0..10 {
        if number >= 5 {
            app.pass_minutes(15);
        }
        switch(&client, TECHNICIAN, &wrong(&pin)).await.has_status(422).says("do not belong");
    }
    app.pass_minutes(600);
    let reply = switch(&client, TECHNICIAN, &pin).await;
    reply.has_status(422).says("A manager gives you a new one under People.");
    let elsewhere = app.nobody();
    enrol(&elsewhere, &code(&app).await, "Bay 3").await.has_status(303);
    switch(&elsewhere, TECHNICIAN, &pin).await.has_status(303);
    let new = pin_for(&app, TECHNICIAN).await;
    switch(&client, TECHNICIAN, &new).await.has_status(303);
}

#[tokio::test]
async fn twenty_wrong_pins_on_a_phone_lock_it_for_the_rest_of_the_hour() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    for number in 0..20 {
        let stranger = PersonId(Uuid::from_u128(0x900 + number));
        switch(&client, stranger, "123456").await.has_status(422);
    }
    app.pass_minutes(59);
    let reply = switch(&client, TECHNICIAN, &pin).await;
    reply.has_status(429).says("Too many wrong PINs on this phone. Try again in 2 minutes");
    // The password still counts, and another phone.
    client.post("/sign-in", &[("name", "tove"), ("password", PASSWORD)]).await.has_status(303);
    app.pass_minutes(1);
    switch(&client, TECHNICIAN, &pin).await.has_status(303);
}

#[tokio::test]
async fn good_pins_do_not_use_the_phone_up() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    for _ in 0..21 {
        switch(&client, TECHNICIAN, &pin).await.has_status(303);
    }
}

#[tokio::test]
async fn wrong_pins_sent_at_once_all_count() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    let mut tries = tokio::task::JoinSet::new();
    for _ in 0..12 {
        let (client, pin) = (client.clone(), wrong(&pin));
        tries.spawn(async move { switch(&client, TECHNICIAN, &pin).await.status });
    }
    let codes = tries.join_all().await;
    assert_eq!(codes.iter().filter(|code| **code == 422).count(), 5, "{codes:?}");
    assert_eq!(codes.iter().filter(|code| **code == 429).count(), 7, "{codes:?}");
}

/// Somebody without a PIN, somebody who does not exist and a wrong PIN: nothing tells them apart, not
/// even how often one may try.
#[tokio::test]
async fn who_does_not_exist_gets_the_same_answers_as_who_mistypes() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    let nobody = PersonId(Uuid::from_u128(0x99));
    for number in 0..6 {
        let mut answers = Vec::new();
        for person in [TECHNICIAN, MANAGER, nobody] {
            let reply = switch_json(&client, person, &wrong(&pin)).await;
            answers.push((reply.status, reply.text));
        }
        assert!(answers.windows(2).all(|two| two[0] == two[1]), "try {number}: {answers:?}");
    }
}

#[tokio::test]
async fn a_revoked_phone_takes_no_pin() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    switch(&client, TECHNICIAN, &pin).await.has_status(303);
    let path = format!("/phones/{}/revoke", only_phone(&app).await);
    app.manager().await.post(&path, &[]).await.has_status(303);
    client.get("/jobs").await.has_status(303);
    switch(&client, TECHNICIAN, &pin).await.has_status(403).says("not enrolled");
}

#[tokio::test]
async fn a_pin_counts_nowhere_but_on_an_enrolled_phone() {
    let app = TestApp::start().await;
    phone(&app).await;
    let pin = pin_for(&app, TECHNICIAN).await;
    let page = app.nobody().get("/switch").await;
    page.has_status(200).says("This phone is not enrolled").is_silent_about("Tove Lind");
    for client in [app.nobody(), app.technician().await] {
        switch(&client, TECHNICIAN, &pin).await.has_status(403);
    }
}

#[tokio::test]
async fn a_script_is_told_who_took_over_or_why_not() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    let problem = |reply: &Reply, status: u16| -> Value {
        assert_eq!(reply.has_status(status).header("content-type"), "application/problem+json");
        serde_json::from_slice(&reply.bytes).unwrap()
    };
    let reply = switch_json(&app.nobody(), TECHNICIAN, &pin).await;
    assert_eq!(problem(&reply, 403)["type"], "forbidden");
    let reply = switch_json(&client, TECHNICIAN, "12345").await;
    assert_eq!(problem(&reply, 422)["type"], "rule");
    for _ in 0..5 {
        let reply = switch_json(&client, TECHNICIAN, &wrong(&pin)).await;
        assert_eq!(problem(&reply, 422)["detail"], "Name and PIN do not belong together.");
    }
    let reply = switch_json(&client, TECHNICIAN, &pin).await;
    assert_eq!(
        (problem(&reply, 429)["type"].as_str(), reply.header("retry-after")),
        (Some("too-many"), "61")
    );
    app.pass_minutes(1);
    let reply = switch_json(&client, TECHNICIAN, &pin).await;
    let answer: Value = serde_json::from_slice(&reply.has_status(200).bytes).unwrap();
    assert_eq!(answer, serde_json::json!({ "person": TECHNICIAN, "name": "Tove Lind" }));
    client.get("/jobs").await.has_status(200).says("Tove Lind");
}

#[tokio::test]
async fn a_shared_phone_leads_to_the_switch_and_another_browser_does_not() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    client.get("/sign-in?next=/kits").await.says("href=\"/switch?next=/kits\"");
    switch(&client, TECHNICIAN, &pin).await.has_status(303);
    client.get("/jobs").await.says("href=\"/switch\">Switch person");
    // A manager may sign in by password after a technician who did not sign out.
    client.get("/sign-in").await.has_status(200);
    assert_eq!(client.post("/sign-out", &[]).await.has_status(303).location(), "/switch");
    client.get("/jobs").await.has_status(303);
    let desk = app.technician().await;
    desk.get("/jobs").await.is_silent_about("\"/switch");
    assert_eq!(desk.get("/sign-in").await.has_status(303).location(), "/jobs");
    assert_eq!(desk.post("/sign-out", &[]).await.has_status(303).location(), "/sign-in");
    app.nobody().get("/sign-in").await.is_silent_about("\"/switch");
}

#[tokio::test]
async fn a_lost_pepper_is_told_and_the_next_pin_makes_a_new_one() {
    let app = TestApp::start().await;
    let (client, pin) = (phone(&app).await, pin_for(&app, TECHNICIAN).await);
    let (other, file) = (runa(&app).await, app.keys().join(pepper::FILE));
    std::fs::remove_file(&file).unwrap();
    switch(&client, TECHNICIAN, &pin).await.has_status(500).says("fault number");
    let theirs = pin_for(&app, other).await;
    assert!(file.is_file());
    // The PINs from before would never be right again, so they are gone.
    client.get("/switch").await.says("Runa Holt").is_silent_about("Tove Lind");
    switch(&client, other, &theirs).await.has_status(303);
}

#[tokio::test]
async fn before_the_first_pin_there_is_no_pepper_and_a_try_is_a_wrong_pin() {
    let app = TestApp::start().await;
    let client = phone(&app).await;
    assert_eq!(pepper::load(&app.keys()).await.unwrap(), None);
    switch(&client, TECHNICIAN, "123456").await.has_status(422);
    assert_eq!(pepper::load(&app.keys()).await.unwrap(), None);
}

#[tokio::test]
async fn before_the_first_run_there_is_nothing_to_switch_or_enrol() {
    let app = TestApp::empty().await;
    let nobody = app.nobody();
    for path in ["/switch", "/enrol"] {
        assert_eq!(nobody.get(path).await.has_status(303).location(), "/first-run");
        assert_eq!(nobody.post(path, &[]).await.has_status(303).location(), "/first-run");
    }
}
