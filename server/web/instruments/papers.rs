//! The papers of calibrations as files: attached, and given out for saving.

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};

use super::in_use;
use super::show::{Sent, refused};
use super::upload::{PAPER, WithPaper};
use crate::domain::calibration_paper::{Paper, PaperRefused};
use crate::domain::entry::Digest;
use crate::domain::ids::{CalibrationId, InstrumentId};
use crate::storage::{calibration_files, instruments};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::id;
use crate::web::session::Who;
use crate::web::shield::FILES;

/// Digits of the digest in the name that a saved file gets.
const NAME_DIGITS: usize = 12;

/// POST /instruments/{instrument}/calibrations/{calibration}/files
pub(in crate::web) async fn attach(
    State(app): State<App>,
    who: Who,
    Path((instrument, calibration)): Path<(String, String)>,
    mut sent: WithPaper,
) -> Result<Response, WebError> {
    let instrument = in_use(&app, &who, &instrument).await?;
    let calibration: CalibrationId = id(&calibration)?;
    let found = instruments::load(app.store(), who.workshop(), instrument).await?;
    let found = found.ok_or(WebError::NotFound)?;
    if !found.calibrations.iter().any(|known| known.id == calibration) {
        return Err(WebError::NotFound);
    }
    let Some(paper) = sent.paper() else {
        if sent.filled.is_sound() {
            sent.filled.fault(PAPER, PaperRefused::Empty.to_string());
        }
        return refused(&app, &who, &found, Sent::File(calibration, sent.filled)).await;
    };
    keep(&app, &who, (instrument, calibration), paper).await?;
    Ok(Redirect::to(&format!("/instruments/{instrument}?done=attached")).into_response())
}

/// Keeps a paper that was found to be one.
pub(super) async fn keep(
    app: &App,
    who: &Who,
    of: (InstrumentId, CalibrationId),
    paper: Paper,
) -> Result<(), WebError> {
    let new = (paper, who.person.id, app.now());
    calibration_files::append(app.store(), who.workshop(), of, new).await?;
    Ok(())
}

/// GET /instruments/{instrument}/calibrations/{calibration}/files/{sha256}: for saving, never shown in the
/// page's own name.
pub(in crate::web) async fn file(
    State(app): State<App>,
    who: Who,
    Path((instrument, calibration, sha256)): Path<(String, String, String)>,
) -> Result<Response, WebError> {
    let of = (id(&instrument)?, id(&calibration)?);
    let sha256 = Digest::try_from(sha256).map_err(|_| WebError::NotFound)?;
    let found = calibration_files::load(app.store(), who.workshop(), of, &sha256).await?;
    let (row, bytes) = found.ok_or(WebError::NotFound)?;
    let short = sha256.as_str().get(..NAME_DIGITS).unwrap_or_default();
    let name = format!("attachment; filename=\"calibration-{short}.{}\"", row.kind.ending());
    let headers = [
        (header::CONTENT_TYPE, row.kind.media_type().to_owned()),
        (header::CONTENT_DISPOSITION, name),
        (header::CONTENT_SECURITY_POLICY, FILES.to_owned()),
        (header::CACHE_CONTROL, "private, no-store".to_owned()),
    ];
    Ok((headers, bytes).into_response())
}
