//! NEC chapter 9, table 8, and ASTM B258: the American wire gauge.

use fusewright::engineering::conductor::{ConductorSize, resistance_at};
use fusewright::engineering::units::*;

use super::{assert_near, assert_within_percent, size};

/// Gauge, area [mm²] and [cmil] (ASTM B258, computed; they agree with table 8 as seen), resistance
/// of stranded uncoated copper at 75 °C [Ω/kft] (table 8, seen in three public copies), the same
/// brought to 20 °C [mΩ/m] (computed).
///
/// One public copy prints 3.07, 1.93 and 1.21 for 14, 12 and 10 AWG: the solid values.
#[expect(clippy::approx_constant, reason = "3.14 is a printed resistance, not π")]
const PRINTED: [(&str, f64, f64, f64, f64); 15] = [
    ("18 AWG", 0.823, 1624.0, 7.95, 21.45),
    ("16 AWG", 1.309, 2583.0, 4.99, 13.46),
    ("14 AWG", 2.081, 4107.0, 3.14, 8.471),
    ("12 AWG", 3.309, 6530.0, 1.98, 5.342),
    ("10 AWG", 5.261, 10_383.0, 1.24, 3.345),
    ("8 AWG", 8.366, 16_510.0, 0.778, 2.099),
    ("6 AWG", 13.30, 26_251.0, 0.491, 1.325),
    ("4 AWG", 21.15, 41_741.0, 0.308, 0.831),
    ("3 AWG", 26.67, 52_635.0, 0.245, 0.661),
    ("2 AWG", 33.63, 66_371.0, 0.194, 0.523),
    ("1 AWG", 42.41, 83_693.0, 0.154, 0.415),
    ("1/0 AWG", 53.48, 105_535.0, 0.122, 0.329),
    ("2/0 AWG", 67.43, 133_077.0, 0.0967, 0.261),
    ("3/0 AWG", 85.03, 167_806.0, 0.0766, 0.207),
    ("4/0 AWG", 107.2, 211_600.0, 0.0608, 0.164),
];

#[test]
fn every_gauge_stands_in_the_table_and_no_other() {
    let ours: Vec<_> = ConductorSize::all_awg().map(ConductorSize::label).collect();
    assert_eq!(ours, PRINTED.map(|(label, ..)| label));
}

#[test]
fn every_gauge_has_the_printed_area() {
    for (label, area, circular_mils, ..) in PRINTED {
        assert_within_percent(size(label).area().0, area, 0.05);
        assert_within_percent(size(label).area().to_circular_mils().0, circular_mils, 0.05);
    }
}

#[test]
fn every_gauge_has_the_printed_resistance_at_75_degrees() {
    for (label, _, _, ohm_per_kft, _) in PRINTED {
        let warm = resistance_at(size(label).resistance_20c(), Celsius(75.0)).unwrap();
        assert_within_percent(warm.0 * 304.8, ohm_per_kft, 1e-9);
    }
}

#[test]
fn every_gauge_has_the_resistance_brought_to_20_degrees() {
    for (label, .., milliohm_per_metre) in PRINTED {
        assert_within_percent(size(label).resistance_20c().0 * 1000.0, milliohm_per_metre, 0.25);
    }
}

/// Resistivity of annealed copper at 20 °C [Ω·mm²/km] (IEC 60028).
const IDEAL_COPPER: f64 = 17.241;

/// Concentric stranding adds 2 to 3 % to the solid wire; a slipped digit leaves that band.
#[test]
fn every_gauge_lies_just_above_ideal_copper() {
    for size in ConductorSize::all_awg() {
        let excess = size.resistance_20c().0 * size.area().0 * 1000.0 / IDEAL_COPPER;
        assert!((1.01..=1.04).contains(&excess), "{size}: {excess:.3}");
    }
}

/// Golden case G02: 12 AWG, 1.98 Ω/kft at 75 °C is 1.63 Ω/kft at 20 °C (coefficient 0.00323 of the
/// table's note, seen; computed).
#[test]
fn twelve_gauge_brought_to_20_degrees() {
    let cold = size("12 AWG").resistance_20c().0;
    assert_within_percent(cold * 304.8, 1.63, 0.5);
    assert_within_percent(cold * 1000.0, 5.34, 0.5);
    // The table's note: R = R75 · (1 + 0.00323 · (T − 75)).
    assert_near(cold * 304.8, 1.98 * (1.0 + 0.003_23 * (20.0 - 75.0)), 0.001);
}

/// A trap named in the notes: 4/0 is 107 mm², not 95 mm².
#[test]
fn four_aught_is_larger_than_95_square_millimetres() {
    assert!(size("4/0 AWG").area() > size("95 mm²").area());
}
