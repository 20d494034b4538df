//! How the gear is held: the places of its fasteners, and nuts that brake.

use fusewright::domain::document::Fault;
use fusewright::domain::kit::Kit;
use fusewright::domain::kit_check::read_kit;

use super::{DUO, changed, figure, line_of};

/// The charger on four fasteners, with their places.
fn placed(places: &[(&str, &str)]) -> Result<Kit, Vec<Fault>> {
    let each = |(along, across): &(&str, &str)| {
        format!("[[mounting.positions]]\nalong_mm = {along}\nacross_mm = {across}\n")
    };
    let text: String = places.iter().map(each).collect();
    read_kit(&changed(DUO, "[sense]", &format!("{text}\n[sense]")))
}

#[track_caller]
fn only(found: Result<Kit, Vec<Fault>>) -> Fault {
    let mut faults = found.unwrap_err();
    assert_eq!(faults.len(), 1, "{faults:#?}");
    faults.remove(0)
}

const SQUARE: [(&str, &str); 4] = [("0", "0"), ("0", "200"), ("3000", "0"), ("3000", "3000")];

#[test]
fn the_places_of_the_fasteners_are_kept_in_their_order() {
    let kit = placed(&SQUARE).unwrap();
    let places: Vec<_> =
        kit.mounting.positions.iter().map(|one| (one.along_mm, one.across_mm)).collect();
    assert_eq!(places, SQUARE.map(|(along, across)| (figure(along), figure(across))));
    assert!(placed(&[]).unwrap().mounting.positions.is_empty());
}

#[test]
fn a_place_lies_from_the_first_fastener_to_three_metres_away() {
    for (bad, wrong) in [("-0.1", "-0.1 is less than 0."), ("3000.1", "3000.1 is more than 3000.")]
    {
        for at in 0..2 {
            let mut places = SQUARE;
            places[3] = if at == 0 { (bad, "9") } else { ("9", bad) };
            let fault = only(placed(&places));
            let key = ["along_mm", "across_mm"][at];
            assert_eq!(fault.key, format!("mounting.positions.4.{key}"));
            assert_eq!(fault.line, line_of(DUO, "[sense]") + 10 + at);
            assert_eq!(
                (fault.wrong.as_str(), fault.instead.as_str()),
                (wrong, "Write a number from 0 to 3000.")
            );
        }
    }
}

#[test]
fn there_is_a_place_for_each_fastener_or_none_at_all() {
    for places in [&SQUARE[..3], &[SQUARE.as_slice(), &[("9", "9")]].concat()] {
        let fault = only(placed(places));
        assert_eq!(fault.key, "mounting.positions");
        let wrong = format!("There are {} positions for 4 fasteners.", places.len());
        assert_eq!(fault.wrong, wrong);
        assert_eq!(fault.instead, "Write one for each fastener, or none at all.");
    }
}

#[test]
fn no_two_fasteners_sit_in_one_place() {
    let mut places = SQUARE;
    places[3] = ("0.0", "200.00");
    let fault = only(placed(&places));
    assert_eq!(fault.key, "mounting.positions.4.along_mm");
    assert_eq!(fault.wrong, "A fastener sits there already.");
    assert_eq!(fault.instead, "Write its own place.");
}

/// Three in one line hold the gear in one direction only.
#[test]
fn fasteners_in_one_line_hold_no_mount() {
    for line in [
        [("0", "50"), ("100", "50"), ("200", "50"), ("300", "50")],
        [("0", "0"), ("100", "100"), ("200", "200"), ("300", "300")],
    ] {
        let fault = only(placed(&line));
        assert_eq!(fault.key, "mounting.positions");
        assert_eq!(fault.wrong, "All fasteners sit in one line, over which the mount tilts.");
        assert_eq!(fault.instead, "Write at least one place beside that line.");
        let mut bent = line;
        bent[1] = ("100", "60");
        assert!(placed(&bent).is_ok(), "{bent:?}");
    }
}

#[test]
fn more_places_than_fasteners_may_be_are_not_read() {
    let places: Vec<String> = (0..21).map(|at| (at * 10).to_string()).collect();
    let places: Vec<_> = places.iter().map(|at| (at.as_str(), at.as_str())).collect();
    let faults = placed(&places).unwrap_err();
    let of_list = |fault: &&Fault| fault.key == "mounting.positions";
    let said: Vec<&str> =
        faults.iter().filter(of_list).map(|fault| fault.instead.as_str()).collect();
    assert!(said.contains(&"Write at least 0 and at most 20."), "{faults:#?}");
}

/// Half of 8.5 N·m, and from 0.1 to 60 N·m.
#[test]
fn a_nut_leaves_half_of_the_torque_for_clamping() {
    let braking = |nm: &str| {
        let text = format!("torque_nm = 8.5\nprevailing_nm = {nm}\n");
        read_kit(&changed(DUO, "torque_nm = 8.5\n", &text))
    };
    for sound in ["0.1", "4.25"] {
        assert_eq!(braking(sound).unwrap().mounting.prevailing_nm, Some(figure(sound)));
    }
    for (bad, wrong, instead) in [
        ("0.09", "0.09 is less than 0.1.", "Write a number from 0.1 to 60."),
        (
            "4.26",
            "A nut that takes 4.26 N·m leaves too little of the torque to clamp.",
            "Write at most 4.25.",
        ),
        ("60.1", "60.1 is more than 60.", "Write a number from 0.1 to 60."),
    ] {
        let fault = only(braking(bad));
        assert_eq!(fault.key, "mounting.prevailing_nm");
        assert_eq!(fault.line, line_of(DUO, "torque_nm = 8.5") + 1);
        assert_eq!((fault.wrong.as_str(), fault.instead.as_str()), (wrong, instead));
    }
}
