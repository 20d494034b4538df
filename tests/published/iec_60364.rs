//! IEC 60364: ambient and grouping corrections (5-52), and the short-circuit check (4-43).

use fusewright::engineering::ampacity::{
    Insulation, Place, ambient_factor, grouping_factor_circuits,
};
use fusewright::engineering::fault::{
    ADIABATIC_LONGEST, ADIABATIC_SHORTEST, cable_withstand, damage_curve, k_factor, let_through,
    short_circuit_limit, withstand_time,
};
use fusewright::engineering::fuse::{
    FuseForm, OVERLOAD_MULTIPLE, overload_protected, sure_opening,
};
use fusewright::engineering::units::*;

use super::assert_near;

/// Table B.52.14 (from memory; 35 to 60 °C partly seen): ambient [°C], factor of 70 °C PVC and of
/// 90 °C cross-linked insulation.
const AMBIENT: [(f64, Option<f64>, f64); 15] = [
    (10.0, Some(1.22), 1.15),
    (15.0, Some(1.17), 1.12),
    (20.0, Some(1.12), 1.08),
    (25.0, Some(1.06), 1.04),
    (30.0, Some(1.00), 1.00),
    (35.0, Some(0.94), 0.96),
    (40.0, Some(0.87), 0.91),
    (45.0, Some(0.79), 0.87),
    (50.0, Some(0.71), 0.82),
    (55.0, Some(0.61), 0.76),
    (60.0, Some(0.50), 0.71),
    (65.0, None, 0.65),
    (70.0, None, 0.58),
    (75.0, None, 0.50),
    (80.0, None, 0.41),
];

#[expect(clippy::expect_used, reason = "a helper of tests; the air is below the insulation's")]
fn factor(insulation: Insulation, celsius: f64) -> f64 {
    ambient_factor(insulation, Celsius(celsius), Place::Outside).expect("below the insulation's")
}

#[test]
fn ambient_factors_follow_the_printed_table() {
    for (celsius, pvc, cross_linked) in AMBIENT {
        assert_near(factor(Insulation::C90, celsius), cross_linked, 0.005);
        if let Some(pvc) = pvc {
            assert_near(factor(Insulation::C70, celsius), pvc, 0.005);
        }
    }
}

/// Golden case G07 (from memory, computed): 70 °C PVC and 90 °C cross-linked at 45, 50 and 60 °C.
#[test]
fn ambient_factors_at_45_50_and_60_degrees() {
    for (celsius, pvc, cross_linked) in [(45.0, 0.79, 0.87), (50.0, 0.71, 0.82), (60.0, 0.50, 0.71)]
    {
        assert_near(factor(Insulation::C70, celsius), pvc, 0.005);
        assert_near(factor(Insulation::C90, celsius), cross_linked, 0.005);
    }
}

/// The same formula for 105 °C automotive cable (computed).
#[test]
fn ambient_factors_of_thin_wall_automotive_cable() {
    let computed =
        [(40.0, 0.931), (50.0, 0.856), (60.0, 0.775), (70.0, 0.683), (80.0, 0.577), (85.0, 0.516)];
    for (celsius, printed) in computed {
        assert_near(factor(Insulation::C105, celsius), printed, 0.0005);
    }
}

/// Machine manuals that quote the standard, method B2, 70 °C PVC (seen): ampacity at 30, 40, 45,
/// 50 and 55 °C, each the 30 °C figure times the printed factor, to the nearest ampere.
#[test]
fn derated_ampacities_of_machine_manuals() {
    let rows = [
        [27.0, 23.0, 21.0, 19.0, 16.0],
        [34.0, 30.0, 27.0, 24.0, 21.0],
        [46.0, 40.0, 36.0, 33.0, 28.0],
        [62.0, 54.0, 49.0, 44.0, 38.0],
        [118.0, 103.0, 93.0, 84.0, 72.0],
    ];
    for row in rows {
        for (celsius, printed) in [30.0, 40.0, 45.0, 50.0, 55.0].into_iter().zip(row) {
            // The manuals multiply by the printed factor, which has two decimals.
            let printed_factor = (factor(Insulation::C70, celsius) * 100.0).round() / 100.0;
            assert_near((row[0] * printed_factor).round(), printed, 0.0);
        }
    }
}

/// Table B.52.17, item 1 (from memory): circuits bunched together.
#[test]
fn grouping_by_circuits_as_printed() {
    let printed = [
        (1, 1.00),
        (2, 0.80),
        (3, 0.70),
        (4, 0.65),
        (5, 0.60),
        (6, 0.57),
        (7, 0.54),
        (8, 0.52),
        (9, 0.50),
        (12, 0.45),
        (16, 0.41),
        (20, 0.38),
    ];
    for (circuits, factor) in printed {
        assert_eq!(grouping_factor_circuits(circuits), Ok(factor));
    }
}

#[test]
fn between_printed_numbers_of_circuits_the_larger_number_counts() {
    assert_eq!(grouping_factor_circuits(10), Ok(0.45));
    assert_eq!(grouping_factor_circuits(13), Ok(0.41));
    assert_eq!(grouping_factor_circuits(17), Ok(0.38));
}

#[test]
fn no_circuit_and_twenty_one_circuits_are_refused() {
    assert!(grouping_factor_circuits(0).is_err());
    assert!(grouping_factor_circuits(21).is_err());
}

/// Table 43A (seen as BS 7671, table 43.1): initial [°C], final [°C], k of copper.
#[test]
fn k_of_copper_as_printed() {
    let printed = [
        // PVC 70 °C, 90 °C thermoplastic, 60 °C rubber, 90 °C cross-linked.
        (70.0, 160.0, 115.0),
        (90.0, 160.0, 100.0),
        (60.0, 200.0, 141.0),
        (90.0, 250.0, 143.0),
    ];
    for (initial, limit, k) in printed {
        assert_near(k_factor(Celsius(initial), Celsius(limit)).unwrap(), k, 0.15);
    }
}

/// Golden case G08 (computed from the standard's formula), and two for vehicle cable whose final
/// temperatures are assumptions: 105 °C to 160 °C 87.6, 125 °C to 250 °C 123.5.
#[test]
fn k_of_copper_recomputed() {
    let computed = [
        (70.0, 160.0, 115.0),
        (60.0, 200.0, 140.9),
        (90.0, 250.0, 143.1),
        (90.0, 160.0, 99.9),
        (105.0, 160.0, 87.6),
        (125.0, 250.0, 123.5),
    ];
    for (initial, limit, k) in computed {
        assert_near(k_factor(Celsius(initial), Celsius(limit)).unwrap(), k, 0.06);
    }
}

/// k²·S² (computed): mm², k, A²·s.
#[test]
fn what_a_conductor_takes_up() {
    for (area, k, printed) in
        [(2.5, 115.0, 82_656.0), (6.0, 100.0, 360_000.0), (16.0, 143.0, 5_234_944.0)]
    {
        assert_near(cable_withstand(k, SquareMillimetres(area)).unwrap().0, printed, 0.5);
    }
}

/// (k·S/I)² (computed; the third is golden case G08): mm², A, s, all with k = 115.
#[test]
fn how_long_a_conductor_stands_a_short_circuit() {
    let computed =
        [(6.0, 2000.0, 0.119), (10.0, 3000.0, 0.147), (16.0, 2500.0, 0.542), (25.0, 4000.0, 0.517)];
    for (area, current, seconds) in computed {
        let found = withstand_time(115.0, SquareMillimetres(area), Amps(current)).unwrap();
        assert_near(found.0, seconds, 0.002);
    }
}

/// A published article on cable sizing (seen, arithmetic verified): 2 500 A for 0.1 s with k = 115
/// needs 6.87 mm².
#[test]
fn a_published_minimum_area_just_stands_its_own_let_through() {
    let heat = let_through(Amps(2500.0), Seconds(0.1)).unwrap();
    assert!(cable_withstand(115.0, SquareMillimetres(6.88)).unwrap() > heat);
    assert!(cable_withstand(115.0, SquareMillimetres(6.87)).unwrap().0 < heat.0 * 1.0005);
    assert!(cable_withstand(115.0, SquareMillimetres(6.86)).unwrap() < heat);
}

/// 433.1 (from memory): I2 ≤ 1.45 · Iz. Blades and the 51 mm strip are sure to open at 1.35 · In, the
/// 30 mm strip at 1.50 · In (gates from memory): with In = Iz the last does not meet the rule.
#[test]
fn a_fuse_of_the_ampacity_opens_before_145_percent_but_for_the_30_millimetre_strip() {
    assert_near(OVERLOAD_MULTIPLE, 1.45, 0.0);
    let forms = [
        (FuseForm::BladeMini, 1.35, Some(true)),
        (FuseForm::Blade, 1.35, Some(true)),
        (FuseForm::BladeHigh, 1.35, Some(true)),
        (FuseForm::Strip51, 1.35, Some(true)),
        (FuseForm::Strip30, 1.50, Some(false)),
    ];
    for (form, multiple, holds) in forms {
        assert_near(sure_opening(form).unwrap().multiple, multiple, 0.0);
        assert_eq!(overload_protected(form, Amps(60.0), Amps(60.0)).unwrap(), holds, "{form}");
    }
    assert_eq!(sure_opening(FuseForm::SingleBolt), None);
}

/// Ends of the damage curve of three conductors (computed): k·S/√5 s and k·S/√0.1 s [A].
#[test]
fn damage_curves_end_where_the_law_does() {
    for (area, k, at_five, at_tenth) in
        [(6.0, 115.0, 308.6, 2182.0), (16.0, 115.0, 822.9, 5818.6), (16.0, 143.0, 1023.2, 7235.3)]
    {
        let curve = damage_curve(k, SquareMillimetres(area), 5).unwrap();
        assert_near(curve[0].current.0, at_five, 0.05);
        assert_near(curve[4].current.0, at_tenth, 0.05);
    }
}

/// 434.5.2: the law is meant for 0.1 s to 5 s. PVC stands 160 °C (seen); 160 °C for all up to
/// 105 °C is our own caution.
#[test]
fn range_of_the_law_and_limit_of_the_insulation() {
    assert_eq!((ADIABATIC_SHORTEST, ADIABATIC_LONGEST), (Seconds(0.1), Seconds(5.0)));
    for insulation in [Insulation::C60, Insulation::C70, Insulation::C90, Insulation::C105] {
        assert_eq!(short_circuit_limit(insulation), Celsius(160.0));
    }
    for insulation in [Insulation::C125, Insulation::C200] {
        assert_eq!(short_circuit_limit(insulation), Celsius(250.0));
    }
}
