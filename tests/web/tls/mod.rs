//! HTTPS from outside: real handshakes over loopback.

mod acme;
mod certificate;
mod files;
mod handshakes;
mod redirect;
mod serving;

use std::net::SocketAddr;
use std::sync::Arc;

use fusewright::web::tls::Shown;
use rustls::ClientConfig;
use rustls::pki_types::ServerName;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;

/// The name that everybody types.
const HOST: &str = "jobs.example";

/// A handshake by hand.
async fn connect(at: SocketAddr, config: ClientConfig) -> std::io::Result<TlsStream<TcpStream>> {
    let name = ServerName::try_from(HOST).unwrap();
    let stream = TcpStream::connect(at).await?;
    TlsConnector::from(Arc::new(config)).connect(name, stream).await
}

/// The certificate that a connection was shown.
fn shown_to(stream: &TlsStream<TcpStream>) -> Vec<u8> {
    stream.get_ref().1.peer_certificates().unwrap()[0].to_vec()
}

/// Asks whether the server is there, and leaves the connection open.
async fn ask_livez(stream: &mut TlsStream<TcpStream>) {
    let request = format!("GET /livez HTTP/1.1\r\nhost: {HOST}\r\n\r\n");
    stream.write_all(request.as_bytes()).await.unwrap();
    let mut start = [0; 15];
    stream.read_exact(&mut start).await.unwrap();
    assert_eq!(&start, b"HTTP/1.1 200 OK");
    let mut rest = Vec::new();
    while !rest.ends_with(b"\r\n\r\n") {
        rest.push(stream.read_u8().await.unwrap());
    }
    let rest = String::from_utf8(rest).unwrap();
    let length = rest.lines().find_map(|line| line.strip_prefix("content-length: ")).unwrap();
    let mut body = vec![0; length.parse().unwrap()];
    stream.read_exact(&mut body).await.unwrap();
}

/// What somebody sees who connects to nobody in particular.
fn ends_of(shown: &Shown) -> i64 {
    shown.certificate().unwrap().ends.0
}
