//! What a solid fibre laminate stands around a bolt and under a washer.
//!
//! No standard gives strengths for a laminate that is not known: every result here is a first
//! figure, and the maker of the panel must confirm it before anything hangs on it. Sandwich panels
//! with a foam or paper core are not covered at all: the core is crushed long before.

use super::thread::Thread;
use super::units::{Megapascals, Millimetres, Newtons};
use super::{OutOfRange, Source, check};

/// Where the strengths of an unknown laminate come from.
pub const LAMINATE_SOURCE: Source =
    Source::from_memory("cautious assumption for hand-laid glass mat, doubtful: maker confirms");

/// Bearing strength of a laminate that nobody knows: about half of what hand-laid glass mat in
/// polyester has.
///
/// # Source
///
/// From memory, doubtful; the maker must confirm.
pub const LAMINATE_BEARING_STRENGTH: Megapascals = Megapascals(80.0);

/// Interlaminar shear strength of a laminate that nobody knows: about half of what hand-laid glass
/// mat in polyester has.
///
/// # Source
///
/// From memory, doubtful; the maker must confirm.
pub const LAMINATE_INTERLAMINAR_SHEAR: Megapascals = Megapascals(8.0);

/// Safety factor on the strength of a laminate.
///
/// # Source
///
/// From memory, doubtful; the maker must confirm.
pub const LAMINATE_SAFETY_FACTOR: f64 = 3.0;

/// A hole must be this many bolt diameters from the edge of a laminate, and from its neighbour.
///
/// # Source
///
/// Common practice, no source.
pub const LAMINATE_DISTANCE_DIAMETERS: f64 = 4.0;

/// Thicknesses of solid laminate [mm].
const THICKNESS_RANGE: (f64, f64) = (1.5, 40.0);

/// A solid laminate, without core.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laminate {
    /// Thickness of the solid laminate, from 1.5 mm to 40 mm.
    pub thickness: Millimetres,
    /// Strength against the side of a bolt.
    pub bearing: Megapascals,
    /// Strength in shear between its layers.
    pub interlaminar_shear: Megapascals,
    /// Safety factor on both.
    pub safety_factor: f64,
}

impl Laminate {
    /// A solid laminate of glass fibre that nobody knows more of. The maker must confirm.
    ///
    /// # Source
    ///
    /// From memory, doubtful.
    #[must_use]
    pub const fn unknown_glass(thickness: Millimetres) -> Self {
        Self {
            thickness,
            bearing: LAMINATE_BEARING_STRENGTH,
            interlaminar_shear: LAMINATE_INTERLAMINAR_SHEAR,
            safety_factor: LAMINATE_SAFETY_FACTOR,
        }
    }

    /// Thickness [mm] and safety factor, checked.
    fn checked(&self) -> Result<(f64, f64), OutOfRange> {
        let thickness =
            check::within("thickness of the laminate", self.thickness, THICKNESS_RANGE)?;
        Ok((thickness, check::within("safety factor", self.safety_factor, (1.0, 20.0))?))
    }
}

/// Shear that the wall of the hole stands.
///
/// ```text
/// F = fb · d · t / S
/// ```
///
/// | symbol | meaning                                                   | unit  |
/// |--------|-----------------------------------------------------------|-------|
/// | `F`    | resistance, result                                        | N     |
/// | `fb`   | `bearing` of `laminate`, from 10 to 600                   | N/mm² |
/// | `d`    | diameter of `thread`                                      | mm    |
/// | `t`    | thickness of `laminate`                                   | mm    |
/// | `S`    | `safety_factor`, from 1 to 20                             | –     |
///
/// The edge must be four diameters away, or the laminate tears out. The maker must confirm.
///
/// # Source
///
/// First principles; strengths as [`LAMINATE_SOURCE`] says.
///
/// # Example
///
/// M8, 6 mm of an unknown laminate. By hand: 80 × 8 × 6 / 3 = 1280 N.
///
/// ```
/// use fusewright::engineering::laminate::{Laminate, laminate_bearing_resistance};
/// use fusewright::engineering::{thread::Thread, units::Millimetres};
///
/// let laminate = Laminate::unknown_glass(Millimetres(6.0));
/// let bearing = laminate_bearing_resistance(&laminate, Thread::M8, Millimetres(40.0)).unwrap();
/// assert_eq!(format!("{bearing:.0}"), "1280 N");
/// ```
pub fn laminate_bearing_resistance(
    laminate: &Laminate,
    thread: Thread,
    edge: Millimetres,
) -> Result<Newtons, OutOfRange> {
    let (thickness, safety) = laminate.checked()?;
    let strength = check::within("bearing strength", laminate.bearing, (10.0, 600.0))?;
    let diameter = thread.diameter().0;
    let least = LAMINATE_DISTANCE_DIAMETERS * diameter;
    if check::positive("distance to the edge", edge)? < least {
        let allowed = format!("at least {least} mm, four diameters of {thread}");
        return Err(check::refusal("distance to the edge", &edge, allowed));
    }
    Ok(Newtons(strength * diameter * thickness / safety))
}

/// Tension at which a washer shears its way through the layers.
///
/// ```text
/// F = π · dw · t · τ / S
/// ```
///
/// | symbol | meaning                                                        | unit  |
/// |--------|----------------------------------------------------------------|-------|
/// | `F`    | resistance, result                                             | N     |
/// | `dw`   | `washer_diameter`, or the bearing diameter of a head without   | mm    |
/// | `t`    | thickness of `laminate`                                        | mm    |
/// | `τ`    | `interlaminar_shear` of `laminate`, from 1 to 100              | N/mm² |
/// | `S`    | `safety_factor`, from 1 to 20                                  | –     |
///
/// Shear over the perimeter times the thickness. The maker must confirm.
///
/// # Source
///
/// First principles; strengths as [`LAMINATE_SOURCE`] says.
///
/// # Example
///
/// 28 mm washer, 6 mm of an unknown laminate. By hand: π × 28 × 6 × 8 / 3 = 1410 N.
///
/// ```
/// use fusewright::engineering::laminate::{Laminate, laminate_punching_resistance};
/// use fusewright::engineering::units::Millimetres;
///
/// let laminate = Laminate::unknown_glass(Millimetres(6.0));
/// let punched = laminate_punching_resistance(&laminate, Millimetres(28.0)).unwrap();
/// assert_eq!(format!("{:.2}", punched.0 / 1000.0), "1.41");
/// ```
pub fn laminate_punching_resistance(
    laminate: &Laminate,
    washer_diameter: Millimetres,
) -> Result<Newtons, OutOfRange> {
    let (thickness, safety) = laminate.checked()?;
    let strength =
        check::within("interlaminar shear strength", laminate.interlaminar_shear, (1.0, 100.0))?;
    let diameter = check::positive("diameter of the washer", washer_diameter)?;
    Ok(Newtons(std::f64::consts::PI * diameter * thickness * strength / safety))
}
