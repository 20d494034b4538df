//! What the trade does: common practice, no source.

use fusewright::engineering::charging::{HOT_FACTOR, Standing, standing_days};
use fusewright::engineering::fastener_pattern::{FastenerPattern, Position};
use fusewright::engineering::mount_check::{Fastening, MountCase, MountSurface, check_mount};
use fusewright::engineering::mounting::{RestraintClass, surface_rating_needed};
use fusewright::engineering::sheet_metal::{
    MILD_STEEL_TENSILE, SHEET_THICKNESS_MIN, SHEET_WASHER_DIAMETER, Sheet,
};
use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::units::*;

use super::assert_near;

/// Common practice, no source: terminal screws at 4 N·m, printed as 2.95 lbf·ft.
#[test]
fn four_newton_metres_are_2_95_pound_force_feet() {
    assert_near(NewtonMetres(4.0).to_pound_force_feet(), 2.95, 0.005);
}

/// Common practice, no source: M8 × 1.25 of at least class 8.8.
#[test]
fn m8_is_the_coarse_thread_and_at_least_8_8_rules_out_stainless() {
    assert_eq!(Thread::parse("M8 × 1.25").unwrap(), Thread::M8);
    assert!(Thread::parse("M8 x 1").is_err());
    let least = PropertyClass::Steel8_8;
    assert!(least.is_at_least(least));
    assert!(PropertyClass::Steel10_9.is_at_least(least));
    assert!(!PropertyClass::A2_70.is_at_least(least));
    // A4-80 breaks no sooner, but sets at 600 MPa instead of 640 MPa.
    assert!(!PropertyClass::A4_80.is_at_least(least));
}

/// Common practice, no source: 25 mm washers, sheet not thinner than 1 mm.
#[test]
fn sheet_takes_25_millimetre_washers_and_is_not_thinner_than_1_millimetre() {
    assert_eq!(SHEET_WASHER_DIAMETER, Millimetres(25.0));
    assert_eq!(SHEET_THICKNESS_MIN, Millimetres(1.0));
}

/// Common practice, no source: a surface rated for 500 kg covers a pack of 25 kg at 20 g.
#[test]
fn a_surface_of_500_kilograms_covers_a_pack_of_25() {
    let needed = surface_rating_needed(Kilograms(25.0), RestraintClass::M1N1).unwrap();
    assert_eq!(needed, Kilograms(500.0));
}

/// The practice above, put together, holds by the published methods: four M8 8.8 on 25 mm washers
/// in 1 mm of body sheet under 25 kg in a van. By hand: bearing 1226 / 3312 = 0.370 governs.
#[test]
fn the_usual_mount_holds_by_the_published_methods() {
    let (thickness, side) = (SHEET_THICKNESS_MIN, Millimetres(300.0));
    let found = check_mount(&MountCase {
        mass: Kilograms(25.0),
        class: RestraintClass::M1N1,
        upward_g: None,
        height: Millimetres(150.0),
        offset: Position::default(),
        pattern: FastenerPattern::rectangle(4, side, side).unwrap(),
        fastening: Fastening {
            thread: Thread::M8,
            property_class: PropertyClass::Steel8_8,
            surface: MountSurface::Metal(Sheet { thickness, tensile: MILD_STEEL_TENSILE }),
            washer: Some(SHEET_WASHER_DIAMETER),
            edge: Millimetres(20.0),
        },
    })
    .unwrap();
    assert!(found.holds());
    assert_near(found.governing.utilisation, 0.370, 0.001);
}

/// Parasitic draw of at most 50 mA (seen on five pages that disagree): 60 Ah lose half in 600 h, 25
/// days (computed).
#[test]
fn fifty_milliamperes_take_half_of_60_ampere_hours_in_25_days() {
    let battery =
        Standing { capacity: AmpereHours(60.0), from: 1.0, down_to: 0.5, current: Amps(0.05) };
    assert_near(standing_days(battery).unwrap().0, 25.0, 1e-9);
}

/// Common practice, no source: a hot alternator gives 80 % of its plate.
#[test]
fn a_hot_alternator_gives_four_fifths() {
    assert_near(HOT_FACTOR, 0.8, 0.0);
}
