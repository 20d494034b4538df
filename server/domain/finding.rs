//! One calculated result of a plan: its value against its limit, how it came about, and from where.

use std::fmt;

use serde::Serialize;

use super::number::with_minus;
use crate::engineering::{Source, Sureness};

/// What a finding says to the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Outcome {
    Ok,
    /// The manager may accept it in writing before the sheet is made.
    Caution,
    /// The plan must change.
    Stop,
}

impl Outcome {
    pub fn word(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Caution => "caution",
            Self::Stop => "stop",
        }
    }
}

/// Where a figure comes from, and how sure we are of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Basis {
    /// Standard, edition, table; or the page of the maker's manual.
    pub text: String,
    pub sureness: &'static str,
}

impl Basis {
    /// A figure that the kit's maker gives.
    pub fn kit(page: &str) -> Self {
        Self { text: format!("Kit, {page}"), sureness: "maker's figure" }
    }

    /// What the trade does, without a source that could be named.
    pub fn practice(text: impl Into<String>) -> Self {
        Self { text: text.into(), sureness: "common practice, no source" }
    }

    /// What the plan itself says: a label, a data sheet, a weighing.
    pub fn plan(text: impl Into<String>) -> Self {
        Self { text: text.into(), sureness: "as planned" }
    }
}

impl From<Source> for Basis {
    fn from(source: Source) -> Self {
        Self { text: source.text.to_owned(), sureness: source.sureness.word() }
    }
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.text, self.sureness)
    }
}

/// One calculated result. Texts are ready to print; `value` and the limits are unrounded, in `unit`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Lasting name: `supply.drop`, `mount.bearing`.
    pub id: String,
    /// What was worked out: `Voltage drop, out and back`.
    pub title: String,
    pub value: f64,
    pub unit: &'static str,
    pub lower: Option<f64>,
    pub upper: Option<f64>,
    pub outcome: Outcome,
    /// One sentence: why this outcome.
    pub reason: String,
    /// The formula, and the same with this plan's figures put in.
    pub formula: String,
    /// Everything it rests on, each with how sure we are of it.
    pub sources: Vec<Basis>,
    /// What to do about it, in words; `change` works out what exactly.
    pub remedy: Option<String>,
}

impl Finding {
    /// An ok finding that still wants its figures.
    pub(super) fn named(id: impl Into<String>, title: impl Into<String>) -> Self {
        Self {
            id: id.into(),
            title: title.into(),
            value: 0.0,
            unit: "",
            lower: None,
            upper: None,
            outcome: Outcome::Ok,
            reason: String::new(),
            formula: String::new(),
            sources: Vec::new(),
            remedy: None,
        }
    }

    /// The outcome as it is printed; a figure without a limit is told, not judged.
    pub fn word(&self) -> &'static str {
        match self.outcome {
            Outcome::Ok if !self.is_judged() => "figure",
            outcome => outcome.word(),
        }
    }

    /// Whether it was held against a limit, or answers a yes or no.
    pub fn is_judged(&self) -> bool {
        self.unit.is_empty() || self.lower.is_some() || self.upper.is_some()
    }

    /// What is left to the nearest limit, in per cent of that limit (of the band, if there are two);
    /// negative beyond it. Nothing where no limit gives a scale.
    pub fn margin_percent(&self) -> Option<f64> {
        let margin = match (self.lower, self.upper) {
            (Some(low), Some(high)) if high > low => {
                (self.value - low).min(high - self.value) / (high - low)
            }
            (None, Some(high)) if high > 0.0 => (high - self.value) / high,
            (Some(low), None) if low > 0.0 => (self.value - low) / low,
            _ => return None,
        };
        // At the limit the last bit of a product says nothing.
        Some(if margin.abs() < 1e-9 { 0.0 } else { margin * 100.0 })
    }

    /// All sources in one line.
    pub fn source_text(&self) -> String {
        let all: Vec<String> = self.sources.iter().map(Basis::to_string).collect();
        all.join("; ")
    }

    /// Nothing but recalled figures speaks for it, so that its "ok" wants a second look.
    pub fn rests_on_memory(&self) -> bool {
        let recalled = Sureness::FromMemory.word();
        !self.sources.is_empty() && self.sources.iter().all(|basis| basis.sureness == recalled)
    }

    /// The value as printed: three significant digits, never more than the physics carries.
    pub fn value_text(&self) -> String {
        if self.unit.is_empty() {
            return "–".to_owned();
        }
        format!("{} {}", three_digits(self.value), self.unit)
    }

    pub fn limit_text(&self) -> String {
        match (self.lower, self.upper) {
            (Some(low), Some(high)) => {
                format!("{} to {} {}", three_digits(low), three_digits(high), self.unit)
            }
            (None, Some(high)) => format!("at most {} {}", three_digits(high), self.unit),
            (Some(low), None) => format!("at least {} {}", three_digits(low), self.unit),
            (None, None) => String::new(),
        }
    }
}

/// Whether a value lies beyond an upper limit. A hair of tolerance, so that the last bit of a product
/// does not put a value that is at its limit beyond it.
pub(super) fn beyond(value: f64, most: f64) -> bool {
    value - most > 1e-9 * most.abs()
}

/// `0.434`, `−12.6`, `4900`: three significant digits without an exponent, as people read them.
pub fn three_digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        // A zero has no sign.
        return if value == 0.0 { "0".to_owned() } else { value.to_string() };
    }
    // As 1.00e1 it is rounded already, so that 9.996 is printed as 10.0 and not as 10.00.
    let rounded = format!("{value:.2e}");
    let power = rounded.split_once('e').and_then(|(_, power)| power.parse::<i32>().ok());
    let magnitude = power.unwrap_or(0);
    if magnitude >= 2 {
        let scale = 10_f64.powi(magnitude - 2);
        return with_minus(&format!("{:.0}", (value / scale).round() * scale));
    }
    let decimals = usize::try_from(2 - magnitude).unwrap_or(0).min(6);
    with_minus(&format!("{value:.decimals$}"))
}
