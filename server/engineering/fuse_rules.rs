//! The rules that bind a fuse rating to a cable; part of the room `fuse`.

use super::units::Amps;
use super::{OutOfRange, Source, check};

/// A rule that caps a fuse rating by the ampacity of the smallest conductor after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum FuseRule {
    /// In ≤ Iz: the strictest published rule, and the one used unless another is named.
    #[default]
    ConductorAmpacity,
    /// In ≤ 1.5 · Iz: American law for small craft.
    Cfr150,
    /// In ≤ 1.25 · Iz: the rule of one American state for its fleet.
    Fleet125,
}

impl FuseRule {
    /// Every rule, strictest first.
    pub const ALL: [Self; 3] = [Self::ConductorAmpacity, Self::Fleet125, Self::Cfr150];

    /// How many times the ampacity the rating may be.
    #[must_use]
    pub const fn multiple(self) -> f64 {
        match self {
            Self::ConductorAmpacity => 1.0,
            Self::Cfr150 => 1.5,
            Self::Fleet125 => 1.25,
        }
    }

    /// Where the rule comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::ConductorAmpacity => Source::from_memory("IEC 60364-4-43, 433.1; ISO 13297"),
            Self::Cfr150 => Source::seen("33 CFR 183.455(c)(1)"),
            Self::Fleet125 => {
                Source::seen("one US state's equipment rule for fleet vehicles, 125 %")
            }
        }
    }
}

/// The highest fuse rating a rule allows for a conductor.
///
/// ```text
/// In ≤ n · Iz
/// ```
///
/// | symbol | meaning                                                         | unit |
/// |--------|-----------------------------------------------------------------|------|
/// | `In`   | highest rating, result                                          | A    |
/// | `n`    | 1.00, 1.25 or 1.50, by `rule`                                   | –    |
/// | `Iz`   | `ampacity` of the smallest conductor after the fuse             | A    |
///
/// The American law refers to the table's figure, not to the corrected one; hand in what is meant.
///
/// # Source
///
/// As [`FuseRule::source`] says.
///
/// # Example
///
/// 10 AWG with 105 °C insulation carries 60 A. By hand: 1.5 × 60 = 90.0 A.
///
/// ```
/// use fusewright::engineering::{fuse::{FuseRule, cap_by_rule}, units::Amps};
///
/// assert_eq!(cap_by_rule(FuseRule::Cfr150, Amps(60.0)).unwrap(), Amps(90.0));
/// ```
pub fn cap_by_rule(rule: FuseRule, ampacity: Amps) -> Result<Amps, OutOfRange> {
    Ok(Amps(rule.multiple() * check::positive("ampacity", ampacity)?))
}
