//! The terminal row: labels, poles, colours, studs and their torques.

use fusewright::domain::kit::Pole;
use fusewright::domain::kit_check::{COLOURS, THREADS, is_colour, read_kit};
use fusewright::engineering::thread::Thread;

use super::{COOL, DUO, TRAY, changed, is_sound, only};

#[test]
fn labels_are_told_apart_as_they_are_read_aloud() {
    assert!(is_sound(DUO, "label = \"COM\"", "label = \"START-\""));
    assert_eq!(
        only(DUO, "label = \"COM\"", "label = \"start +\""),
        "terminals.2.label: The label “start +” stands twice."
    );
}

#[test]
fn a_terminal_names_a_circuit_of_the_kit() {
    let found = only(DUO, "circuit = \"running\"\npole", "circuit = \"runing\"\npole");
    assert_eq!(found, "terminals.4.circuit: “runing” does not fit here.");
}

#[test]
fn a_circuit_without_its_poles_in_the_row_is_refused() {
    assert_eq!(
        only(
            TRAY,
            "circuit = \"supply\"\npole = \"negative\"",
            "circuit = \"solar\"\npole = \"negative\""
        ),
        "circuits.supply: The circuit has no negative terminal."
    );
    assert_eq!(
        only(TRAY, "pole = \"signal\"", "pole = \"positive\""),
        "circuits.sense: The circuit has no signal terminal."
    );
    assert_eq!(
        only(
            COOL,
            "circuit = \"socket\"\npole = \"positive\"",
            "circuit = \"socket\"\npole = \"negative\""
        ),
        "circuits.socket: The circuit has no positive terminal."
    );
}

#[test]
fn one_negative_may_serve_several_circuits() {
    let kit = read_kit(DUO).unwrap();
    let negatives = kit.terminals.iter().filter(|one| one.pole == Pole::Negative).count();
    assert_eq!(negatives, 1);
}

#[test]
fn colours_are_one_or_two_different_letter_pairs() {
    for sound in ["RD", "GNYE", "WHBU"].into_iter().chain(COLOURS.map(|(code, _)| code)) {
        assert!(is_colour(sound), "{sound}");
    }
    for bad in ["", "R", "RED", "rd", "RDRD", "RDXX", "XX", "RDBKBU", "Ä", "RÄ"] {
        assert!(!is_colour(bad), "{bad}");
    }
}

#[test]
fn green_and_yellow_is_refused_on_anything_but_a_negative() {
    assert!(is_sound(DUO, "colour = \"BK\"", "colour = \"GNYE\""));
    assert_eq!(
        only(DUO, "colour = \"RD\"", "colour = \"GNYE\""),
        "terminals.1.colour: Green and yellow are kept for earth."
    );
}

#[test]
fn a_stud_has_a_known_thread_and_its_torque() {
    assert_eq!(
        only(DUO, "stud = \"M8\"", "stud = \"M7\""),
        "terminals.1.stud: “M7” is not one of the choices."
    );
    let without = changed(DUO, "torque_nm = 11\ntolerance_percent = 15\n", "");
    let keys: Vec<_> = read_kit(&without).unwrap_err().into_iter().map(|one| one.key).collect();
    assert_eq!(keys, ["terminals.1.torque_nm", "terminals.1.tolerance_percent"]);
}

#[test]
fn a_torque_lies_in_the_band_of_its_thread_at_both_ends() {
    // From memory: VDI 2230 table A1, class 8.8, M8 at a friction of 0.14 gives 27.3 N·m; times
    // 1100/640 for class 12.9 that is 46.9 N·m, and a tenth of it 4.6 N·m (kept to the tenth below).
    for sound in ["4.6", "46.9"] {
        assert!(is_sound(DUO, "torque_nm = 11", &format!("torque_nm = {sound}")), "{sound}");
    }
    for bad in ["4.5", "47.0"] {
        let found = only(DUO, "torque_nm = 11", &format!("torque_nm = {bad}"));
        assert_eq!(found, format!("terminals.1.torque_nm: {bad} N·m is hardly meant for M8."));
    }
}

#[test]
fn the_check_knows_the_threads_that_the_physics_knows() {
    let known = THREADS.map(|band| (band.thread, f64::from(band.diameter_mm)));
    assert_eq!(known, Thread::ALL.map(|thread| (thread.label(), thread.diameter().0)));
}
