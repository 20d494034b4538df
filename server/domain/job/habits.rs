//! What only shows across the steps of a job: many results within seconds, the same figure again and again, and
//! photos from before the job.
//!
//! Each threshold leaves room for honest people who are quick: they tick what they did together, type what they
//! wrote down, and send a day at once. Counted is when a result was recorded, never when it arrived.

use std::collections::{BTreeMap, BTreeSet};

use super::{Flag, JobState, Recorded, StepState};
use crate::domain::entry::{Digest, Payload};
use crate::domain::ids::{Moment, PersonId};
use crate::domain::number::Decimal;
use crate::domain::step::{StepKind, Unit};

/// So many readings with an instrument within so many milliseconds: two seconds each, in which nobody puts
/// probes on, reads and types.
pub const RUSHED_READINGS: usize = 5;
pub const RUSHED_READINGS_MS: i64 = 8_000;
/// So many steps of any kind: a tick takes a second, looking at what is ticked does not.
pub const RUSHED_STEPS: usize = 10;
pub const RUSHED_STEPS_MS: i64 = 15_000;
/// The same figure on so many steps. Three alike are common: one battery is read at several places.
pub const SAME_READINGS: usize = 4;
/// The same drop at the same current. Two alike are common: out and back are often of one length.
pub const SAME_PATHS: usize = 3;
/// Figures with fewer digits are alike by rounding.
pub const SAME_DIGITS: usize = 3;

impl JobState {
    /// Marks the steps that stand out; `early` are photos that were here before the job was opened.
    pub(super) fn mark_habits(&mut self, early: &[Digest]) {
        let rushed = rushed(&self.steps);
        let same = same_figures(&self.steps);
        for (at, step) in self.steps.iter_mut().enumerate() {
            let is_early = !early.is_empty() && step.photos().any(|photo| early.contains(photo));
            let marks = [
                (rushed.contains(&at), Flag::Rushed),
                (same.contains(&at), Flag::SameFigure),
                (is_early, Flag::EarlyPhoto),
            ];
            step.habits = marks.into_iter().filter(|(is, _)| *is).map(|(_, flag)| flag).collect();
        }
    }
}

type At = (Moment, usize);

fn rushed(steps: &[StepState]) -> BTreeSet<usize> {
    let mut all: BTreeMap<PersonId, Vec<At>> = BTreeMap::new();
    let mut readings: BTreeMap<PersonId, Vec<At>> = BTreeMap::new();
    for (at, step) in steps.iter().enumerate() {
        for result in &step.history {
            let when = (result.act.recorded, at);
            all.entry(result.act.person).or_default().push(when);
            if !result.body.payload.instruments().is_empty() {
                readings.entry(result.act.person).or_default().push(when);
            }
        }
    }
    let steps = all.into_values().map(|all| crowded(all, RUSHED_STEPS, RUSHED_STEPS_MS));
    let read = readings.into_values().map(|all| crowded(all, RUSHED_READINGS, RUSHED_READINGS_MS));
    steps.chain(read).flatten().collect()
}

/// The steps of every stretch of time that holds `count` different ones.
fn crowded(mut all: Vec<At>, count: usize, within_ms: i64) -> BTreeSet<usize> {
    all.sort_unstable();
    let mut crowded = BTreeSet::new();
    let mut inside: BTreeMap<usize, usize> = BTreeMap::new();
    // From here on nothing is marked yet.
    let (mut first, mut unmarked) = (0, 0);
    for (last, (now, step)) in all.iter().enumerate() {
        *inside.entry(*step).or_default() += 1;
        while let Some((_, gone)) =
            all.get(first).filter(|(then, _)| now.0.saturating_sub(then.0) > within_ms)
        {
            if let Some(times) = inside.get_mut(gone) {
                *times -= 1;
                if *times == 0 {
                    inside.remove(gone);
                }
            }
            first += 1;
        }
        if inside.len() >= count {
            let from = first.max(unmarked);
            crowded.extend(all.get(from..=last).unwrap_or_default().iter().map(|(_, step)| *step));
            unmarked = last + 1;
        }
    }
    crowded
}

/// What is compared: who read, and which figures in which unit.
type Figure = (PersonId, &'static str, Decimal, Decimal);

fn same_figures(steps: &[StepState]) -> BTreeSet<usize> {
    let mut alike: BTreeMap<Figure, Vec<usize>> = BTreeMap::new();
    for (at, step) in steps.iter().enumerate() {
        if let Some(figure) = step.result().and_then(|result| figure(step, result)) {
            alike.entry(figure).or_default().push(at);
        }
    }
    let most = |figure: &Figure| if figure.3.is_zero() { SAME_READINGS } else { SAME_PATHS };
    let told = alike.into_iter().filter(|(figure, steps)| steps.len() >= most(figure));
    told.flat_map(|(_, steps)| steps).collect()
}

/// A figure that physics scatters; nothing where equal ones are likely:
///
/// - zero, as of everything that was proved dead;
/// - torque, because a click wrench is set once for equal bolts, and fuses and orders, which are read off;
/// - insulation, because a tester ends at the top of its range.
fn figure(step: &StepState, result: &Recorded) -> Option<Figure> {
    let person = result.act.person;
    match (&step.step.kind, &result.body.payload) {
        (StepKind::Reading { unit, .. }, Payload::Reading { value, .. }) => {
            let scatters = *unit != Unit::Megohm && is_fine(*value);
            scatters.then(|| (person, unit.symbol(), value.normalize(), Decimal::ZERO))
        }
        (StepKind::PathDrop { .. }, Payload::PathDrop { drop_v, current_a, .. }) => {
            let scatters = is_fine(*drop_v) && is_fine(*current_a);
            scatters.then(|| (person, "path", drop_v.normalize(), current_a.normalize()))
        }
        _ => None,
    }
}

fn is_fine(value: Decimal) -> bool {
    !value.is_zero() && value.mantissa().unsigned_abs().to_string().len() >= SAME_DIGITS
}
