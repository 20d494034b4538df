//! The rules that bind a fuse rating to a cable; part of the room `fuse`.

use super::conductor::ConductorSize;
use super::fuse::{FuseForm, nearest_rating};
use super::fuse_gates::sure_opening;
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
    /// In ≤ 1.25 · Iz, and no more than the next standard size: the rule of one American state for
    /// its fleet.
    Fleet125,
    /// In ≤ 1.5 · Iz, and no more than the next standard size: American law for passenger vessels.
    NextSize150,
}

impl FuseRule {
    /// Every rule, strictest first.
    pub const ALL: [Self; 4] =
        [Self::ConductorAmpacity, Self::Fleet125, Self::NextSize150, Self::Cfr150];

    /// How many times the ampacity the rating may be.
    #[must_use]
    pub const fn multiple(self) -> f64 {
        match self {
            Self::ConductorAmpacity => 1.0,
            Self::Cfr150 | Self::NextSize150 => 1.5,
            Self::Fleet125 => 1.25,
        }
    }

    /// Whether it goes above the ampacity only to the next standard size.
    #[must_use]
    pub const fn is_next_size(self) -> bool {
        matches!(self, Self::Fleet125 | Self::NextSize150)
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
            Self::NextSize150 => Source::seen("46 CFR 120.380(d)"),
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

/// What one rule allows for a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cap {
    /// The rule.
    pub rule: FuseRule,
    /// The highest rating by its multiple, of [`cap_by_rule`].
    pub highest: Amps,
    /// The largest standard rating of the form that the rule allows; `None` where even the smallest
    /// is too large.
    pub rating: Option<Amps>,
}

/// Every rule side by side for one conductor, strictest first.
///
/// A rule that goes up to the next standard size allows the smallest standard rating that is not
/// below the ampacity, if its multiple allows that, else the largest that is not above the ampacity;
/// the others the largest that is not above their multiple. Symbols and units as for [`cap_by_rule`].
///
/// # Source
///
/// As [`FuseRule::source`] says; standard ratings as [`FuseForm::ratings`] says.
///
/// # Example
///
/// A conductor of 52 A and a high-current blade (40, 50, 60, 70, 80 A). By hand: 52 A gives 50 A;
/// 1.25 × 52 = 65 A, the next size, 60 A, is within; 1.5 × 52 = 78 A, the next size is still 60 A;
/// without that bound 70 A.
///
/// ```
/// use fusewright::engineering::{fuse::{FuseForm, caps}, units::Amps};
///
/// let ratings = caps(FuseForm::BladeHigh, Amps(52.0)).unwrap().map(|cap| cap.rating.unwrap().0);
/// assert_eq!(ratings, [50.0, 60.0, 60.0, 70.0]);
/// ```
pub fn caps(form: FuseForm, ampacity: Amps) -> Result<[Cap; 4], OutOfRange> {
    check::positive("ampacity", ampacity)?;
    Ok(FuseRule::ALL.map(|rule| {
        let highest = Amps(rule.multiple() * ampacity.0);
        let next = form.ratings().iter().copied().find(|rating| *rating >= ampacity);
        let rating = if rule.is_next_size() {
            next.filter(|next| *next <= highest).or_else(|| largest(form, ampacity))
        } else {
            largest(form, highest)
        };
        Cap { rule, highest, rating }
    }))
}

/// The largest standard rating that is not above a limit.
fn largest(form: FuseForm, limit: Amps) -> Option<Amps> {
    form.ratings().iter().copied().rev().find(|rating| *rating <= limit)
}

/// What one rule leaves to choose from for a load and a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuseChoice {
    /// The upper end: what the rule allows for the conductor.
    pub cap: Cap,
    /// The lower end: the smallest standard rating that carries the load for good; `None` where no
    /// rating of the form does.
    pub least: Option<Amps>,
}

impl FuseChoice {
    /// The rating to take: the smallest that carries the load, if the rule allows it.
    #[must_use]
    pub fn rating(&self) -> Option<Amps> {
        self.least.filter(|least| self.cap.rating.is_some_and(|most| *least <= most))
    }
}

/// The choice of a fuse by every rule side by side, strictest first.
///
/// ```text
/// I ≤ 0.8 · In        In ≤ n · Iz
/// ```
///
/// | symbol | meaning                                             | unit |
/// |--------|-----------------------------------------------------|------|
/// | `I`    | `continuous_current` of the load                    | A    |
/// | `In`   | standard rating of `form`, result                   | A    |
/// | `Iz`   | `ampacity` of the smallest conductor after the fuse | A    |
/// | `n`    | 1.00, 1.25 or 1.50, by rule                         | –    |
///
/// # Source
///
/// [`nearest_rating`] and [`caps`].
///
/// # Example
///
/// 40 A over a conductor of 45 A. By hand: 0.8 × 50 = 40, so 50 A is the least; 45 A allows 40 A,
/// which is too little, 1.25 × 45 = 56 A the next size, 50 A.
///
/// ```
/// use fusewright::engineering::{fuse::{FuseForm, choices}, units::Amps};
///
/// let found = choices(FuseForm::BladeHigh, Amps(40.0), Amps(45.0)).unwrap();
/// let ratings = found.map(|choice| choice.rating());
/// assert_eq!(ratings, [None, Some(Amps(50.0)), Some(Amps(50.0)), Some(Amps(50.0))]);
/// ```
pub fn choices(
    form: FuseForm,
    continuous_current: Amps,
    ampacity: Amps,
) -> Result<[FuseChoice; 4], OutOfRange> {
    check::not_negative("continuous current", continuous_current)?;
    let least = nearest_rating(form, continuous_current).ok();
    Ok(caps(form, ampacity)?.map(|cap| FuseChoice { cap, least }))
}

/// How many times the ampacity a conductor stands for as long as a fuse may take to open.
///
/// # Source
///
/// IEC 60364-4-43, 433.1: I2 ≤ 1.45 · Iz (from memory).
pub const OVERLOAD_MULTIPLE: f64 = 1.45;

/// Where [`overload_protected`] comes from.
pub const OVERLOAD_SOURCE: Source = Source::from_memory("IEC 60364-4-43, 433.1: I2 ≤ 1.45 · Iz");

/// Whether a fuse opens before a lasting overload harms the conductor; `None` for a form whose gates
/// we have no table of.
///
/// ```text
/// I2 ≤ 1.45 · Iz        I2 = m · In
/// ```
///
/// | symbol | meaning                                                             | unit |
/// |--------|---------------------------------------------------------------------|------|
/// | `I2`   | current at which the fuse is sure to open, however late             | A    |
/// | `m`    | first multiple with a longest time, of [`sure_opening`]             | –    |
/// | `In`   | `rating`                                                            | A    |
/// | `Iz`   | `ampacity`                                                          | A    |
///
/// Blades and the 51 mm strip open for sure at 1.35 times their rating, so In ≤ Iz is enough; the
/// 30 mm strip is recalled with 1.50 and asks for In ≤ 0.966 · Iz.
///
/// # Source
///
/// As [`OVERLOAD_SOURCE`] says; gates from memory.
///
/// # Example
///
/// A 100 A strip on a conductor of 100 A. By hand: 1.35 × 100 = 135 A is below 145 A; 1.50 × 100 =
/// 150 A is not.
///
/// ```
/// use fusewright::engineering::{fuse::{FuseForm, overload_protected}, units::Amps};
///
/// let holds = |form| overload_protected(form, Amps(100.0), Amps(100.0)).unwrap();
/// assert_eq!(holds(FuseForm::Strip51), Some(true));
/// assert_eq!(holds(FuseForm::Strip30), Some(false));
/// ```
pub fn overload_protected(
    form: FuseForm,
    rating: Amps,
    ampacity: Amps,
) -> Result<Option<bool>, OutOfRange> {
    let rating = check::positive("fuse rating", rating)?;
    let ampacity = check::positive("ampacity", ampacity)?;
    let opening = sure_opening(form);
    Ok(opening.map(|point| point.multiple * rating <= OVERLOAD_MULTIPLE * ampacity))
}

/// Where [`vehicle_code_max`] comes from.
pub const VEHICLE_CODE_SOURCE: Source =
    Source::from_memory("NEC 551.31(A), low-voltage wiring of recreational vehicles");

/// NEC 551.31(A): size, highest rating of the fuse before it [A]. Recalled.
static VEHICLE_CODE: [(&str, Amps); 5] = [
    ("18 AWG", Amps(6.0)),
    ("16 AWG", Amps(8.0)),
    ("14 AWG", Amps(15.0)),
    ("12 AWG", Amps(20.0)),
    ("10 AWG", Amps(30.0)),
];

/// The highest fuse before a size by the American code for recreational vehicles, whatever its
/// insulation; `None` for sizes the rule does not name (mm², and gauges above 10 AWG).
///
/// # Source
///
/// As [`VEHICLE_CODE_SOURCE`] says.
///
/// # Example
///
/// ```
/// use fusewright::engineering::fuse::vehicle_code_max;
/// use fusewright::engineering::{conductor::ConductorSize, units::Amps};
///
/// let of = |label| vehicle_code_max(ConductorSize::parse(label).unwrap());
/// assert_eq!(of("10 AWG"), Some(Amps(30.0)));
/// assert_eq!(of("6 mm²"), None);
/// ```
#[must_use]
pub fn vehicle_code_max(size: ConductorSize) -> Option<Amps> {
    VEHICLE_CODE.iter().find(|(label, _)| *label == size.label()).map(|(_, rating)| *rating)
}
