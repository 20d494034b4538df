//! "Make it safe": how the gear is isolated, in safe order, for what is fitted here. The maker's
//! instructions come first everywhere.

use super::fuses::{place, rating};
use crate::acts::job::JobFile;
use crate::documents::handover::SafeStep;
use crate::documents::voice::Voice;
use crate::domain::kit::{Pole, Purpose};
use crate::domain::wiring::{FittedFuse, WiredCircuit, Wiring};
use crate::engineering::fuse::FuseForm;

/// Loads, then what charges, then the supply, then the proof.
pub(super) fn steps(file: &JobFile, wired: &Wiring<'_>, voice: &Voice) -> Vec<SafeStep> {
    let mut steps = vec![loads(file, voice), plain("charging", voice)];
    if wired.circuits.iter().any(|circuit| circuit.kit.purpose == Purpose::Solar) {
        steps.push(plain("solar", voice));
    }
    let of = |purpose| wired.circuits.iter().filter(move |circuit| circuit.kit.purpose == purpose);
    steps.extend(of(Purpose::Supply).map(|circuit| supply(circuit, voice)));
    steps.extend(others(wired, voice));
    steps.push(prove_dead(file, wired, voice));
    steps.push(keep_off(file, voice));
    steps
}

/// A step that says the same everywhere.
fn plain(id: &str, voice: &Voice) -> SafeStep {
    SafeStep { what: voice.say(&format!("safe-{id}")), how: voice.say(&format!("safe-{id}-how")) }
}

fn loads(file: &JobFile, voice: &Voice) -> SafeStep {
    let pack = file.kit.charging.as_ref().is_some_and(|charging| charging.pack_wh.is_some());
    let mut step = plain("loads", voice);
    if pack {
        step.how = format!("{} {}", step.how, voice.say("safe-loads-pack"));
    }
    step
}

/// The fuse at the battery; what is bolted wants the battery's negative off first.
fn supply(circuit: &WiredCircuit<'_>, voice: &Voice) -> SafeStep {
    let name = ("circuit", &*circuit.kit.title);
    let Some(fuse) = circuit.fuse else {
        let step = plain("battery", voice);
        return SafeStep { how: voice.with("safe-battery-how", &[name]), ..step };
    };
    let rating = rating(fuse, voice);
    let (place, out) = (place(circuit, fuse, voice), voice.say(how_out(fuse)));
    SafeStep {
        what: voice.with("safe-supply", &[("rating", &rating)]),
        how: format!("{}: {place}. {out}", circuit.kit.title),
    }
}

fn how_out(fuse: FittedFuse) -> &'static str {
    match fuse.form {
        FuseForm::BladeMini | FuseForm::Blade | FuseForm::BladeHigh => "safe-blade-out",
        FuseForm::Strip30 | FuseForm::Strip51 | FuseForm::SingleBolt => "safe-bolted-out",
    }
}

/// Every other fuse, so that nothing feeds back.
fn others(wired: &Wiring<'_>, voice: &Voice) -> Option<SafeStep> {
    let numbered = (1..).zip(&wired.circuits);
    let numbers: Vec<String> = numbered
        .filter(|(_, c)| c.kit.purpose != Purpose::Supply && c.fuse.is_some())
        .map(|(number, _): (usize, _)| number.to_string())
        .collect();
    let how = match numbers.as_slice() {
        [] => return None,
        [one] => voice.with("safe-others-one", &[("number", one)]),
        [first @ .., last] => {
            voice.with("safe-others-many", &[("numbers", &first.join(", ")), ("last", last)])
        }
    };
    Some(SafeStep { what: voice.say("safe-others"), how })
}

/// Where the meter goes: the terminals of the supply.
fn prove_dead(file: &JobFile, wired: &Wiring<'_>, voice: &Voice) -> SafeStep {
    let supply = wired.circuits.iter().find(|circuit| circuit.kit.purpose == Purpose::Supply);
    let of = |pole| supply?.terminals.iter().find(|terminal| terminal.pole == pole);
    let labels = [of(Pole::Positive), of(Pole::Negative)];
    let labels: Vec<&str> =
        labels.into_iter().flatten().map(|terminal| terminal.label.as_str()).collect();
    let at = if labels.is_empty() {
        voice.with("safe-dead-at-gear", &[("kit", &file.kit.title)])
    } else {
        voice.with("safe-dead-at", &[("terminals", &labels.join(", "))])
    };
    SafeStep { what: voice.say("safe-dead"), how: voice.with("safe-dead-how", &[("at", &at)]) }
}

fn keep_off(file: &JobFile, voice: &Voice) -> SafeStep {
    let how = match file.workshop.call().first() {
        Some(line) => voice.with("safe-keep-off-call", &[("call", line)]),
        None => voice.say("safe-keep-off-how"),
    };
    SafeStep { what: voice.say("safe-keep-off"), how }
}
