//! `/jobs/{job}/handover`: the customer's paper of a released job.

use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;

use super::app::App;
use super::certificates::pdf_reply;
use super::error::WebError;
use super::session::Who;
use crate::acts::handover::make;
use crate::domain::certificate::PaperSize;
use crate::domain::ids::JobId;

#[derive(Deserialize)]
pub(super) struct HandoverQuery {
    #[serde(default)]
    paper: String,
}

/// GET /jobs/{job}/handover: made anew each time, one of few at a time.
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Query(query): Query<HandoverQuery>,
) -> Result<Response, WebError> {
    let size = paper_size(&query.paper)?;
    let _permit = app.heavy.acquire().await.map_err(super::error::ours)?;
    let made = make(app.store(), &app.origin().address, (who.workshop(), job), size).await?;
    Ok(pdf_reply(&format!("handover-{}", made.number), made.pdf))
}

/// Nothing asked for is the workshop's own.
fn paper_size(word: &str) -> Result<Option<PaperSize>, WebError> {
    let size = PaperSize::find(word);
    if size.is_none() && !word.is_empty() {
        return Err(WebError::Rule(
            "This paper size is not known. Ask for a4 or for letter.".to_owned(),
        ));
    }
    Ok(size)
}
