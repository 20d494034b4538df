//! First run, sign-in, sign-out.

use fusewright::domain::person::Role;
use fusewright::storage::{people, workshops};

use crate::support::{MANAGER, PASSWORD, SETUP_CODE, TECHNICIAN, TestApp, WORKSHOP};

const START: [(&str, &str); 7] = [
    ("code", SETUP_CODE),
    ("workshop", "Alder Lane Auto"),
    ("prefix", "al"),
    ("person", "Nora Fell"),
    ("sign_in", "Nora"),
    ("password", PASSWORD),
    ("repeat", PASSWORD),
];

fn start_with(changes: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
    let new = |name: &str| changes.iter().find(|(new, _)| *new == name);
    START.iter().map(|field| *new(field.0).unwrap_or(field)).collect()
}

#[tokio::test]
async fn the_first_run_makes_workshop_owner_and_session() {
    let app = TestApp::empty().await;
    let nora = app.nobody();
    nora.get("/first-run").await.has_status(200).says("Set up your workshop");
    assert_eq!(nora.post("/first-run", &START).await.has_status(303).location(), "/kits");
    nora.get("/settings").await.has_status(200).says("Alder Lane Auto");
    let workshop = workshops::list(&app.store).await.unwrap().remove(0);
    assert_eq!(workshop.certificate_prefix, "AL");
    let (owner, _) = people::find(&app.store, workshop.id, "nora").await.unwrap().unwrap();
    assert_eq!((owner.name.as_str(), owner.role), ("Nora Fell", Role::Owner));
}

#[tokio::test]
async fn the_first_run_is_gone_once_somebody_is_there() {
    let app = TestApp::start().await;
    assert_eq!(app.nobody().get("/first-run").await.has_status(303).location(), "/");
    app.nobody().post("/first-run", &START).await.has_status(404);
    assert_eq!(workshops::list(&app.store).await.unwrap().len(), 1);
}

#[tokio::test]
async fn two_first_runs_at_once_make_one_workshop() {
    let app = TestApp::empty().await;
    let (one, other) = (app.nobody(), app.nobody());
    let second = start_with(&[("prefix", "BB")]);
    let (one, other) =
        tokio::join!(one.post("/first-run", &START), other.post("/first-run", &second));
    let mut codes = [one.status, other.status];
    codes.sort_unstable();
    assert_eq!(codes, [303, 404]);
    assert_eq!(workshops::list(&app.store).await.unwrap().len(), 1);
}

#[tokio::test]
async fn the_first_run_needs_the_code_from_the_console() {
    let app = TestApp::empty().await;
    for wrong in ["", "7RTM-0K2V-QX9D", "7RTM"] {
        let reply = app.nobody().post("/first-run", &start_with(&[("code", wrong)])).await;
        reply.has_status(422).says("This is not the code that the server printed");
    }
    // As people type it.
    let typed = start_with(&[("code", " 7rtm 0k2v qx9c ")]);
    app.nobody().post("/first-run", &typed).await.has_status(303);
}

#[tokio::test]
async fn ten_wrong_set_up_codes_close_the_first_run_for_a_quarter_of_an_hour() {
    let app = TestApp::empty().await;
    let wrong = start_with(&[("code", "7RTM-0K2V-QX9D")]);
    for _ in 0..10 {
        app.nobody().post("/first-run", &wrong).await.has_status(422);
    }
    app.pass_minutes(5);
    let refused = app.nobody().post("/first-run", &START).await;
    refused.has_status(429).says("Too many set-up codes were tried. Try again in 11 minutes.");
    assert_eq!(refused.header("retry-after"), "601");
    assert!(workshops::list(&app.store).await.unwrap().is_empty());
    app.pass_minutes(10);
    app.nobody().post("/first-run", &START).await.has_status(303);
}

#[tokio::test]
async fn slips_beside_the_right_code_are_no_guesses_at_it() {
    let app = TestApp::empty().await;
    for _ in 0..15 {
        app.nobody().post("/first-run", &start_with(&[("prefix", "")])).await.has_status(422);
    }
    app.nobody().post("/first-run", &START).await.has_status(303);
}

/// A stranger elsewhere does not lock the owner out, and has an end all the same.
#[tokio::test]
async fn a_hundred_wrong_set_up_codes_from_anywhere_close_it_until_the_next_start() {
    let app = TestApp::behind("http", vec!["127.0.0.1".parse().unwrap()]).await;
    let guess = async |number: usize, code: &'static str| {
        let request = app.nobody().request(reqwest::Method::POST, "/first-run");
        let request = request.header("x-forwarded-for", format!("203.0.113.{}", number / 10));
        let request = request.header("sec-fetch-site", "same-origin");
        crate::support::send(request.form(&start_with(&[("code", code)]))).await
    };
    for number in 0..100 {
        guess(number, "7RTM-0K2V-QX9D").await.has_status(422);
    }
    let refused = guess(200, SETUP_CODE).await;
    refused.has_status(403).says("Start the server again: it prints a new code.");
    app.pass_minutes(60);
    guess(200, SETUP_CODE).await.has_status(403);
}

#[tokio::test]
async fn a_first_run_with_faults_comes_back_with_what_was_typed_but_no_password() {
    let app = TestApp::empty().await;
    let typed = start_with(&[("prefix", "A1"), ("repeat", "nine grey herons waded")]);
    let reply = app.nobody().post("/first-run", &typed).await;
    reply.has_status(422).says("value=\"Alder Lane Auto\"").says("value=\"A1\"");
    reply.says("two to four letters from A to Z").says("The two passwords differ");
    reply.says("href=\"#prefix\"").says("Letters of certificate numbers: Write two");
    reply.is_silent_about("herons");
    assert!(workshops::list(&app.store).await.unwrap().is_empty());
}

#[tokio::test]
async fn letters_left_out_are_suggested_from_the_name_and_not_just_taken() {
    let app = TestApp::empty().await;
    let reply = app.nobody().post("/first-run", &start_with(&[("prefix", "")])).await;
    reply.has_status(422).says("value=\"ALA\"").says("they stay for good");
    let one_word = start_with(&[("prefix", ""), ("workshop", "Nordlicht")]);
    app.nobody().post("/first-run", &one_word).await.has_status(422).says("value=\"NOR\"");
}

#[tokio::test]
async fn a_workshop_left_without_people_is_taken_up_again() {
    let app = TestApp::empty().await;
    let mut left = crate::support::workshop();
    left.certificate_prefix = "AL".to_owned();
    workshops::append(&app.store, &left).await.unwrap();
    app.nobody().post("/first-run", &START).await.has_status(303);
    let all = workshops::list(&app.store).await.unwrap();
    assert_eq!(all.len(), 1);
    assert_eq!((all[0].id, all[0].name.as_str()), (WORKSHOP, "Alder Lane Auto"));
}

#[tokio::test]
async fn an_unknown_name_and_a_wrong_password_get_the_same_answer() {
    let app = TestApp::start().await;
    let wrong = [("name", "tove"), ("password", "nine grey herons wadedd")];
    let unknown = [("name", "nils"), ("password", PASSWORD)];
    let wrong = app.nobody().post("/sign-in", &wrong).await;
    let unknown = app.nobody().post("/sign-in", &unknown).await;
    wrong.has_status(422).says("Name and password do not belong together.");
    assert_eq!(unknown.status, wrong.status);
    assert_eq!(unknown.text.replace("nils", "tove"), wrong.text);
    wrong.says("value=\"tove\"").is_silent_about("herons");
}

#[tokio::test]
async fn somebody_who_is_disabled_gets_the_same_answer_too() {
    let app = TestApp::start().await;
    people::disable(&app.store, WORKSHOP, TECHNICIAN, app.now()).await.unwrap();
    let right = app.nobody().post("/sign-in", &[("name", "tove"), ("password", PASSWORD)]).await;
    right.has_status(422).says("Name and password do not belong together.");
}

#[tokio::test]
async fn the_name_is_read_in_any_case() {
    let app = TestApp::start().await;
    let typed = [("name", " Tove "), ("password", PASSWORD)];
    app.nobody().post("/sign-in", &typed).await.has_status(303);
}

#[tokio::test]
async fn signing_in_leads_on_only_within_this_server() {
    let app = TestApp::start().await;
    for (next, to) in [
        ("/jobs/new?x=1", "/jobs/new?x=1"),
        ("", "/"),
        ("jobs", "/"),
        ("//elsewhere.example/", "/"),
        ("/\\elsewhere.example/", "/"),
        ("/\t/elsewhere.example/", "/"),
        ("https://elsewhere.example/", "/"),
        ("javascript:alert(1)", "/"),
        ("/jobs\r\nset-cookie: a=b", "/"),
    ] {
        let typed = [("name", "tove"), ("password", PASSWORD), ("next", next)];
        let reply = app.nobody().post("/sign-in", &typed).await;
        assert_eq!(reply.has_status(303).location(), to, "{next:?}");
    }
}

#[tokio::test]
async fn a_page_for_people_leads_through_the_sign_in_and_back() {
    let app = TestApp::start().await;
    let client = app.nobody();
    let sent = client.get("/instruments?a=b").await;
    let page = client.get(sent.has_status(303).location()).await;
    page.has_status(200).says("name=\"next\" value=\"/instruments?a=b\"");
}

#[tokio::test]
async fn ten_wrong_passwords_close_the_name_for_a_quarter_of_an_hour() {
    let app = TestApp::start().await;
    let wrong = [("name", "tove"), ("password", "not the password at all")];
    for _ in 0..10 {
        app.nobody().post("/sign-in", &wrong).await.has_status(422);
    }
    app.pass_minutes(5);
    let right = [("name", "tove"), ("password", PASSWORD)];
    let refused = app.nobody().post("/sign-in", &right).await;
    refused.has_status(429).says("Try again in 11 minutes");
    assert_eq!(refused.header("retry-after"), "601");
    // Somebody else is not hindered, and after the window nobody is.
    app.manager().await;
    app.pass_minutes(11);
    app.nobody().post("/sign-in", &right).await.has_status(303);
}

#[tokio::test]
async fn a_stranger_cannot_lock_a_phone_out_that_was_signed_in_before() {
    let app = TestApp::start().await;
    let phone = app.technician().await;
    phone.post("/sign-out", &[]).await.has_status(303);
    let wrong = [("name", "tove"), ("password", "not the password at all")];
    for _ in 0..11 {
        app.nobody().post("/sign-in", &wrong).await;
    }
    let right = [("name", "tove"), ("password", PASSWORD)];
    app.nobody().post("/sign-in", &right).await.has_status(429);
    phone.post("/sign-in", &right).await.has_status(303);
    // But the phone does not get more tries than others either.
    phone.post("/sign-out", &[]).await.has_status(303);
    for _ in 0..10 {
        phone.post("/sign-in", &wrong).await.has_status(422);
    }
    phone.post("/sign-in", &right).await.has_status(429);
}

#[tokio::test]
async fn one_address_cannot_try_many_names() {
    let app = TestApp::start().await;
    for number in 0..30 {
        let name = format!("name{number}");
        let typed = [("name", name.as_str()), ("password", PASSWORD)];
        app.nobody().post("/sign-in", &typed).await.has_status(422);
    }
    let right = [("name", "tove"), ("password", PASSWORD)];
    app.nobody().post("/sign-in", &right).await.has_status(429);
}

#[tokio::test]
async fn each_sign_in_has_a_token_of_its_own_and_ends_the_one_before() {
    let app = TestApp::start().await;
    let client = app.nobody();
    let right = [("name", "tove"), ("password", PASSWORD)];
    let first = cookie(&client.post("/sign-in", &right).await, "session");
    let second = cookie(&client.post("/sign-in", &right).await, "session");
    assert_ne!(first, second);
    assert_eq!(second.len(), 64);
    let with = |token: String| {
        let request = app.nobody().request(reqwest::Method::GET, "/instruments");
        crate::support::send(request.header("cookie", format!("session={token}")))
    };
    with(second).await.has_status(200);
    assert_eq!(with(first).await.has_status(303).location(), "/sign-in?next=/instruments");
}

fn cookie(reply: &crate::support::Reply, name: &str) -> String {
    let mut all = reply.headers.get_all("set-cookie").iter().map(|value| value.to_str().unwrap());
    let start = format!("{name}=");
    let found = all.find_map(|cookie| cookie.strip_prefix(&start)).unwrap();
    found.split(';').next().unwrap().to_owned()
}

#[tokio::test]
async fn cookies_are_out_of_reach_of_scripts_and_bound_to_https_where_there_is_one() {
    let right = [("name", "tove"), ("password", PASSWORD)];
    let plain = TestApp::start().await.nobody().post("/sign-in", &right).await;
    for cookie in plain.headers.get_all("set-cookie") {
        let text = cookie.to_str().unwrap();
        assert!(text.contains("; Path=/; HttpOnly; SameSite=Lax; Max-Age="), "{text}");
        assert!(!text.contains("Secure"), "{text}");
    }
    let app = TestApp::at("https").await;
    let reply = app.nobody().post("/first-run", &START).await;
    let names: Vec<_> = reply.headers.get_all("set-cookie").iter().collect();
    assert_eq!(names.len(), 2);
    for cookie in names {
        let text = cookie.to_str().unwrap();
        assert!(text.starts_with("__Host-") && text.ends_with("; Secure"), "{text}");
    }
}

#[tokio::test]
async fn signing_out_ends_the_session_itself_and_not_only_its_cookie() {
    let app = TestApp::start().await;
    let client = app.nobody();
    let right = [("name", "tove"), ("password", PASSWORD)];
    let token = cookie(&client.post("/sign-in", &right).await, "session");
    let out = client.post("/sign-out", &[]).await;
    assert_eq!(out.has_status(303).location(), "/sign-in");
    assert!(out.header("set-cookie").starts_with("session=; "));
    let request = app.nobody().request(reqwest::Method::GET, "/instruments");
    let again = crate::support::send(request.header("cookie", format!("session={token}"))).await;
    again.has_status(303);
}

#[tokio::test]
async fn a_desk_that_nobody_uses_is_signed_out_and_a_phone_in_a_vehicle_is_not() {
    let app = TestApp::start().await;
    let (desk, phone) = (app.manager().await, app.technician().await);
    app.pass_minutes(121);
    desk.get("/kits").await.has_status(303);
    phone.get("/instruments").await.has_status(200);
    app.pass_minutes(12 * 60);
    phone.get("/instruments").await.has_status(303);
}

#[tokio::test]
async fn whoever_is_disabled_is_out_at_once() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    manager.get("/kits").await.has_status(200);
    people::disable(&app.store, WORKSHOP, MANAGER, app.now()).await.unwrap();
    manager.get("/kits").await.has_status(303);
}

#[tokio::test]
async fn somebody_who_is_signed_in_does_not_see_the_sign_in() {
    let app = TestApp::start().await;
    assert_eq!(app.manager().await.get("/sign-in").await.has_status(303).location(), "/jobs");
}

#[tokio::test]
async fn an_endless_form_is_not_read() {
    let app = TestApp::start().await;
    let long = "a".repeat(70 * 1024);
    let reply = app.nobody().post("/sign-in", &[("name", "tove"), ("password", &long)]).await;
    reply.has_status(413).says("A form takes at most 64 KiB.");
}
