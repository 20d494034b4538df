//! Results in plain words beside the numbers: every measurement, its value as it was typed.

use crate::acts::job::JobFile;
use crate::acts::paper::results::{by_phase, measurement};
use crate::documents::handover::{ResultGroup, ResultLine};
use crate::domain::job::StepState;
use crate::domain::step::{StepKind, Unit};
use crate::domain::verdict::Verdict;

/// Every result of a measuring step, by phase, in the order of the sheet.
pub(super) fn results(file: &JobFile) -> Vec<ResultGroup> {
    let groups = by_phase(file, |state| line(file, state));
    groups.map(|(phase, lines)| ResultGroup { phase, lines }).collect()
}

fn line(file: &JobFile, state: &StepState) -> Option<ResultLine> {
    let measured = measurement(file, state)?;
    Some(ResultLine {
        number: measured.number,
        title: measured.title,
        plain: plain(state),
        value: measured.value,
        unit: measured.unit,
        limit: measured.limit,
        remark: measured.remark,
    })
}

/// What it means that this passed; what has not passed speaks for itself.
fn plain(state: &StepState) -> String {
    match state.result().and_then(|result| result.judged.as_ref().ok()) {
        Some(judged) if judged.verdict == Verdict::Pass => {
            meaning(&state.step.kind, &state.step.key)
        }
        Some(judged) => &judged.sentence,
        None => "No result.",
    }
    .to_owned()
}

fn meaning(kind: &StepKind, key: &str) -> &'static str {
    match kind {
        StepKind::Torque { .. } => "As tight as it should be.",
        StepKind::Fuse { .. } => "The planned fuse is in the holder.",
        StepKind::Order { .. } => "Every conductor is on its own terminal.",
        StepKind::PathDrop { .. } => "Cable and joints pass the current as planned.",
        StepKind::SolarOpen { .. } => "The modules give their voltage, the right way round.",
        StepKind::Reading { unit, .. } => of_reading(*unit, key),
        StepKind::Confirm | StepKind::Photo | StepKind::Note => "Done.",
    }
}

/// By the key of the step, which lasts; else by what was read.
fn of_reading(unit: Unit, key: &str) -> &'static str {
    let named = match key.rsplit('.').next().unwrap_or_default() {
        "dead" => Some("The wiring was without voltage while it was worked on."),
        "battery_rested" => Some("The vehicle battery was in good charge."),
        "battery_charging" => Some("The vehicle charges its battery as it should."),
        "charge_current" => Some("The gear charges with the current it is made for."),
        "charge_voltage" => Some("The gear charges with the voltage it is made for."),
        "sense_on" => Some("The gear knows that the engine runs."),
        "sense_off" => Some("The gear knows that the engine stands."),
        "sense_cranking" => Some("Starting the engine does not disturb the gear."),
        "bond" => Some("The way back through the body is good."),
        "rise" => Some("No terminal gets too warm under load."),
        "standing" => Some("What the gear draws while the vehicle sleeps is small enough."),
        "insulation" => Some("No current leaks to the body of the vehicle."),
        _ => None,
    };
    named.unwrap_or(match unit {
        Unit::Megohm => "No current leaks to the body of the vehicle.",
        _ => "Inside its limits.",
    })
}
