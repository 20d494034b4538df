//! `/photos/{sha256}`: photos of entries, by the digest that the entry names.

pub(super) mod upload;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::error::WebError;
use super::session::Who;
use super::shield::FILES;
use crate::domain::entry::Digest;
use crate::storage::photos;

/// A digest names these bytes and no others. Private: only people of the workshop may see them.
const FOR_EVER: &str = "private, max-age=31536000, immutable";
/// Digits of the digest in the name a saved photo gets.
const NAME_DIGITS: usize = 12;

/// GET /photos/{sha256}
pub(super) async fn photo(
    State(app): State<App>,
    who: Who,
    Path(sha256): Path<String>,
) -> Result<Response, WebError> {
    let digest = digest(sha256)?;
    let jpeg = photos::jpeg(app.store(), who.workshop(), &digest).await?;
    Ok(answer(&digest, "photo", jpeg.ok_or(WebError::NotFound)?))
}

/// GET /photos/{sha256}/thumb
pub(super) async fn thumb(
    State(app): State<App>,
    who: Who,
    Path(sha256): Path<String>,
) -> Result<Response, WebError> {
    let digest = digest(sha256)?;
    let jpeg = photos::thumb(app.store(), who.workshop(), &digest).await?;
    Ok(answer(&digest, "thumb", jpeg.ok_or(WebError::NotFound)?))
}

fn digest(text: String) -> Result<Digest, WebError> {
    Digest::try_from(text).map_err(|_| WebError::NotFound)
}

fn answer(digest: &Digest, word: &str, jpeg: Vec<u8>) -> Response {
    let short = digest.as_str().get(..NAME_DIGITS).unwrap_or_default();
    let headers = [
        (header::CONTENT_TYPE, "image/jpeg".to_owned()),
        (header::CONTENT_SECURITY_POLICY, FILES.to_owned()),
        (header::CACHE_CONTROL, FOR_EVER.to_owned()),
        (header::CONTENT_DISPOSITION, format!("inline; filename=\"{word}-{short}.jpg\"")),
    ];
    (headers, jpeg).into_response()
}
