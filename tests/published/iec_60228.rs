//! IEC 60228 (EN 60228, DIN VDE 0295): resistance of flexible copper conductors.

use fusewright::engineering::Sureness;
use fusewright::engineering::conductor::{ConductorSize, resistance_at};
use fusewright::engineering::units::*;
use fusewright::engineering::voltage_drop::{Leg, Path, Return, voltage_drop};

use super::{assert_near, size};

/// Table 3, class 5, plain copper (seen in three agreeing public copies):
/// nominal area [mm²], highest resistance at 20 °C [Ω/km].
const CLASS_5: [(f64, f64); 14] = [
    (0.5, 39.0),
    (0.75, 26.0),
    (1.0, 19.5),
    (1.5, 13.3),
    (2.5, 7.98),
    (4.0, 4.95),
    (6.0, 3.30),
    (10.0, 1.91),
    (16.0, 1.21),
    (25.0, 0.780),
    (35.0, 0.554),
    (50.0, 0.386),
    (70.0, 0.272),
    (95.0, 0.206),
];

/// ISO 6722-1:2011, table 4, automotive cable, bare copper (from memory):
/// nominal area [mm²], highest resistance at 20 °C [mΩ/m].
#[expect(clippy::approx_constant, reason = "3.14 is a printed resistance, not π")]
const AUTOMOTIVE: [(f64, f64); 14] = [
    (0.5, 37.1),
    (0.75, 24.7),
    (1.0, 18.5),
    (1.5, 12.7),
    (2.5, 7.60),
    (4.0, 4.71),
    (6.0, 3.14),
    (10.0, 1.82),
    (16.0, 1.16),
    (25.0, 0.743),
    (35.0, 0.527),
    (50.0, 0.368),
    (70.0, 0.259),
    (95.0, 0.196),
];

/// Resistivity of annealed copper at 20 °C [Ω·mm²/km] (IEC 60028, repeated in a seen copy).
const IDEAL_COPPER: f64 = 17.241;

/// Factors that bring a resistance measured at a temperature to 20 °C (seen in a public copy under
/// the title of IEC 60228): temperature [°C], factor. They are those of the rounded coefficient
/// 0.004, 250 / (230 + T), so that the exact 254.5 / (234.5 + T) lies up to 0.0034 above them.
const TO_20C: [(f64, f64); 9] = [
    (5.0, 1.064),
    (10.0, 1.042),
    (30.0, 0.962),
    (40.0, 0.926),
    (50.0, 0.893),
    (60.0, 0.862),
    (75.0, 0.820),
    (90.0, 0.781),
    (100.0, 0.758),
];

#[test]
fn every_metric_size_has_the_printed_resistance() {
    let ours: Vec<_> =
        ConductorSize::all_metric().map(|size| (size.area().0, size.resistance_20c())).collect();
    let printed = CLASS_5.map(|(area, ohm_per_km)| (area, OhmsPerMetre(ohm_per_km / 1000.0)));
    assert_eq!(ours, printed);
}

#[test]
fn the_metric_table_says_that_it_was_seen() {
    assert_eq!(size("16 mm²").source().sureness, Sureness::Seen);
    assert!(size("16 mm²").source().text.contains("IEC 60228"));
}

/// Stranding and tolerance add 10 to 16 % to ideal copper; a slipped digit leaves that band.
#[test]
fn every_metric_size_lies_just_above_ideal_copper() {
    for size in ConductorSize::all_metric() {
        let ideal_ohm_per_metre = IDEAL_COPPER / size.area().0 / 1000.0;
        let excess = size.resistance_20c().0 / ideal_ohm_per_metre;
        assert!((1.10..=1.16).contains(&excess), "{size}: {excess:.3}");
    }
}

/// So that the drop of automotive cable is never flattered.
#[test]
fn automotive_cable_is_never_above_class_5() {
    for (ours, (area, automotive)) in ConductorSize::all_metric().zip(AUTOMOTIVE) {
        assert_near(ours.area().0, area, 0.0);
        assert!(automotive / 1000.0 <= ours.resistance_20c().0, "{ours}");
    }
}

#[test]
fn resistance_changes_with_temperature_as_printed() {
    for (temperature, factor) in TO_20C {
        let measured = resistance_at(OhmsPerMetre(1.0), Celsius(temperature)).unwrap();
        assert_near(1.0 / measured.0, factor, 0.0035);
    }
}

/// IEC 60228, annex B, the exact form: (234.5 + T) / 254.5. At 60 °C 294.5 / 254.5 = 1.157 171.
#[test]
fn copper_would_have_no_resistance_at_234_5_below_zero() {
    let warm = resistance_at(OhmsPerMetre(1.0), Celsius(60.0)).unwrap();
    assert_near(warm.0, 1.157_171, 0.000_001);
}

/// Golden case G01: 16 mm² class 5, 3 m out and 3 m back, 50 A (table seen, drop computed).
#[test]
fn drop_of_sixteen_square_millimetres_cold_and_warm() {
    let leg = Leg { size: size("16 mm²"), length: Metres(3.0) };
    let path = Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.0) };
    let lost = |celsius| voltage_drop(Amps(50.0), &path, Celsius(celsius)).unwrap().0;
    assert_near(lost(20.0), 0.3630, 0.0005);
    assert_near(lost(60.0), 0.4201, 0.0005);
}
