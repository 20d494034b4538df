//! Results in plain words beside the numbers: every measurement, its value as it was typed.

use crate::acts::job::JobFile;
use crate::acts::paper::results::{by_phase, measurement};
use crate::documents::handover::{ResultGroup, ResultLine};
use crate::documents::voice::Voice;
use crate::domain::job::StepState;
use crate::domain::step::{StepKind, Unit};
use crate::domain::verdict::Verdict;

/// Every result of a measuring step, by phase, in the order of the sheet.
pub(super) fn results(file: &JobFile) -> Vec<ResultGroup> {
    let voice = &file.voice();
    let groups = by_phase(file, |state| line(file, state, voice));
    groups.map(|(phase, lines)| ResultGroup { phase, lines }).collect()
}

fn line(file: &JobFile, state: &StepState, voice: &Voice) -> Option<ResultLine> {
    let measured = measurement(file, state)?;
    Some(ResultLine {
        number: measured.number,
        title: measured.title,
        plain: plain(state, voice),
        value: measured.value,
        unit: measured.unit,
        limit: measured.limit,
        remark: measured.remark,
    })
}

/// What it means that this passed; what has not passed speaks for itself.
fn plain(state: &StepState, voice: &Voice) -> String {
    match state.result().and_then(|result| result.judged.as_ref().ok()) {
        Some(judged) if judged.verdict == Verdict::Pass => {
            voice.say(meaning(&state.step.kind, &state.step.key))
        }
        Some(judged) => judged.sentence.clone(),
        None => voice.say("plain-none"),
    }
}

/// The id of the sentence.
fn meaning(kind: &StepKind, key: &str) -> &'static str {
    match kind {
        StepKind::Torque { .. } => "plain-torque",
        StepKind::Fuse { .. } => "plain-fuse",
        StepKind::Order { .. } => "plain-order",
        StepKind::PathDrop { .. } => "plain-path",
        StepKind::SolarOpen { .. } => "plain-solar",
        StepKind::Reading { unit, .. } => of_reading(*unit, key),
        StepKind::Confirm | StepKind::Photo | StepKind::Note => "plain-done",
    }
}

/// By the key of the step, which lasts; else by what was read.
fn of_reading(unit: Unit, key: &str) -> &'static str {
    match key.rsplit('.').next().unwrap_or_default() {
        "dead" => "plain-dead",
        "battery_rested" => "plain-battery-rested",
        "battery_charging" => "plain-battery-charging",
        "charge_current" => "plain-charge-current",
        "charge_voltage" => "plain-charge-voltage",
        "sense_on" => "plain-sense-on",
        "sense_off" => "plain-sense-off",
        "sense_cranking" => "plain-sense-cranking",
        "bond" => "plain-bond",
        "rise" => "plain-rise",
        "standing" => "plain-standing",
        _ if unit == Unit::Megohm => "plain-insulation",
        _ => "plain-inside",
    }
}
