//! Charging voltages of handbooks and guides, and how lead-acid follows temperature.

use fusewright::engineering::Sureness;
use fusewright::engineering::battery::{
    ChargingCase, Chemistry, Compensation, LFP_CELL_LEAST, LFP_CELL_LEAST_IN_USE, Stage,
    cell_count, cell_window, charging_voltage, compensated_voltage, window_source,
};
use fusewright::engineering::units::{Celsius, Volts};

use super::assert_near;

/// One printed line: chemistry, absorption [V], float [V], sureness; 12 V at 25 °C.
type Line = (Chemistry, (f64, f64), (f64, f64), Sureness);

/// Lead-acid: handbooks (from memory). Lithium iron phosphate, four cells: general guides (seen).
const TABLE: [Line; 4] = [
    (Chemistry::Flooded, (14.4, 14.8), (13.2, 13.5), Sureness::FromMemory),
    (Chemistry::Agm, (14.4, 14.7), (13.5, 13.8), Sureness::FromMemory),
    (Chemistry::Gel, (14.1, 14.4), (13.5, 13.8), Sureness::FromMemory),
    (Chemistry::Lfp, (14.2, 14.6), (13.4, 13.6), Sureness::Seen),
];

fn case(chemistry: Chemistry, nominal: f64, stage: Stage) -> ChargingCase {
    ChargingCase {
        chemistry,
        nominal: Volts(nominal),
        stage,
        battery: Celsius(25.0),
        compensation: Compensation::Minus3,
    }
}

#[test]
fn every_chemistry_has_its_windows_at_25_degrees_and_twice_them_at_24_volts() {
    for (chemistry, absorption, float, sureness) in TABLE {
        for (stage, (least, most)) in [(Stage::Absorption, absorption), (Stage::Float, float)] {
            for times in [1.0, 2.0, 4.0] {
                let found = charging_voltage(case(chemistry, 12.0 * times, stage)).unwrap();
                assert_near(found.least.0, least * times, 1e-9);
                assert_near(found.most.0, most * times, 1e-9);
            }
        }
        assert_eq!(window_source(chemistry).sureness, sureness);
    }
}

/// Lithium iron phosphate: 3.55 V to 3.65 V a cell (seen); low limits 10.0 V (2.5 V a cell) and
/// 11.2 V (2.8 V a cell) of four cells (seen).
#[test]
fn a_lithium_cell_has_its_printed_limits() {
    let cell = cell_window(Chemistry::Lfp, Stage::Absorption).unwrap();
    assert_near(cell.least.0, 3.55, 1e-9);
    assert_near(cell.most.0, 3.65, 1e-9);
    let cells = f64::from(cell_count(Chemistry::Lfp, Volts(12.0)).unwrap());
    assert_near(LFP_CELL_LEAST.0 * cells, 10.0, 1e-9);
    assert_near(LFP_CELL_LEAST_IN_USE.0 * cells, 11.2, 1e-9);
}

/// Lead-acid whatever its kind: absorption 2.30 V to 2.45 V a cell (range from memory; 2.40 V seen),
/// that is 13.8 V to 14.7 V. Sealed kinds keep within it; the float voltages stay below 2.40 V.
#[test]
fn sealed_lead_acid_is_charged_within_the_range_of_all_lead_acid() {
    for chemistry in [Chemistry::Agm, Chemistry::Gel] {
        let cell = cell_window(chemistry, Stage::Absorption).unwrap();
        assert!(cell.least.0 >= 2.30 && cell.most.0 <= 2.45 + 1e-9, "{chemistry}: {cell:?}");
        let float = cell_window(chemistry, Stage::Float).unwrap();
        assert_near(float.least.0, 2.25, 1e-9);
        assert_near(float.most.0, 2.30, 1e-9);
    }
}

/// Golden case G17, first half (seen): 2.30 V a cell at 25 °C is 2.27 V at 35 °C and 2.33 V at
/// 15 °C; with six cells 13.62 V and 13.98 V.
#[test]
fn float_voltage_falls_by_3_millivolts_a_kelvin_and_cell() {
    for (battery, cell, six) in [(25.0, 2.30, 13.80), (35.0, 2.27, 13.62), (15.0, 2.33, 13.98)] {
        let found =
            compensated_voltage(Volts(2.30), Volts(12.0), Celsius(battery), Compensation::Minus3)
                .unwrap();
        assert_near(found.0, six, 0.01);
        assert_near(found.0 / 6.0, cell, 1e-9);
    }
}

/// Voltage at 25 °C, nominal, temperature, then the voltage by −3, −4 and −5 mV/K a cell, `None`
/// where none is printed (computed from the coefficients).
type Example = (f64, f64, f64, [Option<f64>; 3]);

const EXAMPLES: [Example; 3] = [
    (14.40, 12.0, 5.0, [Some(14.76), None, Some(15.00)]),
    (14.40, 12.0, 40.0, [Some(14.13), None, None]),
    (28.80, 24.0, -10.0, [Some(30.06), Some(30.48), Some(30.90)]),
];

#[test]
fn every_printed_example_of_compensation_comes_out() {
    for (at_25, nominal, battery, printed) in EXAMPLES {
        let cells = f64::from(cell_count(Chemistry::Flooded, Volts(nominal)).unwrap());
        for (rule, volts) in Compensation::ALL.into_iter().zip(printed) {
            let Some(volts) = volts else { continue };
            let cell = Volts(at_25 / cells);
            let found = compensated_voltage(cell, Volts(nominal), Celsius(battery), rule).unwrap();
            assert_near(found.0, volts, 1e-9);
        }
    }
}

/// −3 mV/K a cell is −18 mV/K at 12 V and −36 mV/K at 24 V (seen); −4 and −5 are −24 and −30 mV/K at
/// 12 V (from memory).
#[test]
fn a_battery_follows_temperature_as_many_times_as_it_has_cells() {
    let sureness = [Sureness::Seen, Sureness::FromMemory, Sureness::FromMemory];
    for ((rule, at_12), sure) in
        Compensation::ALL.into_iter().zip([-18.0, -24.0, -30.0]).zip(sureness)
    {
        for times in [1.0, 2.0] {
            let at = |battery| {
                compensated_voltage(Volts(2.4), Volts(12.0 * times), Celsius(battery), rule)
                    .unwrap()
                    .0
            };
            assert_near((at(26.0) - at(25.0)) * 1000.0, at_12 * times, 1e-6);
        }
        assert_eq!(rule.source().sureness, sure);
    }
    assert_eq!(Compensation::default(), Compensation::Minus3);
}
