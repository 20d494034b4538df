//! `/photos/{sha256}/upload`: a photo in pieces, gone on with where it broke off.
//!
//! The photo is named by the digest of its bytes before it is sent; it must arrive as that, and as a
//! JPEG without anything else in it, because it is kept byte for byte.

use axum::Json;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use super::digest;
use crate::domain::entry::Digest;
use crate::storage::incoming::{self, PIECE_KIB_MAX, Piece, PieceRefused, Sender, Taken};
use crate::storage::photos::{self, NewPhoto};
use crate::storage::picture;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::session::Who;

/// After so long half of them may be through.
const TRY_AGAIN_S: u32 = 60;

/// How far a photo has come.
#[derive(Debug, Serialize)]
struct Progress {
    received: u64,
    complete: bool,
}

/// GET /photos/{sha256}/upload
pub(in crate::web) async fn progress(
    State(app): State<App>,
    who: Who,
    Path(sha256): Path<String>,
) -> Result<Response, WebError> {
    let sha256 = digest(sha256)?;
    if let Some(complete) = complete(&app, &who, &sha256).await? {
        return Ok(complete);
    }
    let received = incoming::received(app.store(), sender(&who), &sha256).await?;
    Ok(Json(Progress { received, complete: false }).into_response())
}

/// POST /photos/{sha256}/upload
pub(in crate::web) async fn take(
    State(app): State<App>,
    who: Who,
    Path(sha256): Path<String>,
    headers: HeaderMap,
    body: Result<Bytes, BytesRejection>,
) -> Result<Response, WebError> {
    let sha256 = digest(sha256)?;
    who.expect(&headers)?;
    check_type(&headers)?;
    let bytes = body.map_err(|rejection| unreadable(&rejection))?.to_vec();
    let offset = number(&headers, "upload-offset")?;
    let length = number(&headers, "upload-length")?;
    if let Some(complete) = complete(&app, &who, &sha256).await? {
        return Ok(complete);
    }
    let piece = Piece { sha256: sha256.clone(), offset, length, bytes, now: app.now() };
    match incoming::append(app.store(), sender(&who), piece).await?.map_err(refused)? {
        Taken::Part(received) => Ok(Json(Progress { received, complete: false }).into_response()),
        Taken::Whole(bytes) => finish(&app, &who, sha256, bytes).await,
    }
}

fn sender(who: &Who) -> Sender {
    Sender { workshop: who.workshop(), person: who.person.id }
}

/// Checks the whole and keeps it, durable before it is answered. What is refused starts anew.
async fn finish(
    app: &App,
    who: &Who,
    sha256: Digest,
    bytes: Vec<u8>,
) -> Result<Response, WebError> {
    let received = bytes.len() as u64;
    let outcome = keep(app, who, &sha256, bytes).await;
    if !matches!(outcome, Err(WebError::Storage(_) | WebError::Ours(_))) {
        incoming::remove(app.store(), sender(who), &sha256).await?;
    }
    outcome?;
    Ok(Json(Progress { received, complete: true }).into_response())
}

/// Keeps a photo as it came, under the name that it was given.
pub(in crate::web) async fn keep(
    app: &App,
    who: &Who,
    sha256: &Digest,
    bytes: Vec<u8>,
) -> Result<(), WebError> {
    let wanted = sha256.clone();
    let work =
        move || (Digest::of(&bytes) == wanted).then(|| picture::as_it_came(&bytes)).transpose();
    let picture = match app.heavy(work).await? {
        Ok(Some(picture)) => picture,
        Ok(None) => {
            return Err(WebError::Rule(
                "The photo is not what its name says: it was changed on its way. Send it again."
                    .to_owned(),
            ));
        }
        Err(fault) => return Err(WebError::Rule(format!("{fault}."))),
    };
    let (received, received_by) = (app.now(), who.person.id);
    let new = NewPhoto { sha256: sha256.clone(), picture, received, received_by };
    photos::append(app.store(), who.workshop(), new).await?;
    Ok(())
}

/// The answer where the photo is here already, however it came.
async fn complete(app: &App, who: &Who, sha256: &Digest) -> Result<Option<Response>, WebError> {
    let row = photos::load(app.store(), who.workshop(), sha256).await?;
    Ok(row.map(|row| Json(Progress { received: row.bytes, complete: true }).into_response()))
}

fn check_type(headers: &HeaderMap) -> Result<(), WebError> {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    if kind == Some("application/octet-stream") {
        return Ok(());
    }
    Err(WebError::WrongType(
        "A piece of a photo is sent as application/octet-stream. Load the page again.",
    ))
}

fn unreadable(rejection: &BytesRejection) -> WebError {
    if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return WebError::TooLarge(format!(
            "A piece of a photo is at most {PIECE_KIB_MAX} KiB. Send smaller pieces."
        ));
    }
    WebError::Rule("The piece did not arrive whole. Send it again.".to_owned())
}

fn number(headers: &HeaderMap, name: &'static str) -> Result<u64, WebError> {
    let text = headers.get(name).and_then(|value| value.to_str().ok());
    text.and_then(|text| text.parse().ok()).ok_or_else(|| {
        WebError::Rule(format!(
            "The piece does not say {name} as a whole number of bytes. Load the page again."
        ))
    })
}

fn refused(refused: PieceRefused) -> WebError {
    let sentence = format!("{refused}.");
    match refused {
        PieceRefused::Offset { received } => WebError::Offset { sentence, received },
        PieceRefused::TooMany => WebError::TooMany { sentence, retry_after_s: TRY_AGAIN_S },
        PieceRefused::TooLong => WebError::TooLarge(sentence),
        PieceRefused::Size | PieceRefused::Beyond => WebError::Rule(sentence),
    }
}
