//! `/seals`: the workshop's seals, one after another, and how each was authorised by the one before. Open to
//! all: whoever holds a paper under an old seal follows from there to the one in use.

use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::error::{WebError, ours};
use super::form::{Filled, Pairs};
use super::status_list::workshop;
use crate::acts;
use crate::documents::sign::certificate_pem;
use crate::domain::seal::hex;
use crate::storage::seal_changes::{self, StoredChange};
use crate::storage::workshops::Workshop;

/// GET /seals
pub(super) async fn list(
    State(app): State<App>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let workshop = workshop(&app, &Filled::with(pairs)).await?;
    Ok(plain(acts::seals::list(app.store(), app.seal(), &workshop).await?.text()))
}

/// GET /seals/{fingerprint}: the certificate of a seal, in use or not.
pub(super) async fn certificate(
    State(app): State<App>,
    Path(fingerprint): Path<String>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let workshop = workshop(&app, &Filled::with(pairs)).await?;
    let der = if hex(&app.seal().fingerprint()) == fingerprint {
        app.seal().certificate_der().to_vec()
    } else {
        let changes = seal_changes::list(app.store(), workshop.id).await?;
        let old = changes.into_iter().find(|change| hex(&change.old_seal()) == fingerprint);
        old.ok_or(WebError::NotFound)?.old_certificate
    };
    let pem = certificate_pem(&der).map_err(ours)?;
    Ok(([(header::CONTENT_TYPE, "application/x-pem-file")], pem).into_response())
}

/// GET /seals/{fingerprint}/change: the text by which this seal took over.
pub(super) async fn change(
    State(app): State<App>,
    Path(fingerprint): Path<String>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let (change, workshop) = taken_over(&app, &fingerprint, pairs).await?;
    Ok(plain(change.statement(&workshop.certificate_prefix).text()))
}

/// GET /seals/{fingerprint}/change/old-signature: that text signed with the key of the seal before.
pub(super) async fn old_signature(
    State(app): State<App>,
    Path(fingerprint): Path<String>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    Ok(bytes(taken_over(&app, &fingerprint, pairs).await?.0.old_signature))
}

/// GET /seals/{fingerprint}/change/new-signature: that text signed with its own key.
pub(super) async fn new_signature(
    State(app): State<App>,
    Path(fingerprint): Path<String>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    Ok(bytes(taken_over(&app, &fingerprint, pairs).await?.0.new_signature))
}

/// The change by which a seal took over; the first seal has none.
async fn taken_over(
    app: &App,
    fingerprint: &str,
    pairs: Pairs,
) -> Result<(StoredChange, Workshop), WebError> {
    let workshop = workshop(app, &Filled::with(pairs)).await?;
    let changes = seal_changes::list(app.store(), workshop.id).await?;
    let found = changes.into_iter().find(|change| hex(&change.new_seal()) == fingerprint);
    Ok((found.ok_or(WebError::NotFound)?, workshop))
}

fn plain(text: String) -> Response {
    ([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], text).into_response()
}

fn bytes(signature: Vec<u8>) -> Response {
    ([(header::CONTENT_TYPE, "application/octet-stream")], signature).into_response()
}
