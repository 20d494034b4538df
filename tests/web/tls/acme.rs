//! A certificate from an authority: got, kept, renewed, refused.

use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use fusewright::domain::ids::Moment;
use fusewright::web::tls::{
    Acme, AcmeFault, HandshakeLimits, TlsListener, Wanted, try_again_minutes,
};
use fusewright::world::Clock;
use tempfile::TempDir;
use tokio::net::{TcpListener, TcpStream};

use super::{HOST, connect, ends_of};
use crate::support::{AcmeServer, Mood};

/// Somebody who wants a certificate, and the clock by which it is due.
struct Wanting {
    acme: Acme,
    now_ms: Arc<AtomicI64>,
}

fn wanted(server: &AcmeServer, host: &str) -> Wanted {
    Wanted {
        host: host.to_owned(),
        contact: "mailto:desk@jobs.example".to_owned(),
        directory: server.directory(),
        root: Some(server.root()),
    }
}

impl Wanting {
    fn open(server: &AcmeServer, folder: &Path, host: &str) -> Self {
        let now_ms = Arc::new(AtomicI64::new(Clock::system().now().0));
        let told = Arc::clone(&now_ms);
        let clock = Clock::from(move || Moment(told.load(Ordering::SeqCst)));
        Self { acme: Acme::open(wanted(server, host), folder, clock).unwrap(), now_ms }
    }

    /// Listens, and has the name lead here.
    async fn listen(&self, server: &AcmeServer) -> std::net::SocketAddr {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let at = listener.local_addr().unwrap();
        let limits = HandshakeLimits::default();
        let mut listener = TlsListener::new(listener, self.acme.shown(), limits).unwrap();
        tokio::spawn(async move {
            loop {
                drop(axum::serve::Listener::accept(&mut listener).await);
            }
        });
        server.lead_to(at);
        at
    }
}

/// Files below a folder with who may do what, folders first.
fn modes(folder: &Path) -> Vec<(String, u32)> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        let mode = entry.metadata().unwrap().permissions().mode() & 0o777;
        if entry.file_type().unwrap().is_dir() {
            found.push(("a folder".to_owned(), mode));
            found.extend(modes(&entry.path()));
        } else {
            found.push((entry.file_name().into_string().unwrap(), mode));
        }
    }
    found.sort();
    found
}

#[tokio::test]
async fn a_certificate_is_got_shown_and_kept_for_this_account_only() {
    let server = AcmeServer::start(Mood::Willing).await;
    let folder = TempDir::new().unwrap();
    let wanting = Wanting::open(&server, folder.path(), HOST);
    let at = wanting.listen(&server).await;
    assert!(wanting.acme.is_due());
    let ends = wanting.acme.obtain().await.unwrap();
    assert!(!wanting.acme.is_due());
    assert_eq!(ends_of(&wanting.acme.shown()), ends.0);
    connect(at, server.authority().trusted()).await.unwrap();
    let kept = [("a folder", 0o700), ("account.json", 0o600), ("certificate.pem", 0o600)];
    let kept = kept.map(|(name, mode)| (name.to_owned(), mode));
    assert_eq!(modes(folder.path()), kept);
    let mut challenged = server.authority().trusted();
    challenged.alpn_protocols = vec![b"acme-tls/1".to_vec()];
    assert!(connect(at, challenged).await.is_err(), "the answer is still shown");
}

#[tokio::test]
async fn what_is_kept_is_shown_again_without_another_order() {
    let server = AcmeServer::start(Mood::Willing).await;
    let folder = TempDir::new().unwrap();
    let wanting = Wanting::open(&server, folder.path(), HOST);
    wanting.listen(&server).await;
    let ends = wanting.acme.obtain().await.unwrap();
    let again = Wanting::open(&server, folder.path(), HOST);
    assert!(!again.acme.is_due());
    assert_eq!(ends_of(&again.acme.shown()), ends.0);
    assert_eq!(server.accounts_and_orders(), (1, 1));
    // Another host needs another certificate, from the same account.
    let other = Wanting::open(&server, folder.path(), "desk.example");
    assert!(other.acme.is_due() && other.acme.shown().certificate().is_none());
    other.listen(&server).await;
    other.acme.obtain().await.unwrap();
    assert_eq!(server.accounts_and_orders(), (1, 2));
}

#[tokio::test]
async fn it_is_due_again_when_a_third_of_its_time_is_left() {
    let server = AcmeServer::start(Mood::Willing).await;
    let folder = TempDir::new().unwrap();
    let wanting = Wanting::open(&server, folder.path(), HOST);
    wanting.listen(&server).await;
    let ends = wanting.acme.obtain().await.unwrap();
    let begins = wanting.acme.shown().certificate().unwrap().begins;
    let third = (ends.0 - begins.0) / 3;
    wanting.now_ms.store(ends.0 - third, Ordering::SeqCst);
    assert!(!wanting.acme.is_due());
    wanting.now_ms.store(ends.0 - third + 1, Ordering::SeqCst);
    assert!(wanting.acme.is_due());
    wanting.acme.obtain().await.unwrap();
    assert_eq!(server.accounts_and_orders(), (1, 2));
}

async fn refused(server: &AcmeServer) -> String {
    let folder = TempDir::new().unwrap();
    let wanting = Wanting::open(server, folder.path(), HOST);
    wanting.listen(server).await;
    let fault = wanting.acme.obtain().await.unwrap_err();
    assert!(matches!(fault, AcmeFault::Refused { .. }), "{fault}");
    assert!(wanting.acme.shown().certificate().is_none());
    fault.to_string()
}

#[tokio::test]
async fn what_the_authority_refuses_is_said_in_its_words() {
    let server = AcmeServer::start(Mood::RefusesOrders).await;
    let expected = format!(
        "The certificate authority at {} gave no certificate for {HOST}: The policy forbids this \
         name.",
        server.directory()
    );
    assert_eq!(refused(&server).await, expected);
    server.becomes(Mood::OffersHttpOnly);
    let said = refused(&server).await;
    assert!(said.ends_with("it offers no TLS-ALPN-01 challenge."), "{said}");
}

#[tokio::test]
async fn what_the_authority_found_when_it_looked_is_said() {
    let server = AcmeServer::start(Mood::Willing).await;
    let folder = TempDir::new().unwrap();
    let wanting = Wanting::open(&server, folder.path(), HOST);
    // The name leads to a place where nobody listens.
    let gone = TcpListener::bind("127.0.0.1:0").await.unwrap().local_addr().unwrap();
    assert!(TcpStream::connect(gone).await.is_err());
    server.lead_to(gone);
    let said = wanting.acme.obtain().await.unwrap_err().to_string();
    assert!(said.contains("onnection refused"), "{said}");
    // Once it leads here, the next try does it.
    wanting.listen(&server).await;
    wanting.acme.obtain().await.unwrap();
}

#[tokio::test]
async fn an_account_that_the_authority_has_forgotten_is_made_anew() {
    let server = AcmeServer::start(Mood::Willing).await;
    let folder = TempDir::new().unwrap();
    let wanting = Wanting::open(&server, folder.path(), HOST);
    wanting.listen(&server).await;
    wanting.acme.obtain().await.unwrap();
    server.becomes(Mood::Forgetful);
    let said = wanting.acme.obtain().await.unwrap_err().to_string();
    assert!(said.ends_with("no such account."), "{said}");
    wanting.acme.obtain().await.unwrap();
    assert_eq!(server.accounts_and_orders(), (2, 2));
}

#[tokio::test]
async fn an_authority_that_is_not_there_or_not_trusted_is_told() {
    let server = AcmeServer::start(Mood::Willing).await;
    let folder = TempDir::new().unwrap();
    let clock = Clock::system();
    let other = crate::support::Authority::new("Other root");
    let root = Some(crate::support::root_file(&other, folder.path()));
    let wanted = Wanted { root, ..wanted(&server, HOST) };
    let acme = Acme::open(wanted.clone(), folder.path(), clock.clone()).unwrap();
    let said = acme.obtain().await.unwrap_err().to_string();
    assert!(said.contains("UnknownIssuer"), "{said}");
    let gone = TcpListener::bind("127.0.0.1:0").await.unwrap().local_addr().unwrap();
    let wanted = Wanted { directory: format!("https://{gone}/"), ..wanted };
    let acme = Acme::open(wanted, folder.path(), clock).unwrap();
    let said = acme.obtain().await.unwrap_err().to_string();
    assert!(said.contains("onnection refused"), "{said}");
}

#[tokio::test]
async fn a_root_that_cannot_be_read_is_named() {
    let server = AcmeServer::start(Mood::Willing).await;
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("root.pem");
    for content in [None, Some("no certificate")] {
        if let Some(content) = content {
            std::fs::write(&file, content).unwrap();
        }
        let wanted = Wanted { root: Some(file.clone()), ..wanted(&server, HOST) };
        let refused = Acme::open(wanted, folder.path(), Clock::system()).map(drop);
        let said = refused.unwrap_err().to_string();
        assert!(said.contains("root.pem cannot be used as the root"), "{said}");
    }
}

#[test]
fn tries_grow_rarer_and_never_cease() {
    let minutes: Vec<u64> = (1..=6).map(try_again_minutes).collect();
    assert_eq!(minutes, [1, 10, 100, 720, 720, 720]);
}
