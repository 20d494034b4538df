//! Sheet around a bolt: thicker, stronger, wider never holds less.

use fusewright::engineering::bolt_resistance::{FastenerLoads, bolt_utilisation};
use fusewright::engineering::sheet_metal::{
    Sheet, bearing_resistance, pull_through_resistance, punching_resistance, utilisation,
};
use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

fn sheet(thickness: f64, tensile: f64) -> Sheet {
    Sheet { thickness: Millimetres(thickness), tensile: Megapascals(tensile) }
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn thicker_sheet_never_holds_less(
        thickness in 0.75_f64..2.9,
        more in 0.0_f64..0.09,
        edge in 9.0_f64..60.0,
        washer in 10.0_f64..60.0,
    ) {
        let (thin, thick) = (sheet(thickness, 270.0), sheet(thickness + more, 270.0));
        let bearing = |sheet| bearing_resistance(sheet, Thread::M8, Millimetres(edge)).unwrap();
        let pulled = |sheet| pull_through_resistance(sheet, Millimetres(washer)).unwrap();
        let punched = |sheet| punching_resistance(sheet, Millimetres(washer)).unwrap();
        prop_assert!(bearing(thin) <= bearing(thick));
        prop_assert!(pulled(thin) <= pulled(thick));
        prop_assert!(punched(thin) <= punched(thick));
        // Pull-through is the lower of the two everywhere, so that it governs.
        prop_assert!(pulled(thin) < punched(thin));
    }

    #[test]
    fn more_edge_never_holds_less(edge in 9.0_f64..60.0, more in 0.0_f64..20.0) {
        let bearing = |edge| {
            bearing_resistance(sheet(1.0, 270.0), Thread::M8, Millimetres(edge)).unwrap()
        };
        prop_assert!(bearing(edge) <= bearing(edge + more));
    }
}

/// kt meets 1 at 1.25 mm from below: (0.8 × 1.25 + 1.5) / 2.5.
#[test]
fn the_thin_sheet_factor_has_no_step() {
    let bearing = |thickness| {
        bearing_resistance(sheet(thickness, 270.0), Thread::M8, Millimetres(40.0)).unwrap().0
    };
    assert_near(bearing(1.25), bearing(1.250_001), 0.01);
}

#[test]
fn a_hole_closer_to_the_edge_than_its_width_is_refused() {
    let at = |edge| bearing_resistance(sheet(1.0, 270.0), Thread::M8, Millimetres(edge));
    assert!(at(9.0).is_ok());
    assert_refused(at(8.9), "distance to the edge");
}

#[test]
fn sheet_that_is_no_sheet_is_refused() {
    for thickness in [f64::NAN, -1.0, 0.0, 0.74, 20.1] {
        let found = pull_through_resistance(sheet(thickness, 270.0), Millimetres(25.0));
        assert_refused(found, "thickness of the sheet");
    }
    for tensile in [f64::NAN, -1.0, 0.0, 49.0, 701.0] {
        let found = punching_resistance(sheet(1.0, tensile), Millimetres(25.0));
        assert_refused(found, "tensile strength of the sheet");
    }
    assert!(pull_through_resistance(sheet(0.75, 270.0), Millimetres(25.0)).is_ok());
}

#[test]
fn nonsense_is_refused() {
    let good = sheet(1.0, 270.0);
    let shear = |newtons| FastenerLoads { shear: Newtons(newtons), tension: Newtons(0.0) };
    let tension = |newtons| FastenerLoads { shear: Newtons(0.0), tension: Newtons(newtons) };
    for wrong in NONSENSE {
        let millimetres = Millimetres(wrong);
        assert_refused(bearing_resistance(good, Thread::M8, millimetres), "distance to the edge");
        assert_refused(pull_through_resistance(good, millimetres), "diameter of the washer");
        assert_refused(punching_resistance(good, millimetres), "mean diameter of the head");
        assert_refused(utilisation(Newtons(wrong), Newtons(1.0)), "load");
        assert_refused(utilisation(Newtons(1.0), Newtons(wrong)), "resistance");
        let class = PropertyClass::Steel8_8;
        assert_refused(bolt_utilisation(shear(wrong), Thread::M8, class), "shear");
        assert_refused(bolt_utilisation(tension(wrong), Thread::M8, class), "tension");
    }
    assert_refused(utilisation(Newtons(1.0), Newtons(0.0)), "resistance");
}
