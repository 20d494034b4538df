//! The signed list of what stands, checked with openssl as anybody would.

use fusewright::domain::certificate::on_paper;
use fusewright::domain::seal::hex;
use fusewright::storage::certificates::register_list;

use crate::documents::tools::Desk;
use crate::support::{Reply, TestApp, WORKSHOP};

/// Whether openssl says that the signature fits.
fn fits(list: &[u8], signature: &[u8], pem: &[u8]) -> bool {
    let desk = Desk::with("list.txt", list);
    desk.put("list.sig", signature);
    desk.put("seal.pem", pem);
    let key = desk.run("openssl", &["x509", "-in", "seal.pem", "-pubkey", "-noout"]);
    assert!(key.status.success());
    desk.put("key.pem", &key.stdout);
    let verify = ["dgst", "-sha256", "-verify", "key.pem", "-signature", "list.sig", "list.txt"];
    desk.run("openssl", &verify).status.success()
}

async fn get(app: &TestApp, path: &str) -> Reply {
    let reply = app.nobody().get(path).await;
    reply.has_status(200);
    reply
}

#[tokio::test]
async fn openssl_finds_the_list_signed_and_a_changed_byte_not() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job().await, b"%PDF one").await;
    let list = get(&app, "/status-list").await;
    let signature = get(&app, "/status-list/signature").await.bytes;
    let pem = get(&app, "/status-list/certificate").await.bytes;
    assert_eq!(list.header("content-type"), "text/plain; charset=utf-8");
    list.says(&format!("\n{} in-force\n", on_paper(&row.number)));
    assert!(fits(&list.bytes, &signature, &pem));
    for at in [0, list.bytes.len() / 2, list.bytes.len() - 1] {
        let mut changed = list.bytes.clone();
        changed[at] ^= 1;
        assert!(!fits(&changed, &signature, &pem), "byte {at}");
    }
    let mut other = signature.clone();
    *other.last_mut().unwrap() ^= 1;
    assert!(!fits(&list.bytes, &other, &pem));
}

#[tokio::test]
async fn the_list_says_when_it_was_made_how_long_it_holds_and_where_the_register_ends() {
    let app = TestApp::start().await;
    app.pass_minutes(5);
    app.certificate(app.job().await, b"%PDF one").await;
    let lines = register_list(&app.store, WORKSHOP).await.unwrap();
    let text = get(&app, "/status-list").await.text;
    let head: Vec<&str> = text.lines().take(6).collect();
    let seal = format!("seal {}", hex(&app.app.seal().fingerprint()));
    let register = format!("register 1 {}", hex(&lines[0].hash));
    assert_eq!(
        head,
        [
            "format fusewright-status/1",
            "workshop BY",
            "made 2026-11-25T08:05:00.000Z",
            "next 2026-12-26T08:05:00.000Z",
            &seal,
            &register,
        ]
    );
}

#[tokio::test]
async fn the_list_changes_with_the_register_and_not_with_the_clock() {
    let app = TestApp::start().await;
    let empty = get(&app, "/status-list").await.text;
    assert_eq!(empty.lines().count(), 6, "{empty}");
    app.pass_minutes(60 * 24 * 40);
    assert_eq!(get(&app, "/status-list").await.text, empty);
    let job = app.job().await;
    let old = app.certificate(job, b"%PDF one").await;
    let new = app.certificate(job, b"%PDF two").await;
    let list = get(&app, "/status-list").await;
    let (old, new) = (on_paper(&old.number), on_paper(&new.number));
    list.says(&format!("{old} replaced-by {new}\n{new} in-force\n"));
    for private in ["KLN", "Jonas Weir", "Panel van", "tray"] {
        list.is_silent_about(private);
    }
}

#[tokio::test]
async fn where_there_are_several_workshops_one_is_named_by_its_letters() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job().await, b"%PDF one").await;
    app.stranger().await;
    for path in ["/status-list", "/status-list/signature"] {
        app.nobody().get(path).await.has_status(422).says("Add ?workshop=");
        app.nobody().get(&format!("{path}?workshop=ZZ")).await.has_status(404);
        app.nobody().get(&format!("{path}?workshop=by")).await.has_status(200);
    }
    let list = get(&app, "/status-list?workshop=BY").await;
    list.says("workshop BY").says(&on_paper(&row.number));
    let checked = app.nobody().get(&format!("/verify/{}", row.number)).await;
    checked.says("href=\"/status-list?workshop=BY\"");
}
