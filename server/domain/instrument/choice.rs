//! Which instrument a form offers first: one that can read what the step wants, where it is planned.
//!
//! A suggestion only. Whatever was chosen in the end is judged by `Instrument::uncertainty`.

use super::Instrument;
use crate::domain::ids::{InstrumentId, Moment, PersonId};
use crate::domain::job::{JobState, Recorded};
use crate::domain::number::Decimal;
use crate::domain::step::{Limits, StepKind, Unit};

/// About as warm as cells are on a working day [°C]. Common practice, no source.
const SUNLIT_CELL_C: Decimal = Decimal::from_parts(40, 0, 0, false, 0);

/// A figure that a step wants read, as far as the plan knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    pub unit: Unit,
    /// Where the reading should lie.
    pub planned: Decimal,
    /// What it is held against; a good instrument reads there too.
    pub limits: Vec<Decimal>,
}

impl Wanted {
    /// The figures of a step, in the order in which its entry names the instruments.
    pub fn of(kind: &StepKind) -> Vec<Self> {
        match kind {
            StepKind::Torque { limits } => vec![Self::within(Unit::NewtonMetre, limits)],
            StepKind::Reading { unit, limits } => vec![Self::within(*unit, limits)],
            StepKind::PathDrop { resistance_max_milliohm, planned_milliohm, current_a, .. } => {
                let volts = |milliohm: &Decimal| milliohm * current_a / Decimal::ONE_THOUSAND;
                let (planned, most) = (volts(planned_milliohm), volts(resistance_max_milliohm));
                vec![
                    Self { unit: Unit::Volt, planned, limits: vec![most] },
                    Self { unit: Unit::Ampere, planned: *current_a, limits: Vec::new() },
                ]
            }
            StepKind::SolarOpen { string_voc_v, upper_v, .. } => vec![
                Self { unit: Unit::Volt, planned: *string_voc_v, limits: vec![*upper_v] },
                Self { unit: Unit::Celsius, planned: SUNLIT_CELL_C, limits: Vec::new() },
            ],
            StepKind::Confirm
            | StepKind::Photo
            | StepKind::Note
            | StepKind::Fuse { .. }
            | StepKind::Order { .. } => Vec::new(),
        }
    }

    /// The middle of two limits; with one limit, that limit is all the plan says.
    fn within(unit: Unit, limits: &Limits) -> Self {
        let ends: Vec<Decimal> = limits.lower.into_iter().chain(limits.upper).collect();
        let count = Decimal::from(ends.len().max(1));
        let planned = ends.iter().sum::<Decimal>() / count;
        Self { unit, planned, limits: ends }
    }
}

/// How well an instrument suits a figure, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// Reads it where it is planned and at its limits.
    Whole,
    /// Reads it where it is planned.
    Planned,
    /// Measures the unit, but not there.
    Elsewhere,
    /// Out of calibration.
    Lapsed,
}

impl Instrument {
    /// How well it suits a figure at a moment, or nothing where it cannot measure it at all.
    pub fn fit(&self, wanted: &Wanted, at: Moment) -> Option<Fit> {
        if self.retired || !self.measures(wanted.unit) {
            return None;
        }
        let reads = |value: &Decimal| self.uncertainty(*value, wanted.unit, at).is_ok();
        Some(if self.calibration_at(at).is_none() {
            Fit::Lapsed
        } else if !reads(&wanted.planned) {
            Fit::Elsewhere
        } else if wanted.limits.iter().all(reads) {
            Fit::Whole
        } else {
            Fit::Planned
        })
    }
}

/// What speaks for or against an instrument beside its fit.
#[derive(Debug, Clone, Copy, Default)]
pub struct Habit {
    /// What this person used last for such a figure.
    pub last: Option<InstrumentId>,
    /// What the step's other figure is read with: one meter does not read both at once.
    pub taken: Option<InstrumentId>,
}

/// The instruments that measure a figure, the one to offer first in front: by fit, then the person's
/// last one, then those that are free, then by label.
pub fn by_fit<'a>(
    instruments: &'a [Instrument],
    wanted: &Wanted,
    habit: Habit,
    at: Moment,
) -> Vec<&'a Instrument> {
    let with_fit = |tool: &'a Instrument| Some((tool.fit(wanted, at)?, tool));
    let mut fitting: Vec<(Fit, &Instrument)> = instruments.iter().filter_map(with_fit).collect();
    fitting.sort_by_key(|(fit, tool)| {
        let id = Some(tool.id);
        (*fit, id != habit.last, id == habit.taken, tool.label.clone())
    });
    fitting.into_iter().map(|(_, tool)| tool).collect()
}

/// The instrument with which a person last read such a figure on this job.
pub fn last_used(state: &JobState, person: PersonId, unit: Unit) -> Option<InstrumentId> {
    let steps = state
        .steps
        .iter()
        .flat_map(|step| step.history.iter().map(|result| (Wanted::of(&step.step.kind), result)));
    let mine = steps.filter(|(_, result)| result.act.person == person);
    let with_unit =
        mine.filter_map(|(wanted, result)| Some((used(&wanted, result, unit)?, result)));
    with_unit.max_by_key(|(_, result)| result.act.seq).map(|(id, _)| id)
}

fn used(wanted: &[Wanted], result: &Recorded, unit: Unit) -> Option<InstrumentId> {
    let each = wanted.iter().zip(result.body.payload.instruments());
    each.into_iter().find(|(figure, _)| figure.unit == unit).map(|(_, id)| id)
}
