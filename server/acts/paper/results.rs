//! What was measured, inspected, conceded, found wrong and put right.

use super::phase_title;
use crate::acts::job::JobFile;
use crate::documents::gauge::{Gauge, GaugeLimits};
use crate::documents::paper::{
    ConcessionLine, DefectLine, InspectionLine, InspectionOutcome, MeasurementGroup,
    MeasurementLine, SupersededLine, VerdictWord,
};
use crate::documents::voice::Voice;
use crate::domain::certificate::{LoadedLine, Record};
use crate::domain::entry::Payload;
use crate::domain::ids::Moment;
use crate::domain::job::{Recorded, StepState};
use crate::domain::number::physical;
use crate::domain::solar_open::OpenCircuit;
use crate::domain::step::{Limits, Phase, StepKind, Unit};
use crate::domain::verdict::{Judgement, Verdict};

/// Every result of a measuring step, by phase, in the order of the sheet.
pub(super) fn measurements(file: &JobFile) -> Vec<MeasurementGroup> {
    let groups = by_phase(file, |state| measurement(file, state));
    groups.map(|(phase, lines)| MeasurementGroup { phase, lines }).collect()
}

/// The measuring steps of each phase that has any, in the order of the sheet.
pub(in crate::acts) fn by_phase<T>(
    file: &JobFile,
    line: impl Fn(&StepState) -> Option<T>,
) -> impl Iterator<Item = (String, Vec<T>)> {
    let voice = file.voice();
    Phase::ALL.into_iter().filter_map(move |phase| {
        let steps = file.state.phase(phase).filter(|s| s.step.kind.is_measurement());
        let lines: Vec<T> = steps.filter_map(&line).collect();
        (!lines.is_empty()).then(|| (phase_title(phase, &voice), lines))
    })
}

pub(in crate::acts) fn measurement(file: &JobFile, state: &StepState) -> Option<MeasurementLine> {
    let result = state.result()?;
    let judgement = result.judged.as_ref().ok()?;
    let voice = file.voice();
    let (value, unit) = value_and_unit(state, judgement);
    let with_unit = |figure: String| voice.figures(format!("{figure} {unit}").trim_end());
    let instruments = file.instrument_labels(&result.body.payload);
    Some(MeasurementLine {
        number: state.number.to_string(),
        title: state.step.title.clone(),
        limit: voice.limit(&judgement.limit_short(&state.step.kind)),
        value: match state.step.kind {
            StepKind::Order { .. } => voice.say("order-read-back"),
            _ => voice.figures(&value),
        },
        unit: unit.to_owned(),
        margin: judgement.margin.map(|m| with_unit(m.normalize().to_string())),
        instrument: (!instruments.is_empty()).then(|| instruments.join(", ")),
        uncertainty: judgement.uncertainty_shown().map(|u| with_unit(u.to_string())),
        verdict: word(judgement.verdict),
        gauge: gauge(state, judgement),
        by: file.name_of(result.act.person),
        at: voice.at(result.act.recorded),
        remark: remark(state, judgement, &voice),
    })
}

/// Words have no unit.
fn value_and_unit(state: &StepState, judgement: &Judgement) -> (String, &'static str) {
    let fuse = state.result().and_then(|result| match &result.body.payload {
        Payload::Fuse { rating_a } => Some((rating_a.normalize(), Unit::Ampere)),
        _ => None,
    });
    match judgement.figure.or(fuse) {
        Some((figure, unit)) => (figure.to_string(), unit.symbol()),
        None => (state.short_value(), ""),
    }
}

/// The raw figures behind a path resistance, what a solar string was held against, and which reading
/// this is.
fn remark(state: &StepState, judgement: &Judgement, voice: &Voice) -> Option<String> {
    let raw = match &state.step.kind {
        StepKind::PathDrop { .. } => Some(drop_words(&judgement.value, voice)),
        _ => judgement.open_circuit.as_ref().map(|open| cells(open, voice)),
    };
    let figure = judgement.figure.filter(|_| judgement.verdict == Verdict::Pass);
    let others = figure.and_then(|(figure, unit)| voice.others(&format!("{figure} {unit}")));
    let nth = state.history.len();
    let again = (nth > 1).then(|| voice.with("reading-number", &[("number", &nth.to_string())]));
    let by_file = state.loaded_by().map(|_| voice.say("by-file"));
    let parts: Vec<String> = raw.into_iter().chain(others).chain(again).chain(by_file).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// The two figures behind a path resistance: `0.1132 V at 35.22 A`.
fn drop_words(value: &str, voice: &Voice) -> String {
    match value.split_once(" at ") {
        Some((drop, current)) => voice.with(
            "drop-at-current",
            &[("drop", &voice.figures(drop)), ("current", &voice.figures(current))],
        ),
        None => voice.figures(value),
    }
}

/// What a solar string was held against.
fn cells(open: &OpenCircuit, voice: &Voice) -> String {
    let (cell, expected) = open.remark_figures();
    voice.with(
        "cells-expected",
        &[("cell", &voice.value(&cell)), ("expected", &voice.figures(&expected))],
    )
}

fn gauge(state: &StepState, judgement: &Judgement) -> Option<Gauge> {
    let (figure, _) = judgement.figure?;
    let limits = match &state.step.kind {
        StepKind::Torque { limits } | StepKind::Reading { limits, .. } => limits.clone(),
        StepKind::PathDrop { resistance_max_milliohm, .. } => {
            Limits::at_most(*resistance_max_milliohm)
        }
        StepKind::SolarOpen { .. } => judgement.own_limits()?,
        _ => return None,
    };
    let limits = GaugeLimits { low: limits.lower.map(physical), high: limits.upper.map(physical) };
    Gauge::new(limits, judgement.uncertainty.map_or(0.0, physical), physical(figure))
}

fn word(verdict: Verdict) -> VerdictWord {
    match verdict {
        Verdict::Pass | Verdict::Done => VerdictWord::Pass,
        Verdict::Fail => VerdictWord::Fail,
        Verdict::Inconclusive => VerdictWord::Inconclusive,
        Verdict::Unable => VerdictWord::Open,
    }
}

/// Every step without a measurement, item by item.
pub(super) fn inspections(file: &JobFile) -> Vec<InspectionLine> {
    let voice = &file.voice();
    let inspected = file.state.steps.iter().filter(|s| !s.step.kind.is_measurement());
    inspected
        .filter_map(|state| {
            let result = state.result()?;
            let judgement = result.judged.as_ref().ok()?;
            Some(InspectionLine {
                number: state.number.to_string(),
                phase: phase_title(state.step.phase, voice),
                title: state.step.title.clone(),
                outcome: if state.concession.is_some() {
                    InspectionOutcome::Conceded
                } else {
                    InspectionOutcome::Done
                },
                remark: inspected_remark(state, judgement, voice),
                by: file.name_of(result.act.person),
                at: voice.at(result.act.recorded),
            })
        })
        .collect()
}

fn inspected_remark(state: &StepState, judgement: &Judgement, voice: &Voice) -> Option<String> {
    let noted = match state.step.kind {
        StepKind::Note => Some(judgement.value.clone()),
        StepKind::Photo if judgement.verdict == Verdict::Done => {
            let taken = state.result().map_or(0, |result| result.body.payload.photos().len());
            Some(voice.words.counted("photos", taken))
        }
        _ => None,
    };
    let by_file = state.loaded_by().map(|_| voice.say("by-file"));
    let parts: Vec<String> = noted.into_iter().chain(by_file).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Whose entries came by a phone's file, who loaded them, and which file it was.
pub(super) fn loaded(record: &Record, voice: &Voice) -> Vec<String> {
    let line = |line: &LoadedLine| {
        let at = Moment::parse(&line.at).map_or_else(|| line.at.clone(), |at| voice.at(at));
        voice.with(
            "entries-by-file",
            &[
                ("person", &line.person),
                ("loader", &line.loaded_by),
                ("at", &at),
                ("entries", &line.entries.to_string()),
                ("file", line.file_sha256.get(..16).unwrap_or_default()),
            ],
        )
    };
    record.loaded.iter().map(line).collect()
}

pub(in crate::acts) fn concessions(file: &JobFile) -> Vec<ConcessionLine> {
    let voice = file.voice();
    let conceded = file.state.steps.iter().filter_map(|s| Some((s, s.concession.as_ref()?)));
    conceded
        .map(|(state, words)| ConcessionLine {
            about: state.number.to_string(),
            what: state.step.title.clone(),
            reason: words.text.clone(),
            by: file.name_of(words.act.person),
            at: voice.at(words.act.received),
        })
        .collect()
}

/// Steps that failed once, with what was done about it and the passing re-test.
pub(super) fn defects(file: &JobFile) -> Vec<DefectLine> {
    let voice = file.voice();
    let had = file.state.steps.iter().filter(|state| state.had_defect());
    had.filter_map(|state| {
        let failed = state.history.iter().find(|r| r.verdict() == Some(Verdict::Fail))?;
        let result = state.result()?;
        let done: Vec<&str> = state
            .remarks
            .iter()
            .filter(|words| words.act.seq > failed.act.seq)
            .map(|words| words.text.as_str())
            .collect();
        Some(DefectLine {
            number: state.number.to_string(),
            what: state.step.title.clone(),
            found: dated(failed, &voice),
            corrected: if done.is_empty() { voice.say("not-described") } else { done.join(" ") },
            closed: dated(result, &voice),
        })
    })
    .collect()
}

/// Every judged result that a later one took the place of.
pub(super) fn superseded(file: &JobFile) -> Vec<SupersededLine> {
    let voice = &file.voice();
    let of_step = |state: &StepState| -> Vec<SupersededLine> {
        let Some(result) = state.result() else { return Vec::new() };
        let earlier = state.history.iter().filter(|r| r.act.seq != result.act.seq);
        earlier
            .filter_map(|r| {
                Some(SupersededLine {
                    number: state.number.to_string(),
                    title: state.step.title.clone(),
                    value: value(r, voice),
                    limit: limit(r, state, voice),
                    verdict: word(r.verdict()?),
                    by: file.name_of(r.act.person),
                    at: voice.at(r.act.recorded),
                    replaced_by: dated(result, voice),
                })
            })
            .collect()
    };
    file.state.steps.iter().flat_map(of_step).collect()
}

fn limit(result: &Recorded, state: &StepState, voice: &Voice) -> String {
    voice.limit(&match &result.judged {
        Ok(judgement) => judgement.limit_words(&state.step.kind),
        Err(_) => state.step.kind.limit_words(),
    })
}

/// In the unit it was read in: what failed is converted into no other.
fn value(result: &Recorded, voice: &Voice) -> String {
    voice.figures(&match &result.judged {
        Ok(judgement) => judgement.value.clone(),
        Err(_) => result.body.payload.value_words(),
    })
}

fn dated(result: &Recorded, voice: &Voice) -> String {
    format!("{}, {}", value(result, voice), voice.at(result.act.recorded))
}
