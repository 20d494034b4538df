//! What to watch, and what to have looked at, with dates.

use crate::acts::paper::next_inspection;
use crate::documents::handover::{CareLine, WatchLine};
use crate::domain::ids::Moment;
use crate::domain::kit::Purpose;
use crate::domain::limits::RETORQUE_DAYS;
use crate::domain::wiring::Wiring;

/// Re-torque after first use, then every year; joints that were checked again have settled.
pub(super) fn schedule(issued: Moment, settled: bool) -> Vec<CareLine> {
    let line = |when: String, what: &str, why: &str| CareLine {
        when,
        what: what.to_owned(),
        why: why.to_owned(),
    };
    let next = next_inspection(issued);
    let retorque = line(
        format!("{}, or after 1000 km", issued.plus_days(RETORQUE_DAYS).date()),
        "Every fastener and terminal checked with a torque wrench against its mark, by the workshop.",
        "Joints settle in first use. Common practice; the maker\u{2019}s interval comes first.",
    );
    let mut lines = vec![
        line(
            "Before each trip".to_owned(),
            "Look: fastened, covers on, nothing chafes, nothing warm that was not warm before.",
            "It costs a minute. Common practice.",
        ),
        line(
            next.date,
            "Yearly inspection: torque marks, covers, cable supports, drop under load.",
            "Also after any accident or work on the vehicle\u{2019}s wiring. Common practice; the \
             maker\u{2019}s interval comes first.",
        ),
    ];
    if !settled {
        lines.insert(1, retorque);
    }
    lines
}

/// Signs that something is wrong, and what to do then.
pub(super) fn watch(wired: &Wiring<'_>) -> Vec<WatchLine> {
    let line = |sign: &str, act: &str| WatchLine { sign: sign.to_owned(), act: act.to_owned() };
    let mut lines = vec![
        line(
            "Smell, smoke, a hot cable or fuse, discoloured plastic",
            "Make it safe at once, and call the workshop. Fire: out, away, emergency number.",
        ),
        line(
            "A fuse opens again",
            "Leave it out. A larger one protects nothing. The cause is found first.",
        ),
        line(
            "Movement or rattling of the gear, a cracked torque mark",
            "Do not drive with it loaded. Have the fasteners checked.",
        ),
        line(
            "A rubbed, pinched or wet cable, a missing cover or label",
            "Make it safe, and have it mended before it is used again.",
        ),
        line(
            "Slow charging, loads that drop out, a vehicle battery that is flat after standing",
            "Note when it happens, and call the workshop.",
        ),
    ];
    if wired.circuits.iter().any(|circuit| circuit.kit.purpose == Purpose::Solar) {
        lines.push(line(
            "A cracked or loose solar module, a warm solar connector",
            "Cover the module and leave its connector alone: daylight keeps it live.",
        ));
    }
    lines
}
