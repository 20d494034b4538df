//! `/certificates`: the sealed paper of a released job.

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::session::Who;
use super::shield::FILES;
use crate::acts::By;
use crate::acts::certificate::issue;
use crate::domain::ids::JobId;
use crate::storage::certificates::{self, CertificateRow};

/// POST /jobs/{job}/certificate: for a release whose paper could not be made at once.
pub(super) async fn make(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Redirect, WebError> {
    issue_now(&app, &who.by(app.now()), job).await?;
    Ok(Redirect::to(&format!("/jobs/{job}/review")))
}

/// Makes the paper, one of few at a time.
pub(super) async fn issue_now(app: &App, by: &By, job: JobId) -> Result<CertificateRow, WebError> {
    let _permit = app.heavy.acquire().await.map_err(super::error::ours)?;
    Ok(issue(app.store(), &app.sealer(), &app.origin().address, by, job).await?)
}

/// GET /certificates/{number}
pub(super) async fn pdf(
    State(app): State<App>,
    who: Who,
    Path(number): Path<String>,
) -> Result<Response, WebError> {
    let row = certificates::load(app.store(), who.workshop(), &number).await?;
    let row = row.ok_or(WebError::NotFound)?;
    let bytes = certificates::pdf(app.store(), &row).await?;
    Ok(pdf_reply(&format!("certificate-{}", row.number), bytes))
}

/// A PDF that the browser shows, and keeps under this name.
pub(super) fn pdf_reply(name: &str, bytes: Vec<u8>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, "application/pdf".to_owned()),
        (header::CONTENT_DISPOSITION, format!("inline; filename=\"{name}.pdf\"")),
        // A browser's own PDF reader does not run in a sandbox; scripts stay off all the same.
        (header::CONTENT_SECURITY_POLICY, FILES.replace("sandbox; ", "")),
    ];
    (headers, bytes).into_response()
}
