//! Opening a defect: what is wrong, at which step or at the job as a whole, with photos.

use askama::Template;
use axum::extract::{Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use crate::acts::defects::{self, Seen};
use crate::acts::job::{JobFile, load};
use crate::domain::entry::TEXT_CHARS_MAX;
use crate::domain::ids::JobId;
use crate::domain::release::Refusal;
use crate::web::app::App;
use crate::web::entries::{StepForm, keep_photos};
use crate::web::error::WebError;
use crate::web::form::{Choice, Field, Filled, FormFault, Pairs};
use crate::web::page::{Frame, page};
use crate::web::session::Who;

#[derive(Template)]
#[template(path = "pages/defect_new.html")]
struct NewDefectPage {
    frame: Frame,
    back: String,
    number: u64,
    lede: String,
    action: String,
    step: Field,
    steps: Vec<Choice>,
    text: Field,
    photo: Field,
    faults: Vec<FormFault>,
}

/// GET /jobs/{job}/defects/new
pub(in crate::web) async fn new_page(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    if file.state.released.is_some() {
        return Err(Refusal::Released.into());
    }
    Ok(page(&form_page(&who, &file, Filled::with(pairs))))
}

fn form_page(who: &Who, file: &JobFile, mut filled: Filled) -> NewDefectPage {
    let job = format!("/jobs/{}", file.row.id);
    let steps =
        file.state.steps.iter().map(|state| {
            (state.step.key.clone(), format!("{}. {}", state.number, state.step.title))
        });
    let whole = (String::new(), "The job as a whole".to_owned());
    NewDefectPage {
        frame: Frame::new(format!("Defect, job {}", file.row.number), who, "/defects"),
        number: file.row.number,
        lede: format!("{}, {}", file.row.vehicle, file.row.registration),
        action: format!("{job}/defects"),
        steps: filled.choices("step", std::iter::once(whole).chain(steps)),
        step: filled.field("step", "Where").hint("A step chosen here is due again."),
        text: filled
            .field("text", "What is wrong")
            .hint("In a sentence that says where to look and what you saw."),
        photo: filled.field("photo", "Photos"),
        faults: filled.into_faults(),
        back: job,
    }
}

/// POST /jobs/{job}/defects
pub(in crate::web) async fn open(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    parts: Multipart,
) -> Result<Response, WebError> {
    let sent = StepForm::read(parts).await?;
    let mut filled = Filled::with(["step", "text"].map(|name| (name, sent.text(name))));
    if filled.text("text").is_empty() {
        filled.fault("text", "Write what is wrong.");
    }
    let text = filled.maybe_lines("text", TEXT_CHARS_MAX);
    // Nothing of a job that is not there, or that cannot have defects any more, is stored.
    let file = load(app.store(), who.workshop(), job).await?;
    if file.state.released.is_some() {
        return Err(Refusal::Released.into());
    }
    let photos = keep_photos(&app, &who, &sent).await?.unwrap_or_else(|fault| {
        filled.fault("photo", fault);
        Vec::new()
    });
    let step = filled.text("step").to_owned();
    if !step.is_empty() && file.state.step(&step).is_none() {
        filled.fault("step", "The sheet has no such step any more. Choose another.");
    }
    if !filled.is_sound() {
        let again = page(&form_page(&who, &file, filled));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    }
    defects::open(app.store(), &who.by(app.now()), job, Seen { step, text, photos }).await?;
    Ok(Redirect::to(&format!("/jobs/{job}#defects")).into_response())
}
