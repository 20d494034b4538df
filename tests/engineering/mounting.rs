//! Loads of a mount: shared out, never lost.

use fusewright::engineering::mount_check::{MountCase, MountMode, Pattern, check_mount};
use fusewright::engineering::mounting::{
    FastenerLoads, PatternLoad, RestraintClass, battery_pull_33cfr, fastener_loads,
    restraint_forces, surface_rating_needed,
};
use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet};
use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

fn load() -> PatternLoad {
    PatternLoad {
        force: Newtons(6000.0),
        fasteners: 6,
        rear_fasteners: 3,
        height: Millimetres(100.0),
        row_spacing: Millimetres(400.0),
    }
}

fn mount() -> MountCase {
    MountCase {
        mass: Kilograms(25.0),
        class: RestraintClass::M1N1,
        height: Millimetres(150.0),
        pattern: Pattern {
            fasteners: 4,
            rear_row: 2,
            side_row: 2,
            spacing_along: Millimetres(300.0),
            spacing_across: Millimetres(300.0),
        },
        thread: Thread::M8,
        property_class: PropertyClass::Steel8_8,
        sheet: Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE },
        washer: Some(Millimetres(25.0)),
        edge: Millimetres(20.0),
    }
}

proptest! {
    #![proptest_config(settings())]

    /// Shear on all fasteners is the force; tension on the rear row times its lever is the moment.
    #[test]
    fn loads_add_up_to_the_force_and_its_moment(
        force in 0.0_f64..20_000.0,
        rear_fasteners in 1_u32..6,
        others in 1_u32..6,
        height in 0.0_f64..500.0,
        spacing in 50.0_f64..900.0,
    ) {
        let fasteners = rear_fasteners + others;
        let found = fastener_loads(PatternLoad {
            force: Newtons(force),
            fasteners,
            rear_fasteners,
            height: Millimetres(height),
            row_spacing: Millimetres(spacing),
        })
        .unwrap();
        let moment = found.tension.0 * f64::from(rear_fasteners) * spacing;
        prop_assert!((found.shear.0 * f64::from(fasteners) - force).abs() <= 1e-9 * force);
        prop_assert!((moment - force * height).abs() <= 1e-9 * force * height);
    }

    #[test]
    fn more_mass_never_lightens_a_mount(mass in 1.0_f64..100.0, more in 0.0_f64..50.0) {
        let used = |kilograms| {
            let heavier = MountCase { mass: Kilograms(kilograms), ..mount() };
            check_mount(&heavier).unwrap().governing.utilisation
        };
        prop_assert!(used(mass + more) >= used(mass));
    }

    #[test]
    fn a_rating_in_kilograms_stands_for_the_larger_force(mass in 1.0_f64..100.0) {
        for class in [RestraintClass::M1N1, RestraintClass::M2N2, RestraintClass::M3N3] {
            let forces = restraint_forces(Kilograms(mass), class).unwrap();
            let rating = surface_rating_needed(Kilograms(mass), class).unwrap();
            let larger = forces.forward.0.max(forces.side.0);
            prop_assert!((rating.0 * STANDARD_GRAVITY - larger).abs() <= 1e-9 * larger);
        }
    }
}

/// By hand: 6000 N on six: 1000 N each; 6000 × 100 / 400 / 3 = 500 N on each of the rear row.
#[test]
fn six_fasteners_in_two_rows() {
    let loads = fastener_loads(load()).unwrap();
    assert_eq!(loads, FastenerLoads { shear: Newtons(1000.0), tension: Newtons(500.0) });
}

/// By hand for the side force of 1 961 N: 490.3 N of shear; across only 100 mm its moment pulls
/// 1961 × 150 / 100 / 2 = 1471 N on each bolt of the side row, more than the 1226 N of the forward
/// force.
#[test]
fn the_worse_direction_counts_for_each_mode() {
    let narrow = Pattern { spacing_across: Millimetres(100.0), ..mount().pattern };
    let found = check_mount(&MountCase { pattern: narrow, ..mount() }).unwrap();
    assert_near(found.forward.tension.0, 1225.8, 0.1);
    assert_near(found.side.shear.0, 490.3, 0.1);
    assert_near(found.side.tension.0, 1471.0, 0.1);
    let [_, bearing, punching, pull_through] = found.modes;
    // Bearing from the forward force, 1225.8 / 3312; pull-through from the side force, 1471 / 5400.
    assert_near(bearing.utilisation, 0.3701, 0.0001);
    assert_near(pull_through.utilisation, 0.2724, 0.0001);
    assert!(punching.utilisation < pull_through.utilisation);
    assert_eq!(found.governing.mode, MountMode::Bearing);
}

/// By hand: without a washer the 11.63 mm face of the head pulls through at 2512 N: 1226 / 2512 =
/// 0.488.
#[test]
fn without_a_washer_pull_through_governs() {
    let found = check_mount(&MountCase { washer: None, ..mount() }).unwrap();
    assert_eq!(found.governing.mode, MountMode::PullThrough);
    assert_near(found.governing.utilisation, 0.488, 0.0005);
    // And punching counts the head's mean diameter: 1226 / 5574 = 0.220.
    assert_near(found.modes[2].utilisation, 0.220, 0.0005);
}

/// The bolt governs in thick plate: by hand M3 8.8, shear resistance 0.6 × 800 × 5.03 / 1.25 =
/// 1932 N, tension 2898 N: 1226 / 1932 + 1226 / (1.4 × 2898) = 0.937.
#[test]
fn in_thick_plate_the_bolt_governs() {
    let plate = Sheet { thickness: Millimetres(10.0), tensile: MILD_STEEL_TENSILE };
    let found = check_mount(&MountCase { thread: Thread::M3, sheet: plate, ..mount() }).unwrap();
    assert_eq!(found.governing.mode, MountMode::Bolt);
    assert_near(found.governing.utilisation, 0.937, 0.002);
    assert!(found.holds());
}

#[test]
fn a_mount_holds_up_to_one_and_not_beyond() {
    // 25 kg use 0.3701 of the bearing, so 67.5 kg just hold and 67.7 kg do not.
    let with = |mass| check_mount(&MountCase { mass: Kilograms(mass), ..mount() }).unwrap();
    assert!(with(67.5).holds());
    assert!(!with(67.7).holds());
}

#[test]
fn every_mode_names_itself_and_its_source() {
    let found = check_mount(&mount()).unwrap();
    for mode in found.modes {
        assert!(!mode.mode.label().is_empty());
        assert!(mode.mode.source().text.contains("EN 1993"));
    }
}

#[test]
fn a_restraint_class_is_read_by_either_category() {
    for (text, class) in [
        ("M1", RestraintClass::M1N1),
        ("n1", RestraintClass::M1N1),
        ("M2/N2", RestraintClass::M2N2),
        ("N3", RestraintClass::M3N3),
    ] {
        assert_eq!(RestraintClass::parse(text).unwrap(), class);
    }
    assert_refused(RestraintClass::parse("M4"), "restraint class");
    assert_refused(RestraintClass::parse(""), "restraint class");
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        let mass = Kilograms(wrong);
        assert_refused(restraint_forces(mass, RestraintClass::M1N1), "mass");
        assert_refused(surface_rating_needed(mass, RestraintClass::M1N1), "mass");
        assert_refused(battery_pull_33cfr(mass), "mass");
        let forward = RestraintClass::Own { forward_g: wrong, side_g: 1.0 };
        let side = RestraintClass::Own { forward_g: 1.0, side_g: wrong };
        assert_refused(
            restraint_forces(Kilograms(1.0), forward),
            "level in travel direction, in g",
        );
        assert_refused(restraint_forces(Kilograms(1.0), side), "level across, in g");
        let bad = PatternLoad { force: Newtons(wrong), ..load() };
        assert_refused(fastener_loads(bad), "force");
        let bad = PatternLoad { height: Millimetres(wrong), ..load() };
        assert_refused(fastener_loads(bad), "height of the centre of mass");
        let bad = PatternLoad { row_spacing: Millimetres(wrong), ..load() };
        assert_refused(fastener_loads(bad), "distance between the rows");
    }
    let row = "number of fasteners in one row";
    assert_refused(fastener_loads(PatternLoad { fasteners: 0, ..load() }), "number of fasteners");
    assert_refused(fastener_loads(PatternLoad { rear_fasteners: 0, ..load() }), row);
    assert_refused(fastener_loads(PatternLoad { rear_fasteners: 7, ..load() }), row);
    let flat = PatternLoad { row_spacing: Millimetres(0.0), ..load() };
    assert_refused(fastener_loads(flat), "distance between the rows");
}
