//! Torque and the clamp force it makes, by the quick formula.

use super::thread::{PropertyClass, Thread, proof_load};
use super::units::{Millimetres, NewtonMetres, Newtons};
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
