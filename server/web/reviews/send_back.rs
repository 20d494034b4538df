//! Steps that go back to the technician: ticked in the list, all under one remark.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::{ReviewQuery, View, review_page};
use crate::acts::job::load;
use crate::acts::{ActError, decide};
use crate::domain::entry::TEXT_CHARS_MAX;
use crate::domain::ids::JobId;
use crate::domain::job::StepState;
use crate::domain::release::Refusal;
use crate::web::app::App;
use crate::web::error::{WebError, encode};
use crate::web::form::{Field, Filled};
use crate::web::page::page;
use crate::web::session::Who;

/// Id of the form, which its ticks in the list name.
const FORM: &str = "return";

/// The tick of one step.
pub(super) struct Tick {
    pub(super) key: String,
    pub(super) words: String,
    /// The attribute, where it is ticked.
    pub(super) checked: Option<&'static str>,
}

impl Tick {
    pub(super) fn new(step: &StepState, sent: &Filled) -> Self {
        Self {
            key: step.step.key.clone(),
            words: format!("{}. {}", step.number, step.step.title),
            checked: is_ticked(step, sent).then_some("checked"),
        }
    }
}

fn is_ticked(step: &StepState, sent: &Filled) -> bool {
    sent.every("step").any(|key| key == step.step.key)
}

/// The form with the remark.
pub(super) struct SendBackView {
    pub(super) action: String,
    /// What was shown when it was sent, so that it comes back to the same place.
    pub(super) show: String,
    pub(super) at: String,
    /// Of steps that the list does not show: the one looked at, and those that came back ticked.
    pub(super) ticks: Vec<Tick>,
    pub(super) remark: Field,
}

/// Nothing goes back once the vehicle is released.
pub(super) fn send_back_view(view: &View<'_>, sent: &mut Filled) -> Option<SendBackView> {
    let state = &view.file.state;
    if state.released.is_some() {
        return None;
    }
    let at = view.looked_at;
    let hidden = |step: &&StepState| {
        let wanted = is_ticked(step, sent) || at.is_some_and(|at| at.number == step.number);
        wanted && !view.is_shown(step)
    };
    Some(SendBackView {
        action: format!("/jobs/{}/return", view.file.row.id),
        show: view.query.show.clone(),
        at: at.map(|step| step.step.key.clone()).unwrap_or_default(),
        ticks: state.steps.iter().filter(hidden).map(|step| Tick::new(step, sent)).collect(),
        remark: sent
            .field("remark", "Remark")
            .hint("What is to be done at the steps you tick. They are due again."),
    })
}

/// POST /jobs/{job}/return
pub(in crate::web) async fn send_back(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let remark = checked_remark(&mut sent);
    let mut steps: Vec<String> = Vec::new();
    for key in sent.every("step") {
        if !steps.iter().any(|known| known == key) {
            steps.push(key.to_owned());
        }
    }
    if steps.is_empty() {
        sent.fault(FORM, "Tick at least one step to send back.");
    }
    if !sent.is_sound() {
        return came_back(&app, &who, job, sent, StatusCode::UNPROCESSABLE_ENTITY).await;
    }
    let by = who.by(app.now());
    let status = match decide::send_back(app.store(), &by, job, steps, &remark).await {
        Ok(_) => return Ok(back_to(job, &sent).into_response()),
        Err(ActError::Append(moved)) => {
            sent.fault(FORM, moved.to_string());
            StatusCode::CONFLICT
        }
        Err(ActError::Refused(Refusal::NoStep)) => {
            sent.fault(FORM, "The sheet has changed since. Look at the steps, then tick again.");
            StatusCode::UNPROCESSABLE_ENTITY
        }
        Err(other) => return Err(other.into()),
    };
    came_back(&app, &who, job, sent, status).await
}

fn checked_remark(sent: &mut Filled) -> String {
    if sent.text("remark").is_empty() {
        sent.fault("remark", "Write what is to be done.");
    }
    sent.maybe_lines("remark", TEXT_CHARS_MAX)
}

fn back_to(job: JobId, sent: &Filled) -> Redirect {
    let (show, at) = (encode(sent.text("show")), encode(sent.text("at")));
    Redirect::to(&format!("/jobs/{job}/review?show={show}&step={at}&done=returned"))
}

async fn came_back(
    app: &App,
    who: &Who,
    job: JobId,
    sent: Filled,
    status: StatusCode,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let query =
        ReviewQuery { show: sent.text("show").to_owned(), step: sent.text("at").to_owned() };
    let again = page(&review_page(app, who, &file, &query, sent).await?);
    Ok((status, again).into_response())
}
