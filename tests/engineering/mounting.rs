//! Loads of a mount: shared out, never lost.

use fusewright::engineering::mounting::{
    FastenerLoads, PatternLoad, RestraintClass, battery_pull_33cfr, fastener_loads,
    restraint_forces, surface_rating_needed,
};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};

fn load() -> PatternLoad {
    PatternLoad {
        force: Newtons(6000.0),
        fasteners: 6,
        rear_fasteners: 3,
        height: Millimetres(100.0),
        row_spacing: Millimetres(400.0),
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
