//! Certificate files that change under a running server.

use std::fs;
use std::time::Duration;

use fusewright::web::tls::{CertificateFault, Files, HandshakeLimits, Looked, Pair, TlsListener};
use fusewright::world::Clock;
use tempfile::TempDir;
use tokio::net::TcpListener;

use super::{HOST, ask_livez, connect, ends_of, shown_to};
use crate::support::{Authority, MORNING, TestApp};

fn open(pair: &Pair) -> Files {
    Files::open(pair.clone(), HOST, Clock::from(|| MORNING)).unwrap()
}

#[test]
fn nothing_is_taken_where_nothing_has_changed() {
    let folder = TempDir::new().unwrap();
    let pair = Authority::new("Root").issue_for(&[HOST], -1..30).lay_into(folder.path());
    let mut files = open(&pair);
    assert!(matches!(files.look_again(), Looked::Same));
}

#[test]
fn a_renewal_is_taken_once_both_files_are_there() {
    let folder = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    let pair = authority.issue_for(&[HOST], -60..10).lay_into(folder.path());
    let mut files = open(&pair);
    let shown = files.shown();
    let renewed = authority.issue_for(&[HOST], -1..80);
    fs::write(&pair.certificate, &renewed.chain).unwrap();
    let half = files.look_again();
    assert!(matches!(half, Looked::Kept(CertificateFault::Mismatch { .. })), "{half:?}");
    assert_eq!(ends_of(&shown), MORNING.plus_days(10).0);
    fs::write(&pair.key, &renewed.key).unwrap();
    assert!(matches!(files.look_again(), Looked::Taken));
    assert_eq!(ends_of(&shown), MORNING.plus_days(80).0);
}

#[test]
fn what_cannot_be_used_is_told_once_and_the_one_of_before_stays() {
    let folder = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    let good = authority.issue_for(&[HOST], -60..10);
    let pair = good.lay_into(folder.path());
    let mut files = open(&pair);
    let shown = files.shown();
    let mut look = |words: &str| {
        let Looked::Kept(fault) = files.look_again() else { panic!("{words}: taken or same") };
        assert!(fault.to_string().contains(words), "{words:?}: {fault}");
        assert!(matches!(files.look_again(), Looked::Same), "{words:?}: told twice");
        assert_eq!(ends_of(&shown), MORNING.plus_days(10).0);
    };
    fs::write(&pair.certificate, "").unwrap();
    look("holds no certificate");
    fs::remove_file(&pair.certificate).unwrap();
    look("cannot be read");
    authority.issue_for(&["other.example"], -1..90).lay_into(folder.path());
    look("is for other.example");
    authority.issue_for(&[HOST], -90..-1).lay_into(folder.path());
    look("ended on 2026-11-24");
    good.lay_into(folder.path());
    assert!(matches!(files.look_again(), Looked::Taken));
}

#[tokio::test]
async fn connections_that_are_open_go_on_when_the_certificate_changes() {
    let folder = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    let pair = authority.issue_now(&[HOST]).lay_into(folder.path());
    let mut files = open(&pair);
    let app = TestApp::start().await;
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let at = listener.local_addr().unwrap();
    let listener = TlsListener::new(listener, files.shown(), HandshakeLimits::default()).unwrap();
    let forever = std::future::pending::<()>();
    tokio::spawn(fusewright::web::serve(listener, app.app.clone(), forever, Duration::ZERO));
    let mut before = connect(at, authority.trusted()).await.unwrap();
    ask_livez(&mut before).await;
    authority.issue_now(&[HOST]).lay_into(folder.path());
    assert!(matches!(files.look_again(), Looked::Taken));
    ask_livez(&mut before).await;
    let mut after = connect(at, authority.trusted()).await.unwrap();
    ask_livez(&mut after).await;
    assert_ne!(shown_to(&before), shown_to(&after));
}

#[tokio::test]
async fn files_are_watched_by_themselves() {
    let folder = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    let pair = authority.issue_for(&[HOST], -60..10).lay_into(folder.path());
    let files = open(&pair);
    let mut changes = files.shown().changes();
    let watching = tokio::spawn(files.watch(Duration::from_millis(1)));
    authority.issue_for(&[HOST], -1..80).lay_into(folder.path());
    let is_new =
        changes.wait_for(|one| one.as_ref().is_some_and(|one| one.ends > MORNING.plus_days(70)));
    tokio::time::timeout(Duration::from_mins(1), is_new).await.unwrap().unwrap();
    watching.abort();
}
