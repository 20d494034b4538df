//! `/jobs/{job}/review`: the manager sees every result and decides.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;

mod act;
mod decision;
mod entry;
mod list;
mod photos;
mod plan;
mod queue;
mod send_back;
mod tally;

pub(super) use act::{concede, release};
use decision::{DecisionView, decision};
use entry::EntryView;
use list::{GroupView, TabView};
use photos::PhotosView;
use plan::PlanRow;
use queue::{QueueView, queue};
pub(super) use send_back::send_back;
use send_back::{SendBackView, send_back_view};
use tally::{TallyView, tally};

use super::app::App;
use super::error::WebError;
use super::form::{Filled, FormFault};
use super::page::{Done, Frame, page};
use super::session::Who;
use super::views::{AsideView, ComparedView, Tape};
use super::withdrawals::{DONE, WithdrawalView, withdrawal_view};
use crate::acts::job::{JobFile, load};
use crate::domain::ids::JobId;
use crate::domain::job::{Flag, StepState};
use crate::storage::certificates;

/// Which rows are shown, and which step is looked at.
#[derive(Debug, Default, Deserialize)]
pub(super) struct ReviewQuery {
    #[serde(default)]
    show: String,
    #[serde(default)]
    step: String,
}

#[derive(Template)]
#[template(path = "pages/review.html")]
pub(super) struct ReviewPage {
    frame: Frame,
    number: u64,
    lede: String,
    back: String,
    tally: Vec<TallyView>,
    tape: Tape,
    tabs: Vec<TabView>,
    groups: Vec<GroupView>,
    /// Of the list, for the rows that span all of them.
    columns: usize,
    photos: Vec<PhotosView>,
    plan: Vec<PlanRow>,
    queue: QueueView,
    aside: Vec<AsideView>,
    /// Of a re-inspection.
    compared: Vec<ComparedView>,
    entry: Option<EntryView>,
    send_back: Option<SendBackView>,
    decision: DecisionView,
    withdrawal: WithdrawalView,
    faults: Vec<FormFault>,
}

/// GET /jobs/{job}/review
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Query(query): Query<ReviewQuery>,
    done: Done,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let shown = review_page(&app, &who, &file, &query, Filled::default()).await?;
    let [asked, withdrawn, left] = DONE;
    let frame = done.noted(shown.frame, &[RETURNED, asked, withdrawn, left]);
    Ok(page(&ReviewPage { frame, ..shown }))
}

/// The page with what was sent and is not good yet.
pub(super) async fn review_page(
    app: &App,
    who: &Who,
    file: &JobFile,
    query: &ReviewQuery,
    mut sent: Filled,
) -> Result<ReviewPage, WebError> {
    if file.state.sheet.is_none() {
        return Err(WebError::Rule(
            "There is no sheet to review yet. Make the plan first.".to_owned(),
        ));
    }
    let issued = certificates::list(app.store(), who.workshop(), file.row.id).await?;
    let withdrawal = withdrawal_view(app, who, file, &issued, &mut sent).await?;
    let looked_at = looked_at(file, &query.step);
    let view = View { file, query, looked_at };
    Ok(ReviewPage {
        frame: Frame::new(format!("Review, job {}", file.row.number), who, "/jobs"),
        number: file.row.number,
        lede: format!("{}, {}. {}.", file.row.vehicle, file.row.registration, file.kit.title),
        back: format!("/jobs/{}", file.row.id),
        tally: tally(file),
        tape: Tape::of(&file.state, looked_at.map(|step| step.number)),
        tabs: view.tabs(),
        groups: view.groups(&sent),
        columns: if file.state.released.is_some() { 6 } else { 7 },
        photos: if query.show == "photos" { view.photos() } else { Vec::new() },
        plan: view.plan(),
        queue: queue(app, file).await?,
        aside: AsideView::all(file),
        compared: ComparedView::all(file),
        entry: looked_at.map(|step| view.entry(step)),
        send_back: send_back_view(&view, &mut sent),
        decision: decision(file, who, issued.last()),
        withdrawal,
        faults: sent.into_faults(),
    })
}

/// The step that was asked for, else the first that wants eyes, else the first measurement.
fn looked_at<'a>(file: &'a JobFile, asked: &str) -> Option<&'a StepState> {
    let steps = &file.state.steps;
    file.state
        .step(asked)
        .or_else(|| steps.iter().find(|step| !step.is_good()))
        .or_else(|| steps.iter().find(|step| wants_eyes(step)))
        .or_else(|| steps.iter().find(|step| step.step.kind.is_measurement()))
}

/// Not good, or good with something to look at twice.
fn wants_eyes(step: &StepState) -> bool {
    !step.is_good() || !step.flags().is_empty() || step.had_defect() || step.concession.is_some()
}

fn flag_words(file: &JobFile, state: &StepState) -> Vec<String> {
    let loaded = state.loaded_by().map(|person| file.name_of(person));
    let words = |flag: Flag| match (flag, &loaded) {
        (Flag::ByFile, Some(name)) => format!("Came by file, loaded by {name}."),
        _ => flag.words().to_owned(),
    };
    state.flags().into_iter().map(words).collect()
}

/// What one look at the page is made from.
struct View<'a> {
    file: &'a JobFile,
    query: &'a ReviewQuery,
    looked_at: Option<&'a StepState>,
}

/// What the page says once steps were sent back.
const RETURNED: (&str, &str) =
    ("returned", "Sent back. The steps are due again, and the sheet shows the remark at each.");
