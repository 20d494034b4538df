//! What the gear takes and gives: the wire while the starter turns, efficiency and size of what is
//! charged.

use fusewright::domain::document::Fault;
use fusewright::domain::kit::Kit;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::step::Limits;

use super::{TRAY, changed, figure, line_of};

/// The tray with one passage changed.
fn tray(from: &str, to: &str) -> Result<Kit, Vec<Fault>> {
    read_kit(&changed(TRAY, from, to))
}

#[track_caller]
fn says(found: Result<Kit, Vec<Fault>>, line: usize, key: &str, wrong: &str, instead: &str) {
    let faults = found.unwrap_err();
    let [fault] = faults.as_slice() else { panic!("not one fault: {faults:#?}") };
    let said = (fault.line, fault.key.as_str(), fault.wrong.as_str(), fault.instead.as_str());
    assert_eq!(said, (line, key, wrong, instead));
}

const CRANKING: &str = "cranking_most_v = 9\n";

#[test]
fn the_wire_while_the_starter_turns_has_one_limit_both_or_none() {
    let held = |lines: &str| tray(CRANKING, lines).unwrap().sense.unwrap().cranking;
    assert_eq!(held(CRANKING), Limits::at_most(figure("9")));
    assert_eq!(held("cranking_least_v = 0\n"), Limits::at_least(figure("0")));
    assert_eq!(held(""), Limits { lower: None, upper: None });
    let both = "cranking_least_v = 6.5\ncranking_most_v = 6.6\n";
    assert_eq!(held(both), Limits::between(figure("6.5"), figure("6.6")));
}

#[test]
fn the_limits_of_the_wire_lie_in_their_range_and_in_order() {
    let line = line_of(TRAY, "cranking_most_v");
    for sound in ["cranking_least_v = 65\n", "cranking_most_v = 0.1\n", "cranking_most_v = 65\n"] {
        assert!(tray(CRANKING, sound).is_ok(), "{sound}");
    }
    for (key, bad, wrong, range) in [
        ("cranking_least_v", "-0.1", "-0.1 is less than 0.", "0 to 65"),
        ("cranking_least_v", "65.1", "65.1 is more than 65.", "0 to 65"),
        ("cranking_most_v", "0.09", "0.09 is less than 0.1.", "0.1 to 65"),
        ("cranking_most_v", "65.1", "65.1 is more than 65.", "0.1 to 65"),
    ] {
        let found = tray(CRANKING, &format!("{key} = {bad}\n"));
        let instead = format!("Write a number from {range}.");
        says(found, line, &format!("sense.{key}"), wrong, &instead);
    }
    let crossed = tray(CRANKING, "cranking_least_v = 9\ncranking_most_v = 9\n");
    let wrong = "9 is not above cranking_least_v = 9.";
    says(crossed, line + 1, "sense.cranking_most_v", wrong, "Write more than 9.");
}

#[test]
fn what_arrives_of_what_is_drawn_is_forty_to_a_hundred_percent() {
    let line = line_of(TRAY, "efficiency_percent");
    let typed =
        |value: &str| tray("efficiency_percent = 91", &format!("efficiency_percent = {value}"));
    for sound in ["40", "100"] {
        let charging = typed(sound).unwrap().charging.unwrap();
        assert_eq!(charging.efficiency_percent, Some(figure(sound)));
    }
    for (bad, wrong) in [("39.9", "39.9 is less than 40."), ("100.1", "100.1 is more than 100.")] {
        let key = "charging.efficiency_percent";
        says(typed(bad), line, key, wrong, "Write a number from 40 to 100.");
    }
    let without = tray("efficiency_percent = 91\n", "").unwrap().charging.unwrap();
    assert_eq!(without.efficiency_percent, None);
}

#[test]
fn what_is_charged_holds_ten_to_a_hundred_thousand_watt_hours() {
    let line = line_of(TRAY, "pack_wh");
    let typed = |value: &str| tray("pack_wh = 1850", &format!("pack_wh = {value}"));
    for sound in ["10", "100000"] {
        assert_eq!(typed(sound).unwrap().charging.unwrap().pack_wh, Some(figure(sound)));
    }
    for (bad, wrong) in
        [("9.9", "9.9 is less than 10."), ("100000.1", "100000.1 is more than 100000.")]
    {
        says(typed(bad), line, "charging.pack_wh", wrong, "Write a number from 10 to 100000.");
    }
    assert_eq!(tray("pack_wh = 1850\n", "").unwrap().charging.unwrap().pack_wh, None);
}
