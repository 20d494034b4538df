//! The end of a server: what is under way is finished, but not waited for without end.

use std::time::Duration;

use fusewright::web::{Ended, serve};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::oneshot;
use tokio::task::JoinHandle;

use crate::support::TestApp;

const AMPLE: Duration = Duration::from_mins(1);
const BODY: &str = "name=tove&password=none";

/// A server of its own for an app, which ends when it is told.
struct Second {
    _app: TestApp,
    address: String,
    tell: oneshot::Sender<()>,
    serving: JoinHandle<Ended<bool>>,
}

impl Second {
    async fn start(finish_within: Duration) -> Self {
        let app = TestApp::start().await;
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = listener.local_addr().unwrap().to_string();
        let (tell, told) = oneshot::channel();
        let stop = async move { told.await.is_ok() };
        let serving = tokio::spawn(serve(listener, app.app.clone(), stop, finish_within));
        Self { _app: app, address, tell, serving }
    }

    /// A sign-in whose body is yet to come; the server says that it waits for it.
    async fn half_a_request(&self) -> TcpStream {
        let mut stream = TcpStream::connect(&self.address).await.unwrap();
        let head = format!(
            "POST /sign-in HTTP/1.1\r\nhost: {}\r\nsec-fetch-site: same-origin\r\n\
             content-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\
             expect: 100-continue\r\nconnection: close\r\n\r\n",
            self.address,
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
async fn a_server_with_nothing_under_way_ends_when_it_is_told() {
    let server = Second::start(AMPLE).await;
    assert_eq!(server.stopped().await, Ended::Told { word: true, is_cut_off: false });
}

#[tokio::test]
async fn a_request_that_is_under_way_is_answered_before_the_end() {
    let server = Second::start(AMPLE).await;
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
    let server = Second::start(Duration::from_millis(1)).await;
    let _hangs = server.half_a_request().await;
    assert_eq!(server.stopped().await, Ended::Told { word: true, is_cut_off: true });
}
