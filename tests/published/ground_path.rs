//! Resistance of a path from the drop over it: published limits and plain arithmetic with them.
//!
//! Drop limits of live circuits differ from page to page (0.1 V for a connection, 0.2 V for a wire,
//! seen in four public pages that disagree), so only the arithmetic is tested.

use fusewright::engineering::path_diagnosis::{
    LoadedDrop, Measured, Standing, at_temperature, excess, measured_resistance,
};
use fusewright::engineering::units::*;

use super::assert_near;

fn milliohms(drop: f64, current: f64) -> f64 {
    let reading = LoadedDrop {
        drop: Volts(drop),
        drop_uncertainty: Volts(0.0),
        current: Amps(current),
        current_uncertainty: Amps(0.0),
    };
    measured_resistance(reading).map_or(f64::NAN, |found| found.value.to_milliohms())
}

/// 0.1 V at 50 A is 2.0 mΩ; 0.2 V at 100 A is 2 mΩ (computed).
#[test]
fn a_ground_path_of_two_milliohms() {
    assert_near(milliohms(0.1, 50.0), 2.0, 1e-12);
    assert_near(milliohms(0.2, 100.0), 2.0, 1e-12);
}

/// Aircraft practice, 3 mΩ a joint (AC 43.13-1B, 11-189, from memory); equipotential bonds below
/// 0.1 Ω at 0.2 A or more (UN R100, ISO 6469-3, from memory); a fuse's test joint at most 1.0 mΩ (ISO
/// 8820-5, seen): the drops that belong to them.
#[test]
fn published_bond_limits_as_drops() {
    assert_near(milliohms(0.03, 10.0), 3.0, 1e-12);
    assert_near(milliohms(0.02, 0.2), 100.0, 1e-9);
    assert_near(milliohms(0.05, 50.0), 1.0, 1e-12);
}

/// Factors that bring a resistance measured at a temperature to 20 °C (seen in a public copy under
/// the title of IEC 60228, recomputed within 0.0035 as `iec_60228.rs` says).
#[test]
fn a_measured_path_is_brought_to_20_degrees_as_printed() {
    let factors = [
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
    let one = Measured { value: Ohms(1.0), uncertainty: Ohms(0.1) };
    for (celsius, printed) in factors {
        let cold = at_temperature(one, Celsius(celsius), Celsius(20.0)).unwrap();
        assert_near(cold.value.0, printed, 0.0035);
        assert_near(cold.uncertainty.0, printed / 10.0, 0.000_35);
    }
}

/// Golden case G01 measured back: 0.4201 V at 50 A and 60 °C is 7.26 mΩ at 20 °C, the 6 m of 16 mm²
/// planned (table seen, drop computed).
#[test]
fn sixteen_square_millimetres_measured_warm_are_as_planned_cold() {
    let reading = LoadedDrop {
        drop: Volts(0.4201),
        drop_uncertainty: Volts(0.005),
        current: Amps(50.0),
        current_uncertainty: Amps(0.5),
    };
    let warm = measured_resistance(reading).unwrap();
    assert_near(warm.value.to_milliohms(), 8.402, 1e-9);
    let cold = at_temperature(warm, Celsius(60.0), Celsius(20.0)).unwrap();
    assert_near(cold.value.to_milliohms(), 7.26, 0.001);
    let over = excess(cold, Ohms(0.007_26)).unwrap();
    assert_eq!(over.standing(), Standing::WithinUncertainty);
}
