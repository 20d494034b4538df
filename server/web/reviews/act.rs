//! What a manager decides on the review page: concede, release.

use axum::extract::{Form, Path, State};
use axum::response::Redirect;
use serde::Deserialize;

use crate::acts::decide;
use crate::domain::entry::Signature;
use crate::domain::ids::JobId;
use crate::web::app::App;
use crate::web::certificates::issue_now;
use crate::web::error::WebError;
use crate::web::session::Who;

/// A step that is accepted as it is, with the reason.
#[derive(Debug, Deserialize)]
pub(in crate::web) struct ConcessionForm {
    step: String,
    reason: String,
}

/// POST /jobs/{job}/concession
pub(in crate::web) async fn concede(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(form): Form<ConcessionForm>,
) -> Result<Redirect, WebError> {
    let by = who.by(app.now());
    decide::concede(app.store(), &by, job, &form.step, form.reason.trim()).await?;
    Ok(Redirect::to(&format!("/jobs/{job}/review?step={}", form.step)))
}

/// The signature under a release.
#[derive(Debug, Deserialize)]
pub(in crate::web) struct ReleaseForm {
    name: String,
    #[serde(default)]
    strokes: String,
}

/// POST /jobs/{job}/release
pub(in crate::web) async fn release(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(form): Form<ReleaseForm>,
) -> Result<Redirect, WebError> {
    let by = who.by(app.now());
    let signature = Signature { name: form.name.trim().to_owned(), strokes: form.strokes };
    decide::release(app.store(), &by, job, signature).await?;
    issue_now(&app, &by, job).await?;
    Ok(Redirect::to(&format!("/jobs/{job}/review")))
}
