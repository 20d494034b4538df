//! Phones that people share: enrolled, looked after, revoked.

use fusewright::documents::qr::qr_svg;
use fusewright::domain::ids::DeviceId;
use fusewright::domain::seal::sha256;
use fusewright::storage::devices::{self, Heard};
use fusewright::storage::{people, phones};

use crate::support::{Client, DEVICE, MANAGER, Reply, TECHNICIAN, TestApp, WORKSHOP};

/// What stands between two marks of a page.
pub(super) fn between<'a>(text: &'a str, before: &str, after: &str) -> &'a str {
    let (_, rest) = text.split_once(before).unwrap_or_else(|| panic!("no {before} in\n{text}"));
    rest.split_once(after).unwrap().0
}

/// A code as a manager reads it out.
pub(super) async fn code(app: &TestApp) -> String {
    let reply = app.manager().await.post("/phones/codes", &[]).await;
    between(&reply.has_status(200).text, "class=\"code\">", "<").to_owned()
}

pub(super) async fn enrol(client: &Client, code: &str, label: &str) -> Reply {
    client.post("/enrol", &[("code", code), ("label", label)]).await
}

/// A browser that is an enrolled phone, and nobody yet.
pub(super) async fn phone(app: &TestApp) -> Client {
    let client = app.nobody();
    let reply = enrol(&client, &code(app).await, "Bay 2").await;
    assert_eq!(reply.has_status(303).location(), "/switch");
    client
}

pub(super) async fn only_phone(app: &TestApp) -> DeviceId {
    phones::list(&app.store, WORKSHOP).await.unwrap()[0].device.id
}

fn device_cookie(reply: &Reply) -> String {
    let cookies = reply.headers.get_all("set-cookie").iter();
    let set = cookies.map(|value| value.to_str().unwrap().to_owned());
    set.into_iter().find(|cookie| cookie.contains("device=")).unwrap()
}

#[tokio::test]
async fn a_code_is_shown_once_to_scan_and_to_type() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let reply = manager.post("/phones/codes", &[]).await;
    let page = &reply.has_status(200).says(&format!("{}/enrol</dd>", app.address)).text;
    let link = between(page, "code--long\">", "<");
    let token = link.strip_prefix(&format!("{}/enrol?code=", app.address)).unwrap();
    assert_eq!(token.len(), 32);
    let drawn = qr_svg(link).unwrap();
    assert!(page.contains(drawn.split_once("<svg").unwrap().1), "the code to scan says otherwise");
    let typed = between(page, "class=\"code\">", "<");
    assert_eq!(typed.len(), 9);
    assert!(
        typed
            .bytes()
            .all(|byte| byte == b' ' || b"0123456789ABCDEFGHJKMNPQRSTVWXYZ".contains(&byte))
    );
    let next = manager.post("/phones/codes", &[]).await;
    assert_ne!(between(&next.text, "class=\"code\">", "<"), typed);
    manager.get("/phones").await.is_silent_about(typed).is_silent_about(token);
}

#[tokio::test]
async fn opening_the_link_changes_nothing_and_its_form_enrols() {
    let app = TestApp::start().await;
    let reply = app.manager().await.post("/phones/codes", &[]).await;
    let link = between(&reply.text, "code--long\">", "<").to_owned();
    let (_, token) = link.split_once("code=").unwrap();
    let client = app.nobody();
    for _ in 0..3 {
        let page = client.get(&format!("/enrol?code={token}")).await;
        page.has_status(200).says(&format!("type=\"hidden\" name=\"code\" value=\"{token}\""));
        assert!(page.headers.get("set-cookie").is_none());
    }
    assert_eq!(phones::list(&app.store, WORKSHOP).await.unwrap(), []);
    let reply = enrol(&client, token, "Bay 2").await;
    let cookie = device_cookie(reply.has_status(303));
    assert!(cookie.contains("; Path=/; HttpOnly; SameSite=Lax; Max-Age=34560000"), "{cookie}");
    let (id, secret) = between(&cookie, "device=", ";").split_once('.').unwrap();
    assert_eq!((id.parse().unwrap(), secret.len()), (only_phone(&app).await, 64));
    // The record has the digest alone.
    let proof = phones::find(&app.store, WORKSHOP, id.parse().unwrap()).await.unwrap().unwrap();
    assert_eq!(proof.secret_sha256, Some(sha256(secret.as_bytes())));
    let again = enrol(&app.nobody(), token, "Bay 3").await;
    again.has_status(422).says("This code is wrong, used or too old").says("id=\"code\"");
}

#[tokio::test]
async fn a_code_is_typed_in_any_way_that_reads_the_same() {
    let app = TestApp::start().await;
    for write in [
        str::to_lowercase as fn(&str) -> String,
        |code| code.replace(' ', "-"),
        |code| code.replace('0', "o").replace('1', "l"),
    ] {
        let code = code(&app).await;
        enrol(&app.nobody(), &write(&code), "Bay 2").await.has_status(303);
    }
}

#[tokio::test]
async fn five_wrong_codes_end_the_right_one_and_a_form_that_is_incomplete_ends_none() {
    let app = TestApp::start().await;
    let right = code(&app).await;
    let client = app.nobody();
    for _ in 0..6 {
        enrol(&client, "0000 0000", "").await.has_status(422).says("called: Fill this in.");
        enrol(&client, "", "Bay 2").await.has_status(422).says("Code: Fill this in.");
    }
    for _ in 0..4 {
        enrol(&client, "0000 0000", "Bay 2").await.has_status(422).says("This code is wrong");
    }
    enrol(&app.nobody(), &right, "Bay 1").await.has_status(303);
    let right = code(&app).await;
    for _ in 0..5 {
        enrol(&client, "0000 0000", "Bay 2").await.has_status(422);
    }
    enrol(&client, &right, "Bay 2").await.has_status(422);
}

#[tokio::test]
async fn a_code_dies_after_ten_minutes() {
    let app = TestApp::start().await;
    let (early, client) = (code(&app).await, app.nobody());
    app.pass_minutes(9);
    enrol(&client, &early, "Bay 2").await.has_status(303);
    let late = code(&app).await;
    app.pass_minutes(10);
    enrol(&client, &late, "Bay 2").await.has_status(422).says("too old");
}

#[tokio::test]
async fn a_name_of_forty_characters_is_taken_and_a_longer_one_is_not() {
    let app = TestApp::start().await;
    let (code, client) = (code(&app).await, app.nobody());
    enrol(&client, &code, &"é".repeat(41)).await.has_status(422).says("at most 40 characters");
    enrol(&client, &code, &"é".repeat(40)).await.has_status(303);
}

#[tokio::test]
async fn a_browser_that_was_here_keeps_its_id_and_its_session() {
    let app = TestApp::start().await;
    let client = app.technician().await;
    let before = devices::list(&app.store, WORKSHOP).await.unwrap();
    let mine = before.iter().find(|device| device.id != DEVICE).unwrap().id;
    enrol(&client, &code(&app).await, "Bay 2").await.has_status(303);
    assert_eq!(only_phone(&app).await, mine);
    client.get("/jobs").await.has_status(200).says("Switch person");
    // Once more, with its secret: the same phone under another name.
    enrol(&client, &code(&app).await, "Bay 3").await.has_status(303);
    let all = phones::list(&app.store, WORKSHOP).await.unwrap();
    assert_eq!((all.len(), all[0].device.id), (1, mine));
    assert_eq!(all[0].device.label, "Bay 3");
    client.get("/jobs").await.says("Switch person");
}

#[tokio::test]
async fn a_copied_id_without_the_secret_is_no_enrolled_phone() {
    let app = TestApp::start().await;
    phone(&app).await;
    let id = only_phone(&app).await;
    let wrong = "0".repeat(64);
    for cookie in [format!("device={id}"), format!("device={id}.{wrong}"), format!("device={id}.")]
    {
        let copy = app.nobody().with_cookie(&cookie);
        copy.get("/switch").await.has_status(200).says("This phone is not enrolled");
        let fields = [("person", TECHNICIAN.to_string()), ("pin", "123456".to_owned())];
        let fields = fields.each_ref().map(|(name, value)| (*name, value.as_str()));
        copy.post("/switch", &fields).await.has_status(403);
        // Nor does it become it by a code of its own: it is another phone.
        let code = code(&app).await;
        let cookie = device_cookie(enrol(&copy, &code, "Copy").await.has_status(303));
        assert!(!cookie.contains(&id.to_string()), "{cookie}");
    }
}

/// A session that somebody starts by password on the copy is not counted to the phone either.
#[tokio::test]
async fn a_sign_in_with_a_copied_id_is_on_another_device() {
    let app = TestApp::start().await;
    phone(&app).await;
    let id = only_phone(&app).await;
    let copy = app.nobody().with_cookie(&format!("device={id}"));
    let fields = [("name", "tove"), ("password", crate::support::PASSWORD)];
    let cookie = device_cookie(copy.post("/sign-in", &fields).await.has_status(303));
    assert!(!cookie.contains(&id.to_string()), "{cookie}");
    assert_eq!(phones::list(&app.store, WORKSHOP).await.unwrap()[0].seen, None);
}

#[tokio::test]
async fn a_sign_in_renews_the_cookie_of_a_phone_with_its_secret() {
    let app = TestApp::start().await;
    let client = phone(&app).await;
    let fields = [("name", "mika"), ("password", crate::support::PASSWORD)];
    let cookie = device_cookie(client.post("/sign-in", &fields).await.has_status(303));
    let value = between(&cookie, "device=", ";");
    assert!(value.starts_with(&format!("{}.", only_phone(&app).await)), "{cookie}");
    client.get("/phones").await.has_status(200).says("Last: Mika Saari");
}

#[tokio::test]
async fn the_list_says_what_is_known_of_each_phone() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    manager.get("/phones").await.has_status(200).says("No phone is enrolled");
    phone(&app).await;
    manager.get("/phones").await.says("Bay 2").says("First seen 2026-11-25").says("Not yet");
    for (off, words) in [
        (Some(4_999), ">Right<"),
        (Some(5_000), ">5 s fast<"),
        (Some(-119_999), ">119 s slow<"),
        (Some(120_000), ">2 min fast<"),
        (Some(-7_200_000), ">2 h slow<"),
        (Some(i64::MIN), " h slow<"),
        (Some(i64::MAX), " h fast<"),
        (None, ">Not known<"),
    ] {
        let heard = Heard { at: app.now(), waiting: 17, clock_off_ms: off };
        devices::heard(&app.store, WORKSHOP, only_phone(&app).await, heard).await.unwrap();
        manager.get("/phones").await.says(">17<").says(words);
    }
    app.pass_minutes(7);
    manager.get("/phones").await.says("Heard 7 min ago").says("<span>7 min ago");
}

#[tokio::test]
async fn a_phone_is_renamed_and_an_empty_name_comes_back_with_the_form_open() {
    let app = TestApp::start().await;
    phone(&app).await;
    let manager = app.manager().await;
    let path = format!("/phones/{}/rename", only_phone(&app).await);
    let reply = manager.post(&path, &[("label", "Bay 4")]).await;
    manager.get(reply.has_status(303).location()).await.says("Renamed.").says("Bay 4");
    let reply = manager.post(&path, &[("label", " ")]).await;
    reply.has_status(422).says("Name: Fill this in.").says("class=\"working\" open>");
    let markup = "<script>alert(1)</script>";
    manager.post(&path, &[("label", markup)]).await.has_status(303);
    manager.get("/phones").await.says("&#60;script&#62;alert(1)").is_silent_about("<script>alert");
}

#[tokio::test]
async fn a_revoked_phone_is_signed_out_at_once_and_starts_again_as_another_device() {
    let app = TestApp::start().await;
    let client = phone(&app).await;
    let fields = [("name", "tove"), ("password", crate::support::PASSWORD)];
    client.post("/sign-in", &fields).await.has_status(303);
    client.get("/jobs").await.has_status(200).says("Switch person");
    let (manager, id) = (app.manager().await, only_phone(&app).await);
    let reply = manager.post(&format!("/phones/{id}/revoke"), &[]).await;
    manager.get(reply.has_status(303).location()).await.says("Revoked").is_silent_about("/rename");
    client.get("/jobs").await.has_status(303);
    client.get("/switch").await.has_status(200).says("This phone is not enrolled");
    client.get("/sign-in").await.has_status(200).is_silent_about("Switch by PIN");
    for act in ["rename", "revoke"] {
        manager.post(&format!("/phones/{id}/{act}"), &[("label", "Bay 9")]).await.has_status(404);
    }
    // By password they are let in, on a device that is new to the record.
    client.post("/sign-in", &fields).await.has_status(303);
    client.get("/jobs").await.has_status(200).is_silent_about("Switch person");
    let reply = enrol(&client, &code(&app).await, "Bay 2 again").await;
    assert!(!device_cookie(reply.has_status(303)).contains(&id.to_string()));
}

#[tokio::test]
async fn a_technician_neither_sees_nor_changes_phones() {
    let app = TestApp::start().await;
    let client = phone(&app).await;
    let id = only_phone(&app).await;
    let fields = [("name", "tove"), ("password", crate::support::PASSWORD)];
    client.post("/sign-in", &fields).await.has_status(303);
    client.get("/jobs").await.is_silent_about("href=\"/phones\"");
    client.get("/phones").await.has_status(403);
    client.post("/phones/codes", &[]).await.has_status(403);
    client.post(&format!("/phones/{id}/revoke"), &[]).await.has_status(403);
    app.manager().await.get("/jobs").await.says("href=\"/phones\"");
    people::load(&app.store, WORKSHOP, MANAGER).await.unwrap().unwrap();
}

#[tokio::test]
async fn a_phone_that_is_only_a_browser_is_not_looked_after() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    for act in ["rename", "revoke"] {
        let reply = manager.post(&format!("/phones/{DEVICE}/{act}"), &[("label", "Mine")]).await;
        reply.has_status(404);
    }
}

#[tokio::test]
async fn the_phone_of_another_workshop_is_not_there() {
    let app = TestApp::start().await;
    phone(&app).await;
    let (id, stranger) = (only_phone(&app).await, app.stranger().await);
    stranger.get("/phones").await.has_status(200).is_silent_about("Bay 2");
    stranger.post(&format!("/phones/{id}/revoke"), &[]).await.has_status(404);
}

#[tokio::test]
async fn with_https_the_secret_is_bound_to_the_host() {
    let app = TestApp::at("https").await.with_people().await;
    let client = app.nobody();
    let request = |path: &str| client.request(reqwest::Method::POST, path);
    let headers =
        |request: reqwest::RequestBuilder| request.header("sec-fetch-site", "same-origin");
    let code = fusewright::storage::enrol_codes::NewCode {
        workshop: WORKSHOP,
        made_by: MANAGER,
        link_sha256: sha256("0a".repeat(16).as_bytes()),
        typed_sha256: [0; 32],
        made: app.now(),
    };
    fusewright::storage::enrol_codes::append(&app.store, code).await.unwrap();
    let form = [("code", "0a".repeat(16)), ("label", "Bay 2".to_owned())];
    let reply = crate::support::send(headers(request("/enrol")).form(&form)).await;
    let cookie = device_cookie(reply.has_status(303));
    assert!(cookie.starts_with("__Host-device=") && cookie.ends_with("; Secure"), "{cookie}");
}
