//! The fold: the same entries always give the same state.

use fusewright::domain::entry::Payload;
use fusewright::domain::job::{Flag, Stage};
use fusewright::domain::plan::Back;
use fusewright::domain::verdict::Verdict;

use super::cast::{FITTER, MANAGER, METER, Pen, dec, good, plan, sheet};

const RESTED: &str = "before.battery_rested";

fn volts(value: &str) -> Payload {
    Payload::Reading { value: dec(value), instrument: METER }
}

#[test]
fn a_job_goes_from_ready_through_working_and_review_to_released() {
    let mut pen = Pen::with_sheet();
    assert_eq!(pen.state().stage(), Stage::Ready);
    pen.write(FITTER, RESTED, volts("12.6"));
    assert_eq!(pen.state().stage(), Stage::Working);
    pen.fill();
    assert_eq!(pen.state().stage(), Stage::Working);
    pen.submit();
    assert_eq!(pen.state().stage(), Stage::Review);
    pen.release();
    assert_eq!(pen.state().stage(), Stage::Released);
}

#[test]
fn a_correction_replaces_and_keeps_what_was_there() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("11.0"));
    pen.write(FITTER, RESTED, volts("12.6"));
    let state = pen.state();
    let step = state.step(RESTED).unwrap();
    assert_eq!(step.verdict(), Some(Verdict::Pass));
    assert_eq!(step.history.len(), 2);
    assert!(step.had_defect());
    assert!(!step.is_clash());
}

/// A photo travels slower than the words that correct it: the last may arrive first.
#[test]
fn a_correction_that_arrives_before_what_it_corrects_is_still_the_result() {
    for order in [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]] {
        let mut pen = Pen::with_sheet();
        let before = pen.entries.len();
        let last =
            ["12.55", "12.56", "12.57"].map(|value| pen.write(FITTER, RESTED, volts(value)))[2];
        let made = pen.entries.split_off(before);
        pen.entries.extend(order.map(|at| made[at].clone()));
        let state = pen.state();
        let step = state.step(RESTED).unwrap();
        assert!(!step.is_clash(), "{order:?}");
        assert_eq!(step.result().map(|result| result.act.entry), Some(last), "{order:?}");
    }
}

#[test]
fn two_results_that_do_not_know_of_each_other_clash_until_a_third_knows_both() {
    let mut pen = Pen::with_sheet();
    pen.knows = false;
    pen.write(FITTER, RESTED, volts("12.6"));
    pen.write(MANAGER, RESTED, volts("12.7"));
    assert!(pen.state().step(RESTED).unwrap().is_clash());
    assert!(!pen.state().step(RESTED).unwrap().is_good());
    pen.knows = true;
    pen.write(FITTER, RESTED, volts("12.65"));
    let state = pen.state();
    assert!(!state.step(RESTED).unwrap().is_clash());
    assert!(state.step(RESTED).unwrap().is_good());
}

#[test]
fn an_entry_that_is_not_counted_changes_no_result() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("12.6"));
    pen.write(FITTER, RESTED, volts("500"));
    let state = pen.state();
    let step = state.step(RESTED).unwrap();
    assert_eq!(step.verdict(), Some(Verdict::Pass));
    assert!(step.flags().contains(&Flag::NotCounted));
}

#[test]
fn a_return_reopens_its_steps_and_keeps_their_history() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    let remark = "Measure again at the posts.".to_owned();
    pen.write(MANAGER, "", Payload::Return { remark, steps: vec![RESTED.to_owned()] });
    let state = pen.state();
    assert_eq!(state.stage(), Stage::Returned);
    let step = state.step(RESTED).unwrap();
    assert!(step.result().is_none());
    assert_eq!(step.history.len(), 1);
    pen.write(FITTER, RESTED, volts("12.6"));
    assert!(pen.state().step(RESTED).unwrap().reopened.is_none());
}

#[test]
fn a_new_result_after_submitting_wants_a_new_signature() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    pen.write(FITTER, RESTED, volts("12.6"));
    assert!(pen.state().submitted.is_none());
}

#[test]
fn an_early_submit_or_release_counts_for_nothing() {
    let mut pen = Pen::with_sheet();
    pen.submit();
    pen.release();
    let state = pen.state();
    assert!(state.submitted.is_none());
    assert!(state.released.is_none());
}

#[test]
fn entries_after_the_release_are_kept_and_change_nothing() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    pen.release();
    pen.write(FITTER, RESTED, volts("9"));
    let state = pen.state();
    assert_eq!(state.stage(), Stage::Released);
    assert_eq!(state.step(RESTED).unwrap().verdict(), Some(Verdict::Pass));
    assert_eq!(state.unplaced.len(), 1);
}

#[test]
fn a_new_plan_keeps_results_whose_limits_stayed_and_wants_the_rest_again() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    let mut longer = plan();
    longer.circuits[0].length_out_m += dec("0.4");
    if let Back::Cable { length_m } = &mut longer.circuits[0].back {
        *length_m += dec("0.4");
    }
    pen.sheets.push(sheet(2, &longer));
    pen.make_sheet(2);
    let state = pen.state();
    assert!(state.step(RESTED).unwrap().is_recorded(), "the battery's limits did not change");
    let circuit = &plan().circuits[0].circuit;
    let drop = state.step(&format!("prove.{circuit}.drop_out")).unwrap();
    assert!(!drop.is_recorded(), "a longer path has another limit");
    assert!(drop.history[0].outdated);
}

#[test]
fn a_plan_without_its_sheet_keeps_the_release_back() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    let sha256 = fusewright::domain::entry::Digest::of(b"");
    pen.write(MANAGER, "", Payload::Plan { edition: 2, sha256 });
    pen.submit();
    assert!(pen.state().is_sheet_behind());
    assert!(pen.state().submitted.is_none());
}

#[test]
fn a_pass_after_a_fail_without_a_word_is_flagged_and_with_a_word_is_not() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("11.0"));
    pen.write(FITTER, RESTED, volts("12.6"));
    let flags = |pen: &Pen| pen.state().step(RESTED).unwrap().flags();
    assert!(flags(&pen).contains(&Flag::UnexplainedPass));
    let text = "Charged overnight, terminal cleaned.".to_owned();
    pen.write(FITTER, RESTED, Payload::Remark { text, photos: vec![] });
    assert!(!flags(&pen).contains(&Flag::UnexplainedPass));
}

#[test]
fn a_clock_five_minutes_off_is_taken_and_a_millisecond_more_is_flagged() {
    for (ahead, flagged) in [
        (None, false),
        (Some(300_000), false),
        (Some(-300_000), false),
        (Some(300_001), true),
        (Some(-300_001), true),
        (Some(i64::MIN), true),
    ] {
        let mut pen = Pen::with_sheet();
        pen.clock_ahead_ms = ahead;
        pen.write(FITTER, RESTED, volts("12.6"));
        let flags = pen.state().step(RESTED).unwrap().flags();
        assert_eq!(flags.contains(&Flag::ClockOff), flagged, "{ahead:?}");
    }
}

#[test]
fn every_step_of_a_sheet_takes_a_good_result() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    for step in &pen.state().steps {
        assert!(step.is_good(), "{}: {:?}", step.step.key, step.result().map(|r| &r.judged));
        assert!(!matches!(good(&step.step), Payload::Unable { .. }));
    }
}
