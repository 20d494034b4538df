//! What a newer sheet edition did to what was recorded: carried over, due again, or without a step.

use super::{JobState, Known, NO_SUCH_STEP, StepState, Unplaced};
use crate::domain::sheet::Sheet;
use crate::domain::sheet::change::{SheetChange, kind_change};

/// What one newer edition did, counted as the record stands now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditionNotice {
    pub edition: u32,
    pub new_plan: bool,
    /// Steps whose counted result was made for an earlier edition.
    pub carried: usize,
    pub due_again: usize,
    pub added: usize,
    pub gone: usize,
}

impl EditionNotice {
    /// `Sheet 2: the plan changed. 41 results carried over, 3 steps due again, 1 new, 1 gone.`
    pub fn sentence(&self) -> String {
        let why = if self.new_plan { "the plan changed" } else { "it was made anew" };
        let counted = |count: usize, one: &str, many: &str| {
            format!("{count} {}", if count == 1 { one } else { many })
        };
        format!(
            "Sheet {}: {why}. {} carried over, {} due again, {} new, {} gone.",
            self.edition,
            counted(self.carried, "result", "results"),
            counted(self.due_again, "step", "steps"),
            self.added,
            self.gone
        )
    }
}

impl JobState {
    /// A new sheet edition: results whose step did not change carry over, the rest are due again, and
    /// those whose step is gone wait aside in case it comes back.
    pub(super) fn new_sheet(&mut self, edition: u32, known: Known<'_>) {
        let Some(sheet) = known.sheets.iter().find(|sheet| sheet.edition == edition) else {
            return;
        };
        let mut old: Vec<StepState> = self.steps.drain(..).chain(self.gone.drain(..)).collect();
        self.steps = (1..)
            .zip(&sheet.steps)
            .map(|(number, step)| match old.iter().position(|state| state.step.key == step.key) {
                Some(place) => old.swap_remove(place).carried_to(number, step),
                None => StepState::new(number, step.clone()),
            })
            .collect();
        self.gone = old.into_iter().filter(|state| !state.is_untouched()).collect();
        self.gone.sort_by_key(|state| state.number);
        self.sheet = Some(sheet.clone());
        self.editions.push(edition);
        self.submitted = None;
    }

    /// What is kept and not counted, because nothing on the sheet takes it, in the order it came.
    pub fn aside(&self) -> Vec<Unplaced> {
        let of_step = |state: &StepState| -> Vec<Unplaced> {
            let aside = |act, body| Unplaced { act, body, why: NO_SUCH_STEP.to_owned() };
            let results = state.history.iter().map(|r| aside(r.act.clone(), r.body.clone()));
            let remarks = state.remarks.iter().map(|w| aside(w.act.clone(), w.body.clone()));
            results.chain(remarks).collect()
        };
        let mut all: Vec<Unplaced> = self.gone.iter().flat_map(of_step).collect();
        all.extend(self.unplaced.iter().cloned());
        all.sort_by_key(|aside| aside.act.seq);
        all
    }

    /// One notice for each newer edition, while something that was made for an older one is there and the
    /// job is not released.
    pub fn edition_notices(&self, sheets: &[Sheet]) -> Vec<EditionNotice> {
        if self.released.is_some() {
            return Vec::new();
        }
        let sheet = |edition: &u32| sheets.iter().find(|sheet| sheet.edition == *edition);
        let pairs = self.editions.iter().zip(self.editions.iter().skip(1));
        pairs
            .filter(|(_, newer)| self.has_older_than(**newer))
            .filter_map(|(older, newer)| Some(SheetChange::between(sheet(older)?, sheet(newer)?)))
            .map(|change| self.notice(&change))
            .collect()
    }

    fn has_older_than(&self, edition: u32) -> bool {
        let steps = self.steps.iter().chain(&self.gone);
        let mut sheets = steps.flat_map(|state| &state.history).map(|result| result.body.sheet);
        sheets.any(|sheet| sheet < edition)
    }

    fn notice(&self, change: &SheetChange) -> EditionNotice {
        let carried =
            |state: &&StepState| state.result().is_some_and(|result| result.body.sheet < change.to);
        let due_again =
            |state: &&StepState| state.due_again().is_some() && change.changes(&state.step.key);
        EditionNotice {
            edition: change.to,
            new_plan: change.new_plan,
            carried: self.steps.iter().filter(carried).count(),
            due_again: self.steps.iter().filter(due_again).count(),
            added: change.added.len(),
            gone: change.gone.len(),
        }
    }

    /// What a newer edition did to one step, for whoever stands before it.
    pub fn step_notice(&self, state: &StepState) -> Option<String> {
        if self.released.is_some() {
            return None;
        }
        if let Some(change) = state.due_again() {
            return Some(format!("Due again: {change}. Your earlier result is kept below."));
        }
        let (now, made_for) = (self.sheet.as_ref()?.edition, state.result()?.body.sheet);
        (1..now).contains(&made_for).then(|| {
            format!("Carried over from sheet {made_for}: this step is the same on sheet {now}.")
        })
    }
}

impl StepState {
    /// Nothing was recorded or said here.
    fn is_untouched(&self) -> bool {
        self.history.is_empty() && self.remarks.is_empty()
    }

    /// Why an earlier result does not count any more, as long as no other does.
    pub fn due_again(&self) -> Option<String> {
        let made_for = self.made_for.as_ref().filter(|_| self.result().is_none())?;
        Some(kind_change(made_for, &self.step.kind))
    }
}
