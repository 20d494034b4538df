//! ISO 2320:1997: nuts that brake (from memory).

use fusewright::engineering::Sureness;
use fusewright::engineering::prevailing_torque::{PREVAILING_SOURCE, prevailing_torque_max};
use fusewright::engineering::thread::Thread;
use fusewright::engineering::units::NewtonMetres;

/// Thread and highest torque of a first assembly, class 8 [N·m] (from memory).
const PRINTED: [(&str, f64); 7] = [
    ("M3", 0.43),
    ("M4", 0.9),
    ("M5", 1.6),
    ("M6", 3.0),
    ("M8", 6.0),
    ("M10", 10.5),
    ("M12", 15.5),
];

#[test]
fn every_nut_brakes_by_the_remembered_torque_at_most() {
    assert_eq!(Thread::ALL.map(Thread::label), PRINTED.map(|(label, _)| label));
    for (label, torque) in PRINTED {
        let thread = Thread::parse(label).unwrap();
        assert_eq!(prevailing_torque_max(thread), NewtonMetres(torque));
    }
    assert_eq!(PREVAILING_SOURCE.sureness, Sureness::FromMemory);
}
