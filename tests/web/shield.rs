//! Headers that every answer carries, whatever it is.

use std::collections::BTreeSet;

use fusewright::web::table;

use super::routes::sample;
use crate::support::{Reply, TestApp};

const ALWAYS: [(&str, &str); 6] = [
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(self), geolocation=(), microphone=()"),
    ("x-frame-options", "DENY"),
];

const FILES: &str = "sandbox; default-src 'none'; frame-ancestors 'none'";
const PAGES: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' blob:; font-src 'self'; connect-src 'self'; manifest-src 'self'; \
    worker-src 'self'; form-action 'self'; base-uri 'none'; object-src 'none'; \
    frame-ancestors 'none'; require-trusted-types-for 'script'";

/// What may stand beside: nothing that names the program, its version or its insides.
const MAY_STAND: [&str; 12] = [
    "allow",
    "cache-control",
    "content-length",
    "content-security-policy",
    "content-type",
    "date",
    "location",
    "set-cookie",
    "transfer-encoding",
    "vary",
    "x-made-for",
    "x-robots-tag",
];

#[track_caller]
fn assert_dressed(reply: &Reply, what: &str) {
    for (name, value) in ALWAYS {
        // Whoever follows a link from a customer's page tells nobody where they came from.
        let is_link = name == "referrer-policy" && what.starts_with("GET /handover");
        let value = if is_link { "no-referrer" } else { value };
        assert_eq!(reply.header(name), value, "{what}: {name}");
        assert_eq!(reply.headers.get_all(name).iter().count(), 1, "{what}: {name}");
    }
    // Of all routes, these two answer with a file although their address names nothing.
    let is_file = what.starts_with("GET /trends.") && reply.status == 200;
    let policy = if is_file { FILES } else { PAGES };
    assert_eq!(reply.header("content-security-policy"), policy, "{what}");
    let kept = if what == "GET /sw.js" { "no-cache" } else { "no-store" };
    assert_eq!(reply.header("cache-control"), kept, "{what}");
    let known: BTreeSet<&str> = ALWAYS.map(|(name, _)| name).into_iter().chain(MAY_STAND).collect();
    for name in reply.headers.keys() {
        let is_known = known.contains(name.as_str()) || is_file && name == "content-disposition";
        assert!(is_known, "{what}: {name}");
    }
}

#[tokio::test]
async fn every_answer_is_dressed_errors_too() {
    let app = TestApp::start().await;
    for route in table() {
        let what = format!("{} {}", route.method, route.path);
        for client in [app.nobody(), app.technician().await, app.owner().await] {
            let path = sample(route.path);
            let get = route.method.as_str() == "GET";
            let reply = if get { client.get(&path).await } else { client.post(&path, &[]).await };
            assert_dressed(&reply, &what);
        }
        let made_for = app.nobody().get(&sample(route.path)).await.header("x-made-for").to_owned();
        assert_eq!(made_for, "", "{what}: an answer to nobody is made for nobody");
    }
    assert_dressed(&app.nobody().get("/no-such-thing").await, "an unknown address");
    let refused = app.nobody().request(reqwest::Method::POST, "/sign-in");
    assert_dressed(&crate::support::send(refused).await, "a request from elsewhere");
}

#[tokio::test]
async fn a_file_of_the_program_may_be_kept_for_ever() {
    let app = TestApp::start().await;
    let page = app.nobody().get("/sign-in").await;
    let (_, rest) = page.text.split_once("<link rel=\"stylesheet\" href=\"").unwrap();
    let (path, _) = rest.split_once('"').unwrap();
    let style = app.nobody().get(path).await;
    assert_eq!(style.has_status(200).header("content-type"), "text/css; charset=utf-8");
    assert_eq!(style.header("cache-control"), "public, max-age=31536000, immutable");
    assert_eq!(style.header("x-content-type-options"), "nosniff");
}

#[tokio::test]
async fn transport_security_is_asked_for_where_there_is_https_alone() {
    let plain = TestApp::start().await.nobody().get("/livez").await;
    assert_eq!(plain.header("strict-transport-security"), "");
    let safe = TestApp::at("https").await.nobody().get("/livez").await;
    let asked = "max-age=63072000";
    assert_eq!(safe.header("strict-transport-security"), asked);
}

#[tokio::test]
async fn a_page_names_no_script_or_style_but_its_files() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    for path in ["/jobs", "/people", "/kits", "/instruments", "/settings", "/verify"] {
        let page = owner.get(path).await;
        page.has_status(200).is_silent_about("<style").is_silent_about(" style=\"");
        page.is_silent_about(" onclick=").is_silent_about("<script>");
    }
}
