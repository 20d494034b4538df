//! NEC 690: solar modules on the coldest morning (from memory), and in the brightest sun (seen).

use fusewright::engineering::solar::{
    cold_factor, conductor_current, maximum_current, open_circuit_voltage,
};
use fusewright::engineering::solar_string::{SolarString, coldest_voltage};
use fusewright::engineering::units::{Amps, Celsius, Volts};

use super::assert_near;

/// NEC table 690.7(A), crystalline silicon (from memory): warmest and coldest whole degree of each
/// band, factor.
const BANDS: [(f64, f64, f64); 13] = [
    (24.0, 20.0, 1.02),
    (19.0, 15.0, 1.04),
    (14.0, 10.0, 1.06),
    (9.0, 5.0, 1.08),
    (4.0, 0.0, 1.10),
    (-1.0, -5.0, 1.12),
    (-6.0, -10.0, 1.14),
    (-11.0, -15.0, 1.16),
    (-16.0, -20.0, 1.18),
    (-21.0, -25.0, 1.20),
    (-26.0, -30.0, 1.21),
    (-31.0, -35.0, 1.23),
    (-36.0, -40.0, 1.25),
];

#[test]
fn every_band_has_its_factor_at_both_ends() {
    for (warmest, coldest, factor) in BANDS {
        assert_near(cold_factor(Celsius(warmest)).unwrap(), factor, 0.0);
        assert_near(cold_factor(Celsius(coldest)).unwrap(), factor, 0.0);
    }
}

/// The table implies 0.40 %/K down to −25 °C, then 0.38 %/K, at the colder end of each band
/// (computed).
#[test]
fn the_factors_lie_on_the_slope_of_silicon() {
    for (_, coldest, factor) in BANDS {
        let slope = if coldest >= -25.0 { 0.0040 } else { 0.0038 };
        assert_near(factor, 1.0 + slope * (25.0 - coldest), 0.005);
    }
}

/// Golden case G15 (from memory; 1.56 seen in a public copy): 21.6 V at −10 °C is 24.62 V by the
/// table (1.14) and 23.87 V by a coefficient of −0.30 %/K; 5.95 A is 7.44 A at most, and 9.30 A for
/// conductor and fuse.
#[test]
fn a_module_of_21_6_volts_and_5_95_amperes_at_ten_below_zero() {
    assert_near(open_circuit_voltage(Volts(21.6), -0.0030, Celsius(-10.0)).unwrap().0, 23.87, 0.01);
    let module = SolarString { module: Volts(21.6), coefficient: Some(-0.0030), in_series: 1 };
    let cold = coldest_voltage(module, Celsius(-10.0)).unwrap();
    assert_near(cold.by_table.0, 24.62, 0.01);
    assert_near(cold.by_coefficient.0, 23.87, 0.01);
    assert_near(cold.larger().0, 24.62, 0.01);
    assert_near(maximum_current(Amps(5.95), 1).unwrap().0, 7.44, 0.005);
    assert_near(conductor_current(Amps(5.95), 1).unwrap().0, 9.30, 0.005);
}

/// At −40 °C, the table's end: 27.0 V (computed from the table).
#[test]
fn the_same_module_at_forty_below_zero() {
    let module = SolarString { module: Volts(21.6), coefficient: None, in_series: 1 };
    let cold = coldest_voltage(module, Celsius(-40.0)).unwrap();
    assert_near(cold.by_table.0, 27.0, 1e-9);
}

/// The factor that is printed elsewhere as 1.56 (seen in a public copy).
#[test]
fn conductor_and_fuse_take_one_and_a_quarter_twice() {
    assert_near(conductor_current(Amps(1.0), 1).unwrap().0, 1.5625, 1e-12);
    assert_near(conductor_current(Amps(1.0), 1).unwrap().0, 1.56, 0.005);
}
