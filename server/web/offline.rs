//! What a phone without signal lives on: the worker, the list of files, the pages that belong to nobody,
//! and which pages to take along.

use askama::Template;
use axum::Json;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use super::app::App;
use super::assets;
use super::error::WebError;
use super::page::{Frame, page};
use super::session::Who;
use crate::domain::ids::{JobId, PersonId};
use crate::domain::job::Stage;
use crate::storage::board;
use crate::storage::jobs::{self, JobRow};

/// Jobs that one phone takes along.
const ALONG_JOBS_MAX: usize = 50;
/// Open jobs of each stage that are looked through for them.
const OPEN_JOBS_MAX: u32 = 500;

/// GET /sw.js: one line, so that the worker itself is a file like any other and may be kept for ever.
pub(super) async fn worker() -> Response {
    let headers = [
        (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (header::CACHE_CONTROL, "no-cache"),
    ];
    (headers, format!("import '{}';\n", assets::href("worker.js"))).into_response()
}

#[derive(Template)]
#[template(path = "pages/offline.html")]
struct OfflinePage {
    frame: Frame,
}

/// GET /offline: shown where neither the server nor a copy answers.
pub(super) async fn offline() -> Response {
    page(&OfflinePage { frame: Frame::bare("No signal") })
}

#[derive(Template)]
#[template(path = "pages/waiting.html")]
struct WaitingPage {
    frame: Frame,
}

/// GET /waiting: what is on this phone, read from its own database by the page's script.
pub(super) async fn waiting() -> Response {
    page(&WaitingPage { frame: Frame::bare("On this phone") })
}

/// A job to take along. `count` tells whether a copy is still as the record is.
#[derive(Debug, Serialize)]
struct JobAlong {
    id: JobId,
    number: u64,
    vehicle: String,
    count: u64,
    pages: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Along {
    person: PersonId,
    build: &'static str,
    /// The list of jobs itself.
    list: &'static str,
    jobs: Vec<JobAlong>,
}

/// GET /along: every open job of whoever asks, those that are planned for a day first.
pub(super) async fn along(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    let person = who.person.id;
    let open = Stage::ALL.into_iter().filter(|stage| *stage != Stage::Released);
    let stages: Vec<&str> = open.map(Stage::word).collect();
    let (store, workshop) = (app.store(), who.workshop());
    let mut found = jobs::open_of(store, workshop, (person, &stages), OPEN_JOBS_MAX).await?;
    let by_day = board::list_of_person(store, workshop, person).await?;
    let place = |row: &JobRow| by_day.iter().position(|planned| planned.id == row.id);
    found.sort_by_key(|row| place(row).unwrap_or(usize::MAX));
    found.truncate(ALONG_JOBS_MAX);
    let jobs = found.into_iter().map(|row| {
        let here = format!("/jobs/{}", row.id);
        let has_sheet = row.steps_total > 0;
        let sheet = has_sheet.then(|| format!("{here}/sheet"));
        JobAlong {
            id: row.id,
            number: row.number,
            vehicle: format!("{}, {}", row.vehicle, row.registration),
            count: row.entry_count,
            pages: [here.clone(), format!("{here}/plan")].into_iter().chain(sheet).collect(),
        }
    });
    let jobs = jobs.collect();
    let along = Along { person, build: assets::build(), list: "/jobs", jobs };
    Ok(Json(along).into_response())
}
