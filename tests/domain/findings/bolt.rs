//! The clamp force that the kit's torque makes.

use fusewright::domain::finding::Finding;
use fusewright::domain::finding::Outcome::{Caution, Ok, Stop};
use fusewright::domain::kit::Torque;

use super::super::cast::dec;
use super::{after, has_formula, said, says, sources};

fn tightened(target_nm: &str, percent: &str, nut_nm: Option<&str>) -> Finding {
    let torque = Torque { target_nm: dec(target_nm), tolerance_percent: dec(percent) };
    after("mount.preload", |kit, _| {
        (kit.mounting.torque, kit.mounting.prevailing_nm) = (torque, nut_nm.map(dec));
    })
}

/// By hand: M6 at friction 0.10 has 0.16·1 + 0.58·5.35·0.10 + 7.74/2·0.10 = 0.8573 mm of lever; 9.77 N·m,
/// the most of 8.5 N·m ± 15 %, clamp with 11 396 N, 98.2 % of the proof load of 11 600 N (ISO 898-1).
/// The limit lies at 11 600 N · 0.8573 mm = 9.945 N·m.
#[test]
fn a_torque_that_reaches_the_proof_load_where_friction_is_low_warns() {
    let found = tightened("8.5", "15", None);
    assert_eq!(said(&found), says("98.2 %", "at most 100 %", Ok));
    has_formula(&found, &["T = 8.5 N·m − 0 N·m", "9.9 kN at μ 0.1", "6.0 kN at μ 0.18", "98 %"]);
    assert_eq!(said(&tightened("9.94", "0", None)), says("99.9 %", "at most 100 %", Ok));
    let beyond = tightened("9.95", "0", None);
    assert_eq!(said(&beyond), says("100 %", "at most 100 %", Caution));
    assert!(beyond.remedy.unwrap().contains("dry or for oiled"));
    assert!(beyond.reason.contains("the bolt may set"), "{}", beyond.reason);
}

/// By hand: of 9.95 N·m the nut takes 0.1 N·m, so that 9.85 N·m clamp: 99.0 %.
#[test]
fn what_the_nut_takes_does_not_clamp() {
    let found = tightened("9.95", "0", Some("0.1"));
    assert_eq!(said(&found), says("99.0 %", "at most 100 %", Ok));
    has_formula(&found, &["T = 9.95 N·m − 0.1 N·m of the nut"]);
}

#[test]
fn the_proof_load_has_the_standard_of_its_steel() {
    let of = |class: &str| {
        let class = class.to_owned();
        sources(&after("mount.preload", |kit, _| kit.mounting.class = class))
    };
    for class in ["8.8", "10.9"] {
        assert_eq!(of(class)[1], "ISO 898-1, proof loads (seen in a public copy)");
    }
    for class in ["A2-70", "A4-80"] {
        assert_eq!(of(class)[1], "ISO 3506-1, 0.2 % loads (from memory)");
    }
    assert_eq!(of("8.8").len(), 4);
}

#[test]
fn a_thread_that_nobody_knows_stops_under_the_same_name() {
    let found = after("mount.preload", |kit, _| kit.mounting.thread = "M7".to_owned());
    assert_eq!(found.outcome, Stop);
    assert!(found.reason.contains("\"M7\""), "{}", found.reason);
}
