//! Screws in thin sheet: thicker, wider, stronger never holds less; the rule has no steps.

use fusewright::engineering::pull_through::{PressingFace, pull_through_methods};
use fusewright::engineering::sheet_metal::{
    Sheet, repeated_pull_through_resistance, screw_pull_out_resistance,
};
use fusewright::engineering::sheet_metal_aisi::{
    PullOverEdition, pull_out_strength, pull_over_strength, tilting_and_bearing_strength,
};
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
        thickness in 0.4_f64..6.0,
        more in 0.0_f64..0.4,
        screw in 2.03_f64..6.35,
        washer in 2.0_f64..60.0,
    ) {
        let (thin, thick) = (sheet(thickness, 310.0), sheet(thickness + more, 310.0));
        let screw = Millimetres(screw);
        prop_assert!(
            pull_out_strength(thin, screw).unwrap() <= pull_out_strength(thick, screw).unwrap()
        );
        for edition in PullOverEdition::ALL {
            let over = |sheet| pull_over_strength(sheet, Millimetres(washer), edition).unwrap();
            prop_assert!(over(thin) <= over(thick));
        }
        let both = |sheet| tilting_and_bearing_strength(sheet, sheet, screw).unwrap();
        prop_assert!(both(thin) <= both(thick));
    }

    /// The sheet beneath decides over tilting, so that a thicker one never holds less.
    #[test]
    fn a_thicker_sheet_beneath_never_holds_less(
        head in 0.5_f64..2.0,
        beneath in 0.5_f64..5.0,
        more in 0.0_f64..0.5,
    ) {
        let shear = |beneath| {
            let (head, beneath) = (sheet(head, 310.0), sheet(beneath, 310.0));
            tilting_and_bearing_strength(head, beneath, Millimetres(4.8)).unwrap()
        };
        prop_assert!(shear(beneath).0 <= shear(beneath + more).0 + 1e-9);
    }

    /// Bearing alone bounds the shear from above, whatever the sheets.
    #[test]
    fn tilting_only_takes_away(head in 0.4_f64..6.4, beneath in 0.4_f64..6.4) {
        let (first, second) = (sheet(head, 310.0), sheet(beneath, 270.0));
        let shear = tilting_and_bearing_strength(first, second, Millimetres(4.8)).unwrap();
        let bearing = 2.7 * 4.8 * (head * 310.0).min(beneath * 270.0);
        prop_assert!(shear.0 <= bearing * (1.0 + 1e-12));
    }

    /// Whatever sheet and washer: repeated is half of static, service below factored below nominal.
    #[test]
    fn the_methods_keep_their_order(thickness in 0.75_f64..6.4, outer in 2.0_f64..60.0) {
        let face = PressingFace { outer: Millimetres(outer), head_mean: Millimetres(outer) };
        let all = pull_through_methods(sheet(thickness, 270.0), face, PullOverEdition::S100Of2016);
        let [punching, fixed, repeated, nominal, allowable, design] =
            all.unwrap().map(|figure| figure.resistance.0);
        prop_assert!(repeated < fixed && fixed < punching);
        prop_assert!(allowable < design && design < nominal);
    }
}

/// At t2/t1 = 1 the line starts at tilting, at 2.5 it ends at bearing: no step at either.
#[test]
fn the_line_between_tilting_and_bearing_has_no_step() {
    let shear = |beneath| {
        let screw = Millimetres(4.8);
        tilting_and_bearing_strength(sheet(1.0, 310.0), sheet(beneath, 310.0), screw).unwrap().0
    };
    assert_near(shear(1.0), shear(1.000_001), 0.1);
    assert_near(shear(2.499_999), shear(2.5), 0.1);
    // By hand: 2.7 × 1.0 × 4.8 × 310 = 4018 N once tilting is out.
    assert_near(shear(2.5), 4017.6, 0.1);
}

/// By hand: strong 0.4 mm over weak 0.88 mm, ratio 2.2, 6.35 mm screw: tilting 4.2 × √(0.6815 ×
/// 6.35) × 300 = 2621 N, bearing 2.7 × 6.35 × 0.88 × 300 = 4526 N; a fifth of the way is left to
/// tilting: 0.2 × 2621 + 0.8 × 4526 = 4145 N.
#[test]
fn between_the_ratios_the_line_counts_up_to_its_end() {
    let (strong, weak) = (sheet(0.4, 700.0), sheet(0.88, 300.0));
    let shear = tilting_and_bearing_strength(strong, weak, Millimetres(6.35)).unwrap();
    assert_near(shear.0, 4145.3, 0.5);
}

#[test]
fn what_the_rule_does_not_cover_is_refused() {
    let good = sheet(1.0, 310.0);
    let screw = |diameter| pull_out_strength(good, Millimetres(diameter));
    assert!(screw(2.03).is_ok() && screw(6.35).is_ok());
    assert_refused(screw(2.02), "diameter of the screw");
    assert_refused(screw(6.36), "diameter of the screw");
    let thick = |thickness| pull_out_strength(sheet(thickness, 310.0), Millimetres(4.8));
    assert!(thick(0.4).is_ok() && thick(6.4).is_ok());
    assert_refused(thick(0.39), "thickness of the sheet");
    assert_refused(thick(6.41), "thickness of the sheet");
}

#[test]
fn nonsense_is_refused() {
    let (good, screw) = (sheet(1.0, 310.0), Millimetres(4.8));
    let edition = PullOverEdition::S100Of2016;
    for wrong in NONSENSE {
        let length = Millimetres(wrong);
        assert_refused(pull_out_strength(good, length), "diameter of the screw");
        assert_refused(pull_out_strength(sheet(wrong, 310.0), screw), "thickness of the sheet");
        let weak = pull_out_strength(sheet(1.0, wrong), screw);
        assert_refused(weak, "tensile strength of the sheet");
        assert_refused(pull_over_strength(good, length, edition), "diameter of the washer");
        let shear = tilting_and_bearing_strength(good, good, length);
        assert_refused(shear, "diameter of the screw");
        let head = tilting_and_bearing_strength(sheet(wrong, 310.0), good, screw);
        assert_refused(head, "thickness of the sheet");
        let beneath = tilting_and_bearing_strength(good, sheet(wrong, 310.0), screw);
        assert_refused(beneath, "thickness of the sheet");
        assert_refused(repeated_pull_through_resistance(good, length), "diameter of the washer");
        let out = screw_pull_out_resistance(good, length, Millimetres(1.8));
        assert_refused(out, "diameter of the screw");
        assert_refused(screw_pull_out_resistance(good, screw, length), "pitch");
        let face = PressingFace { outer: screw, head_mean: length };
        assert_refused(pull_through_methods(good, face, edition), "mean diameter of the head");
    }
}
