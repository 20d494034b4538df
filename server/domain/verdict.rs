//! What an entry says about its step: guarded acceptance, with the instrument's own uncertainty.
//!
//! A reading passes when it lies inside its limits by at least the expanded uncertainty, fails when
//! it lies outside a limit, and is inconclusive between (ILAC-G8:09/2019, 4.2.2 with w = U).
//! The phone shows a preview by the same rule (`static/judge.js`); this one counts.

use serde::{Deserialize, Serialize};

use super::diagnosis::Diagnosis;
use super::entry::{Entry, Payload};
use super::ids::{InstrumentId, Moment};
use super::instrument::Instrument;
use super::number::Decimal;
use super::solar_open::OpenCircuit;
use super::step::{Limits, Step, StepKind, Unit};

mod loaded_path;
mod open_string;

/// What a result is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// A step without a measurement, done as written.
    Done,
    /// A step without a measurement that could not be done; wants a concession.
    Unable,
    Pass,
    Fail,
    /// Nearer to a limit than the instrument can tell.
    Inconclusive,
}

impl Verdict {
    pub fn word(self) -> &'static str {
        match self {
            Self::Done => "Done",
            Self::Unable => "Not done",
            Self::Pass => "Pass",
            Self::Fail => "Fail",
            Self::Inconclusive => "Inconclusive",
        }
    }

    /// Whether the step is proved, without a concession.
    pub fn is_good(self) -> bool {
        matches!(self, Self::Done | Self::Pass)
    }
}

/// A verdict with the figures it rests on, ready to show.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Judgement {
    pub verdict: Verdict,
    /// The result as printed: `10.4 N·m`, `60 A`, `Done`.
    pub value: String,
    /// What it means and what to do.
    pub sentence: String,
    /// The judged figure and its unit, for gauges and charts.
    pub figure: Option<(Decimal, Unit)>,
    /// Expanded uncertainty, k = 2, in the same unit.
    pub uncertainty: Option<Decimal>,
    /// Distance to the nearest limit; negative outside.
    pub margin: Option<Decimal>,
    /// Of a path under load: what it has beyond its plan.
    pub diagnosis: Option<Diagnosis>,
    /// Of an open solar string: what it should give.
    pub open_circuit: Option<OpenCircuit>,
}

/// Why an entry is kept but not counted, as a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotCounted(pub String);

/// Judges an entry by its step. Nothing here looks at other entries.
pub fn judge(
    step: &Step,
    entry: &Entry,
    instruments: &[Instrument],
) -> Result<Judgement, NotCounted> {
    let bench = Bench { instruments, at: entry.body.recorded().min(entry.received) };
    match (&step.kind, &entry.body.payload) {
        (StepKind::Confirm, Payload::Confirm {}) => Ok(done("Done")),
        (StepKind::Photo, Payload::Photo { photos }) => Ok(done(&photo_count(photos.len()))),
        (StepKind::Note, Payload::Note { text }) => Ok(done(text)),
        (StepKind::Confirm | StepKind::Photo | StepKind::Note, Payload::Unable { reason }) => {
            Ok(plain(Verdict::Unable, "Not done", reason))
        }
        (StepKind::Torque { limits }, Payload::Torque { value, instrument }) => {
            bench.reading(*value, Unit::NewtonMetre, limits, *instrument)
        }
        (StepKind::Reading { unit, limits }, Payload::Reading { value, instrument }) => {
            bench.reading(*value, *unit, limits, *instrument)
        }
        (StepKind::Fuse { rating_a: planned, .. }, Payload::Fuse { rating_a }) => {
            Ok(fuse(*planned, *rating_a))
        }
        (StepKind::Order { expected, .. }, Payload::Order { labels }) => {
            Ok(order(expected, labels))
        }
        (StepKind::PathDrop { .. }, Payload::PathDrop { .. }) => bench.path_drop(step, entry),
        (StepKind::SolarOpen { .. }, Payload::SolarOpen { .. }) => bench.solar_open(step, entry),
        _ => Err(NotCounted(format!(
            "This entry is of kind {}, but the step wants {}. Record the step again",
            entry.body.payload.word(),
            step.kind.word()
        ))),
    }
}

fn done(value: &str) -> Judgement {
    plain(Verdict::Done, value, "Done as written.")
}

fn photo_count(count: usize) -> String {
    if count == 1 { "1 photo".to_owned() } else { format!("{count} photos") }
}

fn plain(verdict: Verdict, value: &str, sentence: &str) -> Judgement {
    Judgement {
        verdict,
        value: value.to_owned(),
        sentence: sentence.to_owned(),
        figure: None,
        uncertainty: None,
        margin: None,
        diagnosis: None,
        open_circuit: None,
    }
}

fn fuse(planned: Decimal, found: Decimal) -> Judgement {
    let value = format!("{} A", found.normalize());
    if planned == found {
        return plain(Verdict::Pass, &value, "The rating read off the fuse is the planned one.");
    }
    let sentence = format!(
        "{} A is planned here. Take this fuse out, fit the planned rating and read it again.",
        planned.normalize()
    );
    plain(Verdict::Fail, &value, &sentence)
}

fn order(expected: &[String], seen: &[String]) -> Judgement {
    let value = seen.join(" · ");
    if expected == seen {
        return plain(Verdict::Pass, &value, "The terminals stand in the kit's order.");
    }
    let wrong = expected.iter().zip(seen).position(|(a, b)| a != b);
    let sentence = match wrong {
        Some(at) if expected.len() == seen.len() => format!(
            "Position {} is not what the kit asks for. Isolate, put the row right and read it again.",
            at + 1
        ),
        _ => format!("The row has {} terminals. Read back all of them.", expected.len()),
    };
    plain(Verdict::Fail, &value, &sentence)
}

/// The instruments of the workshop, at the time of one entry.
struct Bench<'a> {
    instruments: &'a [Instrument],
    at: Moment,
}

impl Bench<'_> {
    fn uncertainty(
        &self,
        value: Decimal,
        unit: Unit,
        id: InstrumentId,
    ) -> Result<Decimal, NotCounted> {
        self.instruments
            .iter()
            .find(|instrument| instrument.id == id)
            .ok_or_else(|| {
                NotCounted(
                    "The instrument is not one of this workshop's. Choose another".to_owned(),
                )
            })?
            .uncertainty(value, unit, self.at)
            .map_err(|unfit| NotCounted(format!("{unfit}.")))
    }

    fn reading(
        &self,
        value: Decimal,
        unit: Unit,
        limits: &Limits,
        instrument: InstrumentId,
    ) -> Result<Judgement, NotCounted> {
        if value < Decimal::ZERO && limits.lower.is_none() {
            return Err(NotCounted(
                "Below zero: probes or clamp are the wrong way round. Turn them and read again."
                    .to_owned(),
            ));
        }
        let uncertainty = self.uncertainty(value, unit, instrument)?;
        let margin = margin(value, limits);
        let verdict = by_margin(margin, uncertainty);
        Ok(Judgement {
            verdict,
            value: format!("{value} {unit}"),
            sentence: reading_sentence(verdict, value, unit, limits, uncertainty),
            figure: Some((value, unit)),
            uncertainty: Some(uncertainty),
            margin: Some(margin),
            diagnosis: None,
            open_circuit: None,
        })
    }
}

/// Distance to the nearest limit; negative when outside.
fn margin(value: Decimal, limits: &Limits) -> Decimal {
    let below = limits.lower.map(|lower| value - lower);
    let above = limits.upper.map(|upper| upper - value);
    below.into_iter().chain(above).min().unwrap_or_default()
}

fn by_margin(margin: Decimal, uncertainty: Decimal) -> Verdict {
    if margin < Decimal::ZERO {
        Verdict::Fail
    } else if margin < uncertainty {
        Verdict::Inconclusive
    } else {
        Verdict::Pass
    }
}

fn reading_sentence(
    verdict: Verdict,
    value: Decimal,
    unit: Unit,
    limits: &Limits,
    uncertainty: Decimal,
) -> String {
    let above = limits
        .upper
        .is_some_and(|upper| limits.lower.is_none_or(|lower| upper - value < value - lower));
    let side = if above { "upper" } else { "lower" };
    let distance = margin(value, limits).abs().normalize();
    match verdict {
        Verdict::Pass => format!("Clear of the limits by {distance} {unit}."),
        Verdict::Fail if unit == Unit::NewtonMetre => format!(
            "Outside the {side} limit by {distance} {unit}. Loosen, look at thread and lug, tighten \
             again. The first reading stays on the sheet."
        ),
        Verdict::Fail => format!(
            "Outside the {side} limit by {distance} {unit}. Find the cause, put it right and measure \
             again. The first reading stays on the sheet."
        ),
        _ => format!(
            "Nearer to the {side} limit than the instrument can tell ({} {unit}). Aim for the middle, \
             or take a better instrument.",
            rounded_up(uncertainty, 3).normalize()
        ),
    }
}

fn rounded_up(figure: Decimal, decimals: u32) -> Decimal {
    use rust_decimal::RoundingStrategy::AwayFromZero;
    figure.round_dp_with_strategy(decimals, AwayFromZero)
}

fn rounded_down(figure: Decimal) -> Decimal {
    use rust_decimal::RoundingStrategy::ToNegativeInfinity;
    figure.round_dp_with_strategy(2, ToNegativeInfinity)
}

impl Judgement {
    /// The limits that follow a figure measured with it; nothing where the step alone has them.
    pub fn own_limits(&self) -> Option<Limits> {
        self.open_circuit.as_ref().and_then(OpenCircuit::limits)
    }

    /// The uncertainty as printed: three decimals, never less than it is.
    pub fn uncertainty_shown(&self) -> Option<Decimal> {
        self.uncertainty.map(|uncertainty| rounded_up(uncertainty, 3).normalize())
    }
}
