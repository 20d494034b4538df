//! `/status-list`: which certificates stand, as plain text with a detached signature. Open to all, so
//! that anybody can check without asking about one certificate.

use axum::extract::{Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::error::{WebError, ours};
use super::form::{Filled, Pairs};
use crate::acts;
use crate::storage::workshops::{self, Workshop};

/// GET /status-list
pub(super) async fn list(
    State(app): State<App>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let text = text(&app, pairs).await?;
    Ok(([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], text).into_response())
}

/// GET /status-list/signature: ECDSA over SHA-256 in DER, of exactly the list's bytes.
pub(super) async fn signature(
    State(app): State<App>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let text = text(&app, pairs).await?;
    let signature = app.seal().sign(text.as_bytes());
    Ok(([(header::CONTENT_TYPE, "application/octet-stream")], signature).into_response())
}

/// GET /status-list/certificate: the seal's certificate, which holds the key that the signature fits.
pub(super) async fn certificate(State(app): State<App>) -> Result<Response, WebError> {
    let pem = app.seal().certificate_pem().map_err(ours)?;
    Ok(([(header::CONTENT_TYPE, "application/x-pem-file")], pem).into_response())
}

async fn text(app: &App, pairs: Pairs) -> Result<String, WebError> {
    let workshop = workshop(app, &Filled::with(pairs)).await?;
    Ok(acts::status_list::status_list(app.store(), app.seal(), &workshop).await?.text())
}

/// The workshop that is asked about. Where the server has only one, nobody needs to name it.
pub(super) async fn workshop(app: &App, asked: &Filled) -> Result<Workshop, WebError> {
    let prefix = asked.text("workshop").to_ascii_uppercase();
    let mut all = workshops::list(app.store()).await?;
    if !prefix.is_empty() {
        all.retain(|workshop| workshop.certificate_prefix == prefix);
    }
    match (all.pop(), all.is_empty()) {
        (Some(workshop), true) => Ok(workshop),
        (Some(_), false) => Err(WebError::Rule(
            "This server has several workshops. Add ?workshop= and the letters that the certificate's \
             number begins with, such as ?workshop=AB."
                .to_owned(),
        )),
        (None, _) => Err(WebError::NotFound),
    }
}
