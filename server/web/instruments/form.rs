//! The form for a new instrument or calibration: what it asks, and what makes it sound.

use super::RangeFields;
use crate::domain::ids::{CalibrationId, InstrumentId, Moment};
use crate::domain::instrument::{Calibration, Instrument, Range};
use crate::domain::number::Decimal;
use crate::domain::step::Unit;
use crate::engineering::uncertainty::check_accuracy;
use crate::web::form::{Choice, Field, Filled};

/// Ranges that one form takes.
const ROWS: usize = 6;
const LINE_CHARS_MAX: usize = 120;
const DIGITS_MAX: u32 = 9999;
const FIGURES: [&str; 5] = ["from", "to", "resolution", "percent", "digits"];

/// The accuracy is typed, or it is that of a class of torque tools.
const TYPED: &str = "typed";
const TORQUE: &str = "torque";
/// ISO 6789-1:2017, adjustable graduated wrenches (type II class A): ±4 % above 10 N·m, ±6 % at
/// or below.
const TORQUE_SPLIT_NM: Decimal = Decimal::TEN;
const TORQUE_LOW_PERCENT: Decimal = Decimal::from_parts(6, 0, 0, false, 0);
const TORQUE_HIGH_PERCENT: Decimal = Decimal::from_parts(4, 0, 0, false, 0);

pub(super) fn preset_choices(filled: &Filled) -> Vec<Choice> {
    let torque = "Torque wrench of ISO 6789: ±4 % above 10 N·m, ±6 % at or below";
    filled.choices("preset", [(TYPED, "As typed with each range"), (TORQUE, torque)])
}

/// The rows of the form, with what was typed.
pub(super) fn row_fields(filled: &mut Filled) -> Vec<RangeFields> {
    let units = Unit::ALL.map(|unit| (unit.symbol(), unit.symbol()));
    let mut row = |number: usize| {
        let unit = format!("unit_{number}");
        RangeFields {
            title: format!("Range {number}"),
            units: filled.choices(&unit, units),
            unit: filled.field(&unit, "Unit"),
            figures: FIGURES.map(|figure| figure_field(filled, figure, number)),
        }
    };
    (1..=ROWS).map(&mut row).collect()
}

fn figure_field(filled: &mut Filled, figure: &str, number: usize) -> Field {
    let (label, unit) = match figure {
        "from" => ("From", ""),
        "to" => ("To", ""),
        "resolution" => ("Smallest step it shows", ""),
        "percent" => ("± of the reading", "%"),
        _ => ("± smallest steps", "digits"),
    };
    filled.field(&format!("{figure}_{number}"), label).unit(unit)
}

/// The instrument that the form describes.
pub(super) fn checked_instrument(
    filled: &mut Filled,
    (id, calibration): (InstrumentId, CalibrationId),
    now: Moment,
) -> Option<Instrument> {
    let label = filled.line("label", LINE_CHARS_MAX);
    let kind = filled.line("kind", LINE_CHARS_MAX);
    let serial = filled.line("serial", LINE_CHARS_MAX);
    let ranges =
        if filled.text("preset") == TORQUE { torque_ranges(filled) } else { ranges(filled) };
    let calibration = checked_calibration(filled, calibration, now);
    let (ranges, calibration) = (ranges?, calibration?);
    let calibrations = vec![calibration];
    let sound = filled.is_sound();
    let (recalls, retired) = (Vec::new(), false);
    sound.then_some(Instrument { id, label, kind, serial, ranges, calibrations, recalls, retired })
}

/// Rows that hold nothing are left out; one must hold something.
fn ranges(filled: &mut Filled) -> Option<Vec<Range>> {
    let is_filled = |number: &usize| {
        FIGURES.iter().any(|figure| !filled.text(&format!("{figure}_{number}")).is_empty())
    };
    let mut numbers: Vec<usize> = (1..=ROWS).filter(is_filled).collect();
    if numbers.is_empty() {
        // The first row then says what is missing.
        numbers.push(1);
    }
    // Every row is read before one may fail, so that all faults are found.
    let read: Vec<Option<Range>> = numbers.into_iter().map(|row| range(filled, row)).collect();
    read.into_iter().collect()
}

fn range(filled: &mut Filled, number: usize) -> Option<Range> {
    let unit = unit(filled, number);
    let span = span(filled, number);
    let percent = filled.figure(&format!("percent_{number}"));
    let digits = digits(filled, number);
    let (from, to, resolution) = span?;
    let (percent, digits) = (percent?, digits?);
    let percent_name = format!("percent_{number}");
    if check_accuracy(percent, resolution).is_err() {
        filled.fault(&percent_name, "Write a figure from 0 to 100.");
        return None;
    }
    if percent.is_zero() && digits == 0 {
        filled.fault(
            &percent_name,
            "Nothing measures exactly: its data sheet says how well it does.",
        );
        return None;
    }
    Some(Range { unit: unit?, from, to, resolution, percent, digits })
}

fn unit(filled: &mut Filled, number: usize) -> Option<Unit> {
    let name = format!("unit_{number}");
    let unit = Unit::parse(filled.text(&name));
    if unit.is_none() {
        filled.fault(&name, "Choose a unit.");
    }
    unit
}

/// From, to, and the smallest step.
fn span(filled: &mut Filled, number: usize) -> Option<(Decimal, Decimal, Decimal)> {
    let [from_name, to_name, step_name] =
        ["from", "to", "resolution"].map(|figure| format!("{figure}_{number}"));
    let from = filled.figure(&from_name);
    let to = filled.figure(&to_name);
    let step = filled.figure(&step_name);
    let (from, to, step) = (from?, to?, step?);
    if from < Decimal::ZERO {
        filled.fault(&from_name, "Write it without its sign: a range holds for both directions.");
    } else if to <= from {
        filled.fault(&to_name, format!("Write more than {from}, where the range begins."));
    } else if step <= Decimal::ZERO || step > to {
        filled.fault(&step_name, format!("Write more than 0 and at most {to}."));
    } else {
        return Some((from, to, step));
    }
    None
}

/// Counts of the last digit; none where the field is empty.
fn digits(filled: &mut Filled, number: usize) -> Option<u32> {
    let name = format!("digits_{number}");
    let typed = filled.text(&name);
    if typed.is_empty() {
        return Some(0);
    }
    let digits = typed.parse::<u32>().ok().filter(|digits| *digits <= DIGITS_MAX);
    if digits.is_none() {
        filled.fault(&name, format!("Write a whole number up to {DIGITS_MAX}."));
    }
    digits
}

/// A torque wrench: the first row says from where to where, the standard says how well.
fn torque_ranges(filled: &mut Filled) -> Option<Vec<Range>> {
    let (from, to, resolution) = span(filled, 1)?;
    let range = |from, to, percent| Range {
        unit: Unit::NewtonMetre,
        from,
        to,
        resolution,
        percent,
        digits: 0,
    };
    // At the split itself the lower part holds: it comes first and is the more careful one.
    let low = range(from, to.min(TORQUE_SPLIT_NM), TORQUE_LOW_PERCENT);
    let high = range(from.max(TORQUE_SPLIT_NM), to, TORQUE_HIGH_PERCENT);
    let low = (from <= TORQUE_SPLIT_NM).then_some(low);
    let high = (to > TORQUE_SPLIT_NM).then_some(high);
    Some(low.into_iter().chain(high).collect())
}

/// The calibration that the form describes.
pub(super) fn checked_calibration(
    filled: &mut Filled,
    id: CalibrationId,
    now: Moment,
) -> Option<Calibration> {
    let done = filled.day("done_on");
    let due = filled.day("due_on");
    let certificate = filled.line("certificate", LINE_CHARS_MAX);
    let (done, due) = (done?, due?);
    if done > now.utc().date() {
        filled.fault("done_on", "This day is yet to come. Write the day on the calibration paper.");
    }
    if due < done {
        filled
            .fault("due_on", "This is before it was calibrated. Write the last day it is in date.");
    }
    let sound = filled.is_sound();
    // Stored as typed: `day` takes exactly the form that is stored.
    let [done_on, due_on] = [filled.text("done_on").to_owned(), filled.text("due_on").to_owned()];
    sound.then_some(Calibration { id, done_on, due_on, certificate })
}
