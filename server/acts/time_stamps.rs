//! Time stamps from an authority, asked for over plain HTTP: it sees nothing but a hash, and what it gives is
//! signed and checked.

use std::time::Duration;

use http_body_util::{BodyExt as _, Full, Limited};
use hyper::body::Bytes;
use hyper::client::conn::http1::handshake;
use hyper::header::{CONTENT_TYPE, HOST};
use hyper::{Request, StatusCode};
use hyper_util::rt::TokioIo;
use tokio::net::TcpStream;
use tokio::time::timeout;

use super::ActError;
use crate::documents::sign::STAMP_BYTES_MAX;
use crate::documents::time_stamp::{read_reply, request};
use crate::world::random;

/// Longer nobody waits for a certificate.
const ANSWER_WITHIN: Duration = Duration::from_secs(10);
const ASKS: &str = "application/timestamp-query";
const ANSWERS: &str = "application/timestamp-reply";

/// Who puts the time to what is sealed here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StampAuthority {
    host: String,
    port: u16,
    path: String,
    within: Duration,
}

/// What is no address of one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "The address {0} is none that time stamps are asked for at. Name one like http://stamps.example/tsa: plain http \
     does, since a time stamp is signed and shows its authority nothing but a hash."
)]
pub struct AddressFault(String);

impl StampAuthority {
    pub fn at(address: &str) -> Result<Self, AddressFault> {
        let fault = || AddressFault(address.to_owned());
        let uri: hyper::Uri = address.parse().map_err(|_| fault())?;
        let authority = uri.authority().filter(|one| !one.as_str().contains('@'));
        let host = authority.map(|one| one.host().to_owned()).filter(|host| !host.is_empty());
        if uri.scheme_str() != Some("http") {
            return Err(fault());
        }
        let path = uri.path_and_query().map_or("/", |path| path.as_str()).to_owned();
        let host = host.ok_or_else(fault)?;
        Ok(Self { host, port: uri.port_u16().unwrap_or(80), path, within: ANSWER_WITHIN })
    }

    /// With less patience.
    #[must_use]
    pub fn answering_within(self, within: Duration) -> Self {
        Self { within, ..self }
    }

    /// The token of a time stamp of this signature, or no certificate: there is no way without it.
    pub(super) async fn stamp(&self, signature: &[u8]) -> Result<Vec<u8>, ActError> {
        let nonce = random()?;
        let asked = request(signature, nonce).map_err(ActError::ours)?;
        let answered = timeout(self.within, self.ask(asked)).await;
        let answer = answered.unwrap_or_else(|_| {
            Err(format!("it did not answer within {} seconds", self.within.as_secs()))
        });
        let token = answer
            .and_then(|reply| read_reply(&reply, signature, nonce).map_err(|why| why.to_string()));
        token.map_err(|why| {
            ActError::Rule(format!(
                "The certificate is not made: its time stamp could not be had from {}, because {why}. The release \
                 stands. Ask for the certificate again; if that does not help, whoever runs the server looks at \
                 --time-stamp.",
                self.host
            ))
        })
    }

    async fn ask(&self, asked: Vec<u8>) -> Result<Vec<u8>, String> {
        let unreachable = |why: &dyn std::fmt::Display| format!("it cannot be reached ({why})");
        let host = self.host.trim_start_matches('[').trim_end_matches(']');
        let stream = TcpStream::connect((host, self.port)).await;
        let stream = stream.map_err(|why| unreachable(&why))?;
        let hands = handshake(TokioIo::new(stream)).await;
        let (mut sender, connection) = hands.map_err(|why| unreachable(&why))?;
        let request = Request::post(&self.path)
            .header(HOST, format!("{}:{}", self.host, self.port))
            .header(CONTENT_TYPE, ASKS)
            .body(Full::new(Bytes::from(asked)))
            .map_err(|why| unreachable(&why))?;
        let exchange = async {
            let reply = sender.send_request(request).await.map_err(|why| unreachable(&why))?;
            let kind = reply.headers().get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
            if reply.status() != StatusCode::OK
                || kind.is_none_or(|kind| !kind.starts_with(ANSWERS))
            {
                return Err(format!("it answered {} and no time stamp", reply.status()));
            }
            let whole = Limited::new(reply.into_body(), STAMP_BYTES_MAX).collect().await;
            whole.map(|whole| whole.to_bytes().to_vec()).map_err(|why| {
                format!("its answer was cut off or is larger than {STAMP_BYTES_MAX} bytes ({why})")
            })
        };
        // Both in one future: whoever stops waiting closes the connection.
        tokio::pin!(exchange);
        tokio::select! {
            answer = &mut exchange => answer,
            ended = connection => match ended {
                Ok(()) => exchange.await,
                Err(why) => Err(unreachable(&why)),
            },
        }
    }
}
