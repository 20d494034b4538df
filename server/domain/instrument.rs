//! Measuring instruments and torque tools: what they measure, how well, and whether they may be used.

use serde::{Deserialize, Serialize};

use super::ids::{CalibrationId, InstrumentId, Moment};
use super::number::Decimal;
use super::step::Unit;
use crate::engineering::{torque_tool, uncertainty};

pub mod as_found;
pub mod choice;
mod recall;
pub mod standing;

pub use recall::Recall;

/// One range of an instrument, as its maker specifies it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Range {
    pub unit: Unit,
    pub from: Decimal,
    pub to: Decimal,
    /// One count of the last digit, in `unit`.
    pub resolution: Decimal,
    /// Accuracy, percent of the reading.
    pub percent: Decimal,
    /// Accuracy, counts of the last digit.
    pub digits: u32,
}

/// A calibration: from `done_on` until the end of `due_on`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Calibration {
    pub id: CalibrationId,
    /// `YYYY-MM-DD`
    pub done_on: String,
    pub due_on: String,
    pub certificate: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Instrument {
    pub id: InstrumentId,
    /// What people call it: `Wrench 07`.
    pub label: String,
    /// What it is: `Torque wrench, ISO 6789 type II class A`.
    pub kind: String,
    pub serial: String,
    pub ranges: Vec<Range>,
    pub calibrations: Vec<Calibration>,
    /// What it was found to have been, in the order it was noted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub recalls: Vec<Recall>,
    pub retired: bool,
}

/// Why an entry made with an instrument is not counted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    #[error(
        "{label} had no valid calibration on {date}. Take one that is in date and measure again"
    )]
    OutOfCalibration { label: String, date: String },
    #[error(
        "{label} was recalled: found out of tolerance from {from} on ({reason}). Take one that is in \
         date and measure again"
    )]
    Recalled { label: String, from: String, reason: String },
    #[error("{label} does not measure {unit}. Choose an instrument that does")]
    WrongQuantity { label: String, unit: Unit },
    #[error("{value} {unit} lies outside the range of {label}. Choose one whose range takes it in")]
    OutOfRange { label: String, value: Decimal, unit: Unit },
    #[error(
        "{value} N·m is below a fifth of what {label} can do, where it may not be used. \
         Take a smaller wrench"
    )]
    LowEndOfWrench { label: String, value: Decimal },
}

impl Instrument {
    /// The instrument's expanded uncertainty (k = 2) for one reading, in the unit of the reading.
    ///
    /// Refuses a reading made out of calibration or out of range, with what to do.
    pub fn uncertainty(&self, value: Decimal, unit: Unit, at: Moment) -> Result<Decimal, Unfit> {
        let label = || self.label.clone();
        if self.calibration_at(at).is_none() {
            return Err(self.unfit_at(at));
        }
        if !self.measures(unit) {
            return Err(Unfit::WrongQuantity { label: label(), unit });
        }
        if unit == Unit::NewtonMetre && value.abs() < self.top(unit) * torque_tool::USABLE_SHARE {
            return Err(Unfit::LowEndOfWrench { label: label(), value });
        }
        let range = self.range_at(value, unit).ok_or_else(|| Unfit::OutOfRange {
            label: label(),
            value,
            unit,
        })?;
        Ok(uncertainty::expanded(value, range.percent, range.digits, range.resolution))
    }

    /// The first range that a figure lies in, of either sign.
    fn range_at(&self, value: Decimal, unit: Unit) -> Option<&Range> {
        let size = value.abs();
        let mut of_unit = self.ranges.iter().filter(|range| range.unit == unit);
        of_unit.find(|range| range.from <= size && size <= range.to)
    }

    /// The calibration that covers a moment and that no recall takes the trust from.
    pub fn calibration_at(&self, at: Moment) -> Option<&Calibration> {
        let date = at.date();
        let is_doubted =
            |c: &Calibration| self.recalls.iter().any(|recall| recall.doubts(c, &date));
        self.covering(&date).filter(|c| !is_doubted(c)).max_by(|a, b| a.done_on.cmp(&b.done_on))
    }

    fn covering(&self, date: &str) -> impl Iterator<Item = &Calibration> {
        self.calibrations
            .iter()
            .filter(move |c| c.done_on.as_str() <= date && date <= c.due_on.as_str())
    }

    pub fn measures(&self, unit: Unit) -> bool {
        self.ranges.iter().any(|range| range.unit == unit)
    }

    fn top(&self, unit: Unit) -> Decimal {
        self.ranges
            .iter()
            .filter(|range| range.unit == unit)
            .map(|range| range.to)
            .max()
            .unwrap_or_default()
    }
}
