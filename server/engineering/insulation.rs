//! Temperature classes of insulation; part of the room `ampacity`.

use super::ampacity_tables::{CFR_CLASSES, CFR_ENGINE_SPACE};
use super::units::Celsius;
use super::{OutOfRange, check};

/// Temperature class of a cable's insulation.
///
/// The American table has no column for 70 °C, the metric one none for 75 °C and 80 °C: the next
/// lower column is used then, which is the cautious side. A cable marked 85 °C is entered as 80 °C.
///
/// # Example
///
/// ```
/// use fusewright::engineering::{ampacity::Insulation, units::Celsius};
///
/// assert_eq!(Insulation::parse_celsius(105.0).unwrap().max(), Celsius(105.0));
/// assert!(Insulation::parse_celsius(100.0).is_err());
/// ```
// Not `Ord`: its `max` would hide the one below.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Insulation {
    /// 60 °C.
    C60,
    /// 70 °C, ordinary PVC.
    C70,
    /// 75 °C.
    C75,
    /// 80 °C.
    C80,
    /// 90 °C.
    C90,
    /// 105 °C, thin-wall automotive PVC.
    C105,
    /// 125 °C, cross-linked.
    C125,
    /// 200 °C, silicone or fluoropolymer.
    C200,
}

impl Insulation {
    /// Every class, lowest first.
    pub const ALL: [Self; 8] =
        [Self::C60, Self::C70, Self::C75, Self::C80, Self::C90, Self::C105, Self::C125, Self::C200];

    /// The class of exactly this temperature.
    pub fn parse_celsius(celsius: f64) -> Result<Self, OutOfRange> {
        let found = Self::ALL.into_iter().find(|class| class.max().0.total_cmp(&celsius).is_eq());
        found.ok_or_else(|| {
            let listed = Self::ALL.map(|class| class.max().to_string()).join(", ");
            let allowed = format!("one of {listed}");
            check::refusal("temperature class of the insulation", &Celsius(celsius), allowed)
        })
    }

    /// The highest temperature the conductor may have.
    #[must_use]
    pub const fn max(self) -> Celsius {
        Celsius(match self {
            Self::C60 => 60.0,
            Self::C70 => 70.0,
            Self::C75 => 75.0,
            Self::C80 => 80.0,
            Self::C90 => 90.0,
            Self::C105 => 105.0,
            Self::C125 => 125.0,
            Self::C200 => 200.0,
        })
    }

    /// The column of a table: the class itself, else the next lower one.
    pub(super) fn column(self, classes: &[f64]) -> usize {
        classes.iter().filter(|&&class| class <= self.max().0).count().saturating_sub(1)
    }

    /// The engine-space factor of the American table, if it has this class.
    pub(super) fn engine_space_factor(self) -> Option<f64> {
        let mut columns = CFR_CLASSES.iter().zip(CFR_ENGINE_SPACE);
        columns
            .find(|&(&class, _)| class.total_cmp(&self.max().0).is_eq())
            .map(|(_, factor)| factor)
    }
}
