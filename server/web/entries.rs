//! Recording: a step's form, the signed submit, and the batch that a phone sends.

use axum::extract::multipart::MultipartError;
use axum::extract::{Form, Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::WebError;
use super::session::Who;
use super::sheets::{Typed, came_back, next_after};
use crate::acts::job::{JobFile, load};
use crate::acts::record::{compose, record as take_in};
use crate::acts::{ActError, By};
use crate::domain::entry::{Body, Digest, ENTRY_PHOTOS_MAX, Payload, Signature};
use crate::domain::ids::{EntryId, JobId};
use crate::domain::step_form::{Asked, Fields, Filled, read};

pub(super) mod sync;

/// Characters of a field; longer ones are refused, not cut.
const FIELD_CHARS_MAX: usize = 4_000;
const NO_STEP: &str = "The sheet has no such step.";

/// A step's form as it came: fields by name, photos as sent.
#[derive(Debug, Default)]
pub(super) struct StepForm {
    fields: Fields,
    photos: Vec<Vec<u8>>,
}

impl StepForm {
    pub(super) async fn read(mut parts: Multipart) -> Result<Self, WebError> {
        let mut form = Self::default();
        let broken = |why: MultipartError| match why.status() {
            StatusCode::PAYLOAD_TOO_LARGE => WebError::request_too_large(),
            _ => WebError::Rule("The form arrived broken. Send it again.".to_owned()),
        };
        while let Some(part) = parts.next_field().await.map_err(broken)? {
            let name = part.name().unwrap_or_default().to_owned();
            let bytes = part.bytes().await.map_err(broken)?;
            if name == "photo" {
                // A file field that nobody filled arrives empty.
                if !bytes.is_empty() {
                    form.photos.push(bytes.to_vec());
                }
                continue;
            }
            let text = String::from_utf8_lossy(&bytes).into_owned();
            if text.chars().count() > FIELD_CHARS_MAX {
                return Err(WebError::Rule(format!(
                    "One field holds more than {FIELD_CHARS_MAX} characters. Shorten it."
                )));
            }
            form.fields.0.insert(name, text);
        }
        if form.photos.len() > ENTRY_PHOTOS_MAX {
            return Err(WebError::Rule(format!(
                "At most {ENTRY_PHOTOS_MAX} photos go with one step. Send the rest with a note."
            )));
        }
        Ok(form)
    }

    pub(super) fn text(&self, name: &str) -> &str {
        self.fields.text(name)
    }
}

/// POST /jobs/{job}/steps/{step}
pub(super) async fn record(
    State(app): State<App>,
    who: Who,
    Path((job, step)): Path<(JobId, String)>,
    parts: Multipart,
) -> Result<Response, WebError> {
    let form = StepForm::read(parts).await?;
    let by = who.by(app.now());
    let file = load(app.store(), who.workshop(), job).await?;
    let photos = match keep_photos(&app, &who, &form).await? {
        Ok(photos) => photos,
        Err(fault) => return came_back(&app, &who, &file, &typed(&form, &step, fault)),
    };
    let state = file.state.step(&step).ok_or_else(|| Asked::Fault(NO_STEP.to_owned()));
    let filled = match state.and_then(|state| read(&state.step.kind, &form.fields, photos)) {
        Ok(filled) => filled,
        Err(Asked::Fault(fault)) => {
            return came_back(&app, &who, &file, &typed(&form, &step, fault));
        }
        Err(Asked::Question(question)) => {
            let typed = Typed { question: Some(question), ..typed(&form, &step, String::new()) };
            return came_back(&app, &who, &file, &Typed { fault: None, ..typed });
        }
    };
    let bodies = bodies(&by, &file, &step, &form, filled)?;
    let (answers, file) = take_in(app.store(), &by, job, bodies).await?;
    if let Some(fault) = answers.into_iter().find_map(Result::err) {
        return match rule(fault)? {
            Some(fault) => came_back(&app, &who, &file, &typed(&form, &step, fault)),
            None => Err(WebError::NotFound),
        };
    }
    let next = next_after(&file, &step);
    Ok(Redirect::to(&format!("/jobs/{job}/sheet?after={step}#s-{next}")).into_response())
}

/// A refusal as a sentence for the field; our own faults stay errors.
fn rule(error: ActError) -> Result<Option<String>, WebError> {
    match error {
        ActError::NoJob => Ok(None),
        ActError::Storage(_) | ActError::Ours(_) | ActError::Chance(_) => Err(error.into()),
        rule => Ok(Some(rule.to_string())),
    }
}

fn typed(form: &StepForm, step: &str, fault: String) -> Typed {
    Typed {
        step: step.to_owned(),
        id: form.text("id").to_owned(),
        value: form.text("value").to_owned(),
        current: form.text("current").to_owned(),
        cell: form.text("cell").to_owned(),
        note: form.text("note").to_owned(),
        instruments: ["instrument", "current_instrument", "thermometer"]
            .into_iter()
            .filter_map(|name| form.text(name).parse().ok())
            .collect(),
        fault: Some(fault),
        question: None,
    }
}

/// Makes safe and stores the photos of a form before any entry names them.
pub(super) async fn keep_photos(
    app: &App,
    who: &Who,
    form: &StepForm,
) -> Result<Result<Vec<Digest>, String>, WebError> {
    use crate::storage::photos::{self, NewPhoto};
    let mut kept = Vec::new();
    for sent in &form.photos {
        let bytes = sent.clone();
        let picture = match app.heavy(move || crate::storage::picture::kept(&bytes)).await? {
            Ok(picture) => picture,
            Err(fault) => return Ok(Err(fault.to_string())),
        };
        // Named by what is kept, so that the record can be checked against the file.
        let sha256 = Digest::of(&picture.jpeg);
        let new = NewPhoto {
            sha256: sha256.clone(),
            picture,
            received: app.now(),
            received_by: who.person.id,
        };
        photos::append(app.store(), who.workshop(), new).await?;
        kept.push(sha256);
    }
    Ok(Ok(kept))
}

/// The bodies of one form: the result, and words or pictures beside it.
fn bodies(
    by: &By,
    file: &JobFile,
    step: &str,
    form: &StepForm,
    filled: Filled,
) -> Result<Vec<Vec<u8>>, WebError> {
    let id = |name: &str| {
        form.text(name).parse::<EntryId>().map_err(|_| {
            WebError::Rule(
                "The form has lost its number. Open the sheet and save again.".to_owned(),
            )
        })
    };
    let mut bodies = Vec::new();
    if let Some(payload) = filled.result {
        let composed = compose(by, id("id")?, file, step, payload);
        let body = Body {
            // The edition and the results that the person looked at, not those of this moment.
            sheet: form.text("sheet").parse().unwrap_or(composed.sheet),
            supersedes: form
                .text("supersedes")
                .split(',')
                .filter_map(|id| id.parse().ok())
                .collect(),
            improbable: filled.improbable,
            ..composed
        };
        bodies.push(body.write()?);
    }
    if let Some(payload) = filled.remark {
        bodies.push(compose(by, id("remark_id")?, file, step, payload).write()?);
    }
    Ok(bodies)
}

/// The signed submit.
#[derive(Debug, Deserialize)]
pub(super) struct SubmitForm {
    id: EntryId,
    name: String,
    #[serde(default)]
    strokes: String,
}

/// POST /jobs/{job}/submit
pub(super) async fn submit(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(form): Form<SubmitForm>,
) -> Result<Redirect, WebError> {
    let by = who.by(app.now());
    let file = load(app.store(), who.workshop(), job).await?;
    let signature = Signature { name: form.name.trim().to_owned(), strokes: form.strokes };
    let body = compose(&by, form.id, &file, "", Payload::Submit { signature });
    let (answers, _) = take_in(app.store(), &by, job, vec![body.write()?]).await?;
    if let Some(fault) = answers.into_iter().find_map(Result::err) {
        return Err(fault.into());
    }
    Ok(Redirect::to(&format!("/jobs/{job}")))
}
