//! Which readings would still pass, had their instrument been off by what was found.

use fusewright::domain::entry::Payload;
use fusewright::domain::instrument::Instrument;
use fusewright::domain::instrument::as_found::{FoundOff, Survives, survives};
use fusewright::domain::step::Unit;
use fusewright::domain::verdict::{Judgement, Verdict};

use super::cast::{METER, SMALL_WRENCH, dec, exact_instrument, small_wrench};

fn off(percent: &str, digits: u32) -> FoundOff {
    FoundOff { percent: dec(percent), digits }
}

fn judged(verdict: Verdict, figure: (&str, Unit), margin: &str, uncertainty: &str) -> Judgement {
    Judgement {
        verdict,
        value: String::new(),
        sentence: String::new(),
        figure: Some((dec(figure.0), figure.1)),
        uncertainty: Some(dec(uncertainty)),
        margin: Some(dec(margin)),
        diagnosis: None,
        open_circuit: None,
    }
}

fn torque(value: &str) -> Payload {
    Payload::Torque { value: dec(value), instrument: METER }
}

/// 12 N·m, 1 N·m from its limit, uncertain by 0.28 N·m: 6 % of 12 are 0.72 N·m, which just fits.
#[test]
fn the_error_and_the_uncertainty_together_may_use_up_the_margin_and_no_more() {
    let result = judged(Verdict::Pass, ("12", Unit::NewtonMetre), "1", "0.28");
    let told = |off: FoundOff| survives(&torque("12"), &result, (&exact_instrument(), off));
    assert_eq!(told(off("6", 0)), Survives::Yes);
    assert_eq!(told(off("6.01", 0)), Survives::No);
    // One count of this instrument is 0.001.
    assert_eq!(told(off("0", 720)), Survives::Yes);
    assert_eq!(told(off("0", 721)), Survives::No);
    assert_eq!(told(off("5", 120)), Survives::Yes);
    assert_eq!(told(off("5", 121)), Survives::No);
}

#[test]
fn what_did_not_pass_before_cannot_pass_now() {
    for verdict in [Verdict::Fail, Verdict::Inconclusive] {
        let result = judged(verdict, ("12", Unit::NewtonMetre), "0.1", "0.28");
        let told = survives(&torque("12"), &result, (&exact_instrument(), off("0.1", 0)));
        assert_eq!(told, Survives::CannotBeTold);
    }
}

/// 0.1 V at 10 A are 10 mΩ. 10 % too little voltage: 0.11 V, 11 mΩ. Both read by it: 0.11 V / 9 A.
#[test]
fn a_path_is_held_against_the_worst_that_both_of_its_readings_may_be() {
    let path = |instrument, current_instrument| Payload::PathDrop {
        drop_v: dec("0.1"),
        current_a: dec("10"),
        instrument,
        current_instrument,
    };
    let told = |payload: &Payload, margin: &str| {
        let result = judged(Verdict::Pass, ("10", Unit::Milliohm), margin, "0");
        survives(payload, &result, (&exact_instrument(), off("10", 0)))
    };
    let of_voltage = path(METER, SMALL_WRENCH);
    assert_eq!(told(&of_voltage, "1"), Survives::Yes);
    assert_eq!(told(&of_voltage, "0.999"), Survives::No);
    // 0.1 V / 9 A = 11.111 mΩ.
    let of_current = path(SMALL_WRENCH, METER);
    assert_eq!(told(&of_current, "1.112"), Survives::Yes);
    assert_eq!(told(&of_current, "1.111"), Survives::No);
    // 0.11 V / 9 A = 12.222 mΩ.
    assert_eq!(told(&path(METER, METER), "2.223"), Survives::Yes);
    assert_eq!(told(&path(METER, METER), "2.222"), Survives::No);
}

#[test]
fn an_error_as_large_as_the_current_leaves_nothing_to_tell() {
    let payload = Payload::PathDrop {
        drop_v: dec("0.1"),
        current_a: dec("10"),
        instrument: SMALL_WRENCH,
        current_instrument: METER,
    };
    let result = judged(Verdict::Pass, ("10", Unit::Milliohm), "1000", "0");
    let told = |percent| survives(&payload, &result, (&exact_instrument(), off(percent, 0)));
    assert_eq!(told("99"), Survives::Yes);
    assert_eq!(told("100"), Survives::CannotBeTold);
}

#[test]
fn another_instruments_reading_is_not_touched() {
    let result = judged(Verdict::Pass, ("2", Unit::NewtonMetre), "0.1", "0.1");
    let payload = Payload::Torque { value: dec("2"), instrument: SMALL_WRENCH };
    let told = |tool: &Instrument| survives(&payload, &result, (tool, off("50", 0)));
    assert_eq!(told(&exact_instrument()), Survives::Yes);
    assert_eq!(told(&small_wrench()), Survives::No);
}

#[test]
fn a_solar_string_is_measured_again_because_its_limits_move_with_the_thermometer() {
    let payload = Payload::SolarOpen {
        voltage_v: dec("40"),
        cell_c: dec("25"),
        instrument: SMALL_WRENCH,
        thermometer: METER,
    };
    let result = judged(Verdict::Pass, ("40", Unit::Volt), "5", "0.1");
    let told = survives(&payload, &result, (&exact_instrument(), off("1", 0)));
    assert_eq!(told, Survives::CannotBeTold);
}
