//! Unit types: printing, and there and back.

use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::settings;

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn torque_comes_back_from_feet_and_inches(torque in 1e-3_f64..1e4) {
        let feet = NewtonMetres::from_pound_force_feet(NewtonMetres(torque).to_pound_force_feet());
        let inches =
            NewtonMetres::from_pound_force_inches(NewtonMetres(torque).to_pound_force_inches());
        prop_assert!((feet.0 - torque).abs() <= torque * 1e-9);
        prop_assert!((inches.0 - torque).abs() <= torque * 1e-9);
    }

    #[test]
    fn other_units_come_back(number in 1e-3_f64..1e6) {
        let back = [
            Metres::from_feet(Metres(number).to_feet()).0,
            Millimetres(number).to_metres().to_millimetres().0,
            Ohms::from_milliohms(Ohms(number).to_milliohms()).0,
            Ohms::from_megohms(Ohms(number).to_megohms()).0,
            Newtons::from_pounds_force(Newtons(number).to_pounds_force()).0,
            SquareMillimetres(number).to_circular_mils().to_square_millimetres().0,
        ];
        for found in back {
            prop_assert!((found - number).abs() <= number * 1e-9);
        }
    }

    #[test]
    fn twelve_pound_force_inches_are_one_pound_force_foot(torque in 1e-3_f64..1e4) {
        let torque = NewtonMetres(torque);
        let inches = torque.to_pound_force_inches();
        prop_assert!((inches / torque.to_pound_force_feet() - 12.0).abs() < 1e-9);
    }
}

#[test]
fn a_unit_prints_its_symbol_and_rounds_only_when_asked() {
    assert_eq!(format!("{:.3}", Volts(0.434)), "0.434 V");
    assert_eq!(Volts(0.434_329).to_string(), "0.434329 V");
    assert_eq!(format!("{:.1}", Celsius(-12.34)), "-12.3 °C");
    assert_eq!(format!("{:.0}", NewtonMetres(24.6)), "25 N·m");
    assert_eq!(OhmsPerMetre(0.001_21).to_string(), "0.00121 Ω/m");
    assert_eq!(AmpsSquaredSeconds(360_000.0).to_string(), "360000 A²·s");
    assert_eq!(WattsPerSquareMetre(800.0).to_string(), "800 W/m²");
    assert_eq!(MillivoltsPerKelvin(-3.0).to_string(), "-3 mV/K");
}

#[test]
fn a_milliohm_is_a_thousandth() {
    assert_eq!(Ohms::from_milliohms(7.26), Ohms(0.007_26));
    assert_eq!(Ohms::from_megohms(0.5), Ohms(500_000.0));
    assert_eq!(Metres(1.5).to_millimetres(), Millimetres(1500.0));
}
