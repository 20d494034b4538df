//! Defects of a job: opened by a failing result or by a manager, closed by rework and a passing re-test.
//!
//! What no re-test can close (of a step without a measurement, of the job as a whole) is confirmed by a
//! manager instead, once what was done is written down.

use super::{Act, JobState, Recorded, StepState, Words, words};
use crate::domain::entry::{Digest, Entry};
use crate::domain::ids::{EntryId, Moment};
use crate::domain::verdict::Verdict;

const NO_SUCH_DEFECT: &str = "The job has no such open defect. It is kept and changes nothing.";

/// What managers and technicians wrote about defects, in the order of the chain.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct DefectEntries {
    raised: Vec<Raised>,
    /// About those.
    reworks: Vec<(EntryId, Words)>,
}

/// A defect that a manager opened.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Raised {
    words: Words,
    /// What its step was called then.
    title: String,
    confirmed: Option<Words>,
}

/// The step that a defect is at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DefectStep {
    /// On the current sheet; 0 where it has no such step any more.
    pub number: usize,
    pub key: String,
    pub title: String,
}

/// What an open defect waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wants {
    /// Nobody wrote yet what was done.
    Rework,
    /// A counted, passing result.
    Retest,
    /// A manager's look.
    Confirmation,
    Nothing,
}

/// Something wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Defect {
    /// Of the entry that opened it.
    pub id: EntryId,
    /// Nothing where it is about the job as a whole.
    pub step: Option<DefectStep>,
    /// In one sentence; of a failing result its value against the limit.
    pub wrong: String,
    pub photos: Vec<Digest>,
    /// Opened by a manager, and not by a result.
    pub is_raised: bool,
    pub opened: Act,
    /// What was done about it, oldest first.
    pub reworks: Vec<Words>,
    /// The passing result that followed.
    pub retest: Option<Act>,
    pub confirmed: Option<Words>,
    /// Its step is measured: a passing re-test closes it, and nobody's word.
    by_retest: bool,
    /// Released as rules were when nobody had to write what was done.
    is_settled: bool,
}

impl Wants {
    pub const ALL: [Self; 4] = [Self::Rework, Self::Retest, Self::Confirmation, Self::Nothing];

    /// The word that is stored.
    pub fn word(self) -> &'static str {
        match self {
            Self::Rework => "rework",
            Self::Retest => "retest",
            Self::Confirmation => "confirmation",
            Self::Nothing => "nothing",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|wants| wants.word() == word)
    }

    pub fn words(self) -> &'static str {
        match self {
            Self::Rework => "What was done is not noted yet",
            Self::Retest => "Waits for a passing re-test",
            Self::Confirmation => "Waits for a manager to confirm it",
            Self::Nothing => "Closed",
        }
    }
}

impl Defect {
    pub fn wants(&self) -> Wants {
        if self.closed().is_some() {
            return Wants::Nothing;
        }
        match (self.reworks.is_empty(), self.by_retest) {
            (true, _) => Wants::Rework,
            (false, true) => Wants::Retest,
            (false, false) => Wants::Confirmation,
        }
    }

    /// When the last of what it takes had arrived.
    pub fn closed(&self) -> Option<Moment> {
        if let Some(confirmed) = &self.confirmed {
            return Some(confirmed.act.received);
        }
        let retest = self.retest.as_ref()?.received;
        let rework = self.reworks.first().map(|words| words.act.received);
        rework.map(|rework| rework.max(retest)).or(self.is_settled.then_some(retest))
    }

    /// `Defect at step 41, Drop, positive path: 0.92 V. Above 0.5 V. What was done is not noted yet.`
    pub fn open_sentence(&self) -> String {
        let at = match &self.step {
            Some(step) if step.number > 0 => format!("at step {}, {}", step.number, step.title),
            Some(step) => format!("at {}", step.title),
            None => "of the job as a whole".to_owned(),
        };
        let wrong = self.wrong.trim_end_matches('.');
        format!("Defect {at}: {wrong}. {}.", self.wants().words())
    }
}

impl JobState {
    /// Every defect, open or closed, in the order they were opened.
    pub fn defects(&self) -> Vec<Defect> {
        let found = self.steps.iter().flat_map(of_results);
        let raised = self.defect_entries.raised.iter().map(|raised| self.raised(raised));
        let mut all: Vec<Defect> = found.chain(raised).collect();
        for defect in &mut all {
            defect.is_settled = self.released.is_some();
        }
        all.sort_by_key(|defect| defect.opened.seq);
        all
    }

    pub fn defect(&self, id: EntryId) -> Option<Defect> {
        self.defects().into_iter().find(|defect| defect.id == id)
    }

    /// Steps are due again, or a manager's defect is untouched.
    pub(super) fn is_sent_back(&self) -> bool {
        let raised = !self.defect_entries.raised.is_empty();
        let untouched = |defect: &Defect| defect.is_raised && defect.wants() == Wants::Rework;
        self.steps.iter().any(|state| state.reopened.is_some())
            || (raised && self.defects().iter().any(untouched))
    }

    /// A manager's defect makes its step due again, as a return does, and the work is signed for anew.
    pub(super) fn raise(&mut self, entry: &Entry, text: &str) {
        let words = words(entry, text);
        let mut title = String::new();
        if !entry.body.step.is_empty() {
            let Some(state) = self.step_mut(&entry.body.step) else {
                return self.set_aside(entry, super::NO_SUCH_STEP);
            };
            state.reopen(&words);
            title.clone_from(&state.step.title);
        }
        self.submitted = None;
        self.defect_entries.raised.push(Raised { words, title, confirmed: None });
    }

    /// About a failing result it is a remark at its step, as it would be on the sheet.
    pub(super) fn rework(&mut self, entry: &Entry, defect: EntryId, text: &str) {
        let words = words(entry, text);
        let fails = |result: &Recorded| {
            result.act.entry == defect && result.verdict() == Some(Verdict::Fail)
        };
        let is_raised = |raised: &Raised| raised.words.act.entry == defect;
        let mut steps = self.steps.iter_mut();
        if self.defect_entries.raised.iter().any(is_raised) {
            self.defect_entries.reworks.push((defect, words));
        } else if let Some(state) = steps.find(|state| state.history.iter().any(fails)) {
            state.remarks.push(words);
        } else {
            return self.set_aside(entry, NO_SUCH_DEFECT);
        }
        self.workers.insert(entry.person);
    }

    /// Counts only once what was done is written down; the server refuses it before it is recorded.
    pub(super) fn close(&mut self, entry: &Entry, defect: EntryId, text: &str) {
        let waits = self.defect(defect).is_some_and(|d| d.wants() == Wants::Confirmation);
        let mut raised = self.defect_entries.raised.iter_mut();
        match raised.find(|raised| waits && raised.words.act.entry == defect) {
            Some(raised) => raised.confirmed = Some(words(entry, text)),
            None => self.set_aside(entry, NO_SUCH_DEFECT),
        }
    }

    fn raised(&self, raised: &Raised) -> Defect {
        let (act, body) = (&raised.words.act, &raised.words.body);
        let state = self.step(&body.step);
        let retest = |result: &&Recorded| {
            result.act.seq > act.seq && result.verdict() == Some(Verdict::Pass)
        };
        let key = body.step.clone();
        let step = (!key.is_empty()).then(|| DefectStep {
            number: state.map_or(0, |state| state.number),
            title: state.map_or_else(|| raised.title.clone(), |state| state.step.title.clone()),
            key,
        });
        let mut reworks = state.map_or_else(Vec::new, |state| remarks_after(state, act.seq));
        let named = self.defect_entries.reworks.iter().filter(|(id, _)| *id == act.entry);
        reworks.extend(named.map(|(_, words)| words.clone()));
        reworks.sort_by_key(|words| words.act.seq);
        Defect {
            id: act.entry,
            step,
            wrong: raised.words.text.clone(),
            photos: body.payload.photos().to_vec(),
            is_raised: true,
            opened: act.clone(),
            reworks,
            // What closed it once stays so, whatever a newer sheet does to its step.
            retest: state
                .or_else(|| self.gone.iter().find(|gone| gone.step.key == body.step))
                .and_then(|state| state.history.iter().find(retest))
                .map(|result| result.act.clone()),
            confirmed: raised.confirmed.clone(),
            // A step that the sheet no longer has can be measured no more.
            by_retest: state.is_some_and(|state| state.step.kind.is_measurement()),
            is_settled: false,
        }
    }
}

/// What failing results of a step opened. Further failing results belong to the defect that is open; a pass
/// that does not know of them (a clash) closes nothing.
fn of_results(state: &StepState) -> Vec<Defect> {
    let mut defects: Vec<Defect> = Vec::new();
    let mut open: Option<(Defect, bool)> = None;
    for result in counted_in_order(state) {
        match result.verdict() {
            Some(Verdict::Fail) => {
                let (defect, stands) =
                    open.get_or_insert_with(|| (found(state, result), result.standing));
                defect.wrong = what_is_wrong(result);
                *stands |= result.standing;
            }
            Some(Verdict::Pass) => {
                if let Some((mut defect, _)) = open.take_if(|(_, stands)| !*stands) {
                    defect.retest = Some(result.act.clone());
                    defects.push(defect);
                }
            }
            _ => {}
        }
    }
    defects.extend(open.map(|(defect, _)| defect));
    defects
}

fn found(state: &StepState, result: &Recorded) -> Defect {
    let (number, key, title) = (state.number, state.step.key.clone(), state.step.title.clone());
    Defect {
        id: result.act.entry,
        step: Some(DefectStep { number, key, title }),
        wrong: String::new(),
        photos: Vec::new(),
        is_raised: false,
        opened: result.act.clone(),
        reworks: remarks_after(state, result.act.seq),
        retest: None,
        confirmed: None,
        by_retest: true,
        is_settled: false,
    }
}

/// The value against its limit, without what to do about it.
fn what_is_wrong(result: &Recorded) -> String {
    let Ok(judged) = &result.judged else { return String::new() };
    let first = judged.sentence.split_once(". ").map_or(judged.sentence.as_str(), |(s, _)| s);
    format!("{}. {}.", judged.value, first.trim_end_matches('.'))
}

fn remarks_after(state: &StepState, seq: u64) -> Vec<Words> {
    let said = |words: &&Words| words.act.seq > seq && !words.text.trim().is_empty();
    state.remarks.iter().filter(said).cloned().collect()
}

/// As they arrived, but a correction behind what it corrects: a phone may send them the other way round.
fn counted_in_order(state: &StepState) -> Vec<&Recorded> {
    let mut order: Vec<&Recorded> = Vec::new();
    for result in state.history.iter().filter(|result| result.judged.is_ok()) {
        let corrects = |later: &&Recorded| later.body.supersedes.contains(&result.act.entry);
        let place = order.iter().position(corrects).unwrap_or(order.len());
        order.insert(place, result);
    }
    order
}
