//! The job as a pure fold over its entries: stage, results, defects, clashes, flags.
//!
//! Nothing here is stored as truth. The same entries always give the same state, whatever was
//! shown to whom in between.

use std::collections::BTreeSet;

use super::entry::{Body, Entry, Payload, Signature};
use super::ids::{EntryId, Moment, PersonId};
use super::sheet::Sheet;
use super::sheet::change::kind_change;
use super::step::Phase;
use super::verdict::{Judgement, NotCounted, Verdict, judge};

mod defects;
mod editions;
mod flags;
mod habits;
mod known;
mod loaded;
mod notices;
mod slip;
mod step_state;
mod waits;

pub use defects::{Defect, Wants};
pub use editions::EditionNotice;
pub use flags::{CLOCK_APART_MS, CLOCK_OFF_MS_MAX, Flag};
pub use habits::{
    RUSHED_READINGS, RUSHED_READINGS_MS, RUSHED_STEPS, RUSHED_STEPS_MS, SAME_DIGITS, SAME_PATHS,
    SAME_READINGS,
};
pub use known::{Known, fold};
pub use loaded::Loaded;
pub use notices::{Notice, notice_words, notices_text};
pub use slip::SLIP_MS_MAX;
pub use step_state::StepState;
pub use waits::WaitsFor;

const NO_SUCH_STEP: &str = "The sheet has no such step any more. It is kept and not counted.";

/// Where a job stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// No sheet yet.
    Planning,
    /// A sheet, and nothing recorded on it.
    Ready,
    Working,
    /// Returned by the manager; some steps are due again.
    Returned,
    /// Submitted by the technician.
    Review,
    Released,
}

impl Stage {
    pub const ALL: [Self; 6] =
        [Self::Planning, Self::Ready, Self::Working, Self::Returned, Self::Review, Self::Released];

    /// The word that is stored and used in addresses.
    pub fn word(self) -> &'static str {
        match self {
            Self::Planning => "planning",
            Self::Ready => "ready",
            Self::Working => "working",
            Self::Returned => "returned",
            Self::Review => "review",
            Self::Released => "released",
        }
    }

    pub fn title(self) -> &'static str {
        match self {
            Self::Planning => "To plan",
            Self::Ready => "Ready for the vehicle",
            Self::Working => "In the bays",
            Self::Returned => "Sent back",
            Self::Review => "For review",
            Self::Released => "Released",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stage| stage.word() == word)
    }
}

/// Who did something to the whole job, when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Act {
    pub entry: EntryId,
    pub seq: u64,
    pub person: PersonId,
    pub recorded: Moment,
    pub received: Moment,
    /// How far the phone's clock was ahead when it sent this, where it said so.
    pub clock_ahead_ms: Option<i64>,
}

impl Act {
    fn of(entry: &Entry) -> Self {
        Self {
            entry: entry.body.id,
            seq: entry.seq,
            person: entry.person,
            recorded: entry.body.recorded(),
            received: entry.received,
            clock_ahead_ms: entry.clock_ahead_ms,
        }
    }
}

/// One result of a step as it was recorded, counted or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recorded {
    pub act: Act,
    pub body: Body,
    pub judged: Result<Judgement, NotCounted>,
    /// Still a candidate: neither superseded, nor re-opened, nor made for other limits.
    pub standing: bool,
    /// Made for an earlier sheet whose step was different.
    pub outdated: bool,
    /// Who loaded it, where it came by a phone's file.
    pub loaded_by: Option<PersonId>,
}

impl Recorded {
    pub fn verdict(&self) -> Option<Verdict> {
        self.judged.as_ref().ok().map(|judgement| judgement.verdict)
    }
}

/// Words about a step: a remark, a return, a concession.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words {
    pub act: Act,
    pub text: String,
    pub body: Body,
}

/// A caution of a plan edition, accepted in writing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acknowledged {
    pub act: Act,
    pub plan: u32,
    pub finding: String,
    pub reason: String,
}

/// A signed act: submit or release.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    pub act: Act,
    pub signature: Signature,
    pub same_person: bool,
}

/// An entry that is kept and not counted, because nothing on the sheet takes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unplaced {
    pub act: Act,
    pub body: Body,
    /// As a full sentence.
    pub why: String,
}

/// What the fold gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobState {
    /// The newest plan edition that was saved.
    pub plan_edition: u32,
    pub sheet: Option<Sheet>,
    pub steps: Vec<StepState>,
    /// Steps of earlier editions that the sheet no longer has, where something was recorded.
    pub gone: Vec<StepState>,
    /// Sheet editions in the order they were made.
    pub editions: Vec<u32>,
    pub acknowledged: Vec<Acknowledged>,
    pub returns: Vec<Words>,
    pub submitted: Option<Signed>,
    pub released: Option<Signed>,
    pub loaded: Vec<Loaded>,
    defect_entries: defects::DefectEntries,
    /// Everybody who recorded a result that is part of the record, or loaded one.
    pub workers: BTreeSet<PersonId>,
    /// Entries that came after the release, or that no step of the sheet takes.
    pub unplaced: Vec<Unplaced>,
    pub entry_count: u64,
    pub head: Option<[u8; 32]>,
    pub last_received: Option<Moment>,
}

/// Folds what is known of a job's entries, in the order of the chain.
fn fold_known(entries: &[Entry], known: Known<'_>) -> JobState {
    let mut state = JobState {
        plan_edition: 0,
        sheet: None,
        steps: Vec::new(),
        gone: Vec::new(),
        editions: Vec::new(),
        acknowledged: Vec::new(),
        returns: Vec::new(),
        submitted: None,
        released: None,
        loaded: Vec::new(),
        defect_entries: defects::DefectEntries::default(),
        workers: BTreeSet::new(),
        unplaced: Vec::new(),
        entry_count: 0,
        head: None,
        last_received: None,
    };
    for entry in entries {
        state.take(entry, known);
        state.entry_count += 1;
        state.head = Some(entry.hash);
        state.last_received = Some(entry.received);
    }
    state.mark_habits(known.early_photos);
    state
}

impl JobState {
    fn take(&mut self, entry: &Entry, known: Known<'_>) {
        if self.released.is_some() {
            self.set_aside(entry, "Came after the release. It is kept and changes no certificate.");
            return;
        }
        match &entry.body.payload {
            Payload::Plan { edition, .. } => {
                self.plan_edition = *edition;
                self.submitted = None;
            }
            Payload::Acknowledge { plan, finding, reason } => {
                self.acknowledged.push(Acknowledged {
                    act: Act::of(entry),
                    plan: *plan,
                    finding: finding.clone(),
                    reason: reason.clone(),
                });
            }
            Payload::Sheet { edition, .. } => self.new_sheet(*edition, known),
            Payload::Return { remark, steps } => self.returned(entry, remark, steps),
            Payload::Concession { reason } => self.conceded(entry, reason),
            Payload::Submit { signature } => self.submit(entry, signature),
            Payload::Release { signature, same_person } => {
                self.release(entry, signature, *same_person);
            }
            Payload::Loaded { person, file_sha256, entries } => {
                self.load(entry, *person, (file_sha256, entries));
            }
            Payload::Remark { text, .. } => self.remark(entry, text),
            Payload::Defect { text, .. } => self.raise(entry, text),
            Payload::Rework { defect, text, .. } => self.rework(entry, *defect, text),
            Payload::DefectClosed { defect, text } => self.close(entry, *defect, text),
            _ => self.result(entry, known),
        }
    }

    fn result(&mut self, entry: &Entry, known: Known<'_>) {
        let made_for = known
            .sheets
            .iter()
            .find(|sheet| sheet.edition == entry.body.sheet)
            .and_then(|sheet| sheet.step(&entry.body.step));
        let loaded_by = self.loaded_by(entry.body.id);
        let Some(state) = self.step_mut(&entry.body.step) else {
            let gone = self.gone.iter_mut().find(|state| state.step.key == entry.body.step);
            match (gone, made_for) {
                (Some(state), Some(made_for)) if state.step.kind == made_for.kind => {
                    state.record(
                        entry,
                        judge(made_for, entry, known.instruments),
                        (false, loaded_by),
                    );
                    self.workers.insert(entry.person);
                }
                _ => self.set_aside(entry, NO_SUCH_STEP),
            }
            return;
        };
        let was = made_for.map(|step| &step.kind).filter(|kind| **kind != state.step.kind);
        let judged = match was {
            Some(was) => Err(NotCounted(format!(
                "Made for sheet {}: {}.",
                entry.body.sheet,
                kind_change(was, &state.step.kind)
            ))),
            None => judge(&state.step, entry, known.instruments),
        };
        if let Some(was) = was.filter(|_| state.result().is_none()) {
            state.made_for.get_or_insert_with(|| was.clone());
        }
        state.record(entry, judged, (was.is_some(), loaded_by));
        self.workers.insert(entry.person);
        self.submitted = None;
    }

    fn remark(&mut self, entry: &Entry, text: &str) {
        match self.step_mut(&entry.body.step) {
            Some(state) => state.remarks.push(words(entry, text)),
            None => self.set_aside(entry, NO_SUCH_STEP),
        }
    }

    fn set_aside(&mut self, entry: &Entry, why: &str) {
        let (act, body) = (Act::of(entry), entry.body.clone());
        self.unplaced.push(Unplaced { act, body, why: why.to_owned() });
    }

    fn returned(&mut self, entry: &Entry, remark: &str, steps: &[String]) {
        let words = words(entry, remark);
        for state in self.steps.iter_mut().filter(|state| steps.contains(&state.step.key)) {
            state.reopen(&words);
        }
        self.returns.push(words);
        self.submitted = None;
    }

    fn conceded(&mut self, entry: &Entry, reason: &str) {
        let words = words(entry, reason);
        if let Some(state) = self.step_mut(&entry.body.step)
            && !state.step.kind.is_measurement()
        {
            state.concession = Some(words);
        }
    }

    /// Counts only when every step has its result; the server refuses it before it is recorded.
    fn submit(&mut self, entry: &Entry, signature: &Signature) {
        if super::release::may_submit(self).is_ok() {
            self.submitted = Some(signed(entry, signature, false));
        }
    }

    /// Counts only when nothing is open; the server refuses it before it is recorded.
    fn release(&mut self, entry: &Entry, signature: &Signature, same_person: bool) {
        if self.submitted.is_some() && super::release::open_points(self).is_empty() {
            self.released = Some(signed(entry, signature, same_person));
        }
    }

    fn step_mut(&mut self, key: &str) -> Option<&mut StepState> {
        self.steps.iter_mut().find(|state| state.step.key == key)
    }

    pub fn step(&self, key: &str) -> Option<&StepState> {
        self.steps.iter().find(|state| state.step.key == key)
    }

    /// The plan was changed and no sheet was made from it yet.
    pub fn is_sheet_behind(&self) -> bool {
        self.sheet.as_ref().is_some_and(|sheet| sheet.plan_edition < self.plan_edition)
    }

    pub fn stage(&self) -> Stage {
        if self.released.is_some() {
            Stage::Released
        } else if self.submitted.is_some() {
            Stage::Review
        } else if self.sheet.is_none() {
            Stage::Planning
        } else if self.is_sent_back() {
            Stage::Returned
        } else if self.steps.iter().any(|state| !state.history.is_empty()) {
            Stage::Working
        } else {
            Stage::Ready
        }
    }

    /// The first step that wants something: nothing recorded, a clash, or not good.
    pub fn next_due(&self) -> Option<&StepState> {
        self.steps.iter().find(|state| !state.is_recorded())
    }

    pub fn recorded_count(&self) -> usize {
        self.steps.iter().filter(|state| state.is_recorded()).count()
    }

    /// Steps of one phase, in order.
    pub fn phase(&self, phase: Phase) -> impl Iterator<Item = &StepState> {
        self.steps.iter().filter(move |state| state.step.phase == phase)
    }

    /// Whether a caution of a plan edition was accepted.
    pub fn acknowledged(&self, plan: u32, finding: &str) -> Option<&Acknowledged> {
        self.acknowledged.iter().find(|a| a.plan == plan && a.finding == finding)
    }
}

fn words(entry: &Entry, text: &str) -> Words {
    Words { act: Act::of(entry), text: text.to_owned(), body: entry.body.clone() }
}

fn signed(entry: &Entry, signature: &Signature, same_person: bool) -> Signed {
    Signed { act: Act::of(entry), signature: signature.clone(), same_person }
}
