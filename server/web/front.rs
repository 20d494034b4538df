//! `/` and the two addresses that tell a machine how the server is.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Redirect;

use super::app::App;
use super::error::WebError;
use super::session::MaybeWho;
use super::sign_in::settled_workshop;

/// GET /
pub(super) async fn home(
    State(app): State<App>,
    MaybeWho(who): MaybeWho,
) -> Result<Redirect, WebError> {
    if who.is_some() {
        return Ok(Redirect::to("/jobs"));
    }
    let settled = settled_workshop(&app).await?.is_some();
    Ok(Redirect::to(if settled { "/sign-in" } else { "/first-run" }))
}

/// GET /livez: the process answers.
pub(super) async fn alive() -> &'static str {
    "ok"
}

/// GET /readyz: the record can be read and written.
pub(super) async fn ready(State(app): State<App>) -> (StatusCode, &'static str) {
    match app.store().health().await {
        Ok(_) => (StatusCode::OK, "ok"),
        Err(error) => {
            tracing::error!(error = %error, "not ready");
            (StatusCode::SERVICE_UNAVAILABLE, "not ready")
        }
    }
}
