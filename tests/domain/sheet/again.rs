//! The sheet of a re-inspection: every measurement as it was, nothing that only fitting needs, and a safe
//! order.

use fusewright::domain::entry::Digest;
use fusewright::domain::sheet::Sheet;
use fusewright::domain::sheet::again::{Again, ODOMETER, make_again};
use fusewright::domain::step::{Phase, StepKind};

use super::super::cast::{JOB, plan, sheet};
use super::sheets;

fn of(earlier: &Sheet) -> Again {
    Again { certificate: "AB260000112".to_owned(), job: JOB, sheet_sha256: earlier.digest() }
}

fn again(earlier: &Sheet) -> Sheet {
    make_again(earlier, of(earlier), (1, 1))
}

fn place(sheet: &Sheet, key: &str) -> usize {
    let place = sheet.steps.iter().position(|step| step.key == key);
    place.unwrap_or_else(|| panic!("no step {key}"))
}

#[test]
fn every_measurement_is_asked_again_under_its_key_with_its_limit_and_reason() {
    for earlier in sheets() {
        let again = again(&earlier);
        let measured = earlier.steps.iter().filter(|step| step.kind.is_measurement());
        let mut count = 0;
        for step in measured {
            let asked = again.step(&step.key).unwrap_or_else(|| panic!("{} is gone", step.key));
            assert_eq!((&asked.kind, &asked.basis), (&step.kind, &step.basis), "{}", step.key);
            count += 1;
        }
        let asked = again.steps.iter().filter(|step| step.kind.is_measurement()).count();
        assert_eq!((asked, count > 10), (count, true), "no measurement is new");
    }
}

#[test]
fn what_only_fitting_needs_is_left_out() {
    for earlier in sheets() {
        let again = again(&earlier);
        assert!(again.steps.len() < earlier.steps.len());
        for gone in
            ["mount.template", "mount.drilled", "mount.rust", "mount.beneath", "hand_over.papers"]
        {
            assert!(earlier.step(gone).is_some() && again.step(gone).is_none(), "{gone}");
        }
        let last = |key: &str| key.rsplit('.').next().unwrap().to_owned();
        let made = |key: &str| ["crimp", "path", "fuse_place"].contains(&last(key).as_str());
        assert!(earlier.steps.iter().any(|step| made(&step.key)));
        assert!(!again.steps.iter().any(|step| made(&step.key)));
    }
}

#[test]
fn what_can_be_seen_again_is_looked_over() {
    let again = again(&sheet(1, &plan()));
    for key in ["mount.look", "route.look", "terminate.look", "protect.look", "route.edges"] {
        assert_eq!(again.step(key).map(|step| &step.kind), Some(&StepKind::Confirm), "{key}");
    }
    assert_eq!(again.step(ODOMETER).map(|step| &step.kind), Some(&StepKind::Note));
    assert!(again.step("terminate.cover").is_some() && again.step("hand_over.told").is_some());
}

#[test]
fn nothing_is_touched_before_it_is_parted_from_its_sources_and_proved_dead() {
    for earlier in sheets() {
        let again = again(&earlier);
        let phases: Vec<Phase> = again.steps.iter().map(|step| step.phase).collect();
        assert!(phases.is_sorted(), "the phases keep their order");
        let (dead, isolate) = (place(&again, "before.dead"), place(&again, "before.isolate"));
        assert!(place(&again, "before.gear_off") < isolate && isolate < dead);
        let wrench = |kind: &StepKind| matches!(kind, StepKind::Torque { .. });
        let first = again.steps.iter().position(|step| wrench(&step.kind)).unwrap();
        assert!(dead < first);
        let insulation = place(&again, "energise.insulation");
        let fuse_out = again.steps.iter().rposition(|s| matches!(s.kind, StepKind::Fuse { .. }));
        assert!(fuse_out.unwrap() < insulation && insulation < place(&again, "energise.reconnect"));
        assert!(place(&again, "before.odometer") < isolate, "it is read while there is power");
    }
}

#[test]
fn the_cautions_of_what_stays_and_of_the_joints_stay() {
    let earlier = sheet(1, &plan());
    let again = again(&earlier);
    for key in ["before.isolate", "before.lines", "energise.reconnect", "before.gear_off"] {
        assert!(again.step(key).unwrap().caution.is_some(), "{key}");
    }
    let joints = again.step("terminate.look").unwrap().caution.as_deref();
    assert!(joints.is_some_and(|caution| caution.contains("live")), "{joints:?}");
    assert!(again.step("mount.look").unwrap().caution.is_some());
    let drilling = again.steps.iter().filter_map(|step| step.caution.as_deref());
    assert!(!drilling.into_iter().any(|caution| caution.contains("the bit goes through")));
}

#[test]
fn a_stud_is_still_held_and_a_fuse_is_taken_out_first() {
    let again = again(&sheet(1, &plan()));
    let stud = again.step("terminate.1_in_plus.torque").unwrap();
    assert!(stud.how.contains("**Hold the cable so that the stud cannot turn.**"), "{}", stud.how);
    assert!(stud.how.contains("the way it tightens"));
    let fuse = again.steps.iter().find(|s| matches!(s.kind, StepKind::Fuse { .. })).unwrap();
    assert!(fuse.how.starts_with("Take it out"), "{}", fuse.how);
}

#[test]
fn a_re_inspection_of_a_re_inspection_asks_the_same() {
    for earlier in sheets() {
        let first = again(&earlier);
        let second = make_again(&first, of(&first), (1, 1));
        assert_eq!(second.steps, first.steps);
    }
}

#[test]
fn what_is_measured_again_is_part_of_the_text_that_is_hashed() {
    let earlier = sheet(1, &plan());
    let again = again(&earlier);
    assert!(again.text().contains("\"certificate\":\"AB260000112\""));
    assert_eq!(serde_json::from_str::<Sheet>(&again.text()).unwrap(), again);
    let other = make_again(&earlier, Again { certificate: "X".to_owned(), ..of(&earlier) }, (1, 1));
    assert_ne!(other.digest(), again.digest());
}

/// Sheets that are stored already hash as they did.
#[test]
fn an_ordinary_sheet_says_nothing_of_it() {
    let earlier = sheet(1, &plan());
    assert!(!earlier.text().contains("\"again\":"));
    assert_eq!(again(&earlier).again.unwrap().sheet_sha256, Digest::of(earlier.text().as_bytes()));
}
