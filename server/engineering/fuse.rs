//! Fuses: forms, standard ratings, time gates, and the rules that bind a rating to a cable.

use std::fmt;

pub use super::fuse_gates::{Gate, GatePoint, gate, gate_points, gate_source, sure_opening};
pub use super::fuse_places::{
    FUSE_DISTANCE_CFR, FUSE_DISTANCE_CFR_BATTERY, FUSE_DISTANCE_CFR_SHEATHED,
    FUSE_DISTANCE_MACHINES, FUSE_DISTANCE_MAX, FUSE_DISTANCE_NEC_VEHICLE, FUSE_PLACES, FusePlace,
};
pub use super::fuse_rules::{
    Cap, FuseChoice, FuseRule, OVERLOAD_MULTIPLE, OVERLOAD_SOURCE, VEHICLE_CODE_SOURCE,
    cap_by_rule, caps, choices, overload_protected, vehicle_code_max,
};
use super::units::{Amps, Volts};
use super::{OutOfRange, Source, check};

/// Share of its rating that a fuse carries for good.
const CONTINUOUS_NUMERATOR: f64 = 4.0;
/// Four fifths, kept as a fraction so that 0.8 of a rating is exact.
const CONTINUOUS_DENOMINATOR: f64 = 5.0;

/// The build of a fuse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FuseForm {
    /// Blade, miniature (type F).
    BladeMini,
    /// Blade, medium (type C), the ordinary one.
    Blade,
    /// Blade, high current (type E).
    BladeHigh,
    /// Bolted strip, 30 mm between the bolts (SF 30).
    Strip30,
    /// Bolted strip, 51 mm between the bolts (SF 51).
    Strip51,
    /// Block on a single bolt.
    SingleBolt,
}

impl FuseForm {
    /// Every form, smallest first.
    pub const ALL: [Self; 6] = [
        Self::BladeMini,
        Self::Blade,
        Self::BladeHigh,
        Self::Strip30,
        Self::Strip51,
        Self::SingleBolt,
    ];

    /// Reads the word of a kit file: `blade_mini`, `blade`, `blade_high`, `strip_30`, `strip_51`,
    /// `single_bolt`.
    pub fn parse(word: &str) -> Result<Self, OutOfRange> {
        let found = Self::ALL.into_iter().find(|form| form.key() == word.trim());
        found.ok_or_else(|| {
            check::not_listed("form of the fuse", word, Self::ALL.iter().map(|form| form.key()))
        })
    }

    /// The word of a kit file.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::BladeMini => "blade_mini",
            Self::Blade => "blade",
            Self::BladeHigh => "blade_high",
            Self::Strip30 => "strip_30",
            Self::Strip51 => "strip_51",
            Self::SingleBolt => "single_bolt",
        }
    }

    /// The form in words, as it is printed.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::BladeMini => "blade fuse, miniature",
            Self::Blade => "blade fuse, medium",
            Self::BladeHigh => "blade fuse, high current",
            Self::Strip30 => "strip fuse, 30 mm",
            Self::Strip51 => "strip fuse, 51 mm",
            Self::SingleBolt => "single-bolt fuse",
        }
    }

    /// The standard that the form belongs to.
    #[must_use]
    pub const fn standard(self) -> &'static str {
        match self {
            Self::BladeMini | Self::Blade | Self::BladeHigh => "ISO 8820-3",
            Self::Strip30 | Self::Strip51 => "ISO 8820-5",
            Self::SingleBolt => "ISO 8820-6",
        }
    }

    /// Standard ratings, smallest first. Makers offer others; they are entered in the kit.
    ///
    /// # Source
    ///
    /// ISO 8820-3, -5, -6: the upper bounds (100 A, 500 A, 300 A) seen, the lists from memory.
    #[must_use]
    pub const fn ratings(self) -> &'static [Amps] {
        match self {
            Self::BladeMini => &MINIATURE,
            Self::Blade => &MEDIUM,
            Self::BladeHigh => &HIGH_CURRENT,
            Self::Strip30 => &STRIP_30,
            Self::Strip51 => &STRIP_51,
            Self::SingleBolt => &SINGLE_BOLT,
        }
    }

    /// Where [`ratings`](Self::ratings) comes from.
    #[must_use]
    pub const fn ratings_source(self) -> Source {
        match self {
            Self::BladeMini | Self::Blade | Self::BladeHigh => {
                Source::from_memory("ISO 8820-3, list of rated currents")
            }
            Self::Strip30 | Self::Strip51 => {
                Source::from_memory("ISO 8820-5, list of rated currents")
            }
            Self::SingleBolt => Source::from_memory("ISO 8820-6, list of rated currents"),
        }
    }

    /// Rated voltage. Blade fuses are made for 58 V too; the lower figure stands unless the kit
    /// says so.
    ///
    /// # Source
    ///
    /// ISO 8820-3:2015, ISO 8820-5:2015, ISO 8820-6:2019, scope (seen in public previews).
    #[must_use]
    pub const fn rated_voltage(self) -> Volts {
        match self {
            Self::SingleBolt => Volts(58.0),
            _ => Volts(32.0),
        }
    }

    /// Largest prospective current the fuse is sure to break.
    ///
    /// # Source
    ///
    /// ISO 8820-3:2015, ISO 8820-5:2015, ISO 8820-6:2019, scope (seen in public previews).
    #[must_use]
    pub const fn breaking_capacity(self) -> Amps {
        match self {
            Self::BladeMini | Self::Blade | Self::BladeHigh => Amps(1000.0),
            Self::Strip30 | Self::Strip51 | Self::SingleBolt => Amps(2000.0),
        }
    }

    /// Where [`breaking_capacity`](Self::breaking_capacity) and
    /// [`rated_voltage`](Self::rated_voltage) come from.
    #[must_use]
    pub const fn scope_source(self) -> Source {
        match self {
            Self::BladeMini | Self::Blade | Self::BladeHigh => {
                Source::seen("ISO 8820-3:2015, scope")
            }
            Self::Strip30 | Self::Strip51 => Source::seen("ISO 8820-5:2015, scope"),
            Self::SingleBolt => Source::seen("ISO 8820-6:2019, scope"),
        }
    }
}

impl fmt::Display for FuseForm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

macro_rules! amps {
    ($($printed:literal),* $(,)?) => { [$(Amps($printed)),*] };
}

/// ISO 8820-3, type F (from memory) [A].
static MINIATURE: [Amps; 10] = amps![2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0];

/// ISO 8820-3, type C (from memory) [A].
static MEDIUM: [Amps; 13] =
    amps![1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0];

/// ISO 8820-3, type E (from memory; up to 100 A as the scope says) [A].
static HIGH_CURRENT: [Amps; 10] =
    amps![20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0];

/// ISO 8820-5, SF 30 (from memory) [A].
static STRIP_30: [Amps; 11] =
    amps![30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0];

/// ISO 8820-5, SF 51 (from memory; up to 500 A as the scope says) [A].
static STRIP_51: [Amps; 14] = amps![
    60.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 450.0, 500.0,
];

/// ISO 8820-6 (from memory; up to 300 A as the scope says) [A].
static SINGLE_BOLT: [Amps; 14] = amps![
    30.0, 40.0, 50.0, 60.0, 75.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0,
];

/// The largest current a fuse carries for good.
///
/// ```text
/// I = 0.8 · In
/// ```
///
/// | symbol | meaning                          | unit |
/// |--------|----------------------------------|------|
/// | `I`    | continuous current, result       | A    |
/// | `In`   | `rating`                         | A    |
///
/// At 23 °C; some makers ask for 0.70 to 0.75 for strip fuses and in hot places.
///
/// # Source
///
/// ISO 8820-2, user guide (from memory).
///
/// # Example
///
/// 50 A fuse. By hand: 0.8 × 50 = 40.0 A.
///
/// ```
/// use fusewright::engineering::{fuse::continuous_max, units::Amps};
///
/// assert_eq!(continuous_max(Amps(50.0)).unwrap(), Amps(40.0));
/// ```
pub fn continuous_max(rating: Amps) -> Result<Amps, OutOfRange> {
    let rating = check::positive("fuse rating", rating)?;
    Ok(Amps(rating * CONTINUOUS_NUMERATOR / CONTINUOUS_DENOMINATOR))
}

/// The smallest standard rating of a form that carries a current for good.
///
/// A current that no rating of the form carries is refused, with the largest that one does.
///
/// # Source
///
/// [`continuous_max`] over [`FuseForm::ratings`].
///
/// # Example
///
/// 30 A continuous. By hand: 0.8 × 35 = 28 A is too little, 0.8 × 40 = 32 A is enough.
///
/// ```
/// use fusewright::engineering::{fuse::{FuseForm, nearest_rating}, units::Amps};
///
/// assert_eq!(nearest_rating(FuseForm::Blade, Amps(30.0)).unwrap(), Amps(40.0));
/// ```
pub fn nearest_rating(form: FuseForm, continuous_current: Amps) -> Result<Amps, OutOfRange> {
    let current = check::not_negative("continuous current", continuous_current)?;
    let mut largest = Amps(0.0);
    for &rating in form.ratings() {
        largest = continuous_max(rating)?;
        if current <= largest.0 {
            return Ok(rating);
        }
    }
    let allowed = format!("at most {largest} for a {form}");
    Err(check::refusal("continuous current", &continuous_current, allowed))
}
