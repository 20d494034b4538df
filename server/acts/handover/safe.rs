//! "Make it safe": how the gear is isolated, in safe order, for what is fitted here. The maker's
//! instructions come first everywhere.

use super::fuses::place;
use crate::acts::job::JobFile;
use crate::documents::handover::SafeStep;
use crate::domain::kit::{Pole, Purpose};
use crate::domain::wiring::{FittedFuse, WiredCircuit, Wiring};
use crate::engineering::fuse::FuseForm;

/// Loads, then what charges, then the supply, then the proof.
pub(super) fn steps(file: &JobFile, wired: &Wiring<'_>) -> Vec<SafeStep> {
    let mut steps = vec![loads(file), charging()];
    if wired.circuits.iter().any(|circuit| circuit.kit.purpose == Purpose::Solar) {
        steps.push(solar());
    }
    let of = |purpose| wired.circuits.iter().filter(move |circuit| circuit.kit.purpose == purpose);
    steps.extend(of(Purpose::Supply).map(supply));
    steps.extend(others(wired));
    steps.push(prove_dead(file, wired));
    steps.push(keep_off(file));
    steps
}

fn step(what: impl Into<String>, how: impl Into<String>) -> SafeStep {
    SafeStep { what: what.into(), how: how.into() }
}

fn loads(file: &JobFile) -> SafeStep {
    let pack = file.kit.charging.as_ref().is_some_and(|charging| charging.pack_wh.is_some());
    let stays = if pack {
        " A power pack keeps its charge: its own outlets stay live until it is switched off as its maker says."
    } else {
        ""
    };
    step(
        "Switch every load off",
        format!("Each appliance first, then the gear itself as its maker says.{stays}"),
    )
}

fn charging() -> SafeStep {
    step("Stop whatever charges", "Engine off, key out. Unplug a mains charger at the wall.")
}

fn solar() -> SafeStep {
    step(
        "Take the sun off the solar modules",
        "Cover them with something that lets no light through, then open their disconnect or unplug \
         them. A module in daylight is live, and a connector pulled under load burns.",
    )
}

/// The fuse at the battery; what is bolted wants the battery's negative off first.
fn supply(circuit: &WiredCircuit<'_>) -> SafeStep {
    let Some(fuse) = circuit.fuse else {
        return step(
            "Disconnect the vehicle battery, negative first",
            format!(
                "{} has no fuse of its own. Follow the vehicle maker\u{2019}s instructions.",
                circuit.kit.title
            ),
        );
    };
    let what = format!("Take out the {} A fuse at the vehicle battery", fuse.rating_a.normalize());
    step(what, format!("{}: {}. {}", circuit.kit.title, place(circuit, fuse), how_out(fuse)))
}

fn how_out(fuse: FittedFuse) -> &'static str {
    match fuse.form {
        FuseForm::BladeMini | FuseForm::Blade | FuseForm::BladeHigh => {
            "Pull it straight out. If it is hot, leave it and call the workshop."
        }
        FuseForm::Strip30 | FuseForm::Strip51 | FuseForm::SingleBolt => {
            "It is bolted: rings and watches off, the battery\u{2019}s negative clamp comes off first, \
             with an insulated tool. Not sure? Leave it and call the workshop."
        }
    }
}

/// Every other fuse, so that nothing feeds back.
fn others(wired: &Wiring<'_>) -> Option<SafeStep> {
    let numbered = (1..).zip(&wired.circuits);
    let numbers: Vec<String> = numbered
        .filter(|(_, c)| c.kit.purpose != Purpose::Supply && c.fuse.is_some())
        .map(|(number, _): (usize, _)| number.to_string())
        .collect();
    let list = match numbers.as_slice() {
        [] => return None,
        [one] => format!("fuse {one}"),
        [first @ .., last] => format!("fuses {} and {last}", first.join(", ")),
    };
    Some(step(
        "Take out the other fuses",
        format!(
            "Take out {list} of \u{201c}Find the fuse\u{201d}, so that nothing feeds back. A second battery keeps its charge."
        ),
    ))
}

/// Where the meter goes: the terminals of the supply.
fn prove_dead(file: &JobFile, wired: &Wiring<'_>) -> SafeStep {
    let supply = wired.circuits.iter().find(|circuit| circuit.kit.purpose == Purpose::Supply);
    let labels = supply.map(|circuit| {
        let of = |pole| circuit.terminals.iter().find(move |terminal| terminal.pole == pole);
        let labels: Vec<&str> = [of(Pole::Positive), of(Pole::Negative)]
            .into_iter()
            .flatten()
            .map(|terminal| terminal.label.as_str())
            .collect();
        labels.join(" and ")
    });
    let at = match labels.as_deref() {
        None | Some("") => format!("at the supply terminals of {}", file.kit.title),
        Some(labels) => format!("at the supply terminals ({labels})"),
    };
    step(
        "Prove it dead",
        format!(
            "With a meter: first on a battery that is live, then {at}, then on the live battery again. \
             It is dead below half a volt. Anything more: touch nothing and call the workshop."
        ),
    )
}

fn keep_off(file: &JobFile) -> SafeStep {
    let call = file.workshop.call().first().map_or_else(String::new, |line| format!(", {line}"));
    step(
        "Keep it off",
        format!(
            "Keep the fuses with you, leave a note at the holder, and call the workshop{call}. \
             Nothing goes back in before the cause is found."
        ),
    )
}
