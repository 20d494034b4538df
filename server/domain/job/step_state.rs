//! One step of the current sheet: its results, which of them stands, and what was said about it.

use super::{Act, Flag, Recorded, Words};
use crate::domain::entry::{Digest, Entry};
use crate::domain::ids::{EntryId, PersonId};
use crate::domain::step::{Step, StepKind};
use crate::domain::verdict::{Judgement, NotCounted, Verdict};

/// A step of the current sheet with everything that was recorded for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepState {
    /// From 1, in the order of the sheet.
    pub number: usize,
    pub step: Step,
    /// All results, oldest first.
    pub history: Vec<Recorded>,
    pub remarks: Vec<Words>,
    /// Why the manager wants it again, until a new result stands.
    pub reopened: Option<Words>,
    pub concession: Option<Words>,
    /// What the newest results were made for, where the step is judged otherwise since.
    pub(super) made_for: Option<StepKind>,
    /// What shows only beside the other steps.
    pub(super) habits: Vec<Flag>,
}

impl StepState {
    pub(super) fn new(number: usize, step: Step) -> Self {
        Self {
            number,
            step,
            history: Vec::new(),
            remarks: Vec::new(),
            reopened: None,
            concession: None,
            made_for: None,
            habits: Vec::new(),
        }
    }

    /// Counted results that nothing replaces. More than one is a clash.
    pub fn standing(&self) -> impl DoubleEndedIterator<Item = &Recorded> {
        self.history.iter().filter(|result| result.standing)
    }

    /// The result that counts: the latest one standing.
    pub fn result(&self) -> Option<&Recorded> {
        self.standing().next_back()
    }

    pub fn verdict(&self) -> Option<Verdict> {
        self.result().and_then(Recorded::verdict)
    }

    /// Two results that do not know of each other.
    pub fn is_clash(&self) -> bool {
        self.standing().count() > 1
    }

    /// Nothing more to do at this step, as far as the technician is concerned.
    pub fn is_recorded(&self) -> bool {
        self.result().is_some() && !self.is_clash()
    }

    /// Proved or done, or conceded where that is allowed.
    pub fn is_good(&self) -> bool {
        let conceded = self.concession.is_some() && !self.step.kind.is_measurement();
        !self.is_clash() && (conceded || self.verdict().is_some_and(Verdict::is_good))
    }

    /// Something was wrong here at some time: opened by a failing result.
    pub fn had_defect(&self) -> bool {
        self.history.iter().any(|result| result.verdict() == Some(Verdict::Fail))
    }

    /// The result for a narrow column: a whole row of terminals stands elsewhere.
    pub fn short_value(&self) -> String {
        let judged = self.result().and_then(|result| result.judged.as_ref().ok());
        match (judged, &self.step.kind) {
            (None, _) => String::new(),
            (Some(_), StepKind::Order { .. }) => "as read back".to_owned(),
            (Some(judgement), _) => match judgement.figure {
                Some((figure, unit)) => format!("{figure} {unit}"),
                None => judgement.value.clone(),
            },
        }
    }

    /// The photos of the result that counts, then those beside it.
    pub fn photos(&self) -> impl Iterator<Item = &Digest> {
        let of_result = self.result().map(|result| result.body.payload.photos());
        let of_remarks = self.remarks.iter().map(|words| words.body.payload.photos());
        of_result.into_iter().chain(of_remarks).flatten()
    }

    /// What a correction has to name so that it is one.
    pub fn supersedes(&self) -> Vec<EntryId> {
        self.standing().map(|result| result.act.entry).collect()
    }
}

impl StepState {
    pub(super) fn carried_to(mut self, number: usize, step: &Step) -> Self {
        if self.step.kind != step.kind {
            for result in &mut self.history {
                result.standing = false;
                result.outdated = true;
            }
            self.concession = None;
            if !self.history.is_empty() {
                self.made_for.get_or_insert(self.step.kind.clone());
            }
        }
        self.number = number;
        self.step = step.clone();
        self
    }

    /// Due again, whatever was recorded so far.
    pub(super) fn reopen(&mut self, why: &Words) {
        self.history.iter_mut().for_each(|result| result.standing = false);
        self.reopened = Some(why.clone());
        self.concession = None;
    }

    pub(super) fn record(
        &mut self,
        entry: &Entry,
        judged: Result<Judgement, NotCounted>,
        (outdated, loaded_by): (bool, Option<PersonId>),
    ) {
        // A phone may send a correction before what it corrects: the order of arrival decides nothing.
        let corrected = |other: &Recorded| {
            other.judged.is_ok() && other.body.supersedes.contains(&entry.body.id)
        };
        let is_corrected = self.history.iter().any(corrected);
        if judged.is_ok() {
            for old in &mut self.history {
                if entry.body.supersedes.contains(&old.act.entry) {
                    old.standing = false;
                }
            }
        }
        let standing = judged.is_ok() && !is_corrected;
        if standing {
            self.reopened = None;
            self.concession = None;
            self.made_for = None;
        }
        self.history.push(Recorded {
            act: Act::of(entry),
            body: entry.body.clone(),
            judged,
            standing,
            outdated,
            loaded_by,
        });
    }
}
