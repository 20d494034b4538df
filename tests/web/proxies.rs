//! Whose word counts on where a request comes from: that of the named proxies, and nobody else's.

use std::net::IpAddr;

use reqwest::Method;

use crate::support::{PASSWORD, Reply, TestApp, send};

/// The tests themselves call from here.
const HERE: &str = "127.0.0.1";

async fn behind(proxies: &[&str]) -> TestApp {
    TestApp::start_behind(proxies.iter().map(|ip| ip.parse::<IpAddr>().unwrap()).collect()).await
}

/// A sign-in with a name of its own, so that only the address is counted up.
async fn try_from(app: &TestApp, number: usize, forwarded: &[&str]) -> Reply {
    let mut request = app.nobody().request(Method::POST, "/sign-in");
    for line in forwarded {
        request = request.header("x-forwarded-for", *line);
    }
    let name = format!("name{number}");
    let fields = [("name", name.as_str()), ("password", PASSWORD)];
    send(request.header("sec-fetch-site", "same-origin").form(&fields)).await
}

/// Uses up the tries of the address that these headers come to.
async fn use_up(app: &TestApp, forwarded: &[&str]) {
    for number in 0..30 {
        try_from(app, number, forwarded).await.has_status(422);
    }
    try_from(app, 30, forwarded).await.has_status(429);
}

#[tokio::test]
async fn without_a_named_proxy_the_header_is_not_read() {
    let app = behind(&[]).await;
    use_up(&app, &["203.0.113.7"]).await;
    try_from(&app, 31, &["203.0.113.8"]).await.has_status(429);
    try_from(&app, 32, &[]).await.has_status(429);
}

#[tokio::test]
async fn from_anywhere_but_a_named_proxy_the_header_is_not_read() {
    let app = behind(&["192.0.2.1"]).await;
    use_up(&app, &["203.0.113.7"]).await;
    try_from(&app, 31, &["203.0.113.8"]).await.has_status(429);
}

#[tokio::test]
async fn callers_of_a_named_proxy_are_counted_apart() {
    let app = behind(&[HERE]).await;
    use_up(&app, &["203.0.113.7"]).await;
    try_from(&app, 31, &["203.0.113.8"]).await.has_status(422);
    // What the proxy itself asks for is its own.
    try_from(&app, 32, &[]).await.has_status(422);
}

/// Whoever calls the proxy can write what they like before what it adds itself.
#[tokio::test]
async fn what_a_caller_wrote_into_the_header_gives_no_fresh_tries() {
    let app = behind(&[HERE]).await;
    use_up(&app, &["203.0.113.7"]).await;
    for (number, made_up) in (40..).zip([
        ["203.0.113.8, 203.0.113.7"].as_slice(),
        &["203.0.113.8", "203.0.113.7"],
        &["127.0.0.1, 203.0.113.7"],
        &["nonsense,, 203.0.113.7"],
        &["203.0.113.8,203.0.113.7:4711"],
        &["::ffff:203.0.113.7"],
        &["[::ffff:203.0.113.7]:4711"],
    ]) {
        let reply = try_from(&app, number, made_up).await;
        assert_eq!(reply.status, 429, "{made_up:?}");
    }
}

#[tokio::test]
async fn named_proxies_in_a_row_are_passed_over() {
    let app = behind(&[HERE, "192.0.2.1", "2001:db8::1"]).await;
    use_up(&app, &["203.0.113.7"]).await;
    let through = ["203.0.113.7, 2001:db8::1", "192.0.2.1"];
    try_from(&app, 31, &through).await.has_status(429);
    // One that is not named is a caller like any other.
    try_from(&app, 32, &["203.0.113.7, 192.0.2.9"]).await.has_status(422);
}

/// What cannot be read ends the way there: the proxy that passed it on is counted.
#[tokio::test]
async fn an_address_that_cannot_be_read_counts_as_the_proxys_own() {
    let app = behind(&[HERE]).await;
    use_up(&app, &["unknown"]).await;
    try_from(&app, 31, &[]).await.has_status(429);
    try_from(&app, 32, &["203.0.113.7"]).await.has_status(422);
}
