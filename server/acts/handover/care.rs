//! What to watch, and what to have looked at, with dates.

use crate::acts::paper::next_inspection;
use crate::documents::handover::{CareLine, WatchLine};
use crate::documents::voice::Voice;
use crate::domain::ids::Moment;
use crate::domain::kit::Purpose;
use crate::domain::limits::RETORQUE_DAYS;
use crate::domain::wiring::Wiring;

/// Re-torque after first use, then every year; joints that were checked again have settled.
pub(super) fn schedule(issued: Moment, settled: bool, voice: &Voice) -> Vec<CareLine> {
    let line = |id: &str, when: String| CareLine {
        when,
        what: voice.say(&format!("care-{id}")),
        why: voice.say(&format!("care-{id}-why")),
    };
    let retorque = issued.plus_days(RETORQUE_DAYS).date();
    let mut lines = vec![
        line("trip", voice.say("care-trip-when")),
        line("yearly", next_inspection(issued, voice).date),
    ];
    if !settled {
        let when = voice.with("care-retorque-when", &[("day", &voice.day(&retorque))]);
        lines.insert(1, line("retorque", when));
    }
    lines
}

/// Signs that something is wrong, and what to do then.
pub(super) fn watch(wired: &Wiring<'_>, voice: &Voice) -> Vec<WatchLine> {
    let solar = wired.circuits.iter().any(|circuit| circuit.kit.purpose == Purpose::Solar);
    let signs = ["hot", "opens", "moves", "rubbed", "slow"].into_iter();
    signs
        .chain(solar.then_some("module"))
        .map(|id| WatchLine {
            sign: voice.say(&format!("watch-{id}")),
            act: voice.say(&format!("watch-{id}-act")),
        })
        .collect()
}
