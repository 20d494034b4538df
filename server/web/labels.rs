//! `/jobs/{job}/labels`: labels for fuses and circuits, as a page to choose on and as a PDF.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::certificates::pdf_reply;
use super::error::{WebError, ours};
use super::form::{Choice, Field, Filled, Pairs};
use super::page::{Frame, page};
use super::session::Who;
use crate::acts::job::{JobFile, load};
use crate::acts::labels::{Wanted, of, pdf};
use crate::documents::labels::{FORMS, Label, LabelForm};
use crate::domain::ids::JobId;

#[derive(Template)]
#[template(path = "pages/labels.html")]
struct LabelsPage {
    frame: Frame,
    number: u64,
    back: String,
    action: String,
    form: Field,
    forms: Vec<Choice>,
    first: Field,
    labels: Vec<Label>,
    /// Codes are printed once there is a certificate.
    code: &'static str,
}

/// GET /jobs/{job}/labels
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    Ok(page(&labels_page(&who, &file, Filled::with([("form", FORMS[0].word), ("first", "1")]))?))
}

fn labels_page(who: &Who, file: &JobFile, mut filled: Filled) -> Result<LabelsPage, WebError> {
    let forms = FORMS.iter().map(|form| (form.word, form.title));
    Ok(LabelsPage {
        frame: Frame::new(format!("Labels, job {}", file.row.number), who, "/jobs"),
        number: file.row.number,
        back: format!("/jobs/{}", file.row.id),
        action: format!("/jobs/{}/labels.pdf", file.row.id),
        forms: filled.choices("form", forms),
        form: filled.field("form", "Sheet").hint("Blank sheets as stationers sell them, or tape."),
        first: filled
            .field("first", "First free label")
            .hint("Counted row by row from the top left: of a sheet that was begun."),
        labels: of(file, "")?,
        code: if file.state.released.is_some() {
            "Each carries a code: it leads to what to do at the roadside, and on to the certificate."
        } else {
            "After the release each also carries a code: to what to do at the roadside, and on to the certificate."
        },
    })
}

/// GET /jobs/{job}/labels.pdf
pub(super) async fn file(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let mut filled = Filled::with(pairs);
    let Some(wanted) = wanted(&mut filled) else {
        let file = load(app.store(), who.workshop(), job).await?;
        let again = page(&labels_page(&who, &file, filled)?);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    let _permit = app.heavy.acquire().await.map_err(ours)?;
    let by = who.by(app.now());
    let bytes = pdf(app.store(), &app.origin().address, &by, job, wanted).await?;
    Ok(pdf_reply("labels", bytes))
}

fn wanted(filled: &mut Filled) -> Option<Wanted> {
    let Some(form) = LabelForm::find(filled.text("form")) else {
        filled.fault("form", "Choose one of the sheets of the list.");
        return None;
    };
    let each = form.each_page();
    match filled.text("first").parse() {
        Ok(first) if (1..=each).contains(&first) => Some(Wanted { form, first }),
        _ => {
            let sentence = format!("This sheet has {each} labels: type a number from 1 to {each}.");
            filled.fault("first", sentence);
            None
        }
    }
}
