//! ISO 12991:2012, table 1 (seen): how hard a mounted mass must be held.

use fusewright::engineering::bolt_resistance::bolt_utilisation;
use fusewright::engineering::capacity_rating::{rated_capacity, rating_demand};
use fusewright::engineering::fastener_pattern::FastenerPattern;
use fusewright::engineering::mounting::{
    PatternLoad, RestraintClass, fastener_loads, restraint_forces, surface_rating_needed,
};
use fusewright::engineering::pattern_forces::{MassForce, pattern_forces};
use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::units::*;

use super::assert_near;

/// Categories, level in travel direction, level across, in multiples of g (4.2.2.1, table 1, seen).
const LEVELS: [(&str, f64, f64); 3] =
    [("M1/N1", 20.0, 8.0), ("M2/N2", 10.0, 5.0), ("M3/N3", 6.6, 5.0)];

#[test]
fn every_category_has_the_printed_levels() {
    for (label, forward, side) in LEVELS {
        let class = RestraintClass::parse(label).unwrap();
        let levels = class.levels().unwrap();
        assert_near(levels.forward_g, forward, 0.0);
        assert_near(levels.side_g, side, 0.0);
        assert_eq!(class.label(), label);
    }
}

/// Golden case G14, first half, and two more masses (computed): kg, N forward, N across.
#[test]
fn forces_of_three_masses_in_a_van() {
    for (mass, forward, side) in
        [(25.0, 4903.0, 1961.0), (12.0, 2354.0, 941.0), (36.0, 7061.0, 2824.0)]
    {
        let forces = restraint_forces(Kilograms(mass), RestraintClass::M1N1).unwrap();
        assert_near(forces.forward.0, forward, 1.0);
        assert_near(forces.side.0, side, 1.0);
    }
}

/// 25 kg at levels of the workshop's own (computed): 28 g 6 865 N, 2 × weight 490 N, 0.8 × 196 N,
/// 0.7 × 172 N.
#[test]
fn forces_at_own_levels() {
    for (level, newtons) in [(28.0, 6865.0), (2.0, 490.0), (0.8, 196.0), (0.7, 172.0)] {
        let own = RestraintClass::Own { forward_g: level, side_g: 0.0 };
        let forces = restraint_forces(Kilograms(25.0), own).unwrap();
        assert_near(forces.forward.0, newtons, 1.0);
        assert_near(forces.side.0, 0.0, 0.0);
    }
}

/// "Holds N kg" is N · g0 newtons: the rating is mass times the higher level.
#[test]
fn a_rating_in_kilograms_is_mass_times_level() {
    for (class, rating) in [(RestraintClass::M1N1, 500.0), (RestraintClass::M2N2, 250.0)] {
        assert_eq!(surface_rating_needed(Kilograms(25.0), class).unwrap(), Kilograms(rating));
    }
    let sideways = RestraintClass::Own { forward_g: 1.0, side_g: 4.0 };
    assert_eq!(surface_rating_needed(Kilograms(10.0), sideways).unwrap(), Kilograms(40.0));
}

/// Worked (computed): 25 kg, 20 g, 150 mm up, rows 300 mm apart, four M6 8.8: 1 226 N of shear and
/// of tension on each rear bolt, which use 0.235 of it.
#[test]
fn four_bolts_under_a_25_kilogram_pack() {
    let forces = restraint_forces(Kilograms(25.0), RestraintClass::M1N1).unwrap();
    let loads = fastener_loads(PatternLoad {
        force: forces.forward,
        fasteners: 4,
        rear_fasteners: 2,
        height: Millimetres(150.0),
        row_spacing: Millimetres(300.0),
    })
    .unwrap();
    assert_near(loads.shear.0, 1226.0, 0.5);
    assert_near(loads.tension.0, 1226.0, 0.5);
    let used = bolt_utilisation(loads, Thread::M6, PropertyClass::Steel8_8).unwrap();
    assert_near(used, 0.235, 0.001);
}

/// The same four bolts by the whole pattern: the two behind get the worked figures, the two in
/// front press on the surface.
#[test]
fn the_real_pattern_gives_the_worked_figures() {
    let forces = restraint_forces(Kilograms(25.0), RestraintClass::M1N1).unwrap();
    let side = Millimetres(300.0);
    let pattern = FastenerPattern::rectangle(4, side, side).unwrap();
    let (along, height) = (forces.forward, Millimetres(150.0));
    let force = MassForce { along, height, ..MassForce::default() };
    let shared = pattern_forces(&pattern, &force).unwrap();
    for (place, one) in pattern.positions().iter().zip(shared) {
        let behind = place.along.0 < 0.0;
        assert_near(one.loads().shear.0, 1226.0, 0.5);
        assert_near(one.loads().tension.0, if behind { 1226.0 } else { 0.0 }, 0.5);
        let used = bolt_utilisation(one.loads(), Thread::M6, PropertyClass::Steel8_8).unwrap();
        if behind {
            assert_near(used, 0.235, 0.001);
        }
    }
}

/// "Holds N kg" in newtons (computed): kg, multiples of g, N. 25 kg at 20 g are 500 kg, sideways
/// 200 kg; at 28 g 6 865 N; at twice the weight 490 N; at 0.9 and 0.7 of it 221 N and 172 N.
#[test]
fn a_rating_in_kilograms_in_newtons() {
    for (mass, level, newtons) in [
        (25.0, 20.0, 4903.0),
        (25.0, 8.0, 1961.0),
        (25.0, 28.0, 6865.0),
        (25.0, 2.0, 490.0),
        (25.0, 0.9, 221.0),
        (25.0, 0.8, 196.0),
        (25.0, 0.7, 172.0),
        (12.0, 20.0, 2354.0),
        (12.0, 8.0, 941.0),
        (36.0, 20.0, 7061.0),
        (36.0, 8.0, 2824.0),
    ] {
        let demand = rating_demand(&[Kilograms(mass)], level).unwrap();
        assert_near(demand.0, newtons, 1.0);
        let just_enough = rated_capacity(&[Kilograms(mass * level)], 1.0).unwrap();
        assert_near(just_enough.0, demand.0, 1e-9);
    }
}

/// Between a crash at 20 g and normal driving at 0.8 to 0.9 of the weight lies a factor of 22 to 25
/// (computed; driving levels of VDI 2700-16 and EN 12195-1, from memory).
#[test]
fn a_crash_is_22_to_25_times_normal_driving() {
    let demand = |level| rating_demand(&[Kilograms(25.0)], level).unwrap().0;
    assert_near(demand(20.0) / demand(0.9), 22.2, 0.05);
    assert_near(demand(20.0) / demand(0.8), 25.0, 1e-9);
}
