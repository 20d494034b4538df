//! The whole server behind TLS: versions of HTTP, whose address counts, and a clean end.

use std::net::SocketAddr;
use std::time::Duration;

use fusewright::web::tls::{Files, HandshakeLimits, TlsListener};
use fusewright::web::{Ended, serve};
use fusewright::world::Clock;
use reqwest::Version;
use tempfile::TempDir;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use tokio_rustls::client::TlsStream;

use super::{HOST, connect};
use crate::support::{Authority, TestApp};

const AMPLE: Duration = Duration::from_mins(1);
const BODY: &str = "name=tove&password=none";

/// A server with TLS, which ends when it is told.
struct Secure {
    _app: TestApp,
    authority: Authority,
    at: SocketAddr,
    tell: oneshot::Sender<()>,
    serving: JoinHandle<Ended<bool>>,
}

impl Secure {
    async fn start(finish_within: Duration) -> Self {
        let app = TestApp::start().await;
        let folder = TempDir::new().unwrap();
        let authority = Authority::new("Root");
        let pair = authority.issue_now(&[HOST]).lay_into(folder.path());
        let shown = Files::open(pair, HOST, Clock::system()).unwrap().shown();
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let at = listener.local_addr().unwrap();
        let listener = TlsListener::new(listener, shown, HandshakeLimits::default()).unwrap();
        let (tell, told) = oneshot::channel();
        let stop = async move { told.await.is_ok() };
        let serving = tokio::spawn(serve(listener, app.app.clone(), stop, finish_within));
        Self { _app: app, authority, at, tell, serving }
    }

    /// A sign-in whose body is yet to come; the server says that it waits for it.
    async fn half_a_request(&self) -> TlsStream<TcpStream> {
        let mut stream = connect(self.at, self.authority.trusted()).await.unwrap();
        let head = format!(
            "POST /sign-in HTTP/1.1\r\nhost: {HOST}\r\nsec-fetch-site: same-origin\r\n\
             content-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\
             expect: 100-continue\r\nconnection: close\r\n\r\n",
            BODY.len()
        );
        stream.write_all(head.as_bytes()).await.unwrap();
        let mut go_on = [0; 25];
        stream.read_exact(&mut go_on).await.unwrap();
        assert_eq!(&go_on, b"HTTP/1.1 100 Continue\r\n\r\n");
        stream
    }

    async fn stopped(self) -> Ended<bool> {
        self.tell.send(()).unwrap();
        self.serving.await.unwrap()
    }
}

#[tokio::test]
async fn both_versions_of_http_are_spoken_and_the_newer_one_first() {
    let server = Secure::start(AMPLE).await;
    let page = format!("https://{HOST}:{}/sign-in", server.at.port());
    let browser = server.authority.browser(HOST, server.at);
    let answer = browser.build().unwrap().get(&page).send().await.unwrap();
    assert_eq!((answer.status().as_u16(), answer.version()), (200, Version::HTTP_2));
    let mut older = server.authority.trusted();
    older.alpn_protocols = vec![b"http/1.1".to_vec()];
    let browser = server.authority.browser(HOST, server.at).tls_backend_preconfigured(older);
    let answer = browser.build().unwrap().get(&page).send().await.unwrap();
    assert_eq!((answer.status().as_u16(), answer.version()), (200, Version::HTTP_11));
    assert_eq!(server.stopped().await, Ended::Told { word: true, is_cut_off: false });
}

/// Guesses are counted for the address of whoever connects. If it were not known, both would share
/// one count.
#[tokio::test]
async fn wrong_passwords_are_counted_for_the_address_that_they_come_from() {
    let server = Secure::start(AMPLE).await;
    let guess = async |from: &str, number: usize| {
        let browser = server.authority.browser(HOST, server.at);
        let browser = browser.local_address(from.parse::<std::net::IpAddr>().unwrap());
        let page = format!("https://{HOST}:{}/sign-in", server.at.port());
        let request = browser.build().unwrap().post(page).header("sec-fetch-site", "same-origin");
        let form = [("name", format!("name{number}")), ("password", "none".to_owned())];
        request.form(&form).send().await.unwrap().status().as_u16()
    };
    for number in 0..30 {
        assert_eq!(guess("127.0.0.1", number).await, 422);
    }
    assert_eq!(guess("127.0.0.1", 30).await, 429);
    assert_eq!(guess("127.0.0.2", 31).await, 422);
}

#[tokio::test]
async fn a_request_that_is_under_way_is_answered_before_the_end() {
    let server = Secure::start(AMPLE).await;
    let mut stream = server.half_a_request().await;
    let rest = async {
        stream.write_all(BODY.as_bytes()).await.unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).await.unwrap();
        answer
    };
    let (ended, answer) = tokio::join!(server.stopped(), rest);
    assert_eq!(ended, Ended::Told { word: true, is_cut_off: false });
    assert!(answer.starts_with("HTTP/1.1 422 "), "{answer}");
}

#[tokio::test]
async fn a_request_that_does_not_come_to_an_end_is_cut_off() {
    let server = Secure::start(Duration::from_millis(1)).await;
    let _hangs = server.half_a_request().await;
    assert_eq!(server.stopped().await, Ended::Told { word: true, is_cut_off: true });
}

#[tokio::test]
async fn a_handshake_that_hangs_does_not_hold_up_the_end() {
    let server = Secure::start(AMPLE).await;
    let mut silent = TcpStream::connect(server.at).await.unwrap();
    // The next one is greeted, so the silent one was taken too.
    connect(server.at, server.authority.trusted()).await.unwrap();
    assert_eq!(server.stopped().await, Ended::Told { word: true, is_cut_off: false });
    assert_eq!(silent.read(&mut [0]).await.unwrap_or(0), 0);
}
