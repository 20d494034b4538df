//! IEC 62446-1: tests of a solar array before it is put to work (from memory).

use fusewright::engineering::Sureness;
use fusewright::engineering::solar_string::{
    INSULATION_SOURCE, SolarString, expected_voltage, insulation_test,
};
use fusewright::engineering::units::{Celsius, Ohms, Volts};

use super::assert_near;

/// Table 2 (from memory): array voltage, 1.25 · Voc, up to [V]; test voltage [V]; least resistance
/// [MΩ].
const TABLE_2: [(f64, f64, f64); 2] = [(120.0, 250.0, 0.5), (500.0, 500.0, 1.0)];

#[test]
fn every_line_of_table_2_reaches_to_its_array_voltage() {
    for (up_to, test, least) in TABLE_2 {
        let found = insulation_test(Volts(up_to / 1.25)).unwrap();
        assert_eq!(found.test, Volts(test));
        assert_eq!(found.least, Ohms::from_megohms(least));
    }
    // 1.25 × 96.1 V is just above 120 V.
    assert_eq!(insulation_test(Volts(96.1)).unwrap().test, Volts(500.0));
    assert_eq!(INSULATION_SOURCE.sureness, Sureness::FromMemory);
}

/// G15 carried on to warm cells (NEC 690.7(A)(1), from memory): 21.6 V, −0.30 %/K, cells at 60 °C are
/// 21.6 × (1 − 0.0030 × 35) = 19.33 V.
#[test]
fn a_warm_module_is_expected_at_its_voltage_of_then() {
    let string = SolarString { module: Volts(21.6), coefficient: Some(-0.0030), in_series: 1 };
    assert_near(expected_voltage(string, Celsius(60.0)).unwrap().expected.0, 19.33, 0.005);
}

/// Strings alike within about 5 % (from memory).
#[test]
fn a_string_is_expected_within_5_percent() {
    let string = SolarString { module: Volts(20.0), coefficient: Some(-0.004), in_series: 5 };
    let found = expected_voltage(string, Celsius(25.0)).unwrap();
    assert_near(found.expected.0, 100.0, 1e-9);
    assert_near(found.least.0, 95.0, 1e-9);
    assert_near(found.most.0, 105.0, 1e-9);
}
