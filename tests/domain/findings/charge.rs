//! Charging and standing.

use fusewright::domain::finding::Finding;
use fusewright::domain::finding::Outcome::{Caution, Ok, Stop};
use fusewright::domain::kit::Purpose;
use fusewright::domain::plan::{Chemistry, Vehicle};

use super::super::cast::dec;
use super::{after, all_after, has_formula, is_told, named, said, says};

fn after_vehicle(id: &str, change: impl FnOnce(&mut Vehicle)) -> Finding {
    after(id, |_, plan| change(&mut plan.vehicle))
}

/// By hand: 14 V of a running vehicle less 0.281 V, times 40 A, of that 91 %: 499 W; 1850 Wh in 3.70 h.
#[test]
fn the_hours_to_full_are_told_and_not_judged() {
    let found = after("charge.hours", |_, _| {});
    assert_eq!(said(&found), says("3.70 h", "", Ok));
    assert_eq!(found.word(), "figure");
    has_formula(&found, &["14.0 V − 0.28 V", "40.0 A · 0.91 = 499 W", "1850 Wh"]);
    // Without a figure nothing is lost in the gear: 549 W, 3.37 h.
    let lossless = after("charge.hours", |kit, _| {
        kit.charging.as_mut().unwrap().efficiency_percent = None;
    });
    assert_eq!(lossless.value_text(), "3.37 h");
    assert!(!is_told("charge.hours", |kit, _| kit.charging.as_mut().unwrap().pack_wh = None));
    assert!(!is_told("charge.hours", |kit, _| kit.charging = None));
}

/// 40 A through 0.4 Ω of bond lose 16 V, more than the 14 V there are: the drop says it, once.
#[test]
fn where_all_of_the_voltage_is_lost_there_are_no_hours() {
    use fusewright::domain::plan::Back;
    let all = all_after(|_, plan| {
        plan.circuits[0].back = Back::Chassis { bond_milliohm: dec("400") };
    });
    assert!(!all.iter().any(|finding| finding.id == "charge.hours"));
    let stops: Vec<&str> =
        all.iter().filter(|one| one.outcome == Stop).map(|one| one.id.as_str()).collect();
    assert_eq!(stops, ["supply.drop"]);
}

/// By hand: 0.8 · 180 A = 144 A hot (common practice, no source); 40 A for the gear leave 104 A.
#[test]
fn the_hot_alternator_carries_vehicle_and_gear_or_warns() {
    let drawing =
        |amps: &str| after_vehicle("alternator.margin", |one| one.base_load_a = dec(amps));
    assert_eq!(said(&drawing("104")), says("144 A", "at most 144 A", Ok));
    let beyond = drawing("104.01");
    assert_eq!(said(&beyond), says("144 A", "at most 144 A", Caution));
    assert!(beyond.reason.contains("lacks 0.0100 A"), "{}", beyond.reason);
    has_formula(
        &after("alternator.margin", |_, _| {}),
        &["180 A · 0.8 − 65.0 A − 40.0 A = 39.0 A"],
    );
}

/// By hand: 0.8 · 100.1 A = 80.08 A = 40.08 A + 40 A; binary figures make them differ in the last bit.
#[test]
fn the_last_bit_of_a_sum_does_not_warn() {
    for (rated, base) in [("100.1", "40.08"), ("100.3", "40.24"), ("110.7", "48.56")] {
        let found = after_vehicle("alternator.margin", |one| {
            (one.alternator_a, one.base_load_a) = (dec(rated), dec(base));
        });
        assert_eq!(found.outcome, Ok, "{rated} A");
    }
}

#[test]
fn every_supply_draws_from_the_alternator_and_loads_of_the_gear_do_not() {
    let found = after("alternator.margin", |kit, _| {
        kit.circuits[1].purpose = Purpose::Supply;
        kit.circuits[1].continuous_a = dec("10");
        kit.circuits[2].purpose = Purpose::Load;
    });
    assert_eq!(said(&found), says("115 A", "at most 144 A", Ok));
    assert!(!is_told("alternator.margin", |kit, _| kit.circuits[0].purpose = Purpose::Load));
}

/// By hand: half of 94.08 Ah at 140 mA: 47.04 / 0.14 / 24 = 14.0 days.
#[test]
fn a_vehicle_stands_a_fortnight_or_warns() {
    let holding = |ah: &str| {
        let ah = dec(ah);
        after("battery.standing", |kit, plan| {
            kit.standing_current_ma = Some(dec("140"));
            plan.vehicle.battery_ah = ah;
        })
    };
    assert_eq!(said(&holding("94.08")), says("14.0 days", "at least 14.0 days", Ok));
    let beyond = holding("94.07");
    assert_eq!(said(&beyond), says("14.0 days", "at least 14.0 days", Caution));
    has_formula(&beyond, &["94.07 Ah · 0.5 / 140 mA / 24 = 14.0 days"]);
    assert!(!is_told("battery.standing", |kit, _| kit.standing_current_ma = None));
}

/// Lithium iron phosphate is not charged below freezing (widely published; from memory).
#[test]
fn lithium_below_freezing_warns() {
    let at = |celsius: &str| {
        let celsius = Some(dec(celsius));
        after_vehicle("battery.freezing", |one| {
            (one.battery, one.battery_c) = (Chemistry::Lfp, celsius);
        })
    };
    assert_eq!(said(&at("0")), says("0 °C", "at least 0 °C", Ok));
    let cold = at("-0.1");
    assert_eq!(said(&cold), says("−0.100 °C", "at least 0 °C", Caution));
    has_formula(&cold, &["−0.1 °C planned"]);
    let lead = |one: &mut Vehicle| one.battery_c = Some(dec("-20"));
    assert!(!is_told("battery.freezing", |_, plan| lead(&mut plan.vehicle)));
    assert!(!is_told("battery.freezing", |_, plan| plan.vehicle.battery = Chemistry::Lfp));
}

#[test]
fn what_the_formulas_cannot_take_stops_under_its_own_name() {
    let all = all_after(|_, plan| {
        (plan.vehicle.alternator_a, plan.vehicle.battery_ah) = (dec("0"), dec("0"));
    });
    for id in ["alternator.margin", "battery.standing"] {
        assert_eq!(named(&all, id).outcome, Stop);
    }
}
