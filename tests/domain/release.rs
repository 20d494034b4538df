//! Who may release, and what stands in the way.

use fusewright::domain::entry::Payload;
use fusewright::domain::person::Role;
use fusewright::domain::release::{Refusal, may_concede, may_release, may_submit, open_points};

use super::cast::{FITTER, MANAGER, METER, Pen, dec, person};

const RESTED: &str = "before.battery_rested";
const LAMPS: &str = "before.lamps";

fn submitted() -> Pen {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    pen
}

#[test]
fn a_manager_who_did_not_do_the_work_may_release() {
    let manager = person(MANAGER, Role::Manager);
    assert_eq!(may_release(&submitted().state(), &manager, false), Ok(false));
}

#[test]
fn whoever_did_the_work_releases_only_where_the_workshop_allows_it() {
    let worker = person(FITTER, Role::Manager);
    assert_eq!(may_release(&submitted().state(), &worker, false), Err(Refusal::SamePerson));
    assert_eq!(may_release(&submitted().state(), &worker, true), Ok(true));
}

#[test]
fn a_technician_never_releases() {
    let technician = person(MANAGER, Role::Technician);
    assert_eq!(may_release(&submitted().state(), &technician, true), Err(Refusal::NotManager));
}

#[test]
fn one_failing_measurement_keeps_the_release_back() {
    let mut pen = Pen::with_sheet();
    let reading = Payload::Reading { value: dec("11.0"), instrument: METER };
    pen.write(FITTER, RESTED, reading);
    pen.fill();
    pen.submit();
    let refused = may_release(&pen.state(), &person(MANAGER, Role::Manager), false);
    assert!(matches!(&refused, Err(Refusal::Open(points)) if points.len() == 1), "{refused:?}");
    assert!(open_points(&pen.state())[0].sentence.contains("fail"));
}

#[test]
fn a_step_that_could_not_be_done_wants_a_concession_and_a_measurement_never_gets_one() {
    let mut pen = Pen::with_sheet();
    let reason = "Lamp panel is out for repair.".to_owned();
    pen.write(FITTER, LAMPS, Payload::Unable { reason });
    pen.fill();
    pen.submit();
    let manager = person(MANAGER, Role::Manager);
    assert!(may_release(&pen.state(), &manager, false).is_err());
    assert_eq!(may_concede(&pen.state(), &manager, RESTED), Err(Refusal::NoConcession));
    assert_eq!(may_concede(&pen.state(), &manager, LAMPS), Ok(()));
    let concession = Payload::Concession { reason: "Customer knows.".to_owned() };
    pen.write(MANAGER, LAMPS, concession);
    assert_eq!(may_release(&pen.state(), &manager, false), Ok(false));
}

#[test]
fn submitting_wants_a_result_at_every_step() {
    let mut pen = Pen::with_sheet();
    assert!(matches!(may_submit(&pen.state()), Err(Refusal::StepsDue(_))));
    pen.fill();
    assert_eq!(may_submit(&pen.state()), Ok(()));
}

#[test]
fn a_record_is_made_only_of_a_released_job() {
    use fusewright::domain::certificate::Record;
    let pen = submitted();
    let record = |pen: &Pen| Record::of(&pen.state(), super::certificate::facts());
    assert!(record(&pen).is_none());
    let mut pen = pen;
    pen.release();
    let record = record(&pen).unwrap();
    assert_eq!(record.entry_count, pen.entries.len() as u64);
    assert_eq!(record.steps.len(), pen.state().steps.len());
    assert!(record.steps.iter().all(|step| step.verdict.is_good()));
}

#[test]
fn a_refused_release_names_the_first_points_and_no_more() {
    use fusewright::domain::release::OpenPoint;
    let points = |count: usize| {
        let point = |n| OpenPoint { step: None, sentence: format!("Point {n}.") };
        Refusal::Open((1..=count).map(point).collect()).to_string()
    };
    let one = "No certificate can be made: 1 point is open. Send the job back or settle what is open. \
               Point 1";
    assert_eq!(points(1), one);
    assert!(points(3).ends_with(
        "3 points are open. Send the job back or settle what is open. Point 1. Point 2. Point 3"
    ));
    assert!(points(4).ends_with("Point 1. Point 2. Point 3"));
}
