//! Opening a defect: what is wrong, at which step or at the job as a whole, with photos.

use askama::Template;
use axum::extract::{Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use crate::acts::ActError;
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
    let file = load(app.store(), who.workshop(), job).await?;
    let status = match checked(&app, &who, &file, (&sent, &mut filled)).await? {
        None => StatusCode::UNPROCESSABLE_ENTITY,
        Some(seen) => match defects::open(app.store(), &who.by(app.now()), job, seen).await {
            Ok(_) => return Ok(Redirect::to(&format!("/jobs/{job}#defects")).into_response()),
            Err(ActError::Append(moved)) => {
                filled.fault("text", format!("{moved}."));
                StatusCode::CONFLICT
            }
            Err(other) => return Err(other.into()),
        },
    };
    Ok((status, page(&form_page(&who, &file, filled))).into_response())
}

/// What the form says. Photos are stored only once the rest of it is sound.
async fn checked(
    app: &App,
    who: &Who,
    file: &JobFile,
    (sent, filled): (&StepForm, &mut Filled),
) -> Result<Option<Seen>, WebError> {
    if file.state.released.is_some() {
        return Err(Refusal::Released.into());
    }
    if filled.text("text").is_empty() {
        filled.fault("text", "Write what is wrong.");
    }
    let text = filled.maybe_lines("text", TEXT_CHARS_MAX);
    let step = filled.text("step").to_owned();
    if !step.is_empty() && file.state.step(&step).is_none() {
        filled.fault("step", "The sheet has no such step any more. Choose another.");
    }
    if !filled.is_sound() {
        return Ok(None);
    }
    Ok(match keep_photos(app, who, sent).await? {
        Ok(photos) => Some(Seen { step, text, photos }),
        Err(fault) => {
            filled.fault("photo", fault);
            None
        }
    })
}
