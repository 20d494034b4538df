//! Defects as the fold gives them: what opens one, what it waits for, what closes it.

use fusewright::domain::entry::Payload;
use fusewright::domain::ids::EntryId;
use fusewright::domain::job::{Flag, Stage, Wants};
use fusewright::domain::person::Role;
use fusewright::domain::release::{Refusal, due, may_release, open_points};
use fusewright::domain::step::StepKind;

use super::cast::{FITTER, MANAGER, METER, Pen, dec, person, sheet};

const RESTED: &str = "before.battery_rested";
const CONFIRM: &str = "before.condition";

fn volts(value: &str) -> Payload {
    Payload::Reading { value: dec(value), instrument: METER }
}

fn remark(text: &str) -> Payload {
    Payload::Remark { text: text.to_owned(), photos: Vec::new() }
}

fn defect(text: &str) -> Payload {
    Payload::Defect { text: text.to_owned(), photos: Vec::new() }
}

fn rework(defect: EntryId) -> Payload {
    Payload::Rework { defect, text: "Made new.".to_owned() }
}

fn closed(defect: EntryId) -> Payload {
    Payload::DefectClosed { defect, text: "Looked at it.".to_owned() }
}

/// A step that is confirmed or noted, not measured.
fn unmeasured(pen: &Pen) -> String {
    let state = pen.state();
    let step = state.steps.iter().find(|state| state.step.kind == StepKind::Confirm).unwrap();
    step.step.key.clone()
}

/// One letter an entry at the step: `f` fails, `p` passes, `i` cannot tell, `x` is not counted, `q` and `g` pass
/// and fail without knowing of what is there, `n` notes what was done, `r` sends it back, `d` is a manager's
/// defect.
fn told(story: &str) -> Vec<Wants> {
    let mut pen = Pen::with_sheet();
    pen.instruments[0].ranges.iter_mut().for_each(|range| range.percent = dec("0.1"));
    let StepKind::Reading { limits, .. } = pen.state().step(RESTED).unwrap().step.kind.clone()
    else {
        panic!("{RESTED} is measured");
    };
    let near = limits.lower.unwrap() + dec("0.005");
    for letter in story.chars() {
        pen.knows = !matches!(letter, 'q' | 'g');
        match letter {
            'p' | 'q' => pen.write(FITTER, RESTED, volts("12.6")),
            'f' | 'g' => pen.write(FITTER, RESTED, volts("11.0")),
            'i' => pen.write(FITTER, RESTED, volts(&near.to_string())),
            'x' => pen.write(FITTER, RESTED, volts("500")),
            'n' => pen.write(FITTER, RESTED, remark("Posts cleaned.")),
            'd' => pen.write(MANAGER, RESTED, defect("A post is loose.")),
            _ => {
                let (remark, steps) = ("Again.".to_owned(), vec![RESTED.to_owned()]);
                pen.write(MANAGER, "", Payload::Return { remark, steps })
            }
        };
    }
    pen.state().defects().iter().map(fusewright::domain::job::Defect::wants).collect()
}

#[test]
fn histories_of_a_measured_step_come_to_these_defects() {
    use Wants::{Nothing, Retest, Rework};
    let stories: [(&str, &[Wants]); 19] = [
        ("p", &[]),
        ("i", &[]),
        ("x", &[]),
        ("f", &[Rework]),
        ("fn", &[Retest]),
        ("fp", &[Rework]),
        ("fnp", &[Nothing]),
        ("fpn", &[Nothing]),
        ("fni", &[Retest]),
        ("fnx", &[Retest]),
        ("fnfp", &[Nothing]),
        ("fnpf", &[Nothing, Rework]),
        ("fnpfnp", &[Nothing, Nothing]),
        ("fnq", &[Retest]),
        ("fnqp", &[Nothing]),
        ("png", &[Rework]),
        ("fnpr", &[Nothing]),
        ("d", &[Rework]),
        ("pdnp", &[Nothing]),
    ];
    for (story, expected) in stories {
        assert_eq!(told(story), expected, "{story}");
    }
}

#[test]
fn a_correction_that_arrives_before_the_fail_it_corrects_closes_its_defect() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("11.0"));
    pen.write(FITTER, RESTED, volts("12.6"));
    pen.write(FITTER, RESTED, remark("Posts cleaned."));
    let at = pen.entries.len() - 3;
    pen.entries.swap(at, at + 1);
    let defects = pen.state().defects();
    assert_eq!(defects.len(), 1);
    assert_eq!(defects[0].wants(), Wants::Nothing);
}

#[test]
fn what_is_wrong_is_the_newest_failing_value_against_its_limit() {
    let mut pen = Pen::with_sheet();
    let first = pen.write(FITTER, RESTED, volts("11.0"));
    pen.write(FITTER, RESTED, volts("10.5"));
    let defects = pen.state().defects();
    assert_eq!(defects[0].id, first);
    assert!(defects[0].wrong.starts_with("10.5 V. "), "{}", defects[0].wrong);
}

#[test]
fn a_pass_made_before_a_manager_opened_the_defect_is_no_re_test() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("12.6"));
    pen.write(MANAGER, RESTED, defect("A post is loose."));
    pen.write(FITTER, RESTED, remark("Tightened."));
    let state = pen.state();
    assert_eq!(state.defects()[0].wants(), Wants::Retest);
    assert!(state.step(RESTED).unwrap().result().is_none(), "the step is due again");
    assert_eq!(state.stage(), Stage::Returned);
}

#[test]
fn a_defect_of_the_whole_job_wants_rework_and_then_a_managers_confirmation() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    let id = pen.write(MANAGER, "", defect("Swarf under the seat."));
    assert_eq!(pen.state().stage(), Stage::Returned);
    assert_eq!(due(&pen.state()).len(), 1, "it keeps the work from being signed for");
    pen.write(MANAGER, "", closed(id));
    assert_eq!(pen.state().defects()[0].wants(), Wants::Rework, "not closed before the rework");
    assert_eq!(pen.state().unplaced.len(), 1);
    pen.write(FITTER, "", rework(id));
    assert_eq!(pen.state().defects()[0].wants(), Wants::Confirmation);
    pen.submit();
    assert_eq!(pen.state().stage(), Stage::Review);
    pen.release();
    assert!(pen.state().released.is_none(), "a release does not count while it is open");
    let open = open_points(&pen.state());
    assert!(open[0].sentence.contains("Swarf under the seat"), "{}", open[0].sentence);
    pen.write(MANAGER, "", closed(id));
    assert_eq!(pen.state().defects()[0].wants(), Wants::Nothing);
    pen.release();
    assert_eq!(pen.state().stage(), Stage::Released);
}

#[test]
fn a_managers_defect_of_a_step_without_a_measurement_is_confirmed_too() {
    let mut pen = Pen::with_sheet();
    let step = unmeasured(&pen);
    pen.fill();
    let id = pen.write(MANAGER, &step, defect("Not locked off."));
    assert!(!pen.state().step(&step).unwrap().is_good());
    pen.write(FITTER, &step, Payload::Confirm {});
    pen.write(FITTER, &step, rework(id));
    assert_eq!(pen.state().defects()[0].wants(), Wants::Confirmation);
    pen.write(MANAGER, &step, closed(id));
    assert_eq!(pen.state().defects()[0].wants(), Wants::Nothing);
}

#[test]
fn what_was_done_about_a_fail_is_a_remark_at_its_step_too() {
    let mut pen = Pen::with_sheet();
    let id = pen.write(FITTER, RESTED, volts("11.0"));
    pen.write(FITTER, RESTED, rework(id));
    pen.write(FITTER, RESTED, volts("12.6"));
    let state = pen.state();
    assert_eq!(state.defects()[0].wants(), Wants::Nothing);
    let step = state.step(RESTED).unwrap();
    assert_eq!(step.remarks[0].text, "Made new.");
    assert!(!step.flags().contains(&Flag::UnexplainedPass));
}

#[test]
fn nobodys_word_closes_what_a_re_test_closes() {
    let mut pen = Pen::with_sheet();
    let id = pen.write(FITTER, RESTED, volts("11.0"));
    pen.write(FITTER, RESTED, remark("Posts cleaned."));
    pen.write(MANAGER, RESTED, closed(id));
    assert_eq!(pen.state().defects()[0].wants(), Wants::Retest);
    assert_eq!(pen.state().unplaced.len(), 1);
}

#[test]
fn a_defect_at_a_step_that_the_sheet_no_longer_has_waits_for_a_manager() {
    let mut pen = Pen::with_sheet();
    let id = pen.write(MANAGER, RESTED, defect("A post is loose."));
    pen.write(FITTER, RESTED, rework(id));
    assert_eq!(pen.state().defects()[0].wants(), Wants::Retest);
    let mut newer = sheet(2, &super::cast::plan());
    newer.steps.retain(|step| step.key != RESTED);
    pen.sheets.push(newer);
    pen.make_sheet(2);
    let defects = pen.state().defects();
    assert_eq!(defects[0].wants(), Wants::Confirmation);
    assert_eq!(defects[0].step.as_ref().unwrap().number, 0);
}

#[test]
fn a_defect_that_a_re_test_closed_stays_closed_when_its_step_goes() {
    let mut pen = Pen::with_sheet();
    let id = pen.write(MANAGER, RESTED, defect("A post is loose."));
    pen.write(FITTER, RESTED, rework(id));
    pen.write(FITTER, RESTED, volts("12.6"));
    assert_eq!(pen.state().defects()[0].wants(), Wants::Nothing);
    let mut newer = sheet(2, &super::cast::plan());
    newer.steps.retain(|step| step.key != RESTED);
    pen.sheets.push(newer);
    pen.make_sheet(2);
    assert_eq!(pen.state().defects()[0].wants(), Wants::Nothing);
}

#[test]
fn a_defect_or_rework_that_names_nothing_there_is_set_aside() {
    let mut pen = Pen::with_sheet();
    pen.write(MANAGER, "no.such.step", defect("Loose."));
    pen.write(FITTER, "", rework(EntryId(uuid::Uuid::from_u128(77))));
    assert_eq!(pen.state().unplaced.len(), 2);
    assert!(pen.state().defects().is_empty());
}

#[test]
fn a_pass_without_a_word_about_the_fail_before_it_is_not_released() {
    let manager = person(MANAGER, Role::Manager);
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("11.0"));
    pen.fill();
    pen.write(FITTER, RESTED, volts("12.6"));
    pen.submit();
    match may_release(&pen.state(), &manager, false) {
        Err(Refusal::Open(points)) => assert!(points[0].sentence.contains("What was done")),
        other => panic!("{other:?}"),
    }
    pen.write(FITTER, RESTED, remark("Posts cleaned."));
    assert_eq!(may_release(&pen.state(), &manager, false), Ok(false));
}

/// Jobs were released so before anybody had to write what was done.
#[test]
fn a_job_that_was_released_without_the_word_stays_released() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, RESTED, volts("11.0"));
    pen.fill();
    pen.write(FITTER, RESTED, volts("12.6"));
    pen.submit();
    pen.release();
    assert_eq!(pen.state().stage(), Stage::Released);
    assert_eq!(pen.state().defects()[0].wants(), Wants::Nothing);
    let late = pen.write(MANAGER, CONFIRM, defect("Too late."));
    assert!(pen.state().defect(late).is_none(), "nothing is opened after the release");
}
