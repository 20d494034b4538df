//! A sheet that changed while somebody was away with the old one: carried over, due again, kept aside.

use fusewright::domain::entry::Payload;
use fusewright::domain::ids::EntryId;
use fusewright::domain::job::Flag;
use fusewright::domain::person::Role;
use fusewright::domain::release::{Refusal, may_release};
use fusewright::domain::verdict::Verdict;

use super::cast::{FITTER, MANAGER, METER, Pen, dec, good, person, plan, sheet};
use super::sheet::change::longer;

const RESTED: &str = "before.battery_rested";
const SERIAL: &str = "before.serial";
const DROP: &str = "prove.supply.drop_out";

fn volts(value: &str) -> Payload {
    Payload::Reading { value: dec(value), instrument: METER }
}

impl Pen {
    /// The second edition: a longer supply, and no step for the serial number.
    fn change_plan(&mut self) {
        let mut changed = sheet(2, &longer());
        changed.steps.retain(|step| step.key != SERIAL);
        self.sheets.push(changed);
        self.make_sheet(2);
    }

    /// The plan as it was at first, as edition 3.
    fn change_back(&mut self) {
        self.sheets.push(sheet(3, &plan()));
        self.make_sheet(3);
    }

    /// An entry of a phone that has only seen an older sheet.
    fn late(&mut self, edition: u32, step: &str, payload: Payload) -> EntryId {
        let id = self.write(FITTER, step, payload);
        let last = self.entries.last_mut().unwrap();
        last.body.sheet = edition;
        last.body.supersedes = Vec::new();
        id
    }

    fn good_at(&self, edition: usize, key: &str) -> Payload {
        good(self.sheets[edition - 1].step(key).unwrap())
    }

    fn step_notice(&self, key: &str) -> Option<String> {
        let state = self.state();
        state.step_notice(state.step(key).unwrap())
    }

    fn sentences(&self) -> Vec<String> {
        let notices = self.state().edition_notices(&self.sheets);
        notices.iter().map(fusewright::domain::job::EditionNotice::sentence).collect()
    }
}

#[test]
fn what_stayed_the_same_carries_over_and_says_so() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("12.6"));
    assert_eq!(pen.step_notice(RESTED), None);
    pen.change_plan();
    assert_eq!(pen.state().step(RESTED).unwrap().verdict(), Some(Verdict::Pass));
    let words = "Carried over from sheet 1: this step is the same on sheet 2.";
    assert_eq!(pen.step_notice(RESTED).unwrap(), words);
    pen.write(FITTER, RESTED, volts("12.7"));
    assert_eq!(pen.step_notice(RESTED), None, "made for this sheet");
}

#[test]
fn what_is_judged_otherwise_is_due_again_with_the_reason() {
    let mut pen = Pen::with_sheet();
    let first = pen.good_at(1, DROP);
    pen.write(FITTER, DROP, first);
    pen.change_plan();
    let words = pen.step_notice(DROP).unwrap();
    assert!(words.starts_with("Due again: the limit was at most "), "{words}");
    assert!(words.ends_with(". Your earlier result is kept below."), "{words}");
    let state = pen.state();
    assert_eq!(state.step(DROP).unwrap().history.len(), 1);
    assert!(!state.step(DROP).unwrap().flags().contains(&Flag::NotCounted));
    let second = pen.good_at(2, DROP);
    pen.write(FITTER, DROP, second);
    assert_eq!(pen.step_notice(DROP), None);
    assert!(pen.state().step(DROP).unwrap().is_good());
}

#[test]
fn a_step_where_nothing_was_recorded_says_nothing() {
    let mut pen = Pen::with_sheet();
    pen.change_plan();
    assert_eq!(pen.step_notice(DROP), None);
    assert_eq!(pen.step_notice(RESTED), None);
    assert!(pen.sentences().is_empty());
}

#[test]
fn late_entries_count_where_the_step_is_the_same_and_are_kept_where_it_is_not() {
    let mut pen = Pen::with_sheet();
    let (drop, serial) = (pen.good_at(1, DROP), pen.good_at(1, SERIAL));
    pen.change_plan();
    pen.late(1, RESTED, volts("12.6"));
    pen.late(1, DROP, drop);
    pen.late(1, SERIAL, serial);
    pen.late(1, SERIAL, Payload::Remark { text: "on the left".to_owned(), photos: vec![] });
    let state = pen.state();
    assert!(state.step(RESTED).unwrap().is_good());
    assert!(pen.step_notice(RESTED).unwrap().starts_with("Carried over from sheet 1"));
    let drop = state.step(DROP).unwrap();
    assert!(!drop.is_recorded());
    let why = &drop.history[0].judged.as_ref().unwrap_err().0;
    assert!(why.starts_with("Made for sheet 1: the limit was at most "), "{why}");
    assert!(pen.step_notice(DROP).unwrap().starts_with("Due again: the limit was "));
    let aside = state.aside();
    assert_eq!(aside.len(), 2);
    assert!(aside.iter().all(|one| one.body.step == SERIAL));
    assert!(aside[0].why.contains("no such step any more"));
    assert_eq!(
        pen.sentences(),
        ["Sheet 2: the plan changed. 1 result carried over, 1 step due again, 0 new, 1 gone."]
    );
}

/// A late result for the old limit does not unsettle one that was made for the new one.
#[test]
fn a_late_result_for_the_old_limit_changes_nothing_where_a_new_one_stands() {
    let mut pen = Pen::with_sheet();
    let (old, new) = (pen.good_at(1, DROP), longer());
    pen.change_plan();
    let good_now = good(sheet(2, &new).step(DROP).unwrap());
    pen.write(FITTER, DROP, good_now);
    pen.late(1, DROP, old);
    assert!(pen.state().step(DROP).unwrap().is_good());
    assert_eq!(pen.step_notice(DROP), None);
    let remark = "Again, please.".to_owned();
    pen.write(MANAGER, "", Payload::Return { remark, steps: vec![DROP.to_owned()] });
    assert_eq!(pen.step_notice(DROP), None, "it is due because it was sent back");
}

#[test]
fn results_of_a_step_that_is_gone_are_kept_aside_and_come_back_with_it() {
    let mut pen = Pen::with_sheet();
    let serial = pen.good_at(1, SERIAL);
    pen.write(FITTER, SERIAL, serial);
    pen.change_plan();
    let state = pen.state();
    assert!(state.step(SERIAL).is_none());
    let aside = state.aside();
    assert_eq!((aside.len(), aside[0].act.person), (1, FITTER));
    assert!(state.workers.contains(&FITTER), "whoever did it is still one who did the work");
    pen.change_back();
    let state = pen.state();
    assert!(state.step(SERIAL).unwrap().is_good());
    assert!(state.aside().is_empty());
}

#[test]
fn each_newer_edition_has_a_notice_until_the_release() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    let count = pen.state().steps.len();
    pen.change_plan();
    let changed = pen.state().steps.iter().filter(|step| step.due_again().is_some()).count();
    assert!(changed > 0);
    let second = format!(
        "Sheet 2: the plan changed. {} results carried over, {changed} steps due again, 0 new, 1 gone.",
        count - 1 - changed
    );
    assert_eq!(pen.sentences(), [second]);
    pen.change_back();
    let sentences = pen.sentences();
    assert_eq!(sentences.len(), 2);
    assert!(sentences[1].starts_with("Sheet 3: the plan changed. "), "{sentences:?}");
    assert!(sentences[1].contains("1 new, 0 gone"), "{sentences:?}");
    let words = pen.step_notice(DROP).unwrap();
    assert!(words.contains("the limit was another one in between"), "{words}");
    pen.fill();
    pen.submit();
    pen.release();
    assert!(pen.state().released.is_some());
    assert!(pen.sentences().is_empty());
    assert_eq!(pen.step_notice(RESTED), None);
}

#[test]
fn no_certificate_rests_on_what_was_made_for_another_limit() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    pen.change_plan();
    pen.submit();
    let state = pen.state();
    assert!(state.submitted.is_none());
    let refused = may_release(&state, &person(MANAGER, Role::Manager), false);
    let Err(Refusal::Open(points)) = refused else { panic!("{refused:?}") };
    assert!(
        points.iter().any(|point| point.sentence.contains("the sheet changed, not done again"))
    );
    pen.release();
    assert!(pen.state().released.is_none());
}
