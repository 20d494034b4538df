//! Torque and the clamp force it makes: the quick formula, the power screw behind it, and the
//! torque that breaks a bolt.

use super::thread::{PropertyClass, Thread, proof_load};
use super::units::{Millimetres, NewtonMetres, Newtons};
use super::vdi_2230::Friction;
use super::{OutOfRange, check};

/// Nut factor of a clean, dry steel bolt. Friction decides: a torque without it means nothing.
///
/// # Source
///
/// Shigley, Mechanical Engineering Design, table of K for zinc-plated bolts (from memory); another
/// handbook gives the same for clean and dry (seen in a public copy).
pub const NUT_FACTOR_DRY: f64 = 0.20;

/// Nut factor of a lubricated bolt.
///
/// # Source
///
/// Shigley, Mechanical Engineering Design (from memory).
pub const NUT_FACTOR_LUBRICATED: f64 = 0.18;

/// Nut factors that bolts have, from waxed to rough.
const NUT_FACTOR_RANGE: (f64, f64) = (0.05, 0.50);

/// Torque that makes a clamp force, the quick figure.
///
/// ```text
/// T = K · d · F
/// ```
///
/// | symbol | meaning                                          | unit |
/// |--------|--------------------------------------------------|------|
/// | `T`    | torque, result                                   | N·m  |
/// | `K`    | `nut_factor`, from 0.05 to 0.50                  | –    |
/// | `d`    | `diameter`, nominal; here in m                   | mm   |
/// | `F`    | `preload`                                        | N    |
///
/// A figure to check by, no better than ±25 %; a maker's torque stands above it.
///
/// # Source
///
/// Shigley, Mechanical Engineering Design, eq. (8-27) (from memory).
///
/// # Example
///
/// M8, 15 kN, K = 0.20. By hand: 0.20 × 0.008 × 15 000 = 24.0 N·m.
///
/// ```
/// use fusewright::engineering::{tightening::quick_torque, units::*};
///
/// let torque = quick_torque(0.20, Millimetres(8.0), Newtons(15_000.0)).unwrap();
/// assert_eq!(format!("{torque:.1}"), "24.0 N·m");
/// ```
pub fn quick_torque(
    nut_factor: f64,
    diameter: Millimetres,
    preload: Newtons,
) -> Result<NewtonMetres, OutOfRange> {
    let lever = nut_lever(nut_factor, diameter)?;
    Ok(NewtonMetres(lever * check::not_negative("preload", preload)?))
}

/// Clamp force that a torque makes: [`quick_torque`] the other way round, F = T / (K · d).
///
/// Symbols, units, range and source as there.
///
/// # Example
///
/// M8, 24 N·m, K = 0.20. By hand: 24 / (0.20 × 0.008) = 15 000 N.
///
/// ```
/// use fusewright::engineering::{tightening::quick_preload, units::*};
///
/// let preload = quick_preload(0.20, Millimetres(8.0), NewtonMetres(24.0)).unwrap();
/// assert_eq!(format!("{preload:.0}"), "15000 N");
/// ```
pub fn quick_preload(
    nut_factor: f64,
    diameter: Millimetres,
    torque: NewtonMetres,
) -> Result<Newtons, OutOfRange> {
    let lever = nut_lever(nut_factor, diameter)?;
    Ok(Newtons(check::not_negative("torque", torque)? / lever))
}

/// K · d in metres.
fn nut_lever(nut_factor: f64, diameter: Millimetres) -> Result<f64, OutOfRange> {
    let factor = check::within("nut factor", nut_factor, NUT_FACTOR_RANGE)?;
    check::positive("thread diameter", diameter)?;
    Ok(factor * diameter.to_metres().0)
}

/// Share of the proof load that a clamp force uses.
///
/// ```text
/// u = F / Fp
/// ```
///
/// | symbol | meaning                                    | unit |
/// |--------|--------------------------------------------|------|
/// | `u`    | utilisation, result                        | –    |
/// | `F`    | `preload`                                  | N    |
/// | `Fp`   | [`proof_load`] of the bolt                 | N    |
///
/// Usual aims: 0.75 for a joint that is opened again, 0.90 for one that stays.
///
/// # Source
///
/// Shigley, Mechanical Engineering Design (aims, from memory); loads as [`proof_load`] says.
///
/// # Example
///
/// M8 8.8 at 15 kN. By hand: 15 000 / 21 200 = 0.708.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::{tightening::proof_utilisation, units::Newtons};
///
/// let used = proof_utilisation(Newtons(15_000.0), Thread::M8, PropertyClass::Steel8_8).unwrap();
/// assert_eq!(format!("{used:.3}"), "0.708");
/// ```
pub fn proof_utilisation(
    preload: Newtons,
    thread: Thread,
    class: PropertyClass,
) -> Result<f64, OutOfRange> {
    Ok(check::not_negative("preload", preload)? / proof_load(thread, class).0)
}

/// A screw as the long form sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PowerScrew {
    /// Nominal diameter d.
    pub diameter: Millimetres,
    /// Mean diameter dm of the thread: mean of nominal and minor diameter.
    pub mean_diameter: Millimetres,
    /// Pitch.
    pub pitch: Millimetres,
}

/// Torque that makes a clamp force, by the long form: thread as a power screw, nut as a collar.
///
/// ```text
/// T = F · dm/2 · (tan λ + f·sec α) / (1 − f · tan λ · sec α) + F · fc · 0.625·d
/// tan λ = P / (π·dm)        α = 30°
/// ```
///
/// | symbol | meaning                                            | unit |
/// |--------|----------------------------------------------------|------|
/// | `T`    | torque, result; the lengths here in m              | N·m  |
/// | `F`    | `preload`                                          | N    |
/// | `d`    | nominal diameter; the collar's mean is 1.25 · d    | mm   |
/// | `dm`   | mean diameter of the thread                        | mm   |
/// | `P`    | pitch                                              | mm   |
/// | `f`    | friction in the thread, from 0.04 to 0.50          | –    |
/// | `fc`   | friction under the head, from 0.04 to 0.50         | –    |
///
/// # Source
///
/// Shigley, Mechanical Engineering Design, eq. (8-26) (from memory; recomputes its example 8-3).
///
/// # Example
///
/// M8, dm 7.233 mm, 15 kN, 0.15 both. By hand: tan λ = 0.0550, (0.0550 + 0.1732) / 0.9905 = 0.2304;
/// 15 000 × (0.003 617 × 0.2304 + 0.15 × 0.005) = 23.7 N·m.
///
/// ```
/// use fusewright::engineering::tightening::{PowerScrew, power_screw_torque};
/// use fusewright::engineering::{units::*, vdi_2230::Friction};
///
/// let screw = PowerScrew {
///     diameter: Millimetres(8.0),
///     mean_diameter: Millimetres(7.233),
///     pitch: Millimetres(1.25),
/// };
/// let torque = power_screw_torque(screw, Friction::same(0.15), Newtons(15_000.0)).unwrap();
/// assert_eq!(format!("{torque:.1}"), "23.7 N·m");
/// ```
pub fn power_screw_torque(
    screw: PowerScrew,
    friction: Friction,
    preload: Newtons,
) -> Result<NewtonMetres, OutOfRange> {
    let (in_thread, under_head) = friction.checked()?;
    let diameter = check::positive("thread diameter", screw.diameter)?;
    let mean = check::positive("mean diameter of the thread", screw.mean_diameter)?;
    if mean >= diameter {
        let allowed = format!("less than the thread diameter of {}", screw.diameter);
        let quantity = "mean diameter of the thread";
        return Err(check::refusal(quantity, &screw.mean_diameter, allowed));
    }
    let pitch = check::within("pitch", screw.pitch, (diameter / 100.0, diameter / 4.0))?;
    let slope = pitch / (std::f64::consts::PI * mean);
    let rubbing = in_thread / 30.0_f64.to_radians().cos();
    let thread = mean / 2.0 * (slope + rubbing) / (1.0 - slope * rubbing);
    let lever = Millimetres(thread + 0.625 * under_head * diameter).to_metres().0;
    Ok(NewtonMetres(check::not_negative("preload", preload)? * lever))
}

/// Least torque at which a stainless bolt breaks; `None` for steel, whose table is not built in.
///
/// # Source
///
/// ISO 3506-1:2009, lowest breaking torques (from memory).
///
/// # Example
///
/// M6 A2-70: printed 13 N·m.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::{tightening::breaking_torque, units::NewtonMetres};
///
/// assert_eq!(breaking_torque(Thread::M6, PropertyClass::A2_70), Some(NewtonMetres(13.0)));
/// assert_eq!(breaking_torque(Thread::M6, PropertyClass::Steel8_8), None);
/// ```
#[must_use]
pub const fn breaking_torque(thread: Thread, class: PropertyClass) -> Option<NewtonMetres> {
    let (a2_70, a4_80) = match thread {
        Thread::M3 => (1.6, 1.8),
        Thread::M4 => (3.8, 4.3),
        Thread::M5 => (7.8, 8.8),
        Thread::M6 => (13.0, 15.0),
        Thread::M8 => (32.0, 37.0),
        Thread::M10 => (65.0, 74.0),
        Thread::M12 => (110.0, 130.0),
    };
    match class {
        PropertyClass::A2_70 => Some(NewtonMetres(a2_70)),
        PropertyClass::A4_80 => Some(NewtonMetres(a4_80)),
        PropertyClass::Steel8_8 | PropertyClass::Steel10_9 => None,
    }
}

/// Share of its breaking torque that a torque uses; `None` where no breaking torque is known.
///
/// ```text
/// u = T / TB
/// ```
///
/// | symbol | meaning                                   | unit |
/// |--------|-------------------------------------------|------|
/// | `u`    | utilisation, result; it must stay below 1 | –    |
/// | `T`    | `torque` on the wrench                    | N·m  |
/// | `TB`   | [`breaking_torque`] of the bolt           | N·m  |
///
/// A bolt that galls takes the torque as torsion alone, so that the clamp force says nothing then.
///
/// # Source
///
/// As [`breaking_torque`] says.
///
/// # Example
///
/// M6 A2-70, 9 N·m. By hand: 9 / 13 = 0.692.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::{tightening::breaking_torque_share, units::NewtonMetres};
///
/// let torque = NewtonMetres(9.0);
/// let share = breaking_torque_share(torque, Thread::M6, PropertyClass::A2_70).unwrap();
/// assert_eq!(format!("{:.3}", share.unwrap()), "0.692");
/// ```
pub fn breaking_torque_share(
    torque: NewtonMetres,
    thread: Thread,
    class: PropertyClass,
) -> Result<Option<f64>, OutOfRange> {
    let torque = check::not_negative("torque", torque)?;
    Ok(breaking_torque(thread, class).map(|breaking| torque / breaking.0))
}
