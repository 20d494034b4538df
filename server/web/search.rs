//! `/jobs/{job}/steps/{step}/search`: where the probes go next to find the joint that carries an
//! excess. What was measured stands in the address; nothing of it is recorded.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

mod form;
mod view;

use form::Asked;
use view::{FormView, OutcomeView, PointView, ReadingView};

use super::app::App;
use super::error::WebError;
use super::form::Pairs;
use super::page::{Frame, page};
use super::session::Who;
use crate::acts::job::{JobFile, load};
use crate::domain::diagnosis::{
    CircuitPath, SAFE, Search, SpanReading, Tools, circuit_path, search,
};
use crate::domain::entry::Payload;
use crate::domain::ids::{InstrumentId, JobId, Moment};
use crate::domain::instrument::Instrument;
use crate::domain::job::{Recorded, StepState};
use crate::domain::step::StepKind;

#[derive(Template)]
#[template(path = "pages/search.html")]
struct SearchPage {
    frame: Frame,
    number: usize,
    title: String,
    back: String,
    outcome: Option<OutcomeView>,
    form: Option<FormView>,
    points: Vec<PointView>,
    readings: Vec<ReadingView>,
    least: String,
}

/// GET /jobs/{job}/steps/{step}/search
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path((job, step)): Path<(JobId, String)>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let state = file.state.step(&step).ok_or(WebError::NotFound)?;
    let path = path_of(&file, state)?;
    let bench = Bench {
        path: &path,
        recorded: recorded(&path, state),
        tools: tools(&file, state, app.now()),
    };
    let asked = form::read(&bench, &pairs)?;
    let shown = searched(&who, &file, state, &bench, &asked)?;
    let code =
        if asked.fault.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    Ok((code, page(&shown)).into_response())
}

/// The way to the search, from a path that is not proved or clearly above its plan.
pub(super) fn search_link(file: &JobFile, state: &StepState) -> Option<String> {
    let judgement = state.result()?.judged.as_ref().ok()?;
    let wanted = judgement.diagnosis.as_ref()?.wants_search(judgement.verdict);
    wanted.then(|| address(file, state))
}

fn address(file: &JobFile, state: &StepState) -> String {
    format!("/jobs/{}/steps/{}/search", file.row.id, state.step.key)
}

/// What a search is worked out from, beside what is typed.
struct Bench<'a> {
    path: &'a CircuitPath,
    /// The drop over the whole path, as the sheet has it.
    recorded: Option<SpanReading>,
    tools: Option<Tools<'a>>,
}

impl Bench<'_> {
    /// Where the search stands after these; a figure beyond reason is refused with its sentence.
    fn search(&self, readings: &[SpanReading]) -> Result<Search, String> {
        let all: Vec<SpanReading> = self.recorded.iter().chain(readings).copied().collect();
        search(self.path, &all, self.tools).map_err(|refused| refused.to_string())
    }
}

fn path_of(file: &JobFile, state: &StepState) -> Result<CircuitPath, WebError> {
    if !matches!(state.step.kind, StepKind::PathDrop { .. }) {
        return Err(WebError::NotFound);
    }
    if file.state.is_sheet_behind() {
        let words = "The plan was changed. Make a new sheet from it, then search by the new plan.";
        return Err(WebError::Rule(words.to_owned()));
    }
    let plan = file.plan.as_ref().ok_or(WebError::NotFound)?;
    circuit_path(&file.kit, &plan.plan, &state.step.key).ok_or(WebError::NotFound)
}

fn counted(state: &StepState) -> Option<&Recorded> {
    state.result().filter(|result| result.judged.is_ok())
}

fn recorded(path: &CircuitPath, state: &StepState) -> Option<SpanReading> {
    let Payload::PathDrop { drop_v, current_a, .. } = counted(state)?.body.payload else {
        return None;
    };
    Some(SpanReading { from: 0, to: path.segments.len(), drop_v, current_a })
}

/// The meters that the step was recorded with: the search is taken to use the same.
fn tools<'a>(file: &'a JobFile, state: &StepState, at: Moment) -> Option<Tools<'a>> {
    let Payload::PathDrop { instrument, current_instrument, .. } = counted(state)?.body.payload
    else {
        return None;
    };
    let known = |id: InstrumentId| -> Option<&'a Instrument> {
        file.instruments.iter().find(|tool| tool.id == id)
    };
    Some(Tools { voltmeter: known(instrument)?, clamp: known(current_instrument)?, at })
}

fn searched(
    who: &Who,
    file: &JobFile,
    state: &StepState,
    bench: &Bench<'_>,
    asked: &Asked,
) -> Result<SearchPage, WebError> {
    let now = bench.search(&asked.readings).map_err(WebError::Rule)?;
    let outcome = OutcomeView::of(&now, bench.path);
    let form = FormView::of(&now, bench, asked);
    let (from, to) = form.as_ref().map_or((usize::MAX, usize::MAX), |form| form.probes);
    Ok(SearchPage {
        frame: Frame::new(format!("Find the joint, job {}", file.row.number), who, "/jobs"),
        number: state.number,
        title: state.step.title.clone(),
        back: format!("/jobs/{}/sheet?open={}#s-{}", file.row.id, state.step.key, state.number),
        points: view::points(&now, bench.path, (from, to)),
        readings: view::readings(bench, &asked.readings, &address(file, state)),
        least: format!("{:.2} mΩ", now.least.to_milliohms()),
        outcome,
        form,
    })
}
