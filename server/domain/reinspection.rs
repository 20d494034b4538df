//! A re-inspection against what was measured before: for each measurement the first value, the last one,
//! the present one and the limit, and what can be said of the difference.
//!
//! Two readings differ only as far as their instruments can show it: a difference that is smaller than the
//! root of the sum of both squared uncertainties is no change (JCGM 100:2008, 5.1.2). All is worked in the
//! decimals that were typed; nothing here passes or fails a step, that is the verdict's.

mod earlier;
mod words;

pub use earlier::{EarlierRecord, EarlierStep};

use rust_decimal::RoundingStrategy::{AwayFromZero, MidpointAwayFromZero, ToPositiveInfinity};

use super::job::{Recorded, StepState};
use super::number::Decimal;
use super::step::{Limits, StepKind, Unit};
use crate::engineering::uncertainty;

/// A result as it is compared and printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Value {
    /// As printed: `1.42 mΩ`, `60 A`.
    pub words: String,
    pub figure: Option<(Decimal, Unit)>,
    /// Expanded uncertainty, k = 2.
    pub uncertainty: Option<Decimal>,
    /// What it was judged by, in words.
    pub limit: String,
    /// `YYYY-MM-DD`
    pub on: String,
}

/// How a figure moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Course {
    /// Less than the instruments leave open.
    NotShown,
    /// Towards the one limit there is.
    Worse,
    /// Away from it.
    Better,
    /// Between two limits no way is the good one.
    Moved,
}

/// The difference of two figures of the same kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    pub course: Course,
    /// Later less earlier.
    pub difference: Decimal,
    pub unit: Unit,
    /// What both instruments leave open about it.
    pub uncertainty: Decimal,
    /// Of the earlier figure, where that means something.
    pub percent: Option<Decimal>,
    /// How much of the way from the earlier figure to the limit ahead is used up [%], rounded up.
    pub used_percent: Option<Decimal>,
}

/// What can be said of a step now and before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Nothing was recorded yet.
    Due,
    Changed(Change),
    /// A rating or an order that was read back, the same as before.
    SameAsBefore,
    OtherThanBefore,
    /// Why the two cannot be held against each other.
    NotComparable(&'static str),
}

/// One measuring step of a re-inspection beside its earlier results.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Comparison {
    pub key: String,
    pub number: usize,
    pub title: String,
    pub phase: &'static str,
    /// In the oldest record that has the step; nothing where it is new.
    pub first: Option<Value>,
    /// In the record before this one, where that is another than the first.
    pub last: Option<Value>,
    /// What was found, where it was put right and measured again.
    pub found: Option<Value>,
    pub now: Option<Value>,
    pub limit: String,
    pub since_first: Outcome,
    /// Nothing where first and last are the same record.
    pub since_last: Option<Outcome>,
}

/// It says that the work was safe, and nothing about the gear.
const PROVED_DEAD: &str = "before.dead";
pub const NEW_STEP: &str = "new on this sheet";
pub const OTHER_UNIT: &str = "read in another unit than before";
pub const OTHER_LIMIT: &str = "the limit was another one";
const OTHER_KIND: &str = "recorded in another way than before";
pub const BY_TEMPERATURE: &str =
    "its limits follow the temperature, each reading was held against its own";
pub const NO_UNCERTAINTY: &str = "an uncertainty is missing";

/// Every measuring step of a sheet, in its order, beside `records`: the oldest first.
pub fn compare(steps: &[StepState], records: &[EarlierRecord]) -> Vec<Comparison> {
    steps.iter().filter_map(|state| compare_step(state, records)).collect()
}

/// One step; nothing for steps that measure nothing of the gear.
pub fn compare_step(state: &StepState, records: &[EarlierRecord]) -> Option<Comparison> {
    let kind = &state.step.kind;
    if !kind.is_measurement() || state.step.key == PROVED_DEAD {
        return None;
    }
    let before: Vec<&EarlierStep> =
        records.iter().filter_map(|record| record.step(&state.step.key)).collect();
    let first = before.first().copied();
    let last = before.last().copied().filter(|_| before.len() > 1);
    let (now, found) = (state.result(), as_found(state));
    let since = |earlier: &EarlierStep| outcome(earlier, now, kind);
    Some(Comparison {
        key: state.step.key.clone(),
        number: state.number,
        title: state.step.title.clone(),
        phase: state.step.phase.title(),
        first: first.map(|step| short(step.printed(), kind)),
        last: last.map(|step| short(step.printed(), kind)),
        found: found.and_then(|result| printed(result, kind)).map(|value| short(value, kind)),
        now: now.and_then(|result| printed(result, kind)).map(|value| short(value, kind)),
        limit: now
            .and_then(|result| result.judged.as_ref().ok())
            .map_or_else(|| kind.limit_short(), |judged| judged.limit_short(kind)),
        since_first: match (first, now) {
            (None, _) => Outcome::NotComparable(NEW_STEP),
            (Some(_), None) => Outcome::Due,
            (Some(first), Some(_)) => since(first),
        },
        since_last: last.filter(|_| now.is_some()).map(since),
    })
}

/// The first counted result, where another one stands now.
fn as_found(state: &StepState) -> Option<&Recorded> {
    let first = state.history.iter().find(|result| result.judged.is_ok() && !result.outdated)?;
    state.result().filter(|now| now.act.entry != first.act.entry).map(|_| first)
}

fn printed(result: &Recorded, kind: &StepKind) -> Option<Value> {
    let judged = result.judged.as_ref().ok()?;
    Some(Value {
        words: match judged.figure {
            Some((figure, unit)) => format!("{figure} {unit}"),
            None => judged.value.clone(),
        },
        figure: judged.figure,
        uncertainty: judged.uncertainty,
        limit: judged.limit_words(kind),
        on: result.act.recorded.date(),
    })
}

/// A whole row of terminals has no place in a column.
fn short(value: Value, kind: &StepKind) -> Value {
    match kind {
        StepKind::Order { .. } => Value { words: "as read back".to_owned(), ..value },
        _ => value,
    }
}

fn outcome(earlier: &EarlierStep, now: Option<&Recorded>, kind: &StepKind) -> Outcome {
    let Some(now) = now.and_then(|result| printed(result, kind)) else { return Outcome::Due };
    if earlier.kind != kind.word() {
        return Outcome::NotComparable(OTHER_KIND);
    }
    let before = earlier.printed();
    match kind {
        StepKind::Fuse { .. } | StepKind::Order { .. } if before.words == now.words => {
            Outcome::SameAsBefore
        }
        StepKind::Fuse { .. } | StepKind::Order { .. } => Outcome::OtherThanBefore,
        StepKind::SolarOpen { .. } => Outcome::NotComparable(BY_TEMPERATURE),
        StepKind::Torque { limits } | StepKind::Reading { limits, .. } => {
            change(&before, &now, limits)
        }
        StepKind::PathDrop { resistance_max_milliohm, .. } => {
            change(&before, &now, &Limits::at_most(*resistance_max_milliohm))
        }
        StepKind::Confirm | StepKind::Photo | StepKind::Note => Outcome::Due,
    }
}

/// Holds two values against each other that were judged by the same limits.
pub fn change(before: &Value, now: &Value, limits: &Limits) -> Outcome {
    let (Some((first, unit)), Some((present, present_unit))) = (before.figure, now.figure) else {
        return Outcome::NotComparable(OTHER_KIND);
    };
    if unit != present_unit {
        return Outcome::NotComparable(OTHER_UNIT);
    }
    if before.limit != now.limit {
        return Outcome::NotComparable(OTHER_LIMIT);
    }
    let (Some(was), Some(is)) = (before.uncertainty, now.uncertainty) else {
        return Outcome::NotComparable(NO_UNCERTAINTY);
    };
    let Some(difference) = present.checked_sub(first) else {
        return Outcome::NotComparable(OTHER_UNIT);
    };
    let uncertainty = uncertainty::difference(was, is);
    Outcome::Changed(Change {
        course: course(difference, uncertainty, limits),
        difference,
        unit,
        uncertainty,
        percent: percent(difference, first, unit),
        used_percent: used(difference, first, limits),
    })
}

fn course(difference: Decimal, uncertainty: Decimal, limits: &Limits) -> Course {
    if difference.is_zero() || difference.abs() < uncertainty {
        return Course::NotShown;
    }
    let rises = difference > Decimal::ZERO;
    match (limits.lower, limits.upper) {
        (None, Some(_)) if rises => Course::Worse,
        (Some(_), None) if !rises => Course::Worse,
        (None, Some(_)) | (Some(_), None) => Course::Better,
        _ => Course::Moved,
    }
}

/// A share means something only where nothing is nothing: not of a voltage inside a window, nor of a
/// temperature.
fn percent(difference: Decimal, first: Decimal, unit: Unit) -> Option<Decimal> {
    if matches!(unit, Unit::Volt | Unit::Celsius) || first <= Decimal::ZERO {
        return None;
    }
    let share = difference.checked_mul(Decimal::ONE_HUNDRED)?.checked_div(first)?;
    Some(share.round_dp_with_strategy(1, MidpointAwayFromZero).normalize())
}

/// The limit that lies ahead is the one the figure moved towards. Rounded up, so that a way that is not
/// quite used up is never printed as less than it is.
fn used(difference: Decimal, first: Decimal, limits: &Limits) -> Option<Decimal> {
    let way = if difference > Decimal::ZERO {
        limits.upper?.checked_sub(first)?
    } else {
        first.checked_sub(limits.lower?)?
    };
    if difference.is_zero() || way <= Decimal::ZERO {
        return None;
    }
    let share = difference.abs().checked_mul(Decimal::ONE_HUNDRED)?.checked_div(way)?;
    Some(share.round_dp_with_strategy(0, ToPositiveInfinity))
}

impl Change {
    /// The uncertainty as printed: three decimals, never less than it is.
    pub fn uncertainty_shown(&self) -> Decimal {
        self.uncertainty.round_dp_with_strategy(3, AwayFromZero).normalize()
    }
}
