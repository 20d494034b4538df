//! What was measured, inspected, conceded, found wrong and put right.

use super::at;
use crate::acts::job::JobFile;
use crate::documents::gauge::{Gauge, GaugeLimits};
use crate::documents::paper::{
    ConcessionLine, DefectLine, InspectionLine, InspectionOutcome, MeasurementGroup,
    MeasurementLine, SupersededLine, VerdictWord,
};
use crate::domain::certificate::{LoadedLine, Record};
use crate::domain::entry::Payload;
use crate::domain::ids::Moment;
use crate::domain::job::{Recorded, StepState};
use crate::domain::number::physical;
use crate::domain::solar_open::OpenCircuit;
use crate::domain::step::{Limits, Phase, StepKind, Unit};
use crate::domain::verdict::{Judgement, Verdict};

/// Said at each step whose result was not sent by the phone itself.
const BY_FILE: &str = "came by file";

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
    Phase::ALL.into_iter().filter_map(move |phase| {
        let steps = file.state.phase(phase).filter(|s| s.step.kind.is_measurement());
        let lines: Vec<T> = steps.filter_map(&line).collect();
        (!lines.is_empty()).then(|| (phase.title().to_owned(), lines))
    })
}

pub(in crate::acts) fn measurement(file: &JobFile, state: &StepState) -> Option<MeasurementLine> {
    let result = state.result()?;
    let judgement = result.judged.as_ref().ok()?;
    let (value, unit) = value_and_unit(state, judgement);
    let with_unit = |figure: String| format!("{figure} {unit}").trim_end().to_owned();
    let instruments = file.instrument_labels(&result.body.payload);
    Some(MeasurementLine {
        number: state.number.to_string(),
        title: state.step.title.clone(),
        limit: judgement.limit_short(&state.step.kind),
        value,
        unit: unit.to_owned(),
        margin: judgement.margin.map(|m| with_unit(m.normalize().to_string())),
        instrument: (!instruments.is_empty()).then(|| instruments.join(", ")),
        uncertainty: judgement.uncertainty_shown().map(|u| with_unit(u.to_string())),
        verdict: word(judgement.verdict),
        gauge: gauge(state, judgement),
        by: file.name_of(result.act.person),
        at: at(result.act.recorded),
        remark: remark(state, judgement),
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
fn remark(state: &StepState, judgement: &Judgement) -> Option<String> {
    let raw = match &state.step.kind {
        StepKind::PathDrop { .. } => Some(judgement.value.clone()),
        _ => judgement.open_circuit.as_ref().map(OpenCircuit::remark),
    };
    let nth = state.history.len();
    let again = (nth > 1).then(|| format!("reading {nth}"));
    let by_file = state.loaded_by().map(|_| BY_FILE.to_owned());
    let parts: Vec<String> = raw.into_iter().chain(again).chain(by_file).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
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
    let inspected = file.state.steps.iter().filter(|s| !s.step.kind.is_measurement());
    inspected
        .filter_map(|state| {
            let result = state.result()?;
            let judgement = result.judged.as_ref().ok()?;
            let noted = matches!(state.step.kind, StepKind::Note | StepKind::Photo);
            Some(InspectionLine {
                number: state.number.to_string(),
                phase: state.step.phase.title().to_owned(),
                title: state.step.title.clone(),
                outcome: if state.concession.is_some() {
                    InspectionOutcome::Conceded
                } else {
                    InspectionOutcome::Done
                },
                remark: inspected_remark(state, noted.then(|| judgement.value.clone())),
                by: file.name_of(result.act.person),
                at: at(result.act.recorded),
            })
        })
        .collect()
}

fn inspected_remark(state: &StepState, noted: Option<String>) -> Option<String> {
    let by_file = state.loaded_by().map(|_| BY_FILE.to_owned());
    let parts: Vec<String> = noted.into_iter().chain(by_file).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Whose entries came by a phone's file, who loaded them, and which file it was.
pub(super) fn loaded(record: &Record) -> Vec<String> {
    let line = |line: &LoadedLine| {
        let at = Moment::parse(&line.at).map_or_else(|| line.at.clone(), at);
        format!(
            "Entries of {} came by their phone's file and were not sent by the phone itself; loaded by \
             {}, {at} ({} entries, file {}…). Such steps say \u{201c}{BY_FILE}\u{201d}.",
            line.person,
            line.loaded_by,
            line.entries,
            line.file_sha256.get(..16).unwrap_or_default()
        )
    };
    record.loaded.iter().map(line).collect()
}

pub(in crate::acts) fn concessions(file: &JobFile) -> Vec<ConcessionLine> {
    let conceded = file.state.steps.iter().filter_map(|s| Some((s, s.concession.as_ref()?)));
    conceded
        .map(|(state, words)| ConcessionLine {
            about: state.number.to_string(),
            what: state.step.title.clone(),
            reason: words.text.clone(),
            by: file.name_of(words.act.person),
            at: at(words.act.received),
        })
        .collect()
}

/// Steps that failed once, with what was done about it and the passing re-test.
pub(super) fn defects(file: &JobFile) -> Vec<DefectLine> {
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
            found: format!("{}, {}", value(failed), at(failed.act.recorded)),
            corrected: if done.is_empty() { "Not described".to_owned() } else { done.join(" ") },
            closed: format!("{}, {}", value(result), at(result.act.recorded)),
        })
    })
    .collect()
}

/// Every judged result that a later one took the place of.
pub(super) fn superseded(file: &JobFile) -> Vec<SupersededLine> {
    let of_step = |state: &StepState| -> Vec<SupersededLine> {
        let Some(result) = state.result() else { return Vec::new() };
        let earlier = state.history.iter().filter(|r| r.act.seq != result.act.seq);
        earlier
            .filter_map(|r| {
                Some(SupersededLine {
                    number: state.number.to_string(),
                    title: state.step.title.clone(),
                    value: value(r),
                    limit: limit(r, state),
                    verdict: word(r.verdict()?),
                    by: file.name_of(r.act.person),
                    at: at(r.act.recorded),
                    replaced_by: format!("{}, {}", value(result), at(result.act.recorded)),
                })
            })
            .collect()
    };
    file.state.steps.iter().flat_map(of_step).collect()
}

fn limit(result: &Recorded, state: &StepState) -> String {
    match &result.judged {
        Ok(judgement) => judgement.limit_words(&state.step.kind),
        Err(_) => state.step.kind.limit_words(),
    }
}

fn value(result: &Recorded) -> String {
    match &result.judged {
        Ok(judgement) => judgement.value.clone(),
        Err(_) => result.body.payload.value_words(),
    }
}
