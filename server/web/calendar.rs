//! `/calendar/{secret}.ics`: what is due, for calendar programs, which cannot sign in. Whoever has the address
//! reads it; nothing tells a wrong address from one that was revoked.

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::error::{WebError, ours};
use super::shield::FILES;
use crate::acts::due::feed;
use crate::domain::person::Role;
use crate::domain::seal::sha256;
use crate::storage::{calendar_tokens, workshops};
use crate::world::SECRET_CHARS;

/// What is kept of it. So many bits need no slow hash.
pub(super) fn digest(secret: &str) -> [u8; 32] {
    sha256(format!("calendar/1\n{secret}").as_bytes())
}

/// GET /calendar/{file}
pub(super) async fn show(
    State(app): State<App>,
    Path(file): Path<String>,
) -> Result<Response, WebError> {
    let secret = file.strip_suffix(".ics").filter(|secret| secret.len() == SECRET_CHARS);
    let secret = secret.ok_or(WebError::NotFound)?;
    let person = calendar_tokens::find(app.store(), digest(secret)).await?;
    let person = person.filter(|person| person.role.covers(Role::Manager));
    let person = person.ok_or(WebError::NotFound)?;
    let workshop = workshops::load(app.store(), person.workshop).await?;
    let workshop = workshop.ok_or_else(|| ours("a person without workshop"))?;
    let origin = &app.origin().address;
    let text = feed(app.store(), (workshop.id, &workshop.name), origin, app.now()).await?;
    let headers = [
        (header::CONTENT_TYPE, "text/calendar; charset=utf-8"),
        (header::CACHE_CONTROL, "no-store, private"),
        (header::CONTENT_DISPOSITION, "inline; filename=\"due.ics\""),
        (header::CONTENT_SECURITY_POLICY, FILES),
    ];
    Ok((headers, text).into_response())
}
