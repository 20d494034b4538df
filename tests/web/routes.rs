//! Who gets which answer at which address: the whole table of routes, and the same-origin rule.

use std::collections::BTreeSet;

use fusewright::web::table;
use reqwest::Method;

use crate::support::{Client, Reply, TECHNICIAN, TestApp, send};

/// Answers to nobody, technician, manager, owner. Ids in the addresses name nothing, and forms are
/// empty: whoever may pass is told 404, 422 or 415, whoever may not is told 303 (to the sign-in; a script
/// 401) or 403.
type Expected = (&'static str, &'static str, [u16; 4]);

const ROLES: [&str; 4] = ["nobody", "technician", "manager", "owner"];

const EXPECTED: [Expected; 146] = [
    ("GET", "/", [303, 303, 303, 303]),
    ("GET", "/livez", [200, 200, 200, 200]),
    ("GET", "/readyz", [200, 200, 200, 200]),
    ("GET", "/a/{build}/{*path}", [404, 404, 404, 404]),
    ("GET", "/sw.js", [200, 200, 200, 200]),
    ("GET", "/offline", [200, 200, 200, 200]),
    ("GET", "/waiting", [200, 200, 200, 200]),
    ("GET", "/first-run", [303, 303, 303, 303]),
    ("POST", "/first-run", [404, 404, 404, 404]),
    ("GET", "/sign-in", [200, 303, 303, 303]),
    ("POST", "/sign-in", [422, 422, 422, 422]),
    ("GET", "/switch", [200, 200, 200, 200]),
    ("POST", "/switch", [403, 403, 403, 403]),
    ("GET", "/enrol", [200, 200, 200, 200]),
    ("POST", "/enrol", [422, 422, 422, 422]),
    ("GET", "/invited", [404, 404, 404, 404]),
    ("POST", "/invited", [404, 404, 404, 404]),
    ("POST", "/sign-out", [303, 303, 303, 303]),
    ("GET", "/verify", [200, 200, 200, 200]),
    ("GET", "/verify/by-hand", [200, 200, 200, 200]),
    ("GET", "/verify/{number}", [422, 422, 422, 422]),
    ("GET", "/verify/{number}/{code}", [404, 404, 404, 404]),
    ("GET", "/verify/{number}/{code}/safe", [404, 404, 404, 404]),
    ("GET", "/handover/open/{token}", [404, 404, 404, 404]),
    ("GET", "/handover", [404, 404, 404, 404]),
    ("GET", "/handover/paper.pdf", [404, 404, 404, 404]),
    ("GET", "/handover/certificate.pdf", [404, 404, 404, 404]),
    ("GET", "/handover/photos/{sha256}", [404, 404, 404, 404]),
    ("GET", "/handover/wiring/{part}", [404, 404, 404, 404]),
    ("GET", "/status-list", [200, 200, 200, 200]),
    ("GET", "/status-list/signature", [200, 200, 200, 200]),
    ("GET", "/status-list/certificate", [200, 200, 200, 200]),
    ("GET", "/calendar/{file}", [404, 404, 404, 404]),
    ("GET", "/seals", [200, 200, 200, 200]),
    ("GET", "/seals/{fingerprint}", [404, 404, 404, 404]),
    ("GET", "/seals/{fingerprint}/change", [404, 404, 404, 404]),
    ("GET", "/seals/{fingerprint}/change/old-signature", [404, 404, 404, 404]),
    ("GET", "/seals/{fingerprint}/change/new-signature", [404, 404, 404, 404]),
    ("GET", "/along", [303, 200, 200, 200]),
    ("GET", "/jobs", [303, 200, 200, 200]),
    ("GET", "/jobs/new", [303, 403, 200, 200]),
    ("POST", "/jobs/new", [303, 403, 422, 422]),
    ("GET", "/jobs/{job}", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/assign", [303, 403, 422, 422]),
    ("GET", "/jobs/{job}/plan", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/plan", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/plan/preview", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/plan/acknowledge", [303, 403, 422, 422]),
    ("GET", "/jobs/{job}/sheet", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/sheet", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/steps/{step}", [303, 400, 400, 400]),
    ("GET", "/jobs/{job}/steps/{step}/search", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/submit", [303, 422, 422, 422]),
    ("POST", "/sync", [401, 415, 415, 415]),
    ("GET", "/photos/{sha256}", [303, 404, 404, 404]),
    ("GET", "/photos/{sha256}/thumb", [303, 404, 404, 404]),
    ("GET", "/photos/{sha256}/upload", [401, 200, 200, 200]),
    ("POST", "/photos/{sha256}/upload", [401, 415, 415, 415]),
    ("GET", "/jobs/{job}/review", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/return", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/concession", [303, 403, 422, 422]),
    ("POST", "/jobs/{job}/release", [303, 403, 422, 422]),
    ("POST", "/jobs/{job}/certificate", [303, 403, 404, 404]),
    ("GET", "/jobs/{job}/again", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/again", [303, 403, 404, 404]),
    ("GET", "/defects", [303, 200, 200, 200]),
    ("GET", "/jobs/{job}/defects/new", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/defects", [303, 403, 400, 400]),
    ("GET", "/jobs/{job}/defects/{defect}", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/defects/{defect}/rework", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/defects/{defect}/confirm", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/defects/{defect}/assign", [303, 403, 404, 404]),
    ("GET", "/vehicles/{job}", [303, 404, 404, 404]),
    ("GET", "/jobs/{job}/handover", [303, 404, 404, 404]),
    ("GET", "/jobs/{job}/links", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/links", [303, 404, 404, 404]),
    ("POST", "/jobs/{job}/language", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/links/{link}/revoke", [303, 404, 404, 404]),
    ("GET", "/jobs/{job}/labels", [303, 404, 404, 404]),
    ("GET", "/jobs/{job}/labels.pdf", [303, 404, 404, 404]),
    ("GET", "/jobs/{job}/archive", [303, 403, 403, 404]),
    ("GET", "/certificates/{number}", [303, 404, 404, 404]),
    ("POST", "/certificates/{number}/withdraw", [303, 403, 404, 404]),
    ("POST", "/certificates/{number}/withdraw/confirm", [303, 403, 404, 404]),
    ("POST", "/certificates/{number}/withdraw/drop", [303, 403, 404, 404]),
    ("GET", "/board", [303, 403, 200, 200]),
    ("POST", "/board/away", [303, 403, 422, 422]),
    ("POST", "/board/away/back", [303, 403, 404, 404]),
    ("GET", "/jobs/{job}/day", [303, 403, 404, 404]),
    ("POST", "/jobs/{job}/day", [303, 403, 404, 404]),
    ("GET", "/due", [303, 403, 200, 200]),
    ("POST", "/due/calendar", [303, 403, 200, 200]),
    // After the row above each of them has one.
    ("POST", "/due/calendar/revoke", [303, 403, 303, 303]),
    ("GET", "/trends", [303, 403, 200, 200]),
    ("GET", "/trends.csv", [303, 403, 200, 200]),
    ("GET", "/trends.xlsx", [303, 403, 200, 200]),
    ("GET", "/outbox-file", [303, 403, 200, 200]),
    ("POST", "/outbox-file", [303, 403, 400, 400]),
    ("POST", "/outbox-file/record", [303, 403, 422, 422]),
    ("GET", "/parts", [303, 403, 200, 200]),
    ("GET", "/parts.csv", [303, 403, 422, 422]),
    ("GET", "/kits", [303, 403, 200, 200]),
    ("POST", "/kits", [303, 403, 422, 422]),
    ("GET", "/kits/{kit}", [303, 403, 404, 404]),
    ("GET", "/kits/{kit}/file", [303, 403, 404, 404]),
    ("GET", "/kits/{kit}/compare", [303, 403, 404, 404]),
    ("GET", "/kits/{kit}/edit", [303, 403, 404, 404]),
    ("POST", "/kits/{kit}/edit", [303, 403, 404, 404]),
    ("POST", "/kits/{kit}/edit/check", [303, 403, 404, 404]),
    ("POST", "/kits/{kit}/edit/drop", [303, 403, 404, 404]),
    ("GET", "/instruments", [303, 200, 200, 200]),
    ("POST", "/instruments", [303, 403, 422, 422]),
    ("GET", "/instruments/{instrument}", [303, 403, 404, 404]),
    ("POST", "/instruments/{instrument}/calibrations", [303, 403, 404, 404]),
    ("POST", "/instruments/{instrument}/calibrations/{calibration}/files", [303, 403, 404, 404]),
    (
        "GET",
        "/instruments/{instrument}/calibrations/{calibration}/files/{sha256}",
        [303, 403, 404, 404],
    ),
    ("POST", "/instruments/{instrument}/recall", [303, 403, 404, 404]),
    ("GET", "/instruments/{instrument}/recalls/{recall}", [303, 403, 404, 404]),
    ("GET", "/instruments/{instrument}/recalls/{recall}/readings.csv", [303, 403, 404, 404]),
    ("POST", "/instruments/{instrument}/retire", [303, 403, 404, 404]),
    ("GET", "/people", [303, 403, 200, 200]),
    ("POST", "/people", [303, 403, 422, 422]),
    ("POST", "/people/invitations", [303, 403, 422, 422]),
    ("POST", "/people/invitations/{invitation}/revoke", [303, 403, 404, 404]),
    ("POST", "/people/{person}/disable", [303, 403, 404, 404]),
    ("POST", "/people/{person}/enable", [303, 403, 404, 404]),
    ("POST", "/people/{person}/password", [303, 403, 404, 404]),
    ("POST", "/people/{person}/role", [303, 403, 403, 404]),
    ("POST", "/people/{person}/pin", [303, 403, 404, 404]),
    ("POST", "/people/{person}/pin/take", [303, 403, 404, 404]),
    ("GET", "/phones", [303, 403, 200, 200]),
    ("POST", "/phones/codes", [303, 403, 200, 200]),
    ("POST", "/phones/{device}/rename", [303, 403, 404, 404]),
    ("POST", "/phones/{device}/revoke", [303, 403, 404, 404]),
    ("GET", "/password", [303, 200, 200, 200]),
    ("POST", "/password", [303, 422, 422, 422]),
    ("GET", "/audit", [303, 403, 403, 200]),
    ("GET", "/settings", [303, 403, 403, 200]),
    ("POST", "/settings", [303, 403, 403, 422]),
    ("GET", "/settings/rules", [303, 403, 200, 200]),
    ("POST", "/settings/rules", [303, 403, 403, 422]),
    ("GET", "/settings/retention", [303, 403, 403, 200]),
    ("POST", "/settings/retention", [303, 403, 403, 303]),
    ("GET", "/settings/logo", [303, 403, 403, 404]),
    ("POST", "/settings/logo", [303, 403, 403, 422]),
    ("POST", "/settings/logo/remove", [303, 403, 403, 303]),
];

/// An address of that shape, with ids that name nothing.
pub(super) fn sample(pattern: &str) -> String {
    let id = "00000000-0000-0000-0000-0000000000aa";
    pattern
        .replace("{build}/{*path}", "none/app.js")
        .replace("{sha256}", &"0a".repeat(32))
        .replace("{number}", "none")
        .replace("{code}", "none")
        .replace("{step}", "none")
        .split('/')
        .map(|part| if part.starts_with('{') { id } else { part })
        .collect::<Vec<_>>()
        .join("/")
}

async fn ask(client: &Client, method: &str, path: &str) -> Reply {
    if method == "GET" { client.get(path).await } else { client.post(path, &[]).await }
}

#[test]
fn every_route_is_listed_here_and_nothing_else() {
    let served: BTreeSet<(String, &str)> =
        table().iter().map(|route| (route.method.to_string(), route.path)).collect();
    let listed: BTreeSet<(String, &str)> =
        EXPECTED.iter().map(|(method, path, _)| ((*method).to_owned(), *path)).collect();
    assert_eq!(served, listed);
}

#[tokio::test]
async fn every_route_gives_every_role_the_expected_answer() {
    let app = TestApp::start().await;
    let mut wrong = Vec::new();
    for (method, pattern, codes) in EXPECTED {
        let people = [app.nobody(), app.technician().await, app.manager().await, app.owner().await];
        for ((client, role), code) in people.iter().zip(ROLES).zip(codes) {
            let reply = ask(client, method, &sample(pattern)).await;
            if reply.status != code {
                wrong.push(format!("{method} {pattern}, {role}: {} and not {code}", reply.status));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Strangers are led to the sign-in, and nowhere else, unless the route is open to all.
#[tokio::test]
async fn strangers_are_led_to_the_sign_in() {
    let app = TestApp::start().await;
    for (method, pattern, codes) in EXPECTED {
        if codes[0] != 303 || matches!(pattern, "/" | "/first-run") {
            continue;
        }
        let reply = ask(&app.nobody(), method, &sample(pattern)).await;
        assert!(reply.location().starts_with("/sign-in?next=/"), "{method} {pattern}");
    }
}

#[tokio::test]
async fn what_acts_is_refused_unless_it_comes_from_this_servers_pages() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let foreign: [&[(&str, &str)]; 7] = [
        &[],
        &[("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site")],
        &[("sec-fetch-site", "none")],
        &[("origin", "https://elsewhere.example")],
        &[("origin", "null")],
        // What the browser says about the site outweighs an origin that looks right.
        &[("sec-fetch-site", "cross-site"), ("origin", &app.address)],
    ];
    for (_, pattern, _) in EXPECTED.iter().filter(|(method, _, _)| *method == "POST") {
        for headers in foreign {
            let mut request = owner.request(Method::POST, &sample(pattern));
            for (name, value) in headers {
                request = request.header(*name, *value);
            }
            let reply = send(request).await;
            assert_eq!(reply.status, 403, "{pattern} with {headers:?}");
        }
    }
    // Nothing of it signed the owner out.
    owner.get("/settings").await.has_status(200);
}

#[tokio::test]
async fn a_browser_that_names_only_its_origin_may_act() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let request = owner.request(Method::POST, "/sign-out").header("origin", &app.address);
    send(request).await.has_status(303);
    owner.get("/settings").await.has_status(303);
}

/// Reading never changes anything, so no other method reaches a handler either.
#[tokio::test]
async fn other_methods_find_nothing() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    for method in [Method::PUT, Method::DELETE, Method::PATCH, Method::OPTIONS] {
        let request = owner.request(method, "/kits").header("sec-fetch-site", "same-origin");
        send(request).await.has_status(404);
    }
}

#[tokio::test]
async fn a_job_is_found_by_those_who_may_see_it() {
    let app = TestApp::start().await;
    let job = app.job_with_sheet().await.row.id;
    let (technician, manager) = (app.technician().await, app.manager().await);
    for part in ["", "/plan", "/sheet"] {
        technician.get(&format!("/jobs/{job}{part}")).await.has_status(200).says("HP 21 KLN");
    }
    manager.get(&format!("/jobs/{job}/review")).await.has_status(200);
}

/// Another workshop on the same server is as if it were not there.
#[tokio::test]
async fn what_belongs_to_another_workshop_is_not_found() {
    let app = TestApp::start().await;
    let (job, kit) = (app.job().await, app.kit().await);
    let meter = app.meter("Meter 03", "2026-01-01", "2027-01-01").await;
    let stranger = app.stranger().await;
    stranger.get("/jobs").await.has_status(200).is_silent_about("HP 21 KLN");
    stranger.get("/kits").await.has_status(200).is_silent_about("TRAY-40");
    stranger.get("/instruments").await.has_status(200).is_silent_about("Meter 03");
    stranger.get("/people").await.has_status(200).is_silent_about("Tove Lind");
    for path in [format!("/jobs/{job}"), format!("/jobs/{job}/plan"), format!("/kits/{kit}")] {
        stranger.get(&path).await.has_status(404);
    }
    for path in [
        format!("/instruments/{meter}/retire"),
        format!("/people/{TECHNICIAN}/disable"),
        format!("/people/{TECHNICIAN}/pin"),
        format!("/jobs/{job}/sheet"),
        format!("/jobs/{job}/certificate"),
    ] {
        stranger.post(&path, &[]).await.has_status(404);
    }
    app.technician().await.get("/instruments").await.says("In date");
}
