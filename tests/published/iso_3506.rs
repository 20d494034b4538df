//! ISO 3506-1: bolts of stainless steel (strengths from memory; tensile strengths seen).

use fusewright::engineering::Sureness;
use fusewright::engineering::thread::{PropertyClass, Thread, breaking_load, proof_load};
use fusewright::engineering::tightening::breaking_torque;
use fusewright::engineering::units::NewtonMetres;

use super::assert_within_percent;

/// Thread, then breaking load and 0.2 % load of A2-70 and of A4-80 [N]: stress area times 700, 450,
/// 800 and 600 N/mm² (computed).
const COMPUTED: [(&str, [f64; 4]); 7] = [
    ("M3", [3520.0, 2260.0, 4020.0, 3020.0]),
    ("M4", [6150.0, 3950.0, 7020.0, 5270.0]),
    ("M5", [9940.0, 6390.0, 11_360.0, 8520.0]),
    ("M6", [14_100.0, 9060.0, 16_100.0, 12_070.0]),
    ("M8", [25_600.0, 16_500.0, 29_300.0, 22_000.0]),
    ("M10", [40_600.0, 26_100.0, 46_400.0, 34_800.0]),
    ("M12", [59_000.0, 37_900.0, 67_400.0, 50_600.0]),
];

#[test]
fn every_stainless_bolt_has_the_computed_loads() {
    for (label, [break_a2, proof_a2, break_a4, proof_a4]) in COMPUTED {
        let thread = Thread::parse(label).unwrap();
        assert_within_percent(breaking_load(thread, PropertyClass::A2_70).0, break_a2, 0.3);
        assert_within_percent(proof_load(thread, PropertyClass::A2_70).0, proof_a2, 0.3);
        assert_within_percent(breaking_load(thread, PropertyClass::A4_80).0, break_a4, 0.3);
        assert_within_percent(proof_load(thread, PropertyClass::A4_80).0, proof_a4, 0.3);
    }
    assert_eq!(PropertyClass::A2_70.source().sureness, Sureness::FromMemory);
}

/// Thread, then least breaking torque of A2-70 and of A4-80 [N·m] (2009 edition, from memory).
const BREAKING_TORQUES: [(&str, f64, f64); 7] = [
    ("M3", 1.6, 1.8),
    ("M4", 3.8, 4.3),
    ("M5", 7.8, 8.8),
    ("M6", 13.0, 15.0),
    ("M8", 32.0, 37.0),
    ("M10", 65.0, 74.0),
    ("M12", 110.0, 130.0),
];

#[test]
fn every_stainless_bolt_has_the_remembered_breaking_torque() {
    assert_eq!(Thread::ALL.map(Thread::label), BREAKING_TORQUES.map(|(label, ..)| label));
    for (label, a2, a4) in BREAKING_TORQUES {
        let thread = Thread::parse(label).unwrap();
        assert_eq!(breaking_torque(thread, PropertyClass::A2_70), Some(NewtonMetres(a2)));
        assert_eq!(breaking_torque(thread, PropertyClass::A4_80), Some(NewtonMetres(a4)));
        assert_eq!(breaking_torque(thread, PropertyClass::Steel8_8), None);
        assert_eq!(breaking_torque(thread, PropertyClass::Steel10_9), None);
    }
}
