//! `/settings/retention`: how long what may go is kept, what would go now, and what went.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use crate::acts::retention::{Due, due};
use crate::storage::retention::{self, Deletion, Retention};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Field, Filled, FormFault};
use crate::web::page::{Done, Frame, page};
use crate::web::session::Who;

/// Nothing is kept shorter than this; photos of a job may still be wanted for a year.
const PHOTOS_LEAST: u32 = 12;
const OTHERS_LEAST: u32 = 1;
const MONTHS_MAX: u32 = 600;

#[derive(Template)]
#[template(path = "pages/retention.html")]
struct RetentionPage {
    frame: Frame,
    photos: Field,
    links: Field,
    sessions: Field,
    faults: Vec<FormFault>,
    due: Vec<String>,
    gone: Vec<Gone>,
}

/// A line about what went.
struct Gone {
    at: String,
    what: String,
    names: String,
}

impl Gone {
    fn of(line: Deletion) -> Self {
        let of_job = line.job_number.map(|job| format!(" of job {job}")).unwrap_or_default();
        Self {
            at: line.at.date_and_minute(),
            what: format!("{} {}{of_job}", line.count, line.kind),
            names: line.names,
        }
    }
}

async fn retention_page(
    app: &App,
    who: &Who,
    kept: Retention,
    mut filled: Filled,
) -> Result<RetentionPage, WebError> {
    let due = due(app.store(), who.workshop(), kept, app.now()).await?;
    let gone = retention::deletions(app.store(), who.workshop()).await?;
    let mut months = |name: &str, label: &str, hint| {
        filled.field(name, label).hint(hint).unit("months").optional()
    };
    Ok(RetentionPage {
        frame: Frame::new("What is kept", who, "/settings"),
        photos: months(
            "photos",
            "Photos of jobs that were never released",
            "After the last entry of the job; at least 12. Without them such a job cannot be released any more.",
        ),
        links: months(
            "links",
            "Customers\u{2019} links that ended",
            "With the count of their openings.",
        ),
        sessions: months(
            "sessions",
            "Sign-ins that ended",
            "Which device was signed in until when.",
        ),
        faults: filled.into_faults(),
        due: told(&due),
        gone: gone.into_iter().map(Gone::of).collect(),
    })
}

/// What would go, a line each.
fn told(due: &Due) -> Vec<String> {
    let photos = due.photos.iter().map(|job| {
        format!("{} photos of job {}, which was never released", job.photos.len(), job.number)
    });
    let ended = [(due.links, "links that ended"), (due.sessions, "sign-ins that ended")];
    let ended = ended.into_iter().filter(|(count, _)| *count > 0);
    photos.chain(ended.map(|(count, words)| format!("{count} {words}"))).collect()
}

/// GET /settings/retention
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    done: Done,
) -> Result<Response, WebError> {
    let kept = retention::load(app.store(), who.workshop()).await?;
    let text = |months: Option<u32>| months.map(|months| months.to_string()).unwrap_or_default();
    let filled = Filled::with([
        ("photos", text(kept.photos_months)),
        ("links", text(kept.links_months)),
        ("sessions", text(kept.sessions_months)),
    ]);
    let shown = retention_page(&app, &who, kept, filled).await?;
    let saved =
        ("kept", "Kept. What is due goes with the next day\u{2019}s work; see below what that is.");
    let frame = done.noted(shown.frame, &[saved]);
    Ok(page(&RetentionPage { frame, ..shown }))
}

/// POST /settings/retention
pub(in crate::web) async fn change(
    State(app): State<App>,
    who: Who,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let new = Retention {
        photos_months: months(&mut filled, "photos", PHOTOS_LEAST),
        links_months: months(&mut filled, "links", OTHERS_LEAST),
        sessions_months: months(&mut filled, "sessions", OTHERS_LEAST),
    };
    if !filled.is_sound() {
        let kept = retention::load(app.store(), who.workshop()).await?;
        let again = page(&retention_page(&app, &who, kept, filled).await?);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    }
    retention::change(app.store(), who.workshop(), new).await?;
    Ok(Redirect::to("/settings/retention?done=kept").into_response())
}

/// Nothing is for good.
fn months(filled: &mut Filled, name: &str, least: u32) -> Option<u32> {
    let text = filled.text(name);
    if text.is_empty() {
        return None;
    }
    let months = text.parse().ok().filter(|months| (least..=MONTHS_MAX).contains(months));
    if months.is_none() {
        let why = format!(
            "Write whole months from {least} to {MONTHS_MAX}, or nothing to keep it for good."
        );
        filled.fault(name, why);
    }
    months
}
