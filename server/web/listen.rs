//! The server on its socket, until it is told to stop.

use std::future::Future;
use std::net::SocketAddr;

use axum::serve::ListenerExt as _;
use tokio::net::TcpListener;

use super::App;

/// Answers on the socket. When `stop` comes, it takes no more connections, finishes what is under
/// way, and returns.
pub async fn serve(
    listener: TcpListener,
    app: App,
    stop: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    let listener = listener.tap_io(|connection| {
        // Answers are small and wanted at once; a connection that refuses is only slower.
        if let Err(why) = connection.set_nodelay(true) {
            tracing::debug!("no TCP_NODELAY: {why}");
        }
    });
    let service = super::server(app).into_make_service_with_connect_info::<SocketAddr>();
    axum::serve(listener, service).with_graceful_shutdown(stop).await
}
