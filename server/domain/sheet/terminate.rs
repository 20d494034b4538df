//! Steps that make the joints and protect the circuits.

use super::{Making, Phase, Step, StepKind, step};
use crate::domain::kit::{Circuit, Terminal, Torque};
use crate::domain::number::Decimal;
use crate::domain::plan::FusePick;
use crate::engineering::units::Amps;

const SOLAR_LIVE: &str =
    "A solar module in daylight is live. Cover it, or leave its plug apart, while you work.";
/// Ratings shown beside the planned one, so that reading back is reading and not agreeing.
const FUSE_CHOICES: usize = 8;

pub(super) fn terminate(making: Making<'_>, steps: &mut Vec<Step>) {
    for (at, terminal) in (1..).zip(&making.kit.terminals) {
        steps.push(made(making, at, terminal));
    }
    steps.push(order(making));
    for (at, terminal) in (1..).zip(&making.kit.terminals) {
        if let Some(torque) = &terminal.torque {
            steps.push(stud(at, terminal, torque));
        }
    }
    for joint in &making.kit.joints {
        steps.push(torque_step(
            &format!("joint_{}.torque", joint.id),
            &joint.title,
            "Lug flat on its face, one smooth pull.",
            &joint.torque,
            &joint.page,
        ));
    }
    steps.push(step(
        Phase::Terminate,
        "cover",
        "Covers on",
        "Every live terminal covered, boots pushed home.",
        StepKind::Confirm,
    ));
}

/// Lug or bare end made for one terminal.
fn made(making: Making<'_>, at: u32, terminal: &Terminal) -> Step {
    let cable = making
        .plan
        .circuit(&terminal.circuit)
        .map_or_else(|| "the cable".to_owned(), |plan| plan.cable.label().to_owned());
    let strip =
        terminal.strip_mm.map_or_else(String::new, |mm| format!("Strip {} mm. ", mm.normalize()));
    let end = terminal.stud.as_ref().map_or_else(
        || "No strand outside. Pull hard once.".to_owned(),
        |stud| format!("Lug for {stud} and {cable}. Crimp, then pull hard once."),
    );
    let made = step(
        Phase::Terminate,
        &format!("{}.crimp", key_part(at, &terminal.label)),
        &format!("Conductor {} for {}", terminal.colour, terminal.label),
        &format!("{strip}{end}"),
        StepKind::Confirm,
    );
    let solar = making
        .kit
        .circuit(&terminal.circuit)
        .is_some_and(|circuit| circuit.purpose == crate::domain::kit::Purpose::Solar);
    if solar { made.caution(SOLAR_LIVE) } else { made }
}

fn order(making: Making<'_>) -> Step {
    let expected: Vec<String> = making.kit.terminals.iter().map(|t| t.label.clone()).collect();
    let mut choices = expected.clone();
    choices.sort();
    step(
        Phase::Terminate,
        "order",
        "Terminal order, as seen, left to right",
        "Stand in front of the row. Tap what is **really there**, from the left.",
        StepKind::Order { expected, choices },
    )
    .because("The kit's terminal row.")
}

fn stud(at: u32, terminal: &Terminal, torque: &Torque) -> Step {
    let how = format!(
        "{} nut. **Hold the cable so that the stud cannot turn.**",
        terminal.stud.as_deref().unwrap_or("Clamp screw")
    );
    torque_step(
        &format!("{}.torque", key_part(at, &terminal.label)),
        &format!("Torque terminal {}", terminal.label),
        &how,
        torque,
        &terminal.page,
    )
}

fn torque_step(name: &str, title: &str, how: &str, torque: &Torque, page: &str) -> Step {
    let basis = format!(
        "{} N·m ± {} %, {page}.",
        torque.target_nm.normalize(),
        torque.tolerance_percent.normalize()
    );
    step(Phase::Terminate, name, title, how, StepKind::Torque { limits: torque.limits() })
        .because(&basis)
}

pub(super) fn protect(making: Making<'_>, steps: &mut Vec<Step>) {
    for plan in &making.plan.circuits {
        let Some((circuit, pick)) = making.kit.circuit(&plan.circuit).zip(plan.fuse) else {
            continue;
        };
        fuse(circuit, pick, steps);
    }
}

fn fuse(circuit: &Circuit, pick: FusePick, steps: &mut Vec<Step>) {
    let Some(asked) = circuit.fuse else { return };
    let place = format!(
        "Holder for a {}, at most {} mm along the cable from the source.",
        asked.form.label(),
        asked.distance_max_mm.min(pick.distance_mm).normalize()
    );
    steps.push(step(
        Phase::Protect,
        &format!("{}.fuse_place", circuit.id),
        &format!("Fuse holder in place: {}", circuit.title),
        &place,
        StepKind::Confirm,
    ));
    steps.push(
        step(
            Phase::Protect,
            &format!("{}.fuse", circuit.id),
            &format!("Read the fuse: {}", circuit.title),
            "Read the rating off the fuse in your hand, then put it beside its holder, not in.",
            StepKind::Fuse {
                rating_a: pick.rating_a,
                choices_a: choices(asked.form.ratings(), pick.rating_a),
            },
        )
        .because("The rating picked in the plan."),
    );
    steps.push(step(
        Phase::Protect,
        &format!("{}.label", circuit.id),
        &format!("Label fitted: {}", circuit.title),
        "Circuit, rating and where it goes, readable with the cover off.",
        StepKind::Confirm,
    ));
}

/// A run of neighbouring ratings that holds the planned one, never always in the same place.
fn choices(ratings: &[Amps], planned: Decimal) -> Vec<Decimal> {
    let all: Vec<Decimal> =
        ratings.iter().filter_map(|a| Decimal::try_from(a.0).ok()).map(|a| a.normalize()).collect();
    let at = all.iter().position(|a| *a == planned).unwrap_or(0);
    let start = at.saturating_sub(at % 5 + 1).min(all.len().saturating_sub(FUSE_CHOICES));
    all.into_iter().skip(start).take(FUSE_CHOICES).collect()
}

/// The part of a step key that stands for a terminal: place and label, `1_b_plus`.
fn key_part(at: u32, label: &str) -> String {
    let mut part = format!("{at}_");
    for c in label.chars() {
        match c {
            '+' => part.push_str("_plus"),
            '-' | '\u{2212}' => part.push_str("_minus"),
            c if c.is_ascii_alphanumeric() => part.push(c.to_ascii_lowercase()),
            _ => part.push('_'),
        }
    }
    part
}
