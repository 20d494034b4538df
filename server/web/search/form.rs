//! What the address of a search says: one row for each drop, the last one as it was just typed.

use super::{Bench, Pairs, WebError};
use crate::domain::diagnosis::{READINGS_MAX, SpanReading};
use crate::domain::number::{Decimal, parse_typed};

/// One drop as it stands in the address.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Row {
    pub(super) from: String,
    pub(super) to: String,
    pub(super) drop: String,
    pub(super) current: String,
}

/// What was read, and what comes back.
#[derive(Debug, Default)]
pub(super) struct Asked {
    pub(super) readings: Vec<SpanReading>,
    /// The row that was not taken, as it was typed.
    pub(super) typed: Row,
    pub(super) fault: Option<Fault>,
}

/// Why a row was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum At {
    Drop,
    Current,
    Points,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Fault {
    /// The field to mend.
    pub(super) at: At,
    pub(super) sentence: String,
}

fn fault(at: At, sentence: &str) -> Fault {
    Fault { at, sentence: sentence.to_owned() }
}

/// Reads all rows, up to the first that cannot be taken.
pub(super) fn read(bench: &Bench<'_>, pairs: &Pairs) -> Result<Asked, WebError> {
    let rows = rows(pairs);
    if rows.len() > READINGS_MAX {
        return Err(WebError::Rule(format!(
            "A search takes at most {READINGS_MAX} readings. Take some out, or start again."
        )));
    }
    let mut asked = Asked::default();
    for row in rows {
        match taken(bench, &asked.readings, &row) {
            Ok(reading) => asked.readings.push(reading),
            Err(fault) => return Ok(Asked { typed: row, fault: Some(fault), ..asked }),
        }
    }
    Ok(asked)
}

/// The first value of each name makes the first row, and so on.
fn rows(pairs: &Pairs) -> Vec<Row> {
    let all = |name: &str| -> Vec<&str> {
        let of_name = pairs.iter().filter(|(other, _)| other == name);
        of_name.map(|(_, value)| value.trim()).collect()
    };
    let [from, to, drop, current] = ["from", "to", "drop", "current"].map(all);
    let text = |column: &[&str], at: usize| (*column.get(at).unwrap_or(&"")).to_owned();
    (0..drop.len())
        .map(|at| Row {
            from: text(&from, at),
            to: text(&to, at),
            drop: text(&drop, at),
            current: text(&current, at),
        })
        .collect()
}

fn taken(bench: &Bench<'_>, before: &[SpanReading], row: &Row) -> Result<SpanReading, Fault> {
    let reading = reading(bench, row)?;
    let refused = |sentence: String| Fault { at: At::Drop, sentence };
    let same = |other: &SpanReading| (other.from, other.to) == (reading.from, reading.to);
    let is_again = bench.recorded.iter().chain(before).any(same);
    let stands = bench.search(before).map_err(refused)?;
    if !is_again && stands.explains(reading.from, reading.to) {
        let words = "What lies between these two points is known already. Measure where the page \
                     says, or take out the reading that you doubt.";
        return Err(fault(At::Points, words));
    }
    let mut all = before.to_vec();
    all.push(reading);
    bench.search(&all).map(|_| reading).map_err(refused)
}

fn reading(bench: &Bench<'_>, row: &Row) -> Result<SpanReading, Fault> {
    let point = |text: &str| {
        let known = text.parse::<usize>().ok().filter(|at| *at < bench.path.points.len());
        known.ok_or_else(|| fault(At::Points, "Choose two points of this path."))
    };
    let (one, other) = (point(&row.from)?, point(&row.to)?);
    if one == other {
        let words = "Both probes are on the same point. Choose two different ones.";
        return Err(fault(At::Points, words));
    }
    let drop_v = parse_typed(&row.drop).ok_or_else(|| {
        fault(At::Drop, "Type the voltage lost as one number in volts, for example 0.021.")
    })?;
    let current_a = parse_typed(&row.current).ok_or_else(|| {
        fault(At::Current, "Type the current as one number in ampere, for example 28.5.")
    })?;
    if current_a <= Decimal::ZERO {
        let words = "The current must be above zero. Switch the load on and read both again.";
        return Err(fault(At::Current, words));
    }
    Ok(SpanReading { from: one.min(other), to: one.max(other), drop_v, current_a })
}
