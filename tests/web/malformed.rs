//! Requests that no page sends: whatever is wrong with them, the answer is the house's own.

use fusewright::web::table;
use reqwest::Method;
use serde_json::Value;

use super::routes::sample;
use crate::support::{Client, Reply, TestApp, send};

/// Content type and body of forms that are broken in one way each.
const BODIES: [(&str, &str); 6] = [
    ("application/json", "{\"job\":"),
    ("application/json", "[7]"),
    (
        "multipart/form-data; boundary=x",
        "--x\r\ncontent-disposition: form-data; name=\"a\"\r\n\r\nhalf",
    ),
    ("multipart/form-data", "no boundary"),
    ("application/x-www-form-urlencoded", "%FF%=&&=;&name=%C3"),
    ("text/plain", "name=tove"),
];
/// Parts of an address that name nothing.
const PARTS: [&str; 4] = ["nonsense", "%FF", "%20", "00000000"];
const QUERY: &str =
    "show=a&show=b&step=%FF&step=b&find=a&find=b&done=a&done=b&next=a&next=b&before=x";

/// A page with a heading or problem details; a script that asks for JSON gets no other page than a
/// form with its faults.
#[track_caller]
fn assert_ours(reply: &Reply, what: &str, json: bool) {
    assert!(reply.status < 500, "{what}: {} {}", reply.status, reply.text);
    if reply.status < 400 {
        return;
    }
    let kind = reply.header("content-type");
    if kind == "application/problem+json" {
        let problem: Value = serde_json::from_slice(&reply.bytes).unwrap();
        assert_eq!(problem["status"], reply.status, "{what}");
        for key in ["type", "title", "detail"] {
            assert!(problem[key].as_str().is_some_and(|text| !text.is_empty()), "{what}: {key}");
        }
        return;
    }
    assert_eq!(kind, "text/html; charset=utf-8", "{what}: {}", reply.text);
    assert!(reply.text.contains("<h1"), "{what}: no heading");
    let is_form = reply.text.contains("<form class=\"form");
    let says_what = reply.text.contains("href=\"/\"");
    assert!(if json { is_form } else { is_form || says_what }, "{what}: no way on");
}

fn accept(json: bool) -> &'static str {
    if json { "application/json" } else { "text/html,application/xhtml+xml,*/*;q=0.8" }
}

async fn ask(client: &Client, method: &Method, path: &str, json: bool) -> Reply {
    let request = client.request(method.clone(), path).header("sec-fetch-site", "same-origin");
    send(request.header("accept", accept(json))).await
}

#[tokio::test]
async fn a_body_that_cannot_be_read_gets_a_page_or_problem_details() {
    let app = TestApp::start().await;
    for route in table().iter().filter(|route| route.method == Method::POST) {
        // Anew for each: one of the routes signs out.
        let owner = app.owner().await;
        for (json, (kind, body)) in [false, true].into_iter().flat_map(|j| BODIES.map(|b| (j, b))) {
            let request = owner.request(Method::POST, &sample(route.path));
            let request = request.header("sec-fetch-site", "same-origin");
            let request = request.header("accept", accept(json)).header("content-type", kind);
            let reply = send(request.body(body)).await;
            assert_ours(&reply, &format!("{} with {kind} {body:?}", route.path), json);
        }
    }
}

#[tokio::test]
async fn an_address_that_names_nothing_gets_a_page_or_problem_details() {
    let app = TestApp::start().await;
    for route in table().iter().filter(|route| route.path.contains('{')) {
        let owner = app.owner().await;
        for (json, part) in [false, true].into_iter().flat_map(|j| PARTS.map(|part| (j, part))) {
            let fill = |place: &str| if place.starts_with('{') { part } else { place }.to_owned();
            let path = route.path.split('/').map(fill).collect::<Vec<_>>().join("/");
            let reply = ask(&owner, &route.method, &path, json).await;
            assert_ours(&reply, &format!("{} {path}", route.method), json);
            let found = reply.status < 400;
            assert!(!found || route.path.starts_with("/verify"), "{path}: {}", reply.status);
        }
    }
}

#[tokio::test]
async fn a_query_that_cannot_be_read_gets_a_page_or_problem_details() {
    let app = TestApp::start().await;
    let (owner, nobody) = (app.owner().await, app.nobody());
    let job = app.job_with_sheet().await.row.id;
    let mut paths: Vec<String> = table()
        .iter()
        .filter(|route| route.method == Method::GET)
        .map(|route| sample(route.path))
        .collect();
    paths.extend(["", "/plan", "/sheet", "/review"].map(|part| format!("/jobs/{job}{part}")));
    for path in paths {
        for (client, json) in [(&owner, false), (&owner, true), (&nobody, false)] {
            let reply = ask(client, &Method::GET, &format!("{path}?{QUERY}"), json).await;
            assert_ours(&reply, &path, json);
        }
    }
}

/// What is refused before anybody is asked for is no blank page either.
#[tokio::test]
async fn a_request_from_elsewhere_gets_a_page_or_problem_details() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    for json in [false, true] {
        let request = owner.request(Method::POST, "/settings").header("accept", accept(json));
        let reply = send(request.header("sec-fetch-site", "cross-site").body("")).await;
        reply.has_status(403).says("did not come from this server").says("Not allowed");
        assert_ours(&reply, "from elsewhere", json);
    }
}

/// One of each kind: an office form, a kit, a step's photos, a phone's batch.
#[tokio::test]
async fn a_body_that_is_too_large_is_told_how_much_is_taken() {
    const MIB: usize = 1024 * 1024;
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let owner = app.owner().await;
    let step = format!("/jobs/{job}/steps/none");
    let preview = format!("/jobs/{job}/plan/preview");
    let form = "application/x-www-form-urlencoded";
    let parts = "multipart/form-data; boundary=x";
    let begun = "--x\r\ncontent-disposition: form-data; name=\"photo\"; filename=\"a\"\r\n\r\n";
    for (path, kind, start, bytes, words) in [
        ("/settings", form, "name=", MIB / 16, "at most 64 KiB"),
        (&preview, form, "vehicle.description=", MIB / 4, "the 256 KiB of a form"),
        ("/kits", parts, begun, MIB, "at most 1024 KiB"),
        (&step, parts, begun, 40 * MIB, "more than the 40 MiB"),
        ("/sync", "application/json", "{\"job\":\"", 8 * MIB, "at most 64 entries"),
    ] {
        let body = format!("{start}{}", "a".repeat(bytes));
        for json in [false, true] {
            let request = owner.request(Method::POST, path).header("accept", accept(json));
            let request = request.header("sec-fetch-site", "same-origin");
            let reply = send(request.header("content-type", kind).body(body.clone())).await;
            reply.has_status(413).says(words);
            assert_ours(&reply, path, json);
        }
    }
}
