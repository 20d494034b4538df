//! Solar: colder is higher, hotter is weaker, and where the rules end.

use fusewright::engineering::solar::{
    cold_factor, conductor_current, maximum_current, open_circuit_voltage,
};
use fusewright::engineering::solar_cell::{
    Daylight, RatedPower, cell_temperature_by_noct, cell_temperature_open_rack, module_power,
};
use fusewright::engineering::solar_string::{
    SolarString, StringCurrents, coldest_voltage, expected_voltage, insulation_test,
    string_fuse_window,
};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

fn string(coefficient: Option<f64>, in_series: u32) -> SolarString {
    SolarString { module: Volts(21.6), coefficient, in_series }
}

fn daylight(air: f64, irradiance: f64) -> Daylight {
    Daylight { air: Celsius(air), irradiance: WattsPerSquareMetre(irradiance) }
}

const FULL_SUN: WattsPerSquareMetre = WattsPerSquareMetre(1000.0);

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn colder_is_never_less_voltage(
        lowest in -59.0_f64..50.0,
        colder in 0.0_f64..10.0,
        coefficient in proptest::option::of(-0.01_f64..0.0),
    ) {
        let cold = |air: f64| coldest_voltage(string(coefficient, 2), Celsius(air)).unwrap();
        let below = (lowest - colder).max(-60.0);
        prop_assert!(cold(below).by_coefficient >= cold(lowest).by_coefficient);
        prop_assert!(cold(below).by_table >= cold(lowest).by_table);
        let larger = cold(lowest).larger();
        prop_assert!(larger >= cold(lowest).by_coefficient && larger >= cold(lowest).by_table);
    }

    /// The table is never under the straight line of 0.38 %/K, nor more than one band above that of
    /// 0.40 %/K.
    #[test]
    fn the_table_follows_the_line_of_silicon(lowest in -40.0_f64..25.0) {
        let factor = cold_factor(Celsius(lowest)).unwrap();
        prop_assert!(factor >= 1.0 + 0.0038 * (25.0 - lowest) - 0.005);
        prop_assert!(factor <= 1.0 + 0.0040 * (25.0 - lowest + 5.0));
    }

    #[test]
    fn modules_in_a_row_add_their_volts_and_side_by_side_their_amperes(modules in 1_u32..=100) {
        let n = f64::from(modules);
        let volts = |modules| string(None, modules).open_circuit(Celsius(-5.0)).unwrap().0;
        let amps = |modules| conductor_current(Amps(6.0), modules).unwrap().0;
        prop_assert!((volts(modules) - n * volts(1)).abs() < 1e-9);
        prop_assert!((amps(modules) - n * amps(1)).abs() < 1e-9);
    }

    #[test]
    fn more_sun_and_warmer_air_never_cool_a_cell_and_wind_never_heats_it(
        air in -40.0_f64..50.0,
        irradiance in 0.0_f64..1000.0,
        wind in 0.0_f64..20.0,
        more in 0.1_f64..10.0,
    ) {
        let noct =
            |day: Daylight| cell_temperature_by_noct(day, Celsius(45.0)).unwrap();
        let rack = |day: Daylight, wind: f64| {
            cell_temperature_open_rack(day, MetresPerSecond(wind)).unwrap()
        };
        let day = daylight(air, irradiance);
        for brighter in [daylight(air + more, irradiance), daylight(air, irradiance + more)] {
            prop_assert!(noct(brighter) > noct(day));
            prop_assert!(rack(brighter, wind) > rack(day, wind));
        }
        prop_assert!(rack(day, wind + more) <= rack(day, wind));
        prop_assert!(rack(day, wind).0 >= air && noct(day).0 >= air);
    }

    #[test]
    fn more_sun_gives_more_power_and_a_hotter_cell_less(
        irradiance in 1.0_f64..1400.0,
        cell in -50.0_f64..100.0,
        more in 0.1_f64..20.0,
    ) {
        let module = RatedPower { standard_test: Watts(200.0), coefficient: -0.004 };
        let power = |irradiance: f64, cell: f64| {
            module_power(module, WattsPerSquareMetre(irradiance), Celsius(cell)).unwrap()
        };
        prop_assert!(power(irradiance + more, cell) > power(irradiance, cell));
        prop_assert!(power(irradiance, cell + more) < power(irradiance, cell));
        prop_assert!(power(irradiance, cell).0 > 0.0);
    }

    #[test]
    fn the_expected_voltage_lies_in_the_middle_of_its_band(cell in -60.0_f64..120.0) {
        let found = expected_voltage(string(Some(-0.003), 3), Celsius(cell)).unwrap();
        let middle = f64::midpoint(found.least.0, found.most.0);
        prop_assert!((middle - found.expected.0).abs() < 1e-9);
        prop_assert!(found.least < found.expected && found.expected < found.most);
    }
}

#[test]
fn at_standard_test_a_module_is_what_its_label_says() {
    assert_eq!(open_circuit_voltage(Volts(21.6), -0.003, Celsius(25.0)).unwrap(), Volts(21.6));
    assert_near(cold_factor(Celsius(25.0)).unwrap(), 1.0, 0.0);
    assert_near(cold_factor(Celsius(24.9)).unwrap(), 1.02, 0.0);
    let module = RatedPower { standard_test: Watts(200.0), coefficient: -0.004 };
    assert_eq!(module_power(module, FULL_SUN, Celsius(25.0)).unwrap(), Watts(200.0));
}

#[test]
fn without_sun_a_cell_is_as_warm_as_the_air_and_gives_nothing() {
    let night = daylight(-12.0, 0.0);
    assert_eq!(cell_temperature_by_noct(night, Celsius(45.0)).unwrap(), night.air);
    assert_eq!(cell_temperature_open_rack(night, MetresPerSecond(3.0)).unwrap(), night.air);
    let module = RatedPower { standard_test: Watts(200.0), coefficient: -0.004 };
    assert_eq!(module_power(module, WattsPerSquareMetre(0.0), night.air).unwrap(), Watts(0.0));
}

/// By hand at −45 °C: 21.6 × (1 + 0.0028 × 70) = 25.8 V by the coefficient; 21.6 × 1.28 = 27.6 V.
#[test]
fn below_the_table_the_slope_of_silicon_stands_for_it() {
    let cold = coldest_voltage(string(Some(-0.0028), 1), Celsius(-45.0)).unwrap();
    assert_near(cold.by_coefficient.0, 25.83, 0.005);
    assert_near(cold.by_table.0, 27.65, 0.005);
    assert_eq!(cold.larger(), cold.by_table);
    let steep = coldest_voltage(string(Some(-0.005), 1), Celsius(-45.0)).unwrap();
    assert_eq!(steep.larger(), steep.by_coefficient);
}

#[test]
fn no_fuse_suits_a_module_whose_maker_allows_too_small_a_one() {
    let module = StringCurrents { short_circuit: Amps(10.0), series_fuse_max: Amps(15.0) };
    let window = string_fuse_window(module).unwrap();
    assert!((0..400).all(|tenth| !window.admits(Amps(f64::from(tenth) / 10.0))));
}

#[test]
fn nonsense_is_refused() {
    let voc = "open-circuit voltage";
    for wrong in NONSENSE {
        assert_refused(open_circuit_voltage(Volts(wrong), -0.003, Celsius(25.0)), voc);
        assert_refused(insulation_test(Volts(wrong)), voc);
        let isc = "short-circuit current";
        assert_refused(maximum_current(Amps(wrong), 1), isc);
        assert_refused(conductor_current(Amps(wrong), 1), isc);
        let module = StringCurrents { short_circuit: Amps(wrong), series_fuse_max: Amps(15.0) };
        assert_refused(string_fuse_window(module), isc);
        let module = StringCurrents { short_circuit: Amps(6.0), series_fuse_max: Amps(wrong) };
        assert_refused(string_fuse_window(module), "largest series fuse of the module");
        let module = RatedPower { standard_test: Watts(wrong), coefficient: -0.004 };
        assert_refused(module_power(module, FULL_SUN, Celsius(25.0)), "rated power");
        let noct = Celsius(45.0);
        assert_refused(cell_temperature_by_noct(daylight(20.0, wrong), noct), "irradiance");
        let wind = MetresPerSecond(wrong);
        assert_refused(cell_temperature_open_rack(daylight(20.0, 800.0), wind), "wind speed");
    }
    for modules in [0, 101] {
        let series = string(None, modules).open_circuit(Celsius(25.0));
        assert_refused(series, "number of modules in series");
        assert_refused(maximum_current(Amps(6.0), modules), "number of modules in parallel");
    }
}

/// At each limit the figure is taken, just beyond it is refused.
#[test]
fn the_ranges_end_where_they_say() {
    let voc =
        |coefficient: f64, cell: f64| open_circuit_voltage(Volts(21.6), coefficient, Celsius(cell));
    for (coefficient, cell) in [(-0.01, -60.0), (0.0, 120.0)] {
        assert!(voc(coefficient, cell).is_ok());
    }
    let quantity = "coefficient of the voltage, in 1/K";
    for wrong in [-0.0101, 0.0001, -0.3, f64::NAN] {
        assert_refused(voc(wrong, 25.0), quantity);
        let module = RatedPower { standard_test: Watts(100.0), coefficient: wrong };
        let power = module_power(module, FULL_SUN, Celsius(25.0));
        assert_refused(power, "coefficient of the power, in 1/K");
    }
    for wrong in [-60.1, 120.1, f64::NAN] {
        assert_refused(voc(-0.003, wrong), "cell temperature");
        assert_refused(coldest_voltage(string(None, 1), Celsius(wrong)), "cell temperature");
    }
    assert!(cold_factor(Celsius(-40.0)).is_ok() && cold_factor(Celsius(60.0)).is_ok());
    for wrong in [-40.1, 60.1, f64::NAN, f64::INFINITY] {
        assert_refused(cold_factor(Celsius(wrong)), "lowest air temperature");
    }
    assert!(insulation_test(Volts(400.0)).is_ok());
    assert_refused(insulation_test(Volts(400.1)), "open-circuit voltage");
    let noct = |noct: f64| cell_temperature_by_noct(daylight(20.0, 800.0), Celsius(noct));
    assert!(noct(30.0).is_ok() && noct(80.0).is_ok());
    for wrong in [29.9, 80.1, f64::NAN] {
        assert_refused(noct(wrong), "nominal operating cell temperature");
    }
    let rack = |day, wind: f64| cell_temperature_open_rack(day, MetresPerSecond(wind));
    assert!(rack(daylight(60.0, 1500.0), 40.0).is_ok());
    assert!(rack(daylight(-60.0, 0.0), 0.0).is_ok());
    assert_refused(rack(daylight(60.1, 0.0), 0.0), "air temperature");
    assert_refused(rack(daylight(-60.1, 0.0), 0.0), "air temperature");
    assert_refused(rack(daylight(20.0, 1500.1), 0.0), "irradiance");
    assert_refused(rack(daylight(20.0, 0.0), 40.1), "wind speed");
}
