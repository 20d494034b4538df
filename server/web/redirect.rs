//! Plain http for those who type no scheme: it sends them to the origin, and does nothing else.

use std::future::IntoFuture as _;

use axum::Router;
use axum::extract::State;
use axum::http::{Method, StatusCode, Uri, header};
use axum::response::{IntoResponse as _, Response};
use tokio::net::TcpListener;

use super::patient::Patient;

/// Answers until it is dropped. Nothing that matters is ever under way here.
pub async fn redirect(listener: TcpListener, origin: String) {
    let router = Router::new().fallback(lead_on).with_state(origin);
    if let Err(why) = axum::serve(Patient::new(listener), router).into_future().await {
        tracing::error!("Plain http is no longer led on to https ({why}).");
    }
}

/// A form that came here was sent readable already: it is not sent on.
async fn lead_on(State(origin): State<String>, method: Method, uri: Uri) -> Response {
    if !matches!(method, Method::GET | Method::HEAD) {
        let words = format!("Nothing is taken over plain http. Open {origin} instead.\n");
        let allowed = [(header::ALLOW, "GET, HEAD")];
        return (StatusCode::METHOD_NOT_ALLOWED, allowed, words).into_response();
    }
    let path = uri.path_and_query().map_or("/", |path| path.as_str());
    let path = if path.starts_with('/') { path } else { "/" };
    (StatusCode::PERMANENT_REDIRECT, [(header::LOCATION, format!("{origin}{path}"))])
        .into_response()
}
