//! Models of solar cells, as an open library documents or computes them (computed outside this
//! program with pvlib 0.16.1).

use fusewright::engineering::solar::open_circuit_voltage;
use fusewright::engineering::solar_cell::{
    Daylight, RatedPower, cell_temperature_by_noct, cell_temperature_open_rack, module_power,
};
use fusewright::engineering::units::*;

use super::{assert_near, assert_within_percent};

fn daylight(air: f64, irradiance: f64) -> Daylight {
    Daylight { air: Celsius(air), irradiance: WattsPerSquareMetre(irradiance) }
}

/// Open rack, glass on both sides, 1 000 W/m², 10 °C, no wind: 44.117 °C (the library's documented
/// example, reproduced).
#[test]
fn an_open_rack_at_10_degrees_in_still_air() {
    let cell = cell_temperature_open_rack(daylight(10.0, 1000.0), MetresPerSecond(0.0)).unwrap();
    assert_near(cell.0, 44.117, 0.0005);
}

/// NOCT 45 °C, 800 W/m², 20 °C: 45.0 °C (computed).
#[test]
fn noct_is_the_temperature_at_800_watts_and_20_degrees() {
    let cell = cell_temperature_by_noct(daylight(20.0, 800.0), Celsius(45.0)).unwrap();
    assert_near(cell.0, 45.0, 1e-9);
}

/// 100 W, −0.4 %/K, 1 000 W/m²: 114.0 W at −10 °C, 86.0 W at 60 °C (computed).
#[test]
fn a_hundred_watts_in_the_cold_and_in_the_heat() {
    let module = RatedPower { standard_test: Watts(100.0), coefficient: -0.004 };
    for (cell, power) in [(-10.0, 114.0), (60.0, 86.0)] {
        let found = module_power(module, WattsPerSquareMetre(1000.0), Celsius(cell)).unwrap();
        assert_near(found.0, power, 1e-9);
    }
}

/// The diode equation (De Soto; 21.587 V at 25 °C) at other cell temperatures (computed): cell [°C],
/// open-circuit voltage [V]. It averages −0.415 %/K between −10 °C and 25 °C.
const DIODE: [(f64, f64); 6] = [
    (25.0, 21.587),
    (-10.0, 24.721),
    (0.0, 23.830),
    (45.0, 19.780),
    (60.0, 18.417),
    (-40.0, 27.375),
];

/// The linear law stays within 1 % of the diode equation.
#[test]
fn the_linear_law_is_within_1_percent_of_the_diode_equation() {
    for (cell, volts) in DIODE {
        let linear = open_circuit_voltage(Volts(21.587), -0.004_15, Celsius(cell)).unwrap();
        assert_within_percent(linear.0, volts, 1.0);
    }
}

/// Power of the same module by the diode equation, 98.23 W at 25 °C (computed): cell [°C], power
/// [W]. The linear law with the slope between the first two, −0.50 %/K, stays within 1 %.
#[test]
fn the_linear_power_is_within_1_percent_of_the_diode_equation() {
    let module = RatedPower { standard_test: Watts(98.23), coefficient: -0.005_02 };
    for (cell, power) in [(25.0, 98.23), (-10.0, 115.49), (60.0, 80.52)] {
        let found = module_power(module, WattsPerSquareMetre(1000.0), Celsius(cell)).unwrap();
        assert_within_percent(found.0, power, 1.0);
    }
}
