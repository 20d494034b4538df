//! AISI S100: screws in thin sheet (formulas from memory; numbers from an evaluation report and a
//! technical guide, seen).

use fusewright::engineering::pull_through::{
    PressingFace, PullThroughMethod, pull_through_methods,
};
use fusewright::engineering::sheet_metal::Sheet;
use fusewright::engineering::sheet_metal_aisi::{
    PullOverEdition, RESISTANCE_FACTOR, SAFETY_FACTOR, allowable_strength, design_strength,
    pull_out_strength, pull_over_strength, tilting_and_bearing_strength,
};
use fusewright::engineering::thread::Thread;
use fusewright::engineering::units::*;

use super::{assert_near, assert_within_percent};

/// Sheet of 45 ksi, as all printed numbers have it.
fn sheet(inches: f64) -> Sheet {
    Sheet {
        thickness: Millimetres::from_inches(inches),
        tensile: Megapascals::from_kips_per_square_inch(45.0),
    }
}

/// Golden case G13 (a) and its neighbours: screw [in], sheet [in], allowable pull-out [lbf]
/// (ESR-1976, table 2, seen).
#[test]
fn pull_out_of_an_evaluation_report() {
    for (screw, thickness, printed) in [
        (0.190, 0.018, 44.0),
        (0.190, 0.036, 87.0),
        (0.190, 0.060, 145.0),
        (0.216, 0.048, 132.0),
        (0.250, 0.250, 797.0),
    ] {
        let nominal = pull_out_strength(sheet(thickness), Millimetres::from_inches(screw)).unwrap();
        assert_near(allowable_strength(nominal).to_pounds_force(), printed, 0.5);
    }
}

/// Equal sheets [in], allowable tilting and bearing of a 0.190 in screw [lbf] (ESR-1976, table 4,
/// seen).
#[test]
fn tilting_and_bearing_of_an_evaluation_report() {
    for (thickness, printed) in [(0.018, 66.0), (0.036, 188.0), (0.060, 404.0)] {
        let both = sheet(thickness);
        let screw = Millimetres::from_inches(0.190);
        let nominal = tilting_and_bearing_strength(both, both, screw).unwrap();
        assert_near(allowable_strength(nominal).to_pounds_force(), printed, 0.5);
    }
}

/// Head [in], sheet [in], nominal pull-over [lbf], rounded to 5 or 10 (technical guide, seen).
#[test]
fn pull_over_of_a_technical_guide() {
    for (head, thickness, printed, rounding) in
        [(0.335, 0.030, 675.0, 5.0), (0.415, 0.060, 1680.0, 5.0)]
    {
        let head = Millimetres::from_inches(head);
        for edition in PullOverEdition::ALL {
            let nominal = pull_over_strength(sheet(thickness), head, edition).unwrap();
            assert_near(nominal.to_pounds_force(), printed, rounding);
        }
    }
}

/// Caps of ½ in and ¾ in (from memory): a wider washer gains nothing.
#[test]
fn a_washer_counts_up_to_the_cap_of_its_edition() {
    let over = |inches, edition| {
        pull_over_strength(sheet(0.040), Millimetres::from_inches(inches), edition).unwrap().0
    };
    for (edition, cap) in [(PullOverEdition::S100Of2012, 0.5), (PullOverEdition::S100Of2016, 0.75)]
    {
        assert_near(edition.diameter_max().0, cap * 25.4, 1e-9);
        assert!(over(cap - 0.01, edition) < over(cap, edition));
        assert_near(over(cap + 0.01, edition), over(cap, edition), 1e-9);
    }
}

/// Worked (computed): 16 mm washer, 1.0 mm, 270 N/mm²: 6.48 kN nominal, 2.16 kN allowable; the
/// European forms 3.46 kN and, with an M8 head, 5.57 kN: 2.6 times apart.
#[test]
fn the_methods_side_by_side_differ_by_2_6() {
    let body = Sheet { thickness: Millimetres(1.0), tensile: Megapascals(270.0) };
    let face =
        PressingFace { outer: Millimetres(16.0), head_mean: Thread::M8.head_mean_diameter() };
    let all = pull_through_methods(body, face, PullOverEdition::S100Of2016).unwrap();
    let of = |method| all.iter().find(|figure| figure.method == method).unwrap().resistance.0;
    for (method, printed) in [
        (PullThroughMethod::EuropeanPunching, 5570.0),
        (PullThroughMethod::EuropeanStatic, 3460.0),
        (PullThroughMethod::EuropeanRepeated, 1730.0),
        (PullThroughMethod::AmericanNominal, 6480.0),
        (PullThroughMethod::AmericanAllowable, 2160.0),
        (PullThroughMethod::AmericanDesign, 3240.0),
    ] {
        assert_within_percent(of(method), printed, 0.2);
        assert!(!method.label().is_empty() && !method.source().text.is_empty());
    }
    let apart = of(PullThroughMethod::EuropeanPunching) / of(PullThroughMethod::AmericanAllowable);
    assert_near(apart, 2.6, 0.05);
}

/// Ω 3.0 and φ 0.5 (from memory; Ω recomputes every allowable number above).
#[test]
fn factors_on_the_nominal_strength() {
    assert_near(SAFETY_FACTOR, 3.0, 0.0);
    assert_near(RESISTANCE_FACTOR, 0.5, 0.0);
    assert_eq!(design_strength(Newtons(100.0)), Newtons(50.0));
}
