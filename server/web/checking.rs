//! `/verify/by-hand`: how anybody checks a certificate with common tools and without us.

use axum::http::header;
use axum::response::IntoResponse;

/// Its commands are run by a test, as they stand there.
pub const BY_HAND: &str = include_str!("../../templates/documents/checking.md");

/// GET /verify/by-hand
pub(super) async fn by_hand() -> impl IntoResponse {
    ([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], BY_HAND)
}
