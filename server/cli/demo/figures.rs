//! Figures that a careful person would read: from the step's limits, near the middle, with a small
//! scatter that is the same at each start.

use rust_decimal::prelude::FromPrimitive as _;

use crate::acts::ActError;
use crate::domain::entry::Payload;
use crate::domain::ids::{InstrumentId, Moment};
use crate::domain::instrument::{Instrument, Range};
use crate::domain::number::Decimal;
use crate::domain::seal::sha256;
use crate::domain::solar_open::OpenString;
use crate::domain::step::{Limits, Step, StepKind, Unit};

/// The instruments at hand, on one job at one time.
pub(super) struct Bench<'a> {
    pub(super) instruments: &'a [Instrument],
    pub(super) at: Moment,
    /// Tells one job's figures from another's.
    pub(super) job: u64,
}

/// A figure as the display shows it, from the instrument that shows it best.
struct Shown {
    value: Decimal,
    uncertainty: Decimal,
    instrument: InstrumentId,
}

impl Bench<'_> {
    /// What stands there when all is well. Photo steps want their photo first.
    pub(super) fn good(&self, step: &Step) -> Result<Payload, ActError> {
        Ok(match &step.kind {
            StepKind::Confirm => Payload::Confirm {},
            StepKind::Note => Payload::Note { text: note(&step.key, self.job) },
            StepKind::Fuse { rating_a, .. } => Payload::Fuse { rating_a: *rating_a },
            StepKind::Order { expected, .. } => Payload::Order { labels: expected.clone() },
            StepKind::Torque { limits } => {
                let shown = self.inside(step, Unit::NewtonMetre, limits)?;
                Payload::Torque { value: shown.value, instrument: shown.instrument }
            }
            StepKind::Reading { unit, limits } => {
                let shown = self.inside(step, *unit, limits)?;
                Payload::Reading { value: shown.value, instrument: shown.instrument }
            }
            StepKind::PathDrop { .. } => self.path_drop(step)?,
            StepKind::SolarOpen { .. } => self.solar_open(step)?,
            StepKind::Photo => return Err(unknown(step)),
        })
    }

    /// The same step read as `value`, right or wrong.
    pub(super) fn read_as(&self, step: &Step, value: Decimal) -> Result<Payload, ActError> {
        let (unit, torque) = match &step.kind {
            StepKind::Torque { .. } => (Unit::NewtonMetre, true),
            StepKind::Reading { unit, .. } => (*unit, false),
            _ => return Err(unknown(step)),
        };
        let Shown { value, instrument, .. } =
            self.best(value, unit, None).ok_or_else(|| unknown(step))?;
        Ok(if torque {
            Payload::Torque { value, instrument }
        } else {
            Payload::Reading { value, instrument }
        })
    }

    fn inside(&self, step: &Step, unit: Unit, limits: &Limits) -> Result<Shown, ActError> {
        let target = target(unit, limits, self.scatter(&step.key));
        self.best(target, unit, None)
            .filter(|shown| {
                let above = limits.lower.is_none_or(|low| shown.value - low >= shown.uncertainty);
                let below = limits.upper.is_none_or(|up| up - shown.value >= shown.uncertainty);
                above && below
            })
            .ok_or_else(|| unknown(step))
    }

    /// The instrument with the least uncertainty for a figure, other than one that is taken.
    fn best(&self, value: Decimal, unit: Unit, taken: Option<InstrumentId>) -> Option<Shown> {
        let free = self.instruments.iter().filter(|instrument| Some(instrument.id) != taken);
        free.filter_map(|instrument| {
            let value = displayed(value, range_for(instrument, value, unit)?);
            let uncertainty = instrument.uncertainty(value, unit, self.at).ok()?;
            Some(Shown { value, uncertainty, instrument: instrument.id })
        })
        .min_by(|a, b| a.uncertainty.cmp(&b.uncertainty))
    }

    /// Somewhat less current than planned, and a path somewhat better than planned.
    fn path_drop(&self, step: &Step) -> Result<Payload, ActError> {
        let StepKind::PathDrop { resistance_max_milliohm, planned_milliohm, current_a, .. } =
            &step.kind
        else {
            return Err(unknown(step));
        };
        let scatter = self.scatter(&step.key);
        let wanted = *current_a * (hundredths(90) + hundredths(3) * scatter);
        let milliohm =
            (*planned_milliohm * hundredths(94)).min(*resistance_max_milliohm * hundredths(84));
        let volts = wanted * milliohm / Decimal::ONE_THOUSAND;
        let drop = self.best(volts, Unit::Volt, None).ok_or_else(|| unknown(step))?;
        // One meter does not read both at once.
        let current =
            self.best(wanted, Unit::Ampere, Some(drop.instrument)).ok_or_else(|| unknown(step))?;
        Ok(Payload::PathDrop {
            drop_v: drop.value,
            current_a: current.value,
            instrument: drop.instrument,
            current_instrument: current.instrument,
        })
    }

    /// Cells warmed by a mild day, and a string a little below what they let expect.
    fn solar_open(&self, step: &Step) -> Result<Payload, ActError> {
        let string = OpenString::of(&step.kind).ok_or_else(|| unknown(step))?;
        let scatter = self.scatter(&step.key);
        let cell = Decimal::from(34) + Decimal::from(7) * scatter;
        let cell = self.best(cell, Unit::Celsius, None).ok_or_else(|| unknown(step))?;
        let volts = string.expected_v(cell.value) * (hundredths(99) + hundredths(1) * scatter);
        let voltage = self.best(volts, Unit::Volt, Some(cell.instrument));
        let voltage = voltage.ok_or_else(|| unknown(step))?;
        Ok(Payload::SolarOpen {
            voltage_v: voltage.value,
            cell_c: cell.value,
            instrument: voltage.instrument,
            thermometer: cell.instrument,
        })
    }

    /// From -1 to 1, by job and step.
    fn scatter(&self, key: &str) -> Decimal {
        let hash = sha256(format!("{} {key}", self.job).as_bytes());
        let byte = hash.first().copied().unwrap_or(128);
        (Decimal::from(byte) - Decimal::from(128)) / Decimal::from(128)
    }
}

fn unknown(step: &Step) -> ActError {
    ActError::Ours(format!("the demo knows no good result for {}", step.key))
}

fn hundredths(count: i64) -> Decimal {
    Decimal::new(count, 2)
}

fn target(unit: Unit, limits: &Limits, scatter: Decimal) -> Decimal {
    match (limits.lower, limits.upper) {
        (Some(low), Some(up)) => (low + up) / Decimal::TWO + (up - low) * hundredths(7) * scatter,
        (None, Some(up)) => {
            let part = match unit {
                // A wire without voltage reads next to nothing.
                Unit::Volt => hundredths(6),
                Unit::Milliohm => hundredths(80),
                _ => hundredths(46),
            };
            up * part * (Decimal::ONE + hundredths(15) * scatter)
        }
        (Some(low), None) => {
            let times = if unit == Unit::Megohm { hundredths(1400) } else { hundredths(126) };
            low * times * (Decimal::ONE + hundredths(2) * scatter)
        }
        (None, None) => Decimal::from_u8(1).unwrap_or_default(),
    }
}

fn range_for(instrument: &Instrument, value: Decimal, unit: Unit) -> Option<&Range> {
    let size = value.abs();
    let of_unit = instrument.ranges.iter().filter(|range| range.unit == unit);
    of_unit.into_iter().find(|range| range.from <= size && size <= range.to)
}

/// With as many digits as the range resolves.
fn displayed(value: Decimal, range: &Range) -> Decimal {
    let mut shown = value.round_dp(range.resolution.scale());
    shown.rescale(range.resolution.scale());
    shown
}

/// What a person writes at the steps that want words.
fn note(key: &str, job: u64) -> String {
    match key {
        "before.serial" => format!("26-{:05}", 41_207 + 613 * job),
        key if key.contains("fuse_holder") => {
            format!("FH-26-{}", if job.is_multiple_of(2) { 117 } else { 131 })
        }
        "before.odometer" => "48 655 km".to_owned(),
        "before.lamps" => "none".to_owned(),
        key if key.contains("refrigerator") => {
            "Compressor refrigerator, 38 litres. Cut-off left at the middle setting; its switch is \
             on the left of the door."
                .to_owned()
        }
        _ => "Nothing out of the ordinary.".to_owned(),
    }
}

/// Beyond the upper limit, by this many hundredths of it.
pub(super) fn beyond(limits: &Limits, by: i64) -> Decimal {
    limits.upper.unwrap_or_default() * (Decimal::ONE + hundredths(by))
}
