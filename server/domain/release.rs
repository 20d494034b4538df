//! Who may submit and release, and what stands in the way, as sentences.

use super::ids::PersonId;
use super::job::{Defect, JobState, StepState, Wants};
use super::person::{Person, Role};
use super::verdict::Verdict;

/// One thing that is open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenPoint {
    /// Step number and key, or nothing where it is about the whole job.
    pub step: Option<(usize, String)>,
    pub sentence: String,
}

/// Why a decision cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    #[error("The job has no sheet yet. Make the plan and the sheet first")]
    NoSheet,
    #[error("{} points are still due. Record them, then submit", .0.len())]
    StepsDue(Vec<OpenPoint>),
    #[error("The job is not submitted. The technician submits it when every step has a result")]
    NotSubmitted,
    #[error(
        "No certificate can be made: {}. Send the job back or settle what is open. {}",
        counted(.0),
        named(.0)
    )]
    Open(Vec<OpenPoint>),
    #[error("The job is released already")]
    Released,
    #[error(
        "Whoever did the work, or loaded it from a phone's file, does not release it. Ask another manager \
         of the workshop"
    )]
    SamePerson,
    #[error("Only a manager or the owner may do this")]
    NotManager,
    #[error(
        "A concession exists only for steps without a measurement. Send this step back instead"
    )]
    NoConcession,
    #[error("The sheet has no such step")]
    NoStep,
}

/// Points that a refusal names itself; the review page lists all of them.
const POINTS_NAMED_MAX: usize = 3;

fn counted(points: &[OpenPoint]) -> String {
    if points.len() == 1 {
        "1 point is open".to_owned()
    } else {
        format!("{} points are open", points.len())
    }
}

/// The first of them, without the stop at the end.
fn named(points: &[OpenPoint]) -> String {
    let first = points.iter().take(POINTS_NAMED_MAX).map(|point| point.sentence.as_str());
    first.collect::<Vec<_>>().join(" ").trim_end_matches('.').to_owned()
}

/// Steps that have no result yet.
pub fn due(state: &JobState) -> Vec<OpenPoint> {
    let of_steps = state.steps.iter().filter(|step| !step.is_recorded()).map(open_point);
    let untouched = |defect: &Defect| defect.is_raised && defect.wants() == Wants::Rework;
    of_steps.chain(sheet_behind(state)).chain(defect_points(state, untouched)).collect()
}

/// Everything that keeps a release from counting. What [`may_release`] asks beyond it was not asked of
/// jobs that were released earlier, and those stay released.
pub fn open_points(state: &JobState) -> Vec<OpenPoint> {
    let of_steps = state.steps.iter().filter(|step| !step.is_good()).map(open_point);
    of_steps.chain(sheet_behind(state)).chain(defect_points(state, |d| d.is_raised)).collect()
}

/// Defects that are open, of these, each named by its sentence.
fn defect_points(state: &JobState, these: impl Fn(&Defect) -> bool) -> Vec<OpenPoint> {
    let open = state.defects().into_iter().filter(|defect| defect.closed().is_none());
    let point = |defect: Defect| OpenPoint {
        sentence: defect.open_sentence(),
        step: defect.step.map(|step| (step.number, step.key)),
    };
    open.filter(these).map(point).collect()
}

/// Steps that pass again, where nobody wrote what was done about the failing result.
fn unexplained(state: &JobState) -> Vec<OpenPoint> {
    defect_points(state, |defect| !defect.is_raised && defect.retest.is_some())
}

fn sheet_behind(state: &JobState) -> Option<OpenPoint> {
    state.is_sheet_behind().then(|| OpenPoint {
        step: None,
        sentence: "The plan was changed. Make a new sheet from it.".to_owned(),
    })
}

fn open_point(state: &StepState) -> OpenPoint {
    let title = &state.step.title;
    let sentence = if state.is_clash() {
        format!("{title}: two results that do not know of each other.")
    } else {
        match state.verdict() {
            None if state.due_again().is_some() => {
                format!("{title}: the sheet changed, not done again yet.")
            }
            None if state.reopened.is_some() => format!("{title}: sent back, not done again yet."),
            None => format!("{title}: no result yet."),
            Some(Verdict::Unable) => format!("{title}: could not be done, no concession."),
            Some(verdict) => format!("{title}: {}.", verdict.word().to_lowercase()),
        }
    };
    OpenPoint { step: Some((state.number, state.step.key.clone())), sentence }
}

/// Whether the technician may submit now.
pub fn may_submit(state: &JobState) -> Result<(), Refusal> {
    if state.released.is_some() {
        return Err(Refusal::Released);
    }
    if state.sheet.is_none() {
        return Err(Refusal::NoSheet);
    }
    let due = due(state);
    if due.is_empty() { Ok(()) } else { Err(Refusal::StepsDue(due)) }
}

/// Whether this person may release now. `Ok(true)`: by the person who did the work, as allowed.
pub fn may_release(state: &JobState, person: &Person, one_person: bool) -> Result<bool, Refusal> {
    if !person.role.covers(Role::Manager) {
        return Err(Refusal::NotManager);
    }
    if state.released.is_some() {
        return Err(Refusal::Released);
    }
    if state.sheet.is_none() {
        return Err(Refusal::NoSheet);
    }
    let open = [open_points(state), unexplained(state)].concat();
    if !open.is_empty() {
        return Err(Refusal::Open(open));
    }
    if state.submitted.is_none() {
        return Err(Refusal::NotSubmitted);
    }
    let same = did_the_work(state, person.id);
    if same && !one_person { Err(Refusal::SamePerson) } else { Ok(same) }
}

/// Whether somebody recorded a result, loaded one from a phone's file or signed for the work.
pub fn did_the_work(state: &JobState, person: PersonId) -> bool {
    state.workers.contains(&person)
        || state.submitted.as_ref().is_some_and(|signed| signed.act.person == person)
}

/// Whether a step can be conceded.
pub fn may_concede(state: &JobState, person: &Person, key: &str) -> Result<(), Refusal> {
    if !person.role.covers(Role::Manager) {
        return Err(Refusal::NotManager);
    }
    if state.released.is_some() {
        return Err(Refusal::Released);
    }
    let step = state.step(key).ok_or(Refusal::NoStep)?;
    if step.step.kind.is_measurement() { Err(Refusal::NoConcession) } else { Ok(()) }
}
