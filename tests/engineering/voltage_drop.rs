//! Voltage drop: it grows with current and length, each leg on its own.

use fusewright::engineering::units::*;
use fusewright::engineering::voltage_drop::{
    Leg, LegTemperatures, Path, Return, allowed_drop, circular_mils_needed, drop_by_part,
    drop_iso_short, path_resistance, voltage_drop,
};
use proptest::prelude::*;

use super::{NONSENSE, any_size, assert_refused, settings};
use crate::published::{assert_near, size};

fn there_and_back(label: &str, metres: f64) -> Path {
    let leg = Leg { size: size(label), length: Metres(metres) };
    Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.0) }
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn more_current_or_more_length_never_loses_less(
        size in any_size(),
        length in 0.0_f64..30.0,
        current in 0.0_f64..300.0,
        more in 0.0_f64..10.0,
        temperature in -40.0_f64..200.0,
    ) {
        let path = |metres| {
            let leg = Leg { size, length: Metres(metres) };
            Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.001) }
        };
        let warm = Celsius(temperature);
        let base = voltage_drop(Amps(current), &path(length), warm).unwrap();
        prop_assert!(voltage_drop(Amps(current + more), &path(length), warm).unwrap() >= base);
        prop_assert!(voltage_drop(Amps(current), &path(length + more), warm).unwrap() >= base);
    }

    #[test]
    fn a_larger_size_never_loses_more(
        size in any_size(),
        length in 0.0_f64..30.0,
        current in 0.0_f64..300.0,
    ) {
        let lost = |size| {
            let leg = Leg { size, length: Metres(length) };
            let path = Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.0) };
            voltage_drop(Amps(current), &path, Celsius(60.0)).unwrap()
        };
        if let Some(larger) = size.next_larger() {
            prop_assert!(lost(larger) <= lost(size));
        }
    }

    #[test]
    fn twice_the_length_loses_exactly_twice(
        size in any_size(),
        length in 0.0_f64..30.0,
        current in 0.0_f64..300.0,
    ) {
        let lost = |metres| {
            let leg = Leg { size, length: Metres(metres) };
            let path = Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.0) };
            voltage_drop(Amps(current), &path, Celsius(60.0)).unwrap().0
        };
        prop_assert!((lost(2.0 * length) - 2.0 * lost(length)).abs() <= 1e-12 * lost(length));
    }

    #[test]
    fn a_cable_back_of_the_same_length_doubles_and_a_perfect_chassis_does_not(
        size in any_size(),
        length in 0.1_f64..30.0,
    ) {
        let leg = Leg { size, length: Metres(length) };
        let with = |back| {
            let path = Path { out: leg, back, joints: Ohms(0.0) };
            path_resistance(&path, Celsius(20.0)).unwrap().total.0
        };
        let (cable, chassis) = (with(Return::Cable(leg)), with(Return::Chassis(Ohms(0.0))));
        prop_assert!((cable / chassis - 2.0).abs() < 1e-12);
    }
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn the_parts_are_those_of_the_whole_and_each_leg_has_its_own_temperature(
        size in any_size(),
        current in 0.0_f64..300.0,
        out in -40.0_f64..200.0,
        back in -40.0_f64..200.0,
    ) {
        let leg = Leg { size, length: Metres(2.0) };
        let path = Path { out: leg, back: Return::Cable(leg), joints: Ohms(0.001) };
        let warm = LegTemperatures { out: Celsius(out), back: Celsius(back) };
        let found = drop_by_part(Amps(current), &path, warm).unwrap();
        let sum = found.out.0 + found.back.0 + found.joints.0;
        prop_assert!((found.total.0 - sum).abs() <= 1e-12 * sum);
        prop_assert_eq!(found.out > found.back, out > back && current > 0.0);
        let same = LegTemperatures { out: Celsius(out), back: Celsius(out) };
        let whole = drop_by_part(Amps(current), &path, same).unwrap().total.0;
        let single = voltage_drop(Amps(current), &path, Celsius(out)).unwrap().0;
        prop_assert!((whole - single).abs() <= 1e-12 * single);
    }
}

/// By hand: 50 A through 2 mΩ of body and 1 mΩ of joints, whatever the temperature: 0.1 V, 0.05 V.
#[test]
fn the_body_and_the_joints_lose_the_same_warm_or_cold() {
    let out = Leg { size: size("10 mm²"), length: Metres(2.0) };
    let path = Path { out, back: Return::Chassis(Ohms(0.002)), joints: Ohms(0.001) };
    let warm = LegTemperatures { out: Celsius(20.0), back: Celsius(90.0) };
    let found = drop_by_part(Amps(50.0), &path, warm).unwrap();
    assert_near(found.out.0, 0.191, 1e-12);
    assert_near(found.back.0, 0.1, 1e-12);
    assert_near(found.joints.0, 0.05, 1e-12);
    assert_near(found.total.0, 0.341, 1e-12);
}

/// By hand: 2 m of 10 mm² out, 3 m of 16 mm² back, 1.5 mΩ of joints: 3.82 + 3.63 + 1.5 = 8.95 mΩ.
#[test]
fn each_leg_counts_with_its_own_size_and_length() {
    let path = Path {
        out: Leg { size: size("10 mm²"), length: Metres(2.0) },
        back: Return::Cable(Leg { size: size("16 mm²"), length: Metres(3.0) }),
        joints: Ohms(0.0015),
    };
    let found = path_resistance(&path, Celsius(20.0)).unwrap();
    assert_near(found.out.to_milliohms(), 3.82, 1e-9);
    assert_near(found.back.to_milliohms(), 3.63, 1e-9);
    assert_near(found.joints.to_milliohms(), 1.5, 1e-9);
    assert_near(found.total.to_milliohms(), 8.95, 1e-9);
}

/// The body and the joints do not warm up with the cable.
#[test]
fn only_the_cable_follows_the_conductor_temperature() {
    let path = Path {
        out: Leg { size: size("10 mm²"), length: Metres(0.0) },
        back: Return::Chassis(Ohms(0.002)),
        joints: Ohms(0.001),
    };
    let hot = path_resistance(&path, Celsius(100.0)).unwrap();
    assert_near(hot.total.to_milliohms(), 3.0, 1e-12);
}

#[test]
fn nonsense_is_refused() {
    let good = there_and_back("16 mm²", 3.0);
    for wrong in NONSENSE {
        let bad_length = there_and_back("16 mm²", wrong);
        let bad_chassis = Path { back: Return::Chassis(Ohms(wrong)), ..good };
        let bad_joints = Path { joints: Ohms(wrong), ..good };
        assert_refused(path_resistance(&bad_length, Celsius(20.0)), "length");
        assert_refused(path_resistance(&bad_chassis, Celsius(20.0)), "resistance of the chassis");
        assert_refused(path_resistance(&bad_joints, Celsius(20.0)), "resistance of the joints");
        assert_refused(voltage_drop(Amps(wrong), &good, Celsius(20.0)), "current");
        let cool = LegTemperatures { out: Celsius(20.0), back: Celsius(20.0) };
        assert_refused(drop_by_part(Amps(wrong), &good, cool), "current");
        assert_refused(drop_by_part(Amps(1.0), &bad_joints, cool), "resistance of the joints");
        assert_refused(allowed_drop(Volts(wrong), 3.0), "nominal voltage");
        assert_refused(allowed_drop(Volts(12.0), wrong), "allowed drop in percent");
    }
    assert_refused(voltage_drop(Amps(1.0), &good, Celsius(f64::NAN)), "conductor temperature");
    for (out, back) in [(f64::NAN, 20.0), (20.0, 301.0)] {
        let temperatures = LegTemperatures { out: Celsius(out), back: Celsius(back) };
        let found = drop_by_part(Amps(1.0), &good, temperatures);
        assert_refused(found, "conductor temperature");
    }
    assert_refused(allowed_drop(Volts(12.0), 100.1), "allowed drop in percent");
}

#[test]
fn the_short_formulas_refuse_nonsense_too() {
    for wrong in NONSENSE {
        let (one, area) = (Metres(1.0), SquareMillimetres(6.0));
        let length = "length of the round trip";
        assert_refused(drop_iso_short(Amps(wrong), one, area), "current");
        assert_refused(drop_iso_short(Amps(1.0), Metres(wrong), area), length);
        let no_area = drop_iso_short(Amps(1.0), one, SquareMillimetres(wrong));
        assert_refused(no_area, "conductor area");
        assert_refused(circular_mils_needed(Amps(wrong), one, Volts(1.0)), "current");
        assert_refused(circular_mils_needed(Amps(1.0), Metres(wrong), Volts(1.0)), length);
        let no_drop = circular_mils_needed(Amps(1.0), one, Volts(wrong));
        assert_refused(no_drop, "allowed voltage drop");
    }
    let none = drop_iso_short(Amps(1.0), Metres(1.0), SquareMillimetres(0.0));
    assert_refused(none, "conductor area");
}
