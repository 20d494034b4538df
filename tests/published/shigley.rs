//! Shigley, *Mechanical Engineering Design*: the quick and the long torque formula (from memory).

use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::tightening::{
    NUT_FACTOR_DRY, NUT_FACTOR_LUBRICATED, PowerScrew, power_screw_torque, proof_utilisation,
    quick_torque,
};
use fusewright::engineering::units::*;
use fusewright::engineering::vdi_2230::Friction;

use super::assert_near;

/// Golden case G12, first half: example 8-3, ¾ in, 25 000 lbf, K = 0.2: 3 750 lbf·in, 423.7 N·m
/// (from memory, computed).
#[test]
fn example_8_3() {
    let diameter = Millimetres::from_inches(0.75);
    let preload = Newtons::from_pounds_force(25_000.0);
    let torque = quick_torque(NUT_FACTOR_DRY, diameter, preload).unwrap();
    assert_near(torque.to_pound_force_inches(), 3750.0, 1.0);
    assert_near(torque.0, 423.7, 0.05);
}

/// Golden case G12, second half: the same by the long form, f = fc = 0.15: 3 551 lbf·in, 401.2 N·m
/// (from memory, computed). ¾-16 UNF: minor diameter d − 1.299 038 · P.
#[test]
fn example_8_3_in_the_long_form() {
    let (diameter, pitch) = (0.75, 1.0 / 16.0);
    let minor = diameter - 1.299_038 * pitch;
    let screw = PowerScrew {
        diameter: Millimetres::from_inches(diameter),
        mean_diameter: Millimetres::from_inches(f64::midpoint(diameter, minor)),
        pitch: Millimetres::from_inches(pitch),
    };
    let preload = Newtons::from_pounds_force(25_000.0);
    let torque = power_screw_torque(screw, Friction::same(0.15), preload).unwrap();
    assert_near(torque.to_pound_force_inches(), 3551.0, 1.0);
    assert_near(torque.0, 401.2, 0.05);
}

/// Table of K: zinc-plated 0.20, lubricated 0.18 (from memory).
#[test]
fn nut_factors() {
    assert_near(NUT_FACTOR_DRY, 0.20, 0.0);
    assert_near(NUT_FACTOR_LUBRICATED, 0.18, 0.0);
}

/// 0.75 of the proof load of M8 8.8, 21 200 N, is 15 900 N (computed).
#[test]
fn three_quarters_of_the_proof_load() {
    let used = proof_utilisation(Newtons(15_900.0), Thread::M8, PropertyClass::Steel8_8).unwrap();
    assert_near(used, 0.75, 1e-12);
}
