//! What a measured path resistance says beside its verdict: how much more than planned it is, whether
//! that is more than the meters leave open, and as what it amounts to.
//!
//! Worked in decimals, as verdicts are, by the formulas of `engineering::path_diagnosis`; the phone says
//! the same (`static/diagnosis.js`), and `tests/data/diagnosis.json` holds both together.

mod circuit_path;
mod search;

pub use circuit_path::{
    CircuitPath, Segment, SegmentKind, circuit_path, loaded_circuit, loaded_leg_key,
};
pub use search::{Advice, Known, READINGS_MAX, SAFE, Search, SpanReading, Stretch, Tools, search};

use rust_decimal::MathematicalOps;
use rust_decimal::RoundingStrategy::{AwayFromZero, MidpointAwayFromZero, ToPositiveInfinity};
use serde::Serialize;

use super::number::Decimal;
use super::verdict::Verdict;
use crate::engineering::path_diagnosis::Standing;

/// What one sound joint adds, in mΩ; the same as `figures::JOINT`.
pub const JOINT_MILLIOHM: Decimal = Decimal::from_parts(5, 0, 0, false, 1);

/// Resistances are printed to a hundredth of a milliohm.
const MILLIOHM_DECIMALS: u32 = 2;
/// Decimals beyond which a root is noise, before it is rounded up.
const ROOT_DECIMALS: u32 = 12;

/// A drop and its current, each with the expanded uncertainty (k = 2) of its instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LoadedReading {
    /// Its size counts, not which way round the probes were.
    pub drop_v: Decimal,
    pub drop_uncertainty_v: Decimal,
    /// More than nothing.
    pub current_a: Decimal,
    pub current_uncertainty_a: Decimal,
}

impl LoadedReading {
    /// The square of the resistance's uncertainty, times the fourth power of the current:
    /// `(U(U)·I)² + (U·U(I))²`. Nothing is divided before it is decided.
    pub fn guard_squared(&self) -> Decimal {
        let of_drop = self.drop_uncertainty_v * self.current_a;
        let of_current = self.drop_v * self.current_uncertainty_a;
        of_drop * of_drop + of_current * of_current
    }

    /// `U/I` in mΩ.
    pub fn milliohm(&self) -> Decimal {
        self.drop_v.abs() / self.current_a * Decimal::ONE_THOUSAND
    }

    /// Its expanded uncertainty in mΩ.
    pub fn uncertainty_milliohm(&self) -> Decimal {
        let root = self.guard_squared().sqrt().unwrap_or_default();
        (root / (self.current_a * self.current_a) * Decimal::ONE_THOUSAND).round_dp(ROOT_DECIMALS)
    }
}

/// What the sheet says about a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlannedPath {
    pub planned_milliohm: Decimal,
    pub limit_milliohm: Decimal,
    /// Of the planned cable, as warm as planned.
    pub milliohm_per_metre: Decimal,
}

/// A measured path against its plan; all in mΩ, unrounded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Diagnosis {
    pub resistance: Decimal,
    /// Expanded, k = 2; of the excess as well, since the plan is taken as exact.
    pub uncertainty: Decimal,
    pub planned: Decimal,
    pub limit: Decimal,
    /// Below zero where there is less than planned.
    pub excess: Decimal,
    #[serde(skip)]
    pub standing: Standing,
    /// The excess as cable.
    pub metres: Decimal,
    /// The excess as joints of [`JOINT_MILLIOHM`].
    pub joints: Decimal,
}

/// Diagnoses a path. The current must be more than nothing.
pub fn diagnose(reading: &LoadedReading, path: &PlannedPath) -> Diagnosis {
    let resistance = reading.milliohm();
    let excess = resistance - path.planned_milliohm;
    Diagnosis {
        resistance,
        uncertainty: reading.uncertainty_milliohm(),
        planned: path.planned_milliohm,
        limit: path.limit_milliohm,
        excess,
        standing: standing(reading, path.planned_milliohm),
        metres: excess.checked_div(path.milliohm_per_metre).unwrap_or_default(),
        joints: excess / JOINT_MILLIOHM,
    }
}

/// Whether the excess is one: `(U − R·I)·I` against the guard, so that at the limit itself no
/// rounding decides.
fn standing(reading: &LoadedReading, planned_milliohm: Decimal) -> Standing {
    let planned_v = planned_milliohm / Decimal::ONE_THOUSAND * reading.current_a;
    let more = (reading.drop_v.abs() - planned_v) * reading.current_a;
    if more * more <= reading.guard_squared() {
        Standing::WithinUncertainty
    } else if more > Decimal::ZERO {
        Standing::More
    } else {
        Standing::Less
    }
}

impl Diagnosis {
    /// The excess is above nothing by more than the meters leave open.
    pub fn is_clearly_more(&self) -> bool {
        self.standing == Standing::More
    }

    /// Whether there is a joint to look for: the step is not proved, or the excess is a clear one.
    pub fn wants_search(&self, verdict: Verdict) -> bool {
        !verdict.is_good() || self.is_clearly_more()
    }

    /// The whole of what is said: resistance against its limit, against the plan, and what to do.
    pub fn words(&self, verdict: Verdict) -> String {
        let head = format!(
            "The path has {} mΩ ± {} mΩ, {}.",
            self.resistance_shown(),
            self.uncertainty_shown(),
            self.against_limit(verdict)
        );
        let planned = format!("Planned {} mΩ: {}.", self.planned, self.against_plan());
        let next = next_words(verdict);
        [head.as_str(), planned.as_str(), next].join(" ").trim_end().to_owned()
    }

    fn against_limit(&self, verdict: Verdict) -> String {
        let limit = format!("its limit of {} mΩ", self.limit);
        match verdict {
            Verdict::Fail => format!("above {limit}"),
            Verdict::Inconclusive => format!("nearer to {limit} than the meters can tell"),
            _ => format!("clear of {limit}"),
        }
    }

    fn against_plan(&self) -> String {
        let amounts = format!(
            "{} m more of this cable or {} joints of {JOINT_MILLIOHM} mΩ",
            amount(self.metres),
            amount(self.joints)
        );
        let apart = self.excess_shown();
        match self.standing {
            Standing::More => format!("{apart}, which amounts to {amounts}"),
            Standing::Less => apart,
            Standing::WithinUncertainty if self.excess > Decimal::ZERO => {
                format!("{apart}, {UNTOLD}; it would amount to {amounts}")
            }
            Standing::WithinUncertainty => format!("{apart}, {UNTOLD}"),
        }
    }

    /// Rounded up, so that printing never turns a fail into a pass.
    pub fn resistance_shown(&self) -> Decimal {
        shown(self.resistance.round_dp_with_strategy(MILLIOHM_DECIMALS, ToPositiveInfinity))
    }

    fn uncertainty_shown(&self) -> Decimal {
        shown(self.uncertainty.round_dp_with_strategy(MILLIOHM_DECIMALS, AwayFromZero))
    }

    /// `2.11 mΩ ± 0.26 mΩ more`; rounded as the resistance is, so that the difference adds up.
    pub fn excess_shown(&self) -> String {
        let excess = self.excess.round_dp_with_strategy(MILLIOHM_DECIMALS, ToPositiveInfinity);
        let side = if self.excess < Decimal::ZERO { "less" } else { "more" };
        format!("{} mΩ ± {} mΩ {side}", shown(excess.abs()), self.uncertainty_shown())
    }

    /// What stands beside limit, result and uncertainty, figure by figure, for the one who reviews.
    pub fn figures(&self) -> Vec<(&'static str, String)> {
        let mut figures = vec![
            ("Planned", format!("{} mΩ", self.planned)),
            ("Against the plan", self.excess_shown()),
        ];
        if self.excess > Decimal::ZERO {
            figures.push(("As cable", format!("{} m more", amount(self.metres))));
            let joints = format!("{} of {JOINT_MILLIOHM} mΩ", amount(self.joints));
            figures.push(("As joints", joints));
        }
        let told = match self.standing {
            Standing::WithinUncertainty => "no, the meters leave as much open",
            Standing::More | Standing::Less => "yes",
        };
        figures.push(("To be told from nothing", told.to_owned()));
        figures
    }
}

const UNTOLD: &str = "which these meters cannot tell from nothing";

fn next_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fail => {
            "Measure half of the path, then half of what is left, until one joint or cable is left. \
             The first reading stays on the sheet."
        }
        Verdict::Inconclusive => {
            "Load it with more current, or measure straight across the path with a better meter."
        }
        _ => "",
    }
}

/// With both decimals, as its uncertainty has them.
fn shown(milliohm: Decimal) -> Decimal {
    let mut shown = milliohm;
    shown.rescale(MILLIOHM_DECIMALS);
    shown
}

/// To a tenth; what would print as nothing says so.
fn amount(count: Decimal) -> String {
    let mut tenths = count.round_dp_with_strategy(1, MidpointAwayFromZero);
    tenths.rescale(1);
    if tenths.is_zero() { "less than 0.1".to_owned() } else { tenths.to_string() }
}
