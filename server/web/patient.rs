//! Connections on which nothing moves for too long are closed: one whose request never ends, one that never
//! takes its answer, and one that is kept open for nothing.

use std::future::Future as _;
use std::io::{self, ErrorKind};
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::Duration;

use axum::serve::Listener;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep, sleep};

use super::listen::Undelayed;

/// Longer than any answer takes to be worked out, so that nobody is cut off who waits for one.
const IDLE_WITHIN: Duration = Duration::from_secs(75);

/// A listener whose connections may be idle for so long and no longer.
pub struct Patient<L> {
    listener: L,
    within: Duration,
}

impl<L: Listener> Patient<L> {
    pub fn new(listener: L) -> Self {
        Self::within(listener, IDLE_WITHIN)
    }

    pub fn within(listener: L, within: Duration) -> Self {
        Self { listener, within }
    }
}

impl<L: Listener> Listener for Patient<L> {
    type Io = Watched<L::Io>;
    type Addr = L::Addr;

    async fn accept(&mut self) -> (Self::Io, Self::Addr) {
        let (connection, from) = self.listener.accept().await;
        (Watched::new(connection, self.within), from)
    }

    fn local_addr(&self) -> io::Result<Self::Addr> {
        self.listener.local_addr()
    }
}

/// A connection that fails once nothing was read or written for too long. Whoever sends single bytes
/// slowly keeps it: what a request may hold is limited elsewhere.
pub struct Watched<S> {
    connection: S,
    within: Duration,
    until: Pin<Box<Sleep>>,
}

impl<S> Watched<S> {
    fn new(connection: S, within: Duration) -> Self {
        Self { connection, within, until: Box::pin(sleep(within)) }
    }

    /// Hands on what came of it; what is pending for too long has failed.
    fn judge<T>(&mut self, done: Poll<io::Result<T>>, cx: &mut Context<'_>) -> Poll<io::Result<T>> {
        if done.is_ready() {
            self.until.as_mut().reset(Instant::now() + self.within);
            return done;
        }
        if !self.until.is_elapsed() {
            ready!(self.until.as_mut().poll(cx));
        }
        Poll::Ready(Err(ErrorKind::TimedOut.into()))
    }
}

impl<S: Undelayed> Undelayed for Watched<S> {
    fn send_at_once(&self) -> io::Result<()> {
        self.connection.send_at_once()
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Watched<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let done = Pin::new(&mut self.connection).poll_read(cx, into);
        self.judge(done, cx)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Watched<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let done = Pin::new(&mut self.connection).poll_write(cx, bytes);
        self.judge(done, cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        parts: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let done = Pin::new(&mut self.connection).poll_write_vectored(cx, parts);
        self.judge(done, cx)
    }

    fn is_write_vectored(&self) -> bool {
        self.connection.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let done = Pin::new(&mut self.connection).poll_flush(cx);
        // Called again and again with nothing to do: only waiting is judged.
        if done.is_ready() { done } else { self.judge(done, cx) }
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let done = Pin::new(&mut self.connection).poll_shutdown(cx);
        self.judge(done, cx)
    }
}
