//! `/jobs/{job}/archive`: a whole job as one file, for the owner.

use std::fs::File;
use std::io::{self, Read as _};

use axum::body::{Body, Bytes};
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use futures_util::stream::try_unfold;
use serde::Deserialize;

use super::app::App;
use super::error::{WebError, ours};
use super::session::Who;
use super::shield::FILES;
use crate::acts::export::{Customer, Exported, export};
use crate::domain::ids::JobId;

/// What is read and handed to the connection at once.
const PIECE_BYTES: u64 = 256 * 1024;

#[derive(Deserialize)]
pub(super) struct ArchiveQuery {
    #[serde(default)]
    customer: String,
}

/// GET /jobs/{job}/archive: made anew each time, one of few at a time.
pub(super) async fn archive(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Query(query): Query<ArchiveQuery>,
) -> Result<Response, WebError> {
    let customer = match query.customer.as_str() {
        "" => Customer::Included,
        "left-out" => Customer::LeftOut,
        _ => {
            return Err(WebError::Rule(
                "Ask for the archive as it is, or with customer=left-out.".to_owned(),
            ));
        }
    };
    let made = {
        let _permit = app.heavy.acquire().await.map_err(ours)?;
        export(app.store(), who.workshop(), job, customer).await?
    };
    Ok(reply(made))
}

fn reply(made: Exported) -> Response {
    let Exported { scratch, file, bytes, job_number, .. } = made;
    let headers = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_LENGTH, bytes.to_string()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"job-{job_number}.zip\"")),
        (header::CONTENT_SECURITY_POLICY, FILES.to_owned()),
    ];
    // Its name goes at once, its bytes when the last piece was handed over or nobody wants the rest.
    drop(scratch);
    (headers, Body::from_stream(try_unfold(file, next_piece))).into_response()
}

async fn next_piece(file: File) -> io::Result<Option<(Bytes, File)>> {
    let read = tokio::task::spawn_blocking(move || {
        let mut piece = Vec::new();
        (&file).take(PIECE_BYTES).read_to_end(&mut piece)?;
        Ok((!piece.is_empty()).then(|| (Bytes::from(piece), file)))
    });
    read.await.map_err(io::Error::other)?
}
