//! One calculated result of a plan: its value against its limit, how it came about, and from where.

use serde::Serialize;

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
    /// Standard, edition, table; and how sure we are of the figure.
    pub source: String,
    /// The smallest change that would make it ok, where one is known.
    pub remedy: Option<String>,
}

impl Finding {
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

/// `0.434`, `12.6`, `4900`: three significant digits without an exponent.
pub fn three_digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    #[expect(clippy::cast_possible_truncation, reason = "the logarithm of an f64 fits an i32")]
    let magnitude = value.abs().log10().floor() as i32;
    if magnitude >= 2 {
        let scale = 10_f64.powi(magnitude - 2);
        return format!("{:.0}", (value / scale).round() * scale);
    }
    let decimals = usize::try_from(2 - magnitude).unwrap_or(0).min(6);
    format!("{value:.decimals$}")
}
