//! Batteries: there and back, warmer is lower, and what voltage does not tell.

use fusewright::engineering::battery::{
    ChargingCase, Chemistry, Compensation, RestCharge, Stage, cell_count, cell_window,
    charge_at_rest, charging_voltage, compensated_voltage, rest_voltage,
};
use fusewright::engineering::units::{Celsius, Volts};
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

fn any_nominal() -> impl Strategy<Value = Volts> {
    prop::sample::select(vec![Volts(12.0), Volts(24.0), Volts(48.0)])
}

fn any_rule() -> impl Strategy<Value = Compensation> {
    prop::sample::select(Compensation::ALL.to_vec())
}

fn flooded(rest: f64) -> RestCharge {
    charge_at_rest(Chemistry::Flooded, Volts(12.0), Volts(rest)).unwrap()
}

fn case(chemistry: Chemistry, battery: f64) -> ChargingCase {
    ChargingCase {
        chemistry,
        nominal: Volts(12.0),
        stage: Stage::Absorption,
        battery: Celsius(battery),
        compensation: Compensation::Minus3,
    }
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn charge_comes_back_from_the_rest_voltage(charge in 0.0_f64..=1.0, nominal in any_nominal()) {
        let volts = rest_voltage(Chemistry::Flooded, nominal, charge).unwrap();
        let back = charge_at_rest(Chemistry::Flooded, nominal, volts).unwrap();
        match back {
            RestCharge::Share(share) => prop_assert!((share - charge).abs() < 1e-9),
            // The last digit of a product may push the table's ends outwards.
            RestCharge::AboveTable => prop_assert!(charge > 1.0 - 1e-9),
            RestCharge::BelowTable => prop_assert!(charge < 1e-9),
        }
    }

    #[test]
    fn more_voltage_is_never_less_charge(rest in 11.89_f64..12.65, more in 0.0_f64..0.2) {
        let RestCharge::Share(share) = flooded(rest) else { panic!("{rest} V lies in the table") };
        match flooded(rest + more) {
            RestCharge::Share(higher) => prop_assert!(higher >= share),
            found => prop_assert_eq!(found, RestCharge::AboveTable),
        }
    }

    #[test]
    fn a_warmer_battery_takes_less_voltage(
        battery in -40.0_f64..50.0,
        warmer in 0.1_f64..10.0,
        nominal in any_nominal(),
        rule in any_rule(),
    ) {
        let at =
            |battery| compensated_voltage(Volts(2.4), nominal, Celsius(battery), rule).unwrap();
        prop_assert!(at(battery + warmer) < at(battery));
        // As much above at one side of 25 °C as below at the other.
        let (above, below) = (at(25.0 + warmer).0, at(25.0 - warmer).0);
        let middle = f64::midpoint(above, below);
        prop_assert!((middle - at(25.0).0).abs() < 1e-9);
    }

    #[test]
    fn a_stronger_rule_moves_the_voltage_further(battery in -40.0_f64..60.0) {
        let off = |rule| {
            compensated_voltage(Volts(2.4), Volts(12.0), Celsius(battery), rule).unwrap().0 - 14.4
        };
        let [three, four, five] = Compensation::ALL.map(|rule| off(rule).abs());
        prop_assert!(three <= four && four <= five);
    }

    #[test]
    fn a_lithium_battery_takes_the_same_voltage_at_every_temperature(battery in 0.0_f64..=60.0) {
        let found = charging_voltage(case(Chemistry::Lfp, battery)).unwrap();
        prop_assert!((found.least.0 - 14.2).abs() < 1e-9 && (found.most.0 - 14.6).abs() < 1e-9);
    }
}

#[test]
fn every_chemistry_reads_back_from_its_word() {
    for chemistry in Chemistry::ALL {
        assert_eq!(Chemistry::parse(chemistry.word()), Some(chemistry));
        assert_eq!(chemistry.to_string(), chemistry.label());
        assert_eq!(chemistry.is_lead_acid(), chemistry.label().starts_with("Lead-acid"));
    }
    assert_eq!(Chemistry::parse("lithium"), None);
}

#[test]
fn every_window_is_in_order_and_floats_below_absorption() {
    for chemistry in Chemistry::ALL {
        let absorption = cell_window(chemistry, Stage::Absorption).unwrap();
        let float = cell_window(chemistry, Stage::Float).unwrap();
        assert!(absorption.least < absorption.most && float.least < float.most);
        assert!(float.most < absorption.least, "{chemistry}");
    }
}

/// A lead-acid cell is 2 V, one of lithium iron phosphate 3.2 V: four make 12.8 V.
#[test]
fn cells_make_the_nominal_voltage() {
    for nominal in [12.0, 24.0, 48.0] {
        let cells = |chemistry| f64::from(cell_count(chemistry, Volts(nominal)).unwrap());
        for chemistry in Chemistry::ALL.into_iter().filter(|one| one.is_lead_acid()) {
            assert_near(cells(chemistry) * 2.0, nominal, 0.0);
        }
        assert_near(cells(Chemistry::Lfp) * 3.2, nominal * 12.8 / 12.0, 1e-9);
    }
    for wrong in [0.0, 6.0, 11.9, 12.1, 36.0, f64::NAN, -12.0, f64::INFINITY] {
        assert_refused(cell_count(Chemistry::Agm, Volts(wrong)), "nominal voltage");
    }
}

#[test]
fn beyond_the_table_the_answer_has_a_name() {
    assert_eq!(flooded(12.65), RestCharge::Share(1.0));
    assert_eq!(flooded(12.651), RestCharge::AboveTable);
    assert_eq!(flooded(13.199), RestCharge::AboveTable);
    assert_eq!(flooded(11.89), RestCharge::Share(0.0));
    assert_eq!(flooded(11.889), RestCharge::BelowTable);
    assert_eq!(flooded(0.0), RestCharge::BelowTable);
    let nominal = Volts(12.0);
    for wrong in [13.2, 14.4, -0.001, f64::NAN, f64::INFINITY] {
        let found = charge_at_rest(Chemistry::Flooded, nominal, Volts(wrong));
        assert_refused(found, "voltage at rest");
    }
    for wrong in [-0.001, 1.001, 75.0, f64::NAN] {
        assert_refused(rest_voltage(Chemistry::Flooded, nominal, wrong), "state of charge");
    }
}

#[test]
fn only_flooded_lead_acid_tells_its_charge_and_the_refusal_says_why() {
    for (chemistry, why) in [
        (Chemistry::Agm, "rest higher when full"),
        (Chemistry::Gel, "rest higher when full"),
        (Chemistry::Lfp, "the guides disagree"),
    ] {
        let refused = charge_at_rest(chemistry, Volts(12.0), Volts(12.45)).unwrap_err();
        assert!(refused.to_string().contains(why), "{refused}");
        assert_refused::<RestCharge>(Err(refused), "chemistry of the battery");
        assert_refused(rest_voltage(chemistry, Volts(12.0), 0.5), "chemistry of the battery");
    }
}

#[test]
fn a_lithium_battery_is_not_charged_in_frost() {
    assert!(charging_voltage(case(Chemistry::Lfp, 0.0)).is_ok());
    assert!(charging_voltage(case(Chemistry::Lfp, 60.0)).is_ok());
    for wrong in [-0.1, 60.1, f64::NAN] {
        let found = charging_voltage(case(Chemistry::Lfp, wrong));
        assert_refused(found, "temperature of the battery");
    }
    // Lead-acid is, at a higher voltage.
    assert!(charging_voltage(case(Chemistry::Agm, -0.1)).is_ok());
}

#[test]
fn nonsense_is_refused() {
    let rule = Compensation::Minus4;
    for wrong in NONSENSE {
        let cell = compensated_voltage(Volts(wrong), Volts(12.0), Celsius(25.0), rule);
        assert_refused(cell, "voltage of one cell");
        let nominal = compensated_voltage(Volts(2.4), Volts(wrong), Celsius(25.0), rule);
        assert_refused(nominal, "nominal voltage");
    }
    let at = |battery| compensated_voltage(Volts(2.4), Volts(12.0), Celsius(battery), rule);
    assert!(at(-40.0).is_ok() && at(60.0).is_ok());
    for wrong in [-40.1, 60.1, f64::NAN] {
        assert_refused(at(wrong), "temperature of the battery");
    }
    for chemistry in Chemistry::ALL {
        let bad = ChargingCase { nominal: Volts(36.0), ..case(chemistry, 20.0) };
        assert_refused(charging_voltage(bad), "nominal voltage");
    }
}
