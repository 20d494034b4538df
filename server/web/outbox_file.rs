//! `/outbox-file`: a phone's file loaded by a manager, where no signal comes any more. First a look, then
//! a second press that records.

use askama::Template;
use axum::extract::multipart::MultipartError;
use axum::extract::{Form, Multipart, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use super::app::App;
use super::error::WebError;
use super::page::{Frame, page};
use super::session::Who;
use crate::acts::outbox_file::{Checked, JobLoaded, JobLook, Look, look, read, record as load};
use crate::domain::entry::Digest;
use crate::domain::ids::Moment;
use crate::domain::outbox_file::{OUTBOX_MIB_MAX, OutboxFault};
use crate::storage::jobs::JobRow;
use crate::storage::outbox_files;

/// One job of the file.
struct JobView {
    title: String,
    href: Option<String>,
    /// `3 new, 2 already recorded, 1 refused`
    counts: String,
    refused: Vec<String>,
}

/// What a look found, or what a second press did.
struct FileView {
    words: String,
    jobs: Vec<JobView>,
    photos: Vec<String>,
    /// Digest of the file, where something in it can be recorded.
    record: Option<(String, String)>,
}

#[derive(Template)]
#[template(path = "pages/outbox_file.html")]
struct OutboxPage {
    frame: Frame,
    fault: Option<String>,
    file: Option<FileView>,
}

fn shown(who: &Who, fault: Option<String>, file: Option<FileView>) -> Response {
    let frame = Frame::new("A phone's file", who, "/jobs");
    let status = if fault.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    (status, page(&OutboxPage { frame, fault, file })).into_response()
}

/// GET /outbox-file
pub(super) async fn ask(who: Who) -> Response {
    shown(&who, None, None)
}

/// POST /outbox-file
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    parts: Multipart,
) -> Result<Response, WebError> {
    let bytes = uploaded(parts).await?;
    let (checked, bytes) = match checked(&app, bytes).await? {
        Ok(read) => read,
        Err(fault) => return Ok(shown(&who, Some(format!("{fault}.")), None)),
    };
    let by = who.by(app.now());
    let look = match look(app.store(), &by, &checked).await.map_err(WebError::from) {
        Err(WebError::Rule(fault)) => return Ok(shown(&who, Some(fault), None)),
        look => look?,
    };
    let sha256 = outbox_files::append(app.store(), who.workshop(), bytes, app.now()).await?;
    Ok(shown(&who, None, Some(looked(&checked, &look, &sha256))))
}

/// The file that was looked at.
#[derive(Debug, Deserialize)]
pub(super) struct RecordForm {
    sha256: Digest,
}

/// POST /outbox-file/record
pub(super) async fn record(
    State(app): State<App>,
    who: Who,
    Form(form): Form<RecordForm>,
) -> Result<Response, WebError> {
    let (store, workshop) = (app.store(), who.workshop());
    let Some(bytes) = outbox_files::load(store, workshop, &form.sha256).await? else {
        let fault = "The file is not here any more: it was recorded, or lay here too long. Choose it \
                     again.";
        return Ok(shown(&who, Some(fault.to_owned()), None));
    };
    let checked = match checked(&app, bytes).await? {
        Ok((checked, _)) => checked,
        Err(fault) => return Ok(shown(&who, Some(format!("{fault}.")), None)),
    };
    let photos = bad_photos(&checked);
    let (person, jobs) = load(store, &who.by(app.now()), checked).await?;
    outbox_files::remove(store, workshop, &form.sha256).await?;
    let recorded: usize = jobs.iter().map(|job| job.recorded).sum();
    let entries = counted(recorded, "entry", "entries");
    let words = format!("Recorded: {entries} of {}.", person.name);
    let jobs = jobs.iter().map(loaded).collect();
    Ok(shown(&who, None, Some(FileView { words, jobs, photos, record: None })))
}

/// The bytes of the one file of the form.
async fn uploaded(mut parts: Multipart) -> Result<Vec<u8>, WebError> {
    let broken = |why: MultipartError| match why.status() {
        StatusCode::PAYLOAD_TOO_LARGE => WebError::TooLarge(format!("{}.", OutboxFault::TooLarge)),
        _ => WebError::Rule("The file did not arrive whole. Choose it again.".to_owned()),
    };
    let mut file = Vec::new();
    while let Some(part) = parts.next_field().await.map_err(broken)? {
        let is_file = part.name() == Some("file");
        let bytes = part.bytes().await.map_err(broken)?;
        if is_file {
            file = bytes.to_vec();
        }
    }
    Ok(file)
}

/// Reads a file off the request threads, and gives its bytes back.
async fn checked(
    app: &App,
    bytes: Vec<u8>,
) -> Result<Result<(Checked, Vec<u8>), OutboxFault>, WebError> {
    app.heavy(move || read(&bytes).map(|checked| (checked, bytes))).await
}

fn looked(checked: &Checked, look: &Look, sha256: &Digest) -> FileView {
    let file = &checked.file;
    let saved = Moment::parse(&file.saved)
        .map_or("at a time that cannot be read".to_owned(), |at| {
            format!("{} UTC", at.date_and_minute())
        });
    let fresh = look.fresh_count();
    let record = (fresh > 0).then(|| {
        let entries = counted(fresh, "entry", "entries");
        (sha256.to_string(), format!("Record {entries} of {}", look.person.name))
    });
    FileView {
        words: format!(
            "The outbox of {}, saved {saved}: {} of {}, {}.",
            look.person.name,
            counted(file.entries.len(), "entry", "entries"),
            counted(look.jobs.len(), "job", "jobs"),
            counted(checked.photo_count() + checked.bad_photos.len(), "photo", "photos")
        ),
        jobs: look.jobs.iter().map(job).collect(),
        photos: bad_photos(checked),
        record,
    }
}

fn bad_photos(checked: &Checked) -> Vec<String> {
    let line = |(sha256, reason): &(Digest, String)| {
        let short = sha256.as_str().get(..12).unwrap_or_default();
        format!("Photo {short}…: {reason}")
    };
    checked.bad_photos.iter().map(line).collect()
}

fn job(look: &JobLook) -> JobView {
    let (title, href) = match &look.row {
        Some(row) => (title(row), Some(href(row))),
        None => (format!("Job {}, not known here", look.id), None),
    };
    let counts = (look.fresh_count(), "new", look.already, look.refused.len());
    JobView { title, href, counts: counts_words(counts), refused: look.refused.clone() }
}

fn loaded(done: &JobLoaded) -> JobView {
    let counts = (done.recorded, "recorded now", done.already, done.refused.len());
    JobView {
        title: title(&done.row),
        href: Some(href(&done.row)),
        counts: counts_words(counts),
        refused: done.refused.clone(),
    }
}

fn counts_words((fresh, word, already, refused): (usize, &str, usize, usize)) -> String {
    format!("{fresh} {word}, {already} already recorded, {refused} refused")
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

fn title(row: &JobRow) -> String {
    format!("Job {}: {}, {}", row.number, row.vehicle, row.registration)
}

fn href(row: &JobRow) -> String {
    format!("/jobs/{}", row.id)
}

/// What a request with a file may carry: the largest file, and the frame around it [KiB].
pub(super) const REQUEST_KIB_MAX: usize = OUTBOX_MIB_MAX * 1024 + 64;
