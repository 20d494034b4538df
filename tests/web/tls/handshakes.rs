//! Those who connect and say nothing, or the wrong thing.

use std::io::ErrorKind;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::serve::Listener as _;
use fusewright::web::tls::{Files, HandshakeLimits, Shown, TlsListener};
use fusewright::world::Clock;
use rustls::ClientConfig;
use tempfile::TempDir;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};

use super::{HOST, connect};
use crate::support::Authority;

const AMPLE: Duration = Duration::from_mins(5);

/// A listener that greets without end, and a client configuration that trusts it.
async fn greeting(limits: HandshakeLimits) -> (SocketAddr, ClientConfig) {
    let folder = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    let pair = authority.issue_now(&[HOST]).lay_into(folder.path());
    let shown = Files::open(pair, HOST, Clock::system()).unwrap().shown();
    (greet(shown, limits).await, authority.trusted())
}

/// Writes to each who has shaken hands where they come from.
async fn greet(shown: Arc<Shown>, limits: HandshakeLimits) -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let at = listener.local_addr().unwrap();
    let mut listener = TlsListener::new(listener, shown, limits).unwrap();
    assert_eq!(listener.local_addr().unwrap(), at);
    tokio::spawn(async move {
        loop {
            let (mut stream, from) = listener.accept().await;
            let told = async {
                stream.write_all(from.to_string().as_bytes()).await?;
                stream.shutdown().await
            };
            // Some clients are gone by now.
            let _ = told.await;
        }
    });
    at
}

async fn is_greeted(at: SocketAddr, trusted: &ClientConfig) -> bool {
    let mut stream = connect(at, trusted.clone()).await.unwrap();
    let here = stream.get_ref().0.local_addr().unwrap().to_string();
    let mut told = String::new();
    stream.read_to_string(&mut told).await.unwrap();
    told == here
}

#[tokio::test]
async fn the_address_of_a_client_is_its_own() {
    let (at, trusted) = greeting(HandshakeLimits::default()).await;
    assert!(is_greeted(at, &trusted).await);
}

#[tokio::test]
async fn a_silent_client_holds_up_nobody() {
    let (at, trusted) = greeting(HandshakeLimits { within: AMPLE, pending_max: 16 }).await;
    let _silent = TcpStream::connect(at).await.unwrap();
    let mut slow = TcpStream::connect(at).await.unwrap();
    slow.write_all(&[0x16, 0x03]).await.unwrap();
    assert!(is_greeted(at, &trusted).await);
}

#[tokio::test]
async fn a_silent_client_is_dropped_when_its_time_is_over() {
    let within = Duration::from_millis(1);
    let (at, _) = greeting(HandshakeLimits { within, pending_max: 16 }).await;
    let mut silent = TcpStream::connect(at).await.unwrap();
    assert_eq!(silent.read(&mut [0]).await.unwrap(), 0);
}

fn waits(stream: &TcpStream) -> bool {
    stream.try_read(&mut [0]).is_err_and(|why| why.kind() == ErrorKind::WouldBlock)
}

#[tokio::test]
async fn with_one_more_than_may_be_pending_the_oldest_goes() {
    let (at, trusted) = greeting(HandshakeLimits { within: AMPLE, pending_max: 2 }).await;
    let mut first = TcpStream::connect(at).await.unwrap();
    assert!(is_greeted(at, &trusted).await);
    assert!(waits(&first));
    let second = TcpStream::connect(at).await.unwrap();
    assert!(is_greeted(at, &trusted).await);
    assert_eq!(first.read(&mut [0]).await.unwrap(), 0);
    assert!(waits(&second));
}

#[tokio::test]
async fn what_is_no_handshake_is_dropped_and_the_next_one_is_served() {
    let (at, trusted) = greeting(HandshakeLimits::default()).await;
    let mut plain = TcpStream::connect(at).await.unwrap();
    plain.write_all(b"GET / HTTP/1.1\r\nhost: jobs.example\r\n\r\n").await.unwrap();
    let mut answer = Vec::new();
    // An alert, then the end; how it ends is the system's matter.
    let _ = plain.read_to_end(&mut answer).await;
    assert!(!answer.starts_with(b"HTTP"), "{answer:?}");
    assert!(is_greeted(at, &trusted).await);
}

#[tokio::test]
async fn who_trusts_another_root_gets_nowhere() {
    let (at, _) = greeting(HandshakeLimits::default()).await;
    let stranger = Authority::new("Other root").trusted();
    let why = connect(at, stranger).await.unwrap_err().to_string();
    assert!(why.contains("UnknownIssuer"), "{why}");
}

#[tokio::test]
async fn without_a_certificate_nobody_is_served_and_nothing_breaks() {
    let authority = Authority::new("Root");
    let at = greet(Arc::default(), HandshakeLimits::default()).await;
    for _ in 0..2 {
        assert!(connect(at, authority.trusted()).await.is_err());
    }
}

#[tokio::test]
async fn nobody_is_shown_an_answer_to_a_challenge_that_was_not_asked() {
    let (at, mut trusted) = greeting(HandshakeLimits::default()).await;
    trusted.alpn_protocols = vec![b"acme-tls/1".to_vec()];
    assert!(connect(at, trusted).await.is_err());
}
