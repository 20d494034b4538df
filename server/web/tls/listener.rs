//! A listener whose connections are handed on only when their handshake is done. Handshakes run side
//! by side, each for a limited time, so that somebody who connects and says nothing holds up nobody.

use std::collections::VecDeque;
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::serve::Listener;
use tokio::io::AsyncWriteExt as _;
use tokio::net::{TcpListener, TcpStream};
use tokio::task::{AbortHandle, JoinSet};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;

use super::{CHALLENGE_PROTOCOL, Shown, server_config};

/// A slow phone on a weak signal needs some seconds; who needs longer tries again.
const HANDSHAKE_WITHIN: Duration = Duration::from_secs(10);
/// Handshakes under way at the same time; with one more the oldest is dropped.
const HANDSHAKES_MAX: usize = 256;

/// How long and how many handshakes may be under way.
#[derive(Debug, Clone, Copy)]
pub struct HandshakeLimits {
    pub within: Duration,
    pub pending_max: usize,
}

impl Default for HandshakeLimits {
    fn default() -> Self {
        Self { within: HANDSHAKE_WITHIN, pending_max: HANDSHAKES_MAX }
    }
}

type Greeted = Option<(TlsStream<TcpStream>, SocketAddr)>;

/// HTTPS on a socket.
pub struct TlsListener {
    listener: TcpListener,
    acceptor: TlsAcceptor,
    limits: HandshakeLimits,
    handshakes: JoinSet<Greeted>,
    oldest_first: VecDeque<AbortHandle>,
}

impl TlsListener {
    pub fn new(
        listener: TcpListener,
        shown: Arc<Shown>,
        limits: HandshakeLimits,
    ) -> Result<Self, io::Error> {
        let config = server_config(shown).map_err(io::Error::other)?;
        let (handshakes, oldest_first) = (JoinSet::new(), VecDeque::new());
        Ok(Self { listener, acceptor: config.into(), limits, handshakes, oldest_first })
    }

    /// Starts a handshake. Where too many are under way the oldest goes: a real one is done in a
    /// moment, so the oldest is the likeliest never to end.
    fn greet(&mut self, stream: TcpStream, from: SocketAddr) {
        self.oldest_first.retain(|handshake| !handshake.is_finished());
        if self.oldest_first.len() >= self.limits.pending_max
            && let Some(oldest) = self.oldest_first.pop_front()
        {
            oldest.abort();
        }
        let handshake = shake_hands(self.acceptor.clone(), stream, from, self.limits.within);
        self.oldest_first.push_back(self.handshakes.spawn(handshake));
    }
}

impl Listener for TlsListener {
    type Io = TlsStream<TcpStream>;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Self::Io, Self::Addr) {
        loop {
            tokio::select! {
                Some(done) = self.handshakes.join_next() => {
                    if let Ok(Some(greeted)) = done {
                        return greeted;
                    }
                }
                (stream, from) = Listener::accept(&mut self.listener) => self.greet(stream, from),
            }
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }
}

async fn shake_hands(
    acceptor: TlsAcceptor,
    stream: TcpStream,
    from: SocketAddr,
    within: Duration,
) -> Greeted {
    let greeting = tokio::time::timeout(within, greet_or_prove(acceptor, stream)).await;
    let greeted = greeting.unwrap_or_else(|_| Err(io::ErrorKind::TimedOut.into()));
    // Whoever looks for open ports breaks off like this, day and night: no matter for the log.
    let greeted = greeted.inspect_err(|why| tracing::debug!("no handshake with {from}: {why}"));
    greeted.ok().flatten().map(|stream| (stream, from))
}

/// An authority has seen all it wants when the handshake is done.
async fn greet_or_prove(
    acceptor: TlsAcceptor,
    stream: TcpStream,
) -> io::Result<Option<TlsStream<TcpStream>>> {
    let mut stream = acceptor.accept(stream).await?;
    if stream.get_ref().1.alpn_protocol() != Some(CHALLENGE_PROTOCOL) {
        return Ok(Some(stream));
    }
    stream.shutdown().await?;
    Ok(None)
}
