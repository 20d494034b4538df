//! An open string of modules against what its cells' temperature lets expect: the limits follow a
//! figure that is measured with it.
//!
//! Worked in decimals, as verdicts are, by the formula of `engineering::solar_string`; the phone says
//! the same (`static/solar.js`), and `tests/data/solar.json` holds both together.

mod words;

pub use words::no_cell_words;

use rust_decimal::MathematicalOps;
use rust_decimal::RoundingStrategy::{
    MidpointAwayFromZero, ToNegativeInfinity, ToPositiveInfinity,
};
use serde::Serialize;

use super::limits::{CELL_COLDEST_C, CELL_HOTTEST_C};
use super::number::Decimal;
use super::step::{Limits, StepKind};
use super::verdict::Verdict;

/// Voltages are printed to a hundredth.
const VOLT_DECIMALS: u32 = 2;
/// Decimals beyond which a root is noise, before it is rounded up.
const ROOT_DECIMALS: u32 = 12;
/// The temperature that a data sheet's open-circuit voltage holds for [°C].
const STANDARD_C: Decimal = Decimal::from_parts(25, 0, 0, false, 0);

/// What the sheet says about a string.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct OpenString {
    /// Of the whole string, cells at 25 °C.
    pub string_voc_v: Decimal,
    pub in_series: u32,
    /// How its voltage follows the cells' temperature; below zero.
    pub percent_per_k: Decimal,
    /// How far it may lie from the expected voltage, on either side.
    pub tolerance_percent: Decimal,
    /// The most that the input takes, whatever the temperature.
    pub upper_v: Decimal,
}

/// A voltage and the cells' temperature, each with the expanded uncertainty (k = 2) of its instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct OpenReading {
    /// Below zero where plus and minus are swapped.
    pub voltage_v: Decimal,
    pub voltage_uncertainty_v: Decimal,
    /// On the back of a module; [`is_cell_temperature`] holds.
    pub cell_c: Decimal,
    pub cell_uncertainty_k: Decimal,
}

/// A measured string against what it should give; volts, unrounded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OpenCircuit {
    pub string: OpenString,
    pub reading: OpenReading,
    pub expected_v: Decimal,
    /// The ends of the band around it.
    pub least_v: Decimal,
    pub most_v: Decimal,
    /// The square of what both instruments leave open about reading less expectation:
    /// `U(V)² + (Voc·β·U(T))²`.
    pub guard_squared: Decimal,
}

/// What a reading is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Edge {
    /// The input's maximum, which no temperature moves.
    Input,
    Least,
    Most,
}

/// Whether cells in daylight can be as warm as that.
pub fn is_cell_temperature(cell_c: Decimal) -> bool {
    (CELL_COLDEST_C..=CELL_HOTTEST_C).contains(&cell_c)
}

impl OpenString {
    /// What a step of this kind says; nothing for other kinds.
    pub fn of(kind: &StepKind) -> Option<Self> {
        let StepKind::SolarOpen {
            string_voc_v,
            in_series,
            percent_per_k,
            tolerance_percent,
            upper_v,
        } = *kind
        else {
            return None;
        };
        Some(Self { string_voc_v, in_series, percent_per_k, tolerance_percent, upper_v })
    }

    /// `Voc·(1 + β·(T − 25))`, exactly.
    pub fn expected_v(&self, cell_c: Decimal) -> Decimal {
        let percent = Decimal::ONE_HUNDRED + self.percent_per_k * (cell_c - STANDARD_C);
        self.string_voc_v * percent / Decimal::ONE_HUNDRED
    }

    /// The limits at a temperature as they are printed: inwards to a hundredth of a volt. Nothing
    /// where no cell has it.
    pub fn limits(&self, cell_c: Decimal) -> Option<Limits> {
        is_cell_temperature(cell_c).then(|| {
            let (least, most) = self.band(self.expected_v(cell_c));
            let most = hundredths(most, ToNegativeInfinity);
            Limits::between(hundredths(least, ToPositiveInfinity), most.min(self.upper_v))
        })
    }

    fn band(&self, expected_v: Decimal) -> (Decimal, Decimal) {
        let aside = expected_v * self.tolerance_percent / Decimal::ONE_HUNDRED;
        (expected_v - aside, expected_v + aside)
    }

    /// `Voc·β·U(T)`: what an uncertain temperature leaves open about the expected voltage.
    fn moved_by(&self, kelvin: Decimal) -> Decimal {
        self.string_voc_v * self.percent_per_k * kelvin / Decimal::ONE_HUNDRED
    }
}

/// Holds a reading against its string.
pub fn examine(reading: OpenReading, string: OpenString) -> OpenCircuit {
    let expected_v = string.expected_v(reading.cell_c);
    let (least_v, most_v) = string.band(expected_v);
    let of_cell = string.moved_by(reading.cell_uncertainty_k);
    let of_meter = reading.voltage_uncertainty_v;
    let guard_squared = of_meter * of_meter + of_cell * of_cell;
    OpenCircuit { string, reading, expected_v, least_v, most_v, guard_squared }
}

impl OpenCircuit {
    /// Guarded acceptance at each edge. Below zero fails: plus and minus are swapped, which harms
    /// what is plugged in. No root decides: both sides are squared.
    pub fn verdict(&self) -> Verdict {
        if self.is_reversed() || Edge::ALL.iter().any(|edge| self.inside(*edge) < Decimal::ZERO) {
            Verdict::Fail
        } else if Edge::ALL.iter().all(|edge| self.is_clear_of(*edge)) {
            Verdict::Pass
        } else {
            Verdict::Inconclusive
        }
    }

    pub fn is_reversed(&self) -> bool {
        self.reading.voltage_v < Decimal::ZERO
    }

    /// The limits as printed.
    pub fn limits(&self) -> Option<Limits> {
        self.string.limits(self.reading.cell_c)
    }

    /// Distance to the edge that decides, negative outside, and the expanded uncertainty there.
    pub fn margin(&self) -> (Decimal, Decimal) {
        let edge = self.deciding();
        (self.inside(edge), self.guard(edge))
    }

    /// How far inside an edge the reading lies; negative outside.
    fn inside(&self, edge: Edge) -> Decimal {
        let read = self.reading.voltage_v;
        match edge {
            Edge::Input => self.string.upper_v - read,
            Edge::Least => read - self.least_v,
            Edge::Most => self.most_v - read,
        }
    }

    /// The meter alone is uncertain about the input's maximum.
    fn guard_squared_at(&self, edge: Edge) -> Decimal {
        match edge {
            Edge::Input => self.reading.voltage_uncertainty_v * self.reading.voltage_uncertainty_v,
            Edge::Least | Edge::Most => self.guard_squared,
        }
    }

    fn is_clear_of(&self, edge: Edge) -> bool {
        let inside = self.inside(edge);
        inside >= Decimal::ZERO && inside * inside >= self.guard_squared_at(edge)
    }

    fn guard(&self, edge: Edge) -> Decimal {
        self.guard_squared_at(edge).sqrt().unwrap_or_default().round_dp(ROOT_DECIMALS)
    }

    /// The edge that a verdict is about: crossed the farthest, else the first that is too near, else
    /// the one with the least room.
    fn deciding(&self) -> Edge {
        let least = |size: &dyn Fn(Edge) -> Decimal| {
            Edge::ALL.into_iter().min_by_key(|edge| size(*edge)).unwrap_or(Edge::Least)
        };
        let crossed = least(&|edge| self.inside(edge));
        if self.inside(crossed) < Decimal::ZERO {
            return crossed;
        }
        let unclear = Edge::ALL.into_iter().find(|edge| !self.is_clear_of(*edge));
        unclear.unwrap_or_else(|| least(&|edge| self.inside(edge) - self.guard(edge)))
    }

    /// Reading less expectation.
    fn apart(&self) -> Decimal {
        self.reading.voltage_v - self.expected_v
    }

    /// The nearest whole number of modules that the deviation amounts to.
    pub fn modules_apart(&self) -> Decimal {
        let modules = Decimal::from(self.string.in_series) * self.apart().abs();
        let count = modules.checked_div(self.expected_v).unwrap_or_default();
        count.abs().round_dp_with_strategy(0, MidpointAwayFromZero)
    }
}

impl Edge {
    /// In the order in which they are told: what would be destroyed comes first.
    const ALL: [Self; 3] = [Self::Input, Self::Least, Self::Most];
}

/// With both decimals.
fn hundredths(volts: Decimal, strategy: rust_decimal::RoundingStrategy) -> Decimal {
    let mut shown = volts.round_dp_with_strategy(VOLT_DECIMALS, strategy);
    shown.rescale(VOLT_DECIMALS);
    shown
}
