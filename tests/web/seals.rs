//! The seals as anybody sees them: one after another, each authorised by the one before, by openssl's word.

use std::net::SocketAddr;
use std::sync::Arc;

use fusewright::acts::seals::{change, faults, in_use};
use fusewright::acts::status_list::keep_young;
use fusewright::documents::sign::SealKey;
use fusewright::domain::certificate::{CertificateNumber, check_code};
use fusewright::domain::ids::Moment;
use fusewright::domain::seal::hex;
use fusewright::storage::certificates::{NewCertificate, append, register_list};
use fusewright::storage::workshops;
use fusewright::web::{App, Cost, Origin, Parts, server};
use fusewright::world::Clock;
use tokio::net::TcpListener;

use crate::documents::tools::{Desk, text};
use crate::support::{Client, TestApp, WORKSHOP, workshop};

fn key(seed: u8, app: &TestApp) -> SealKey {
    SealKey::create("Test seal", [seed; 48], app.now().utc(), 10).unwrap()
}

/// The same workshop served with another seal, as after a restart.
async fn served_with(app: &TestApp, seal: SealKey) -> Client {
    let now = app.now();
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = format!("http://{}", listener.local_addr().unwrap());
    let parts = Parts {
        store: app.store.clone(),
        clock: Clock::from(move || now),
        seal: Arc::new(seal),
        stamps: None,
        key_folder: app.keys(),
        origin: Origin { address: address.clone() },
        setup_code: String::new(),
        hashing: Cost::LIGHT,
        proxies: Vec::new(),
    };
    let service = server(App::new(parts)).into_make_service_with_connect_info::<SocketAddr>();
    tokio::spawn(async move { axum::serve(listener, service).await });
    Client::new(&address)
}

async fn get(client: &Client, path: &str) -> Vec<u8> {
    let reply = client.get(path).await;
    reply.has_status(200);
    reply.bytes
}

/// Whether openssl says that a certificate's key signed this.
fn signed(desk: &Desk, pem: &[u8], message: &[u8], signature: &[u8]) -> bool {
    desk.put("seal.pem", pem);
    desk.put("message", message);
    desk.put("signature", signature);
    let key = desk.run("openssl", &["x509", "-in", "seal.pem", "-pubkey", "-noout"]);
    desk.put("key.pem", &key.stdout);
    let verify = ["dgst", "-sha256", "-verify", "key.pem", "-signature", "signature", "message"];
    desk.run("openssl", &verify).status.success()
}

#[tokio::test]
async fn before_any_change_there_is_one_seal_and_nothing_authorised_it() {
    let app = TestApp::start().await;
    let seal = hex(&app.app.seal().fingerprint());
    let client = app.nobody();
    let expected = format!("format fusewright-seals/1\nworkshop BY\nseal {seal}\n");
    assert_eq!(text(&get(&client, "/seals").await), expected);
    let pem = text(&get(&client, &format!("/seals/{seal}")).await);
    assert_eq!(pem, app.app.seal().certificate_pem().unwrap());
    client.get(&format!("/seals/{seal}/change")).await.has_status(404);
}

#[tokio::test]
async fn openssl_follows_two_changes_from_the_first_seal_to_the_one_in_use() {
    let app = TestApp::start().await;
    app.certificate(app.job().await, b"%PDF one").await;
    let (second, third) = (key(8, &app), key(9, &app));
    change(&app.store, app.app.seal(), &second, app.now()).await.unwrap();
    app.pass_minutes(60);
    change(&app.store, &second, &third, app.now()).await.unwrap();
    let names = [app.app.seal(), &second, &third].map(|key| hex(&key.fingerprint()));
    let client = served_with(&app, third.clone()).await;

    let (one, two) = ("2026-11-25T08:00:00.000Z", "2026-11-25T09:00:00.000Z");
    let [a, b, c] = &names;
    let list = format!(
        "format fusewright-seals/1\nworkshop BY\nseal {a} until {one}\nseal {b} since {one} until {two}\n\
         seal {c} since {two}\n"
    );
    assert_eq!(text(&get(&client, "/seals").await), list);
    let desk = Desk::with("x", b"");
    for pair in names.windows(2) {
        let (old, new) = (&pair[0], &pair[1]);
        let change = get(&client, &format!("/seals/{new}/change")).await;
        assert!(text(&change).contains(&format!("\nold {old}\nnew {new}\n")));
        for (side, name) in [("old", old), ("new", new)] {
            let pem = get(&client, &format!("/seals/{name}")).await;
            let path = format!("/seals/{new}/change/{side}-signature");
            let signature = get(&client, &path).await;
            assert!(signed(&desk, &pem, &change, &signature), "{side} of {new}");
            let mut other = change.clone();
            *other.last_mut().unwrap() ^= 1;
            assert!(!signed(&desk, &pem, &other, &signature));
        }
    }
    assert_eq!(faults(&app.store, &workshop()).await.unwrap(), []);
    assert_eq!(in_use(&app.store).await.unwrap().as_ref(), Some(c));
}

#[tokio::test]
async fn a_paper_under_the_old_seal_stays_genuine_and_the_list_is_signed_by_the_new_one() {
    let app = TestApp::start().await;
    let row = app.certificate(app.job().await, b"%PDF one").await;
    let new = key(8, &app);
    change(&app.store, app.app.seal(), &new, app.now()).await.unwrap();
    let client = served_with(&app, new.clone()).await;
    client.get(&format!("/verify/{}", row.number)).await.says("Genuine").says("href=\"/seals?");
    let list = get(&client, "/status-list").await;
    assert!(text(&list).contains(&format!("seal {}\n", hex(&new.fingerprint()))));
    assert!(text(&list).contains(" in-force\n"));
    let signature = get(&client, "/status-list/signature").await;
    let pem = get(&client, "/status-list/certificate").await;
    let desk = Desk::with("x", b"");
    assert!(signed(&desk, &pem, &list, &signature));
    let old = app.app.seal().certificate_pem().unwrap();
    assert!(!signed(&desk, old.as_bytes(), &list, &signature));
}

#[tokio::test]
async fn the_check_page_says_that_a_paper_carries_an_earlier_seal() {
    let app = TestApp::start().await;
    let old = hex(&app.app.seal().fingerprint());
    let job = app.job().await;
    let plain = app.certificate(job, b"%PDF one").await;
    let record =
        text(&plain.record).replacen('{', &format!("{{ \"seal_fingerprint\": \"{old}\","), 1);
    let number = CertificateNumber::new("BY", 2026, 2).plain();
    let record = record.into_bytes();
    let code = check_code(&record);
    let new = NewCertificate {
        job,
        number: number.clone(),
        version: 2,
        code: code.clone(),
        record,
        pdf: b"%PDF two".to_vec(),
        issued: app.now(),
        expect_index: 1,
    };
    append(&app.store, WORKSHOP, new).await.unwrap();
    assert_eq!(in_use(&app.store).await.unwrap(), Some(old));
    let path = format!("/verify/{number}/{code}");
    app.nobody().get(&path).await.says("Genuine").is_silent_about("in use until");
    let seal = key(8, &app);
    change(&app.store, app.app.seal(), &seal, app.now()).await.unwrap();
    let told = served_with(&app, seal).await.get(&path).await;
    told.says("Genuine").says("in use until 25 November 2026");
}

#[tokio::test]
async fn a_seal_that_was_in_use_does_not_come_back() {
    let app = TestApp::start().await;
    let (first, second) = (app.app.seal(), key(8, &app));
    let again = change(&app.store, first, first, app.now()).await;
    assert!(again.unwrap_err().to_string().contains("is in use, or was before"));
    change(&app.store, first, &second, app.now()).await.unwrap();
    let back = change(&app.store, &second, first, app.now()).await;
    assert!(back.unwrap_err().to_string().contains("Take a new key"));
    assert_eq!(register_list(&app.store, WORKSHOP).await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_change_that_the_old_seal_did_not_sign_is_found() {
    let app = TestApp::start().await;
    let (second, thief) = (key(8, &app), key(66, &app));
    change(&app.store, app.app.seal(), &second, app.now()).await.unwrap();
    // Somebody who has the database and no seal puts a change at its end.
    change(&app.store, &thief, &key(67, &app), app.now()).await.unwrap();
    let mut forged = fusewright::storage::seal_changes::list(&app.store, WORKSHOP).await.unwrap();
    assert_eq!(faults(&app.store, &workshop()).await.unwrap(), []);
    let (index, prev) =
        fusewright::storage::seal_changes::next_line(&app.store, WORKSHOP).await.unwrap();
    let mut last = forged.remove(0);
    (last.index, last.prev) = (index, prev);
    let append = fusewright::storage::seal_changes::append;
    append(&app.store, vec![(WORKSHOP, last)]).await.unwrap();
    let found = faults(&app.store, &workshop()).await.unwrap();
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().all(|(index, what)| *index == 2 && what.contains("is not signed by")));
}

#[tokio::test]
async fn a_quiet_workshop_gets_a_line_after_25_days_and_its_list_does_not_run_out() {
    let app = TestApp::start().await;
    let minutes = 25 * 24 * 60;
    app.pass_minutes(minutes - 1);
    keep_young(&app.store, app.now()).await.unwrap();
    assert_eq!(register_list(&app.store, WORKSHOP).await.unwrap().len(), 0);
    app.pass_minutes(1);
    for _ in 0..2 {
        keep_young(&app.store, app.now()).await.unwrap();
        let lines = register_list(&app.store, WORKSHOP).await.unwrap();
        assert_eq!((lines.len(), lines[0].at), (1, app.now()));
    }
    let list = text(&get(&app.nobody(), "/status-list").await);
    let next = list.lines().find_map(|line| line.strip_prefix("next ")).unwrap();
    assert!(Moment::parse(next).unwrap() > app.now().plus_days(30), "{list}");
}

#[tokio::test]
async fn each_workshop_of_a_server_has_a_change_of_its_own() {
    let app = TestApp::start().await;
    app.stranger().await;
    let new = key(8, &app);
    change(&app.store, app.app.seal(), &new, app.now()).await.unwrap();
    for one in workshops::list(&app.store).await.unwrap() {
        assert_eq!(register_list(&app.store, one.id).await.unwrap().len(), 1);
    }
    let client = served_with(&app, new.clone()).await;
    let name = hex(&new.fingerprint());
    client.get(&format!("/seals/{name}/change")).await.has_status(422).says("Add ?workshop=");
    let text = text(&get(&client, &format!("/seals/{name}/change?workshop=OY")).await);
    assert!(text.contains("\nworkshop OY\n"), "{text}");
}

#[tokio::test]
async fn the_owner_is_told_when_the_seal_comes_near_its_end() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    owner.get("/settings").await.says("25 November 2036").is_silent_about("The seal ends");
    let until_sixty_days = app.app.seal().not_after().unwrap() - app.now().utc();
    let days = until_sixty_days.whole_days() - 60;
    app.pass_minutes(days * 24 * 60 - 1);
    app.owner().await.get("/settings").await.is_silent_about("The seal ends");
    app.pass_minutes(1);
    let told = app.owner().await.get("/settings").await;
    told.says("The seal ends on 25 November 2036").says("fusewright seal renew");
}
