//! Added mass: what a vehicle may still carry, and how its axles share it.

use super::units::{Kilograms, Metres};
use super::{OutOfRange, check};

/// Mass of all that is added.
///
/// ```text
/// m = Σ mi
/// ```
///
/// | symbol | meaning                                                | unit |
/// |--------|--------------------------------------------------------|------|
/// | `m`    | added mass, result                                     | kg   |
/// | `mi`   | `parts`: gear, pack, battery, cable, mounting          | kg   |
///
/// What is taken out again is not subtracted here.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 12.5 kg, 25 kg and 3 kg. By hand: 12.5 + 25 + 3 = 40.5 kg.
///
/// ```
/// use fusewright::engineering::{mass::added_mass, units::Kilograms};
///
/// let added = added_mass(&[Kilograms(12.5), Kilograms(25.0), Kilograms(3.0)]).unwrap();
/// assert_eq!(format!("{added:.1}"), "40.5 kg");
/// ```
pub fn added_mass(parts: &[Kilograms]) -> Result<Kilograms, OutOfRange> {
    let mut sum = 0.0;
    for part in parts {
        sum += check::not_negative("mass", *part)?;
    }
    Ok(Kilograms(sum))
}

/// What a vehicle may carry, and what is added to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Payload {
    /// Permitted mass less the mass of the vehicle as it stands, people in it.
    pub left_before: Kilograms,
    /// All that is added.
    pub added: Kilograms,
}

/// Payload left after the work; below zero the vehicle is overloaded by that much.
///
/// ```text
/// left = before − added
/// ```
///
/// | symbol   | meaning                                                  | unit |
/// |----------|----------------------------------------------------------|------|
/// | `left`   | payload left, result; may be negative                    | kg   |
/// | `before` | `left_before`                                            | kg   |
/// | `added`  | `added`                                                  | kg   |
///
/// # Source
///
/// First principles; weigh the vehicle where it matters, the papers leave out what was fitted later.
///
/// # Example
///
/// 320 kg before, 40.5 kg added. By hand: 320 − 40.5 = 279.5 kg.
///
/// ```
/// use fusewright::engineering::{mass::*, units::Kilograms};
///
/// let payload = Payload { left_before: Kilograms(320.0), added: Kilograms(40.5) };
/// assert_eq!(format!("{:.1}", payload_left(payload).unwrap()), "279.5 kg");
/// ```
pub fn payload_left(payload: Payload) -> Result<Kilograms, OutOfRange> {
    let before = check::not_negative("payload before the work", payload.left_before)?;
    Ok(Kilograms(before - check::not_negative("added mass", payload.added)?))
}

/// A mass and where it sits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlacedMass {
    /// The mass.
    pub mass: Kilograms,
    /// Distance of its centre behind the front axle; negative ahead of it.
    pub behind_front_axle: Metres,
}

/// A figure for each axle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axles {
    /// Front axle.
    pub front: Kilograms,
    /// Rear axle, or the middle of a pair.
    pub rear: Kilograms,
}

/// Wheelbases of road vehicles [m].
const WHEELBASE_RANGE: (f64, f64) = (1.0, 10.0);

/// How two axles share masses, by the lever.
///
/// ```text
/// front = Σ m · (1 − x / L)        rear = Σ m · x / L
/// ```
///
/// | symbol  | meaning                                                          | unit |
/// |---------|------------------------------------------------------------------|------|
/// | `front` | share of the front axle, result; negative where it is relieved   | kg   |
/// | `rear`  | share of the rear axle, result; negative where it is relieved    | kg   |
/// | `m`     | `mass` of a part                                                 | kg   |
/// | `x`     | `behind_front_axle` of a part, from −L to 2 · L                  | m    |
/// | `L`     | `wheelbase`, from 1 to 10                                        | m    |
///
/// A part behind the rear axle lifts the front: the rear then carries more than the part weighs. On
/// level ground, at rest; a trailer's load on the coupling is a part of its own.
///
/// # Source
///
/// First principles (balance of moments).
///
/// # Example
///
/// 40 kg, 4.0 m behind the front axle, wheelbase 3.2 m. By hand: 40 × 4.0 / 3.2 = 50.0 kg on the
/// rear, 40 − 50 = −10.0 kg on the front.
///
/// ```
/// use fusewright::engineering::{mass::*, units::*};
///
/// let part = PlacedMass { mass: Kilograms(40.0), behind_front_axle: Metres(4.0) };
/// let shares = axle_shares(&[part], Metres(3.2)).unwrap();
/// assert_eq!(format!("{:.1} {:.1}", shares.front, shares.rear), "-10.0 kg 50.0 kg");
/// ```
pub fn axle_shares(parts: &[PlacedMass], wheelbase: Metres) -> Result<Axles, OutOfRange> {
    let base = check::within("wheelbase", wheelbase, WHEELBASE_RANGE)?;
    let (mut front, mut rear) = (0.0, 0.0);
    for part in parts {
        let mass = check::not_negative("mass", part.mass)?;
        let quantity = "distance behind the front axle";
        let behind = check::within(quantity, part.behind_front_axle, (-base, 2.0 * base))?;
        front += mass * (1.0 - behind / base);
        rear += mass * behind / base;
    }
    Ok(Axles { front: Kilograms(front), rear: Kilograms(rear) })
}

/// The axles of a vehicle before and after.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxleCase {
    /// Permitted on each axle, from the plate.
    pub permitted: Axles,
    /// On each axle before the work, weighed.
    pub before: Axles,
    /// Shares of what is added, as [`axle_shares`] gives them.
    pub added: Axles,
}

/// Shares of an axle, negative where it is relieved [kg].
const SHARE_RANGE: (f64, f64) = (-100_000.0, 100_000.0);

/// What may still come onto each axle; below zero that axle is overloaded by that much.
///
/// ```text
/// left = permitted − before − added
/// ```
///
/// | symbol      | meaning                                               | unit |
/// |-------------|-------------------------------------------------------|------|
/// | `left`      | left on each axle, result; may be negative            | kg   |
/// | `permitted` | `permitted`                                           | kg   |
/// | `before`    | `before`                                              | kg   |
/// | `added`     | `added`; may be negative                              | kg   |
///
/// An axle that is relieved too far steers and brakes worse, which no figure here says.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// Rear: 1 900 kg permitted, 1 500 kg before, 50 kg added. By hand: 1900 − 1500 − 50 = 350 kg.
///
/// ```
/// use fusewright::engineering::{mass::*, units::Kilograms};
///
/// let axles = |front, rear| Axles { front: Kilograms(front), rear: Kilograms(rear) };
/// let left = axles_left(AxleCase {
///     permitted: axles(1650.0, 1900.0),
///     before: axles(1400.0, 1500.0),
///     added: axles(-10.0, 50.0),
/// });
/// assert_eq!(left.unwrap(), axles(260.0, 350.0));
/// ```
pub fn axles_left(case: AxleCase) -> Result<Axles, OutOfRange> {
    let left = |of: fn(Axles) -> Kilograms| {
        let permitted = check::positive("permitted axle load", of(case.permitted))?;
        let before = check::not_negative("axle load before the work", of(case.before))?;
        let added = check::within("share of the added mass", of(case.added), SHARE_RANGE)?;
        Ok(Kilograms(permitted - before - added))
    };
    Ok(Axles { front: left(|axles| axles.front)?, rear: left(|axles| axles.rear)? })
}
