//! The server on its socket, until it is told to stop or cannot go on.

use std::future::{Future, IntoFuture as _};
use std::net::SocketAddr;
use std::time::Duration;

use axum::serve::{Listener, ListenerExt as _};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use tokio_rustls::server::TlsStream;

use super::App;

/// Why a server stopped answering.
#[derive(Debug, PartialEq, Eq)]
pub enum Ended<T> {
    /// It was told to, with what it was told.
    Told { word: T, is_cut_off: bool },
    /// The record takes nothing any more, for this reason.
    StoreFailed(String),
    /// The socket failed, for this reason.
    Broken(String),
}

type Answering = JoinHandle<std::io::Result<()>>;

/// A connection whose answers leave as soon as they are written.
pub trait Undelayed {
    fn send_at_once(&self) -> std::io::Result<()>;
}

impl Undelayed for TcpStream {
    fn send_at_once(&self) -> std::io::Result<()> {
        self.set_nodelay(true)
    }
}

impl Undelayed for TlsStream<TcpStream> {
    fn send_at_once(&self) -> std::io::Result<()> {
        self.get_ref().0.set_nodelay(true)
    }
}

/// Answers on the socket, plain or with TLS. When `stop` comes or storing fails, it takes no more connections, finishes
/// what is under way for as long as `finish_within`, cuts off the rest, and returns.
pub async fn serve<T>(
    listener: impl Listener<Addr = SocketAddr, Io: Undelayed>,
    app: App,
    stop: impl Future<Output = T>,
    finish_within: Duration,
) -> Ended<T> {
    let listener = listener.tap_io(|connection| {
        // Answers are small and wanted at once; a connection that refuses is only slower.
        if let Err(why) = connection.send_at_once() {
            tracing::debug!("no TCP_NODELAY: {why}");
        }
    });
    let (tell, told) = oneshot::channel::<()>();
    let until = async move {
        // Dropped is as good as told: nobody is left to tell.
        let _ = told.await;
    };
    let service = super::server(app.clone()).into_make_service_with_connect_info::<SocketAddr>();
    let serving = axum::serve(listener, service).with_graceful_shutdown(until).into_future();
    let mut answering = tokio::spawn(serving);
    let ended = until_something_ends_it(&app, &mut answering, stop).await;
    if matches!(ended, Ended::Broken(_)) {
        return ended;
    }
    let _ = tell.send(());
    let is_cut_off = !finishes(&mut answering, finish_within).await;
    match ended {
        Ended::Told { word, .. } => Ended::Told { word, is_cut_off },
        other => other,
    }
}

async fn until_something_ends_it<T>(
    app: &App,
    answering: &mut Answering,
    stop: impl Future<Output = T>,
) -> Ended<T> {
    tokio::select! {
        reason = app.store().failed() => Ended::StoreFailed(reason),
        ended = answering => Ended::Broken(match ended {
            Ok(Ok(())) => "it ended by itself".to_owned(),
            Ok(Err(why)) => why.to_string(),
            Err(why) => why.to_string(),
        }),
        word = stop => Ended::Told { word, is_cut_off: false },
    }
}

/// Waits for what is under way, and ends it where it takes too long.
async fn finishes(answering: &mut Answering, within: Duration) -> bool {
    let is_done = tokio::time::timeout(within, &mut *answering).await.is_ok();
    if !is_done {
        tracing::warn!("some requests took longer than {within:?} and were cut off");
        answering.abort();
    }
    is_done
}
