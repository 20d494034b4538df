//! Ratings given as a mass, "holds N kg", against what the mounted masses ask for.
//!
//! Ask which kind of rating it is: a crash figure and a driving figure differ by 20 times, and a
//! breaking figure is divided by its safety factor first.

use super::units::{Kilograms, Newtons, STANDARD_GRAVITY};
use super::{OutOfRange, check};

/// Safety factors of ratings: 1 for a working load, more for a breaking load.
const SAFETY_RANGE: (f64, f64) = (1.0, 20.0);

/// Levels in multiples of g.
const LEVEL_RANGE: (f64, f64) = (0.0, 100.0);

/// Force that anchors rated in kilograms hold together.
///
/// ```text
/// F = Σ N · g0 / S
/// ```
///
/// | symbol | meaning                                                           | unit |
/// |--------|-------------------------------------------------------------------|------|
/// | `F`    | capacity, result                                                  | N    |
/// | `N`    | `anchors`: rating of each                                         | kg   |
/// | `g0`   | 9.806 65                                                          | m/s² |
/// | `S`    | `safety_factor`: 1 for a working load, else up to 20              | –    |
///
/// The sum holds only where all share alike: with a centre of mass above the anchors they do not,
/// see [`super::pattern_forces`].
///
/// # Source
///
/// First principles: a mass used as a force.
///
/// # Example
///
/// Four anchors that break at 250 kg, safety factor 2. By hand: 4 × 250 × 9.80665 / 2 = 4900 N.
///
/// ```
/// use fusewright::engineering::{capacity_rating::rated_capacity, units::Kilograms};
///
/// let capacity = rated_capacity(&[Kilograms(250.0); 4], 2.0).unwrap();
/// assert_eq!(format!("{capacity:.0}"), "4903 N");
/// ```
pub fn rated_capacity(anchors: &[Kilograms], safety_factor: f64) -> Result<Newtons, OutOfRange> {
    let safety = check::within("safety factor", safety_factor, SAFETY_RANGE)?;
    let mut rated = 0.0;
    for anchor in anchors {
        rated += check::not_negative("rating of the anchor", *anchor)?;
    }
    Ok(Newtons(rated * STANDARD_GRAVITY / safety))
}

/// Force that mounted masses ask of their anchors at one level.
///
/// ```text
/// F = Σ m · n · g0
/// ```
///
/// | symbol | meaning                                     | unit |
/// |--------|---------------------------------------------|------|
/// | `F`    | demand, result                              | N    |
/// | `m`    | `masses`                                    | kg   |
/// | `n`    | `level_g`, from 0 to 100                    | –    |
/// | `g0`   | 9.806 65                                    | m/s² |
///
/// # Source
///
/// First principles; levels as [`super::mounting::RestraintClass::levels`] says.
///
/// # Example
///
/// A pack of 22 kg and a tray of 3 kg at 20 g. By hand: 25 × 20 × 9.80665 = 4900 N.
///
/// ```
/// use fusewright::engineering::{capacity_rating::rating_demand, units::Kilograms};
///
/// let demand = rating_demand(&[Kilograms(22.0), Kilograms(3.0)], 20.0).unwrap();
/// assert_eq!(format!("{demand:.0}"), "4903 N");
/// ```
pub fn rating_demand(masses: &[Kilograms], level_g: f64) -> Result<Newtons, OutOfRange> {
    let level = check::within("level, in g", level_g, LEVEL_RANGE)?;
    let mut total = 0.0;
    for mass in masses {
        total += check::positive("mass", *mass)?;
    }
    Ok(Newtons(total * level * STANDARD_GRAVITY))
}
