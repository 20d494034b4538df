//! The counted results of one job, as its fold gives them.

use crate::domain::diagnosis::loaded_circuit;
use crate::domain::ids::{InstrumentId, JobId, Moment, PersonId};
use crate::domain::job::{JobState, Recorded, StepState};
use crate::domain::number::{Decimal, physical};
use crate::domain::step::{StepKind, Unit};
use crate::domain::verdict::{Judgement, Verdict};

/// Decimals that a measured path resistance is kept with, in mΩ.
const MILLIOHM_KEPT: u32 = 4;

/// A counted result of a step, replaced since or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountedResult {
    pub step: String,
    pub title: String,
    /// From 1, in the order they were recorded.
    pub nth: u32,
    /// Of a path measured under load.
    pub circuit: Option<String>,
    /// The word of the step's kind.
    pub kind: String,
    /// What was judged; of a path under load its resistance.
    pub figure: Option<(Decimal, Unit)>,
    /// What the plan works out to, in the unit of the figure.
    pub planned: Option<Decimal>,
    pub verdict: Verdict,
    pub person: PersonId,
    /// At most two.
    pub instruments: Vec<InstrumentId>,
    pub recorded: Moment,
}

/// The same, with the job it belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobResult {
    pub job: JobId,
    pub job_number: u64,
    /// Its code; editions of a kit are one kit here.
    pub kit: String,
    pub counted: CountedResult,
}

impl CountedResult {
    pub fn is_first(&self) -> bool {
        self.nth == 1
    }

    /// Measured over planned; nothing where nothing is planned.
    pub fn ratio(&self) -> Option<f64> {
        let (figure, _) = self.figure?;
        let planned = self.planned.filter(|planned| *planned > Decimal::ZERO)?;
        Some(physical(figure) / physical(planned))
    }
}

/// Every result that counted for the steps of the current sheet, corrected or returned since or not.
///
/// What was made for a step that is judged otherwise now, or that the sheet no longer has, answers a
/// question that nobody asks any more, and is left out.
pub fn counted_results(state: &JobState) -> Vec<CountedResult> {
    state.steps.iter().flat_map(of_step).collect()
}

fn of_step(state: &StepState) -> Vec<CountedResult> {
    let mut counted: Vec<(&Recorded, &Judgement)> = state
        .history
        .iter()
        .filter(|result| !result.outdated)
        .filter_map(|result| Some((result, result.judged.as_ref().ok()?)))
        .collect();
    // A phone may send a correction before what it corrects: the order of arrival decides nothing.
    counted.sort_by_key(|(result, _)| (made(result), result.act.seq));
    (1..).zip(counted).map(|(nth, (result, judged))| row(state, nth, result, judged)).collect()
}

/// When it was measured; a clock that is ahead counts only to the moment of its arrival.
fn made(result: &Recorded) -> Moment {
    result.act.recorded.min(result.act.received)
}

fn row(state: &StepState, nth: u32, result: &Recorded, judged: &Judgement) -> CountedResult {
    let step = &state.step;
    let path = judged.diagnosis.as_ref();
    let resistance = path.map(|path| (path.resistance.round_dp(MILLIOHM_KEPT), Unit::Milliohm));
    let is_path = matches!(step.kind, StepKind::PathDrop { .. });
    CountedResult {
        step: step.key.clone(),
        title: step.title.clone(),
        nth,
        circuit: loaded_circuit(&step.key).filter(|_| is_path).map(str::to_owned),
        kind: step.kind.word().to_owned(),
        figure: resistance.or(judged.figure),
        planned: path.map(|path| path.planned),
        verdict: judged.verdict,
        person: result.act.person,
        instruments: result.body.payload.instruments().into_iter().take(2).collect(),
        recorded: made(result),
    }
}
