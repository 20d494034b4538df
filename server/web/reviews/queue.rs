//! The other jobs that wait for review, in the side bar: whoever waits longest first.

use crate::acts::job::JobFile;
use crate::domain::job::{Stage, WaitsFor};
use crate::storage::jobs::{self, JobRow};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::views::ago;

/// More do not fit below the navigation.
const LISTED: u32 = 4;

pub(super) struct QueuedView {
    pub(super) href: String,
    pub(super) number: u64,
    pub(super) vehicle: String,
    pub(super) since: String,
    pub(super) current: Option<&'static str>,
}

pub(super) struct QueueView {
    pub(super) jobs: Vec<QueuedView>,
    /// Once this job is decided: where the next one is, and its number.
    pub(super) next: Option<(String, u64)>,
}

pub(super) async fn queue(app: &App, file: &JobFile) -> Result<QueueView, WebError> {
    let stages: Vec<&str> = WaitsFor::Review.stages().iter().map(|stage| stage.word()).collect();
    let rows = jobs::waiting(app.store(), file.workshop.id, &stages, None, LISTED).await?.jobs;
    let decided = file.state.stage() != Stage::Review;
    let other = rows.iter().find(|row| row.id != file.row.id);
    let next = other.filter(|_| decided).map(|row| (address(row), row.number));
    let view = |row: &JobRow| QueuedView {
        href: address(row),
        number: row.number,
        vehicle: row.vehicle.clone(),
        since: ago(app.now(), row.since),
        current: (row.id == file.row.id).then_some("page"),
    };
    Ok(QueueView { jobs: rows.iter().map(view).collect(), next })
}

fn address(row: &JobRow) -> String {
    format!("/jobs/{}/review", row.id)
}
