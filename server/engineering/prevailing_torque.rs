//! Nuts that brake: what turning them takes before they clamp at all.

use super::thread::Thread;
use super::units::NewtonMetres;
use super::{OutOfRange, Source, check};

/// Where the torques of braking nuts come from.
pub const PREVAILING_SOURCE: Source =
    Source::from_memory("ISO 2320:1997, class 8, first assembly, highest");

/// Highest torque that a new braking nut of class 8 may take to run on.
///
/// A nut's own is below it and falls with every use; a measured one is better.
///
/// # Source
///
/// ISO 2320:1997, classes 5, 6 and 8, first assembly (from memory).
///
/// # Example
///
/// M8: printed 6 N·m.
///
/// ```
/// use fusewright::engineering::prevailing_torque::prevailing_torque_max;
/// use fusewright::engineering::{thread::Thread, units::NewtonMetres};
///
/// assert_eq!(prevailing_torque_max(Thread::M8), NewtonMetres(6.0));
/// ```
#[must_use]
pub const fn prevailing_torque_max(thread: Thread) -> NewtonMetres {
    NewtonMetres(match thread {
        Thread::M3 => 0.43,
        Thread::M4 => 0.9,
        Thread::M5 => 1.6,
        Thread::M6 => 3.0,
        Thread::M8 => 6.0,
        Thread::M10 => 10.5,
        Thread::M12 => 15.5,
    })
}

/// Torque to set on the wrench for a nut that brakes.
///
/// ```text
/// T = Tp + MA
/// ```
///
/// | symbol | meaning                                                                | unit |
/// |--------|------------------------------------------------------------------------|------|
/// | `T`    | torque on the wrench, result                                           | N·m  |
/// | `Tp`   | `prevailing`, measured, or [`prevailing_torque_max`]                   | N·m  |
/// | `MA`   | `clamping`: torque that clamps, by [`super::vdi_2230`] or the maker    | N·m  |
///
/// Where the maker's torque is for the braking nut itself, nothing is added. Adding the highest
/// `Tp` to a nut that brakes less stretches the bolt further.
///
/// # Source
///
/// First principles: the braking torque turns the nut and clamps nothing.
///
/// # Example
///
/// M8, 24.6 N·m to clamp. By hand: 6 + 24.6 = 30.6 N·m.
///
/// ```
/// use fusewright::engineering::prevailing_torque::torque_with_prevailing;
/// use fusewright::engineering::units::NewtonMetres;
///
/// let torque = torque_with_prevailing(NewtonMetres(24.6), NewtonMetres(6.0)).unwrap();
/// assert_eq!(format!("{torque:.1}"), "30.6 N·m");
/// ```
pub fn torque_with_prevailing(
    clamping: NewtonMetres,
    prevailing: NewtonMetres,
) -> Result<NewtonMetres, OutOfRange> {
    let clamping = check::not_negative("torque that clamps", clamping)?;
    Ok(NewtonMetres(clamping + check::not_negative("prevailing torque", prevailing)?))
}

/// What is left to clamp of the torque on the wrench: [`torque_with_prevailing`] the other way
/// round, MA = T − Tp.
///
/// Symbols, units and source as there. A torque that only turns the nut is refused: nothing is
/// clamped then.
///
/// # Example
///
/// M8, 24.6 N·m on a nut that takes 6 N·m. By hand: 24.6 − 6 = 18.6 N·m.
///
/// ```
/// use fusewright::engineering::prevailing_torque::clamping_torque;
/// use fusewright::engineering::units::NewtonMetres;
///
/// let left = clamping_torque(NewtonMetres(24.6), NewtonMetres(6.0)).unwrap();
/// assert_eq!(format!("{left:.1}"), "18.6 N·m");
/// ```
pub fn clamping_torque(
    total: NewtonMetres,
    prevailing: NewtonMetres,
) -> Result<NewtonMetres, OutOfRange> {
    let given = check::not_negative("torque", total)?;
    let braking = check::not_negative("prevailing torque", prevailing)?;
    if given <= braking {
        let allowed = format!("more than the {prevailing} that the nut takes before it clamps");
        return Err(check::refusal("torque", &total, allowed));
    }
    Ok(NewtonMetres(given - braking))
}
