//! Connections on which nothing moves are closed; one that is used goes on.

use std::time::Duration;

use fusewright::web::{Ended, Patient, serve};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;
use tokio::time::timeout;

use crate::support::TestApp;

/// Long enough for any machine; a connection that is not closed ends the test here.
const AMPLE: Duration = Duration::from_secs(30);
const SHORT: Duration = Duration::from_millis(50);
const ASK: &[u8] = b"GET /livez HTTP/1.1\r\nhost: jobs.example\r\n\r\n";

/// What comes back for some bytes until the server closes.
async fn until_closed(idle_within: Duration, sent: &[u8]) -> String {
    let app = TestApp::start().await;
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let at = listener.local_addr().unwrap();
    let (tell, told) = oneshot::channel::<()>();
    let listener = Patient::within(listener, idle_within);
    let serving = tokio::spawn(serve(listener, app.app.clone(), told, AMPLE));
    let mut stream = TcpStream::connect(at).await.unwrap();
    stream.write_all(sent).await.unwrap();
    let mut answer = Vec::new();
    let closed = timeout(AMPLE, stream.read_to_end(&mut answer)).await;
    assert!(closed.is_ok(), "the connection was left open");
    tell.send(()).unwrap();
    assert!(matches!(serving.await.unwrap(), Ended::Told { is_cut_off: false, .. }));
    String::from_utf8_lossy(&answer).into_owned()
}

#[tokio::test]
async fn a_request_that_never_ends_is_given_up() {
    for begun in
        [&b""[..], b"GET /livez HTTP/1.1\r\nhost: jobs", b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n"]
    {
        assert!(!until_closed(SHORT, begun).await.contains("200 OK"));
    }
}

#[tokio::test]
async fn a_connection_that_is_kept_for_nothing_is_closed_after_its_answer() {
    let answer = until_closed(SHORT, ASK).await;
    assert!(answer.starts_with("HTTP/1.1 200 OK"), "{answer}");
}

#[tokio::test]
async fn a_connection_that_is_used_is_answered_again() {
    let last = b"GET /livez HTTP/1.1\r\nhost: jobs.example\r\nconnection: close\r\n\r\n";
    let answer = until_closed(AMPLE, &[ASK, last].concat()).await;
    assert_eq!(answer.matches("HTTP/1.1 200 OK").count(), 2, "{answer}");
}
