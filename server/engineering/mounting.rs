//! Loads on what is mounted: restraint classes, and how a pattern of fasteners shares them.

use std::fmt;

pub use super::bolt_resistance::FastenerLoads;
use super::units::{Kilograms, Millimetres, Newtons, STANDARD_GRAVITY};
use super::{OutOfRange, Source, check};

/// Where the restraint levels come from.
const RESTRAINT_SOURCE: Source = Source::seen("ISO 12991:2012, table 1");

/// Where a level of the workshop's own comes from.
const OWN_SOURCE: Source = Source::computed("level set by the workshop");

/// How hard a mounted mass must be held, by the kind of vehicle.
///
/// These are crash levels. Normal driving (0.8 to 0.9 of the weight) is some 22 to 25 times less; a
/// document that states a capacity must say which of the two it means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RestraintClass {
    /// Cars and vans up to 3.5 t: 20 g in travel direction, 8 g across.
    M1N1,
    /// Minibuses up to 5 t and trucks up to 12 t: 10 g, 5 g.
    M2N2,
    /// Buses above 5 t and trucks above 12 t: 6.6 g, 5 g.
    M3N3,
    /// Levels of the workshop's own, in multiples of g.
    Own {
        /// In travel direction.
        forward_g: f64,
        /// Horizontally across.
        side_g: f64,
    },
}

/// The levels of a class, in multiples of g.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RestraintLevels {
    /// In travel direction.
    pub forward_g: f64,
    /// Horizontally across.
    pub side_g: f64,
}

impl RestraintClass {
    /// Reads the vehicle category: "M1", "N1", "M2", "N2", "M3", "N3", or both, "M1/N1", "M1N1".
    pub fn parse(text: &str) -> Result<Self, OutOfRange> {
        let written = text.to_uppercase().replace(['/', ' '], "");
        match written.as_str() {
            "M1" | "N1" | "M1N1" => Ok(Self::M1N1),
            "M2" | "N2" | "M2N2" => Ok(Self::M2N2),
            "M3" | "N3" | "M3N3" => Ok(Self::M3N3),
            _ => Err(check::not_listed(
                "restraint class",
                text,
                ["M1/N1", "M2/N2", "M3/N3"].into_iter(),
            )),
        }
    }

    /// The class as it is printed: "M1/N1".
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::M1N1 => "M1/N1",
            Self::M2N2 => "M2/N2",
            Self::M3N3 => "M3/N3",
            Self::Own { .. } => "own levels",
        }
    }

    /// The levels, in multiples of g. The workshop's own go from 0 to 100.
    ///
    /// # Source
    ///
    /// ISO 12991:2012, 4.2.2.1, table 1 (seen in a public copy); UN R67 and UN R110 have the same
    /// (from memory).
    pub fn levels(self) -> Result<RestraintLevels, OutOfRange> {
        let (forward_g, side_g) = match self {
            Self::M1N1 => (20.0, 8.0),
            Self::M2N2 => (10.0, 5.0),
            Self::M3N3 => (6.6, 5.0),
            Self::Own { forward_g, side_g } => (
                check::within("level in travel direction, in g", forward_g, (0.0, 100.0))?,
                check::within("level across, in g", side_g, (0.0, 100.0))?,
            ),
        };
        Ok(RestraintLevels { forward_g, side_g })
    }

    /// Where the levels come from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Own { .. } => OWN_SOURCE,
            _ => RESTRAINT_SOURCE,
        }
    }
}

impl fmt::Display for RestraintClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

/// The forces that a mount has to hold, one at a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RestraintForces {
    /// In travel direction.
    pub forward: Newtons,
    /// Horizontally across.
    pub side: Newtons,
}

/// Forces of a mass under the levels of a restraint class.
///
/// ```text
/// F = m · a · g0
/// ```
///
/// | symbol | meaning                                     | unit |
/// |--------|---------------------------------------------|------|
/// | `F`    | force, result, in each direction            | N    |
/// | `m`    | `mass`, everything that is mounted          | kg   |
/// | `a`    | level of `class` in that direction          | –    |
/// | `g0`   | 9.806 65                                    | m/s² |
///
/// # Source
///
/// ISO 12991:2012, 4.2.2.1, table 1 (seen in a public copy).
///
/// # Example
///
/// 25 kg in a van. By hand: 25 × 20 × 9.80665 = 4900 N forward, 25 × 8 × 9.80665 = 1960 N across.
///
/// ```
/// use fusewright::engineering::mounting::{RestraintClass, restraint_forces};
/// use fusewright::engineering::units::Kilograms;
///
/// let forces = restraint_forces(Kilograms(25.0), RestraintClass::M1N1).unwrap();
/// assert_eq!(format!("{:.0} {:.0}", forces.forward, forces.side), "4903 N 1961 N");
/// ```
pub fn restraint_forces(
    mass: Kilograms,
    class: RestraintClass,
) -> Result<RestraintForces, OutOfRange> {
    let mass = check::positive("mass", mass)?;
    let levels = class.levels()?;
    Ok(RestraintForces {
        forward: Newtons(mass * levels.forward_g * STANDARD_GRAVITY),
        side: Newtons(mass * levels.side_g * STANDARD_GRAVITY),
    })
}

/// Force under which a battery may move no more than 1 in, by American law for small craft: the
/// lesser of 90 lbf and twice its weight, one minute each up, forward, aft and to both sides.
///
/// # Source
///
/// 33 CFR 183.420(a) (seen in a public copy).
///
/// # Example
///
/// 25 kg. By hand: twice the weight is 490 N, 90 lbf is 400 N; the lesser is 400 N.
///
/// ```
/// use fusewright::engineering::{mounting::battery_pull_33cfr, units::Kilograms};
///
/// assert_eq!(format!("{:.0}", battery_pull_33cfr(Kilograms(25.0)).unwrap()), "400 N");
/// ```
pub fn battery_pull_33cfr(mass: Kilograms) -> Result<Newtons, OutOfRange> {
    let twice_the_weight = 2.0 * check::positive("mass", mass)? * STANDARD_GRAVITY;
    Ok(Newtons(twice_the_weight.min(Newtons::from_pounds_force(90.0).0)))
}

/// The capacity a surface must be rated for, where the rating is given as a mass.
///
/// "Holds N kg" is read as a force of N · g0 newtons, so that N ≥ m · a. Ask which kind of rating
/// it is: a crash figure and a driving figure differ by 20 times; a breaking figure is divided by
/// its safety factor first.
///
/// ```text
/// N = m · max(a_forward, a_side)
/// ```
///
/// | symbol | meaning                              | unit |
/// |--------|--------------------------------------|------|
/// | `N`    | rating needed, result                | kg   |
/// | `m`    | `mass`                               | kg   |
/// | `a`    | levels of `class`                    | –    |
///
/// # Source
///
/// First principles; levels as [`RestraintClass::levels`] says.
///
/// # Example
///
/// 25 kg at 20 g. By hand: 25 × 20 = 500 kg.
///
/// ```
/// use fusewright::engineering::mounting::{RestraintClass, surface_rating_needed};
/// use fusewright::engineering::units::Kilograms;
///
/// let rating = surface_rating_needed(Kilograms(25.0), RestraintClass::M1N1).unwrap();
/// assert_eq!(rating, Kilograms(500.0));
/// ```
pub fn surface_rating_needed(
    mass: Kilograms,
    class: RestraintClass,
) -> Result<Kilograms, OutOfRange> {
    let levels = class.levels()?;
    Ok(Kilograms(check::positive("mass", mass)? * levels.forward_g.max(levels.side_g)))
}

/// One horizontal force on a rectangular pattern of fasteners.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PatternLoad {
    /// The force, acting at the centre of mass.
    pub force: Newtons,
    /// All fasteners of the pattern.
    pub fasteners: u32,
    /// Fasteners of the row that the force pulls out: the rear row of a forward force.
    pub rear_fasteners: u32,
    /// Height of the centre of mass above the surface.
    pub height: Millimetres,
    /// Distance between the front row and the rear row, along the force.
    pub row_spacing: Millimetres,
}

/// Fasteners a pattern may have.
const FASTENERS_MAX: u32 = 100;

/// Shear and tension on the worst fastener of a rectangular pattern.
///
/// ```text
/// Fv = F / n            Ft = F · h / (b · nr)
/// ```
///
/// | symbol | meaning                                                        | unit |
/// |--------|----------------------------------------------------------------|------|
/// | `Fv`   | shear on each fastener, result                                 | N    |
/// | `Ft`   | tension on each fastener of the rear row, result               | N    |
/// | `F`    | `force`                                                        | N    |
/// | `n`    | `fasteners`                                                    | –    |
/// | `nr`   | `rear_fasteners`                                               | –    |
/// | `h`    | `height` of the centre of mass                                 | mm   |
/// | `b`    | `row_spacing`                                                  | mm   |
///
/// The front row is taken as the edge it tips over; the weight, which helps, and friction are left
/// out. The force must pass midway between the fasteners: no twist in the plane. Sharing alike asks
/// for a stiff base; a soft one does not share.
///
/// # Source
///
/// First principles (balance of moments).
///
/// # Example
///
/// 4903 N, four fasteners, two behind, 150 mm high, 300 mm apart. By hand: 4903 / 4 = 1230 N of
/// shear, 4903 × 150 / 300 / 2 = 1230 N of tension.
///
/// ```
/// use fusewright::engineering::mounting::{PatternLoad, fastener_loads};
/// use fusewright::engineering::units::*;
///
/// let loads = fastener_loads(PatternLoad {
///     force: Newtons(4903.0),
///     fasteners: 4,
///     rear_fasteners: 2,
///     height: Millimetres(150.0),
///     row_spacing: Millimetres(300.0),
/// });
/// assert_eq!(format!("{:.0}", loads.unwrap().tension), "1226 N");
/// ```
pub fn fastener_loads(load: PatternLoad) -> Result<FastenerLoads, OutOfRange> {
    let force = check::not_negative("force", load.force)?;
    let all = check::count("number of fasteners", load.fasteners, FASTENERS_MAX)?;
    let rear = check::count("number of fasteners in one row", load.rear_fasteners, FASTENERS_MAX)?;
    if rear > all {
        let allowed = format!("at most the {} of the whole pattern", load.fasteners);
        let quantity = "number of fasteners in one row";
        return Err(check::refusal(quantity, &load.rear_fasteners, allowed));
    }
    let height = check::not_negative("height of the centre of mass", load.height)?;
    let spacing = check::positive("distance between the rows", load.row_spacing)?;
    Ok(FastenerLoads {
        shear: Newtons(force / all),
        tension: Newtons(force * height / (spacing * rear)),
    })
}
