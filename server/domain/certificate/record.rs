//! The record of a job as it stands inside its certificate: everything that the paper says, for machines.
//!
//! The customer's name and contact are not in it, so that they can be erased while the record and
//! the register stay whole.

use serde::Serialize;

use super::super::entry::Payload;
use super::super::ids::{InstrumentId, JobId, Moment, PersonId};
use super::super::instrument::Instrument;
use super::super::job::{JobState, Recorded, StepState};
use super::super::seal::hex;
use super::super::step::StepKind;
use super::super::verdict::{Judgement, Verdict};
use super::fitted::{KitLine, VehicleLine};
use super::loaded::{LoadedLine, loaded_lines};

/// Name and version of this format.
const FORMAT: &str = "fusewright-record/1";
/// How limits are applied, in the words of the standards.
pub(super) const DECISION_RULE: &str = "Guarded acceptance: pass when inside each limit by at least the expanded \
    uncertainty U (k = 2) of the instrument, fail when outside a limit, inconclusive between. \
    ILAC-G8:09/2019, 4.2.2 with w = U; U = 2a/√3 with a from the instrument's specification, \
    JCGM 100:2008, 4.3.7.";

/// What the record needs beside the folded job.
#[derive(Clone, Copy)]
pub struct Facts<'a> {
    pub number: &'a str,
    /// The number of the certificate whose place it takes, as it stands on the paper.
    pub replaces: Option<&'a str>,
    /// Of a re-inspection: the number of the certificate that it measures again, as it stands on the paper.
    pub reinspection_of: Option<&'a str>,
    pub job: JobId,
    pub job_number: u64,
    pub workshop: &'a str,
    pub kit: &'a KitLine,
    pub vehicle: &'a VehicleLine,
    pub plan_sha256: &'a str,
    pub instruments: &'a [Instrument],
    pub name_of: &'a dyn Fn(PersonId) -> String,
    pub issued: Moment,
    pub register_index: u64,
    pub register_prev: &'a [u8; 32],
    pub seal_fingerprint: &'a [u8; 32],
    pub program: &'a str,
}

/// One step with its result.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StepLine {
    pub number: usize,
    pub key: String,
    pub phase: &'static str,
    pub title: String,
    pub kind: &'static str,
    /// Empty for steps without a limit.
    pub limit: String,
    pub basis: Option<String>,
    pub value: String,
    pub figure: Option<String>,
    pub unit: Option<&'static str>,
    pub uncertainty: Option<String>,
    pub margin: Option<String>,
    pub verdict: Verdict,
    pub instruments: Vec<InstrumentId>,
    pub photos: Vec<String>,
    pub person: String,
    pub recorded: String,
    pub received: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loaded_by: Option<String>,
    pub seq: u64,
    /// Results of this step that did not stand.
    pub earlier: Vec<EarlierLine>,
    pub remarks: Vec<String>,
    pub concession: Option<ConcessionLine>,
}

/// A result that was recorded and replaced, re-opened or not counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EarlierLine {
    pub value: String,
    pub verdict: Option<Verdict>,
    pub sentence: String,
    pub person: String,
    pub recorded: String,
    pub seq: u64,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ConcessionLine {
    pub reason: String,
    pub person: String,
    pub at: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AcknowledgedLine {
    pub finding: String,
    pub reason: String,
    pub person: String,
    pub at: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InstrumentLine {
    pub id: InstrumentId,
    pub label: String,
    pub kind: String,
    pub serial: String,
    pub calibrated: String,
    pub due: String,
    pub calibration: String,
}

/// A signature of a person under the work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WorkLine {
    pub person: String,
    pub signed_as: String,
    pub strokes: String,
    pub at: String,
    pub seq: u64,
}

/// The whole record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Record {
    pub format: &'static str,
    pub number: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub replaces: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reinspection_of: Option<String>,
    pub issued: String,
    pub workshop: String,
    pub job: JobId,
    pub job_number: u64,
    pub kit: KitLine,
    pub vehicle: VehicleLine,
    pub plan_edition: u32,
    pub plan_sha256: String,
    pub sheet_edition: u32,
    pub sheet_sha256: String,
    pub decision_rule: &'static str,
    pub steps: Vec<StepLine>,
    pub acknowledged: Vec<AcknowledgedLine>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub loaded: Vec<LoadedLine>,
    pub instruments: Vec<InstrumentLine>,
    pub submitted: WorkLine,
    pub released: WorkLine,
    pub same_person: bool,
    pub entry_count: u64,
    pub head: String,
    pub register_index: u64,
    pub register_prev: String,
    pub seal_fingerprint: String,
    pub program: String,
}

impl Record {
    /// The record of a released job; `None` unless it is released with nothing open. This is the
    /// only way to a certificate, and it looks at the folded entries alone.
    pub fn of(state: &JobState, facts: Facts<'_>) -> Option<Self> {
        let (submitted, released) = state.submitted.as_ref().zip(state.released.as_ref())?;
        let sheet = state.sheet.as_ref()?;
        if !super::super::release::open_points(state).is_empty() {
            return None;
        }
        let steps: Option<Vec<StepLine>> =
            state.steps.iter().map(|step| step_line(step, facts.name_of)).collect();
        Some(Self {
            format: FORMAT,
            number: facts.number.to_owned(),
            replaces: facts.replaces.map(str::to_owned),
            reinspection_of: facts.reinspection_of.map(str::to_owned),
            issued: facts.issued.rfc3339(),
            workshop: facts.workshop.to_owned(),
            job: facts.job,
            job_number: facts.job_number,
            kit: facts.kit.clone(),
            vehicle: facts.vehicle.clone(),
            plan_edition: sheet.plan_edition,
            plan_sha256: facts.plan_sha256.to_owned(),
            sheet_edition: sheet.edition,
            sheet_sha256: sheet.digest().to_string(),
            decision_rule: DECISION_RULE,
            instruments: instrument_lines(state, facts.instruments),
            steps: steps?,
            loaded: loaded_lines(state, facts.name_of),
            acknowledged: acknowledged(state, sheet.plan_edition, facts.name_of),
            submitted: work_line(submitted, facts.name_of),
            released: work_line(released, facts.name_of),
            same_person: released.same_person,
            entry_count: state.entry_count,
            head: state.head.map(|head| hex(&head))?,
            register_index: facts.register_index,
            register_prev: hex(facts.register_prev),
            seal_fingerprint: hex(facts.seal_fingerprint),
            program: facts.program.to_owned(),
        })
    }

    /// The exact bytes that are attached to the paper and hashed into the register.
    pub fn text(&self) -> Vec<u8> {
        // A record holds only strings, numbers and lists: writing it as JSON cannot fail.
        serde_json::to_vec_pretty(self).unwrap_or_default()
    }
}

type NameOf<'a> = &'a dyn Fn(PersonId) -> String;

/// `None` if the step has neither a result nor a concession.
fn step_line(state: &StepState, name_of: NameOf<'_>) -> Option<StepLine> {
    let result = state.result()?;
    let judgement = result.judged.as_ref().ok()?;
    Some(StepLine {
        number: state.number,
        key: state.step.key.clone(),
        phase: state.step.phase.title(),
        title: state.step.title.clone(),
        kind: state.step.kind.word(),
        limit: judgement.limit_words(&state.step.kind),
        basis: state.step.basis.clone(),
        value: judgement.value.clone(),
        figure: judgement.figure.map(|(figure, _)| figure.to_string()),
        unit: judgement.figure.map(|(_, unit)| unit.symbol()),
        uncertainty: judgement.uncertainty.map(|u| u.normalize().to_string()),
        margin: judgement.margin.map(|m| m.normalize().to_string()),
        verdict: judgement.verdict,
        instruments: result.body.payload.instruments(),
        photos: state.photos().map(ToString::to_string).collect(),
        person: name_of(result.act.person),
        recorded: result.act.recorded.rfc3339(),
        received: result.act.received.rfc3339(),
        loaded_by: result.loaded_by.map(name_of),
        seq: result.act.seq,
        earlier: state
            .history
            .iter()
            .filter(|earlier| earlier.act.seq != result.act.seq)
            .map(|earlier| earlier_line(earlier, name_of))
            .collect(),
        remarks: state.remarks.iter().map(|words| words.text.clone()).collect(),
        concession: state.concession.as_ref().map(|words| ConcessionLine {
            reason: words.text.clone(),
            person: name_of(words.act.person),
            at: words.act.received.rfc3339(),
        }),
    })
}

fn earlier_line(result: &Recorded, name_of: NameOf<'_>) -> EarlierLine {
    let (value, sentence) = match &result.judged {
        Ok(judgement) => (judgement.value.clone(), judgement.sentence.clone()),
        Err(not_counted) => (result.body.payload.value_words(), not_counted.0.clone()),
    };
    EarlierLine {
        value,
        verdict: result.verdict(),
        sentence,
        person: name_of(result.act.person),
        recorded: result.act.recorded.rfc3339(),
        seq: result.act.seq,
    }
}

fn acknowledged(state: &JobState, plan: u32, name_of: NameOf<'_>) -> Vec<AcknowledgedLine> {
    let of_plan = state.acknowledged.iter().filter(|a| a.plan == plan);
    of_plan
        .map(|a| AcknowledgedLine {
            finding: a.finding.clone(),
            reason: a.reason.clone(),
            person: name_of(a.act.person),
            at: a.act.received.rfc3339(),
        })
        .collect()
}

fn work_line(signed: &super::super::job::Signed, name_of: NameOf<'_>) -> WorkLine {
    WorkLine {
        person: name_of(signed.act.person),
        signed_as: signed.signature.name.clone(),
        strokes: signed.signature.strokes.clone(),
        at: signed.act.received.rfc3339(),
        seq: signed.act.seq,
    }
}

/// The instruments behind the standing results, each with the calibration that was valid then.
fn instrument_lines(state: &JobState, known: &[Instrument]) -> Vec<InstrumentLine> {
    let mut lines: Vec<InstrumentLine> = Vec::new();
    // What was found later changes no certificate.
    let released = state.released.as_ref().map_or(Moment(i64::MAX), |signed| signed.act.received);
    for result in state.steps.iter().filter_map(StepState::result) {
        let at = result.act.recorded.min(result.act.received);
        for id in result.body.payload.instruments() {
            let Some(instrument) = known.iter().find(|known| known.id == id) else { continue };
            let instrument = instrument.as_known_before(released);
            let Some(calibration) = instrument.calibration_at(at) else { continue };
            let line = InstrumentLine {
                id,
                label: instrument.label.clone(),
                kind: instrument.kind.clone(),
                serial: instrument.serial.clone(),
                calibrated: calibration.done_on.clone(),
                due: calibration.due_on.clone(),
                calibration: calibration.certificate.clone(),
            };
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines
}

impl Payload {
    /// The instruments that an entry was made with.
    pub fn instruments(&self) -> Vec<InstrumentId> {
        match self {
            Self::Torque { instrument, .. } | Self::Reading { instrument, .. } => vec![*instrument],
            Self::PathDrop { instrument, current_instrument, .. } => {
                vec![*instrument, *current_instrument]
            }
            Self::SolarOpen { instrument, thermometer, .. } => vec![*instrument, *thermometer],
            _ => Vec::new(),
        }
    }

    /// What was typed, for entries that could not be judged.
    pub fn value_words(&self) -> String {
        match self {
            Self::Torque { value, .. } | Self::Reading { value, .. } => value.to_string(),
            Self::Fuse { rating_a } => format!("{rating_a} A"),
            Self::PathDrop { drop_v, current_a, .. } => format!("{drop_v} V at {current_a} A"),
            Self::SolarOpen { voltage_v, cell_c, .. } => format!("{voltage_v} V at {cell_c} °C"),
            Self::Order { labels } => labels.join(" · "),
            Self::Note { text } | Self::Unable { reason: text } => text.clone(),
            other => other.word().to_owned(),
        }
    }
}

impl StepKind {
    /// The limit for a narrow column: a whole row of terminals stands elsewhere.
    pub fn limit_short(&self) -> String {
        match self {
            Self::Order { .. } => "the kit's order".to_owned(),
            Self::SolarOpen { tolerance_percent, .. } => {
                format!("±{tolerance_percent} % of expected")
            }
            other => other.limit_words(),
        }
    }

    /// The limit as printed, or nothing.
    pub fn limit_words(&self) -> String {
        use super::super::step::Unit;
        match self {
            Self::Confirm | Self::Photo | Self::Note => String::new(),
            Self::Torque { limits } => limits.words(Unit::NewtonMetre),
            Self::Fuse { rating_a, .. } => format!("{} A", rating_a.normalize()),
            Self::Order { expected, .. } => expected.join(" · "),
            Self::Reading { unit, limits } => limits.words(*unit),
            Self::PathDrop { resistance_max_milliohm, .. } => {
                format!("at most {resistance_max_milliohm} mΩ")
            }
            Self::SolarOpen { string_voc_v, percent_per_k, tolerance_percent, upper_v, .. } => {
                format!(
                    "{string_voc_v} V at 25 °C, {percent_per_k} %/K, ±{tolerance_percent} %; at most \
                     {upper_v} V"
                )
            }
        }
    }
}

impl Judgement {
    /// The limit as printed beside a result, or nothing.
    pub fn limit_words(&self, kind: &StepKind) -> String {
        self.own_words().unwrap_or_else(|| kind.limit_words())
    }

    /// The same for a narrow column.
    pub fn limit_short(&self, kind: &StepKind) -> String {
        self.own_words().unwrap_or_else(|| kind.limit_short())
    }

    fn own_words(&self) -> Option<String> {
        let (_, unit) = self.figure?;
        self.own_limits().map(|limits| limits.words(unit))
    }
}
