//! What one torque may come to: the clamp force between the lowest and the highest friction.

use super::thread::{PropertyClass, Thread};
use super::tightening::proof_utilisation;
use super::units::{NewtonMetres, Newtons};
use super::vdi_2230::{Friction, TightenedBolt, preload_from_torque};
use super::{OutOfRange, check};

/// Friction of a bolt whose surface is oiled or waxed.
///
/// # Source
///
/// Lower end of what VDI 2230-1, table A5, gives for plain and zinc-plated bolts with some oil
/// (from memory).
pub const FRICTION_LOW: f64 = 0.10;

/// Friction of a bolt that is clean and dry.
///
/// # Source
///
/// Upper end of what VDI 2230-1, table A5, gives for plain and zinc-plated bolts as delivered (from
/// memory). Dry stainless galls and may lie far above.
pub const FRICTION_HIGH: f64 = 0.18;

/// The friction that must be reckoned with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrictionRange {
    /// The lowest, which makes the most clamp force.
    pub low: f64,
    /// The highest, which makes the least.
    pub high: f64,
}

impl FrictionRange {
    /// From [`FRICTION_LOW`] to [`FRICTION_HIGH`], where nothing is known of the surface.
    pub const UNKNOWN_SURFACE: Self = Self { low: FRICTION_LOW, high: FRICTION_HIGH };
}

/// One end of the band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PreloadEnd {
    /// The coefficient of friction, in thread and under the head.
    pub friction: f64,
    /// The clamp force that the torque makes with it.
    pub preload: Newtons,
    /// The share of the proof load that this uses.
    pub proof_share: f64,
}

/// The clamp force of one torque, at both ends of the friction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PreloadBand {
    /// The most clamp force: the bolt may set.
    pub at_low_friction: PreloadEnd,
    /// The least clamp force: the joint may slip or open.
    pub at_high_friction: PreloadEnd,
}

impl PreloadBand {
    /// The bolt stays below its proof load even where friction is low.
    #[must_use]
    pub fn stays_below_proof(&self) -> bool {
        self.at_low_friction.proof_share <= 1.0
    }
}

/// Clamp force that one torque makes on a hexagon bolt, between low and high friction.
///
/// ```text
/// F = T / (0.16·P + 0.58·d2·μ + DKm/2 · μ)        u = F / Fp
/// ```
///
/// | symbol | meaning                                                          | unit |
/// |--------|------------------------------------------------------------------|------|
/// | `F`    | clamp force, result at both ends of `friction`                   | N    |
/// | `u`    | share of the proof load `Fp`, result at both ends                | –    |
/// | `T`    | `torque` that clamps; that of a braking nut is taken off before  | N·m  |
/// | `μ`    | `friction`, in thread and under the head, from 0.04 to 0.50      | –    |
///
/// The other symbols as in [`super::vdi_2230::tightening_torque`]. The spread of the wrench comes
/// on top.
///
/// # Source
///
/// VDI 2230-1 (formula from memory); proof load as [`super::thread::proof_load`] says.
///
/// # Example
///
/// M8 8.8, 24.6 N·m. By hand: lever 1.133 mm at μ 0.10, 21 700 N, more than the proof load of
/// 21 200 N; lever 1.879 mm at μ 0.18, 13 100 N, 0.618 of it.
///
/// ```
/// use fusewright::engineering::preload_band::{FrictionRange, preload_band};
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::NewtonMetres;
///
/// let friction = FrictionRange::UNKNOWN_SURFACE;
/// let torque = NewtonMetres(24.6);
/// let band = preload_band(Thread::M8, PropertyClass::Steel8_8, torque, friction).unwrap();
/// assert_eq!(format!("{:.1}", band.at_low_friction.preload.0 / 1000.0), "21.7");
/// assert_eq!(format!("{:.1}", band.at_high_friction.preload.0 / 1000.0), "13.1");
/// assert!(!band.stays_below_proof());
/// ```
pub fn preload_band(
    thread: Thread,
    class: PropertyClass,
    torque: NewtonMetres,
    friction: FrictionRange,
) -> Result<PreloadBand, OutOfRange> {
    if friction.low > friction.high {
        let allowed = format!("at most the highest friction of {}", friction.high);
        return Err(check::refusal("lowest friction", &friction.low, allowed));
    }
    let bolt = TightenedBolt::hexagon(thread, class);
    let end = |coefficient| {
        let preload = preload_from_torque(&bolt, Friction::same(coefficient), torque)?;
        let proof_share = proof_utilisation(preload, thread, class)?;
        Ok(PreloadEnd { friction: coefficient, preload, proof_share })
    };
    Ok(PreloadBand { at_low_friction: end(friction.low)?, at_high_friction: end(friction.high)? })
}
