//! What a bolt itself stands under shear and tension, by the structural rule.

use super::thread::{PropertyClass, Thread};
use super::units::Newtons;
use super::{OutOfRange, Source, check};

/// Partial factor on the resistance of a joint.
///
/// # Source
///
/// EN 1993-1-8, 2.2, recommended value (seen in public summaries).
pub const GAMMA_M2: f64 = 1.25;

/// Where the bolt resistances come from.
pub const BOLT_SOURCE: Source = Source::seen("EN 1993-1-8, table 3.4");

/// Tensile strength for design [N/mm²]; the structural rule takes 10.9 at its nominal 1 000 N/mm².
const fn design_strength(class: PropertyClass) -> f64 {
    match class {
        PropertyClass::Steel10_9 => 1000.0,
        _ => class.tensile_strength().0,
    }
}

/// Share of the tensile strength in shear through the thread.
///
/// EN 1993-1-8, table 3.4: 0.6 for 8.8, 0.5 for 10.9. Stainless: 0.5 (EN 1993-1-4, from memory).
const fn shear_share(class: PropertyClass) -> f64 {
    match class {
        PropertyClass::Steel8_8 => 0.6,
        PropertyClass::Steel10_9 | PropertyClass::A2_70 | PropertyClass::A4_80 => 0.5,
    }
}

/// Shear that one bolt stands, cut through its thread.
///
/// ```text
/// Fv = αv · fub · As / γM2
/// ```
///
/// | symbol | meaning                                 | unit  |
/// |--------|-----------------------------------------|-------|
/// | `Fv`   | shear resistance, result                | N     |
/// | `αv`   | 0.6 for 8.8, 0.5 for 10.9 and stainless | –     |
/// | `fub`  | tensile strength; 1 000 N/mm² for 10.9  | N/mm² |
/// | `As`   | stress area                             | mm²   |
/// | `γM2`  | 1.25                                    | –     |
///
/// # Source
///
/// EN 1993-1-8, table 3.4 (seen in public summaries).
///
/// # Example
///
/// M8 8.8. By hand: 0.6 × 800 × 36.6 / 1.25 = 14 100 N.
///
/// ```
/// use fusewright::engineering::bolt_resistance::shear_resistance;
/// use fusewright::engineering::thread::{PropertyClass, Thread};
///
/// let shear = shear_resistance(Thread::M8, PropertyClass::Steel8_8);
/// assert_eq!(format!("{:.1}", shear.0 / 1000.0), "14.1");
/// ```
#[must_use]
pub fn shear_resistance(thread: Thread, class: PropertyClass) -> Newtons {
    Newtons(shear_share(class) * design_strength(class) * thread.stress_area().0 / GAMMA_M2)
}

/// Tension that one bolt stands.
///
/// ```text
/// Ft = 0.9 · fub · As / γM2
/// ```
///
/// Symbols and units as for [`shear_resistance`]; not for countersunk heads.
///
/// # Source
///
/// EN 1993-1-8, table 3.4 (seen in public summaries).
///
/// # Example
///
/// M8 8.8. By hand: 0.9 × 800 × 36.6 / 1.25 = 21 100 N.
///
/// ```
/// use fusewright::engineering::bolt_resistance::tension_resistance;
/// use fusewright::engineering::thread::{PropertyClass, Thread};
///
/// let tension = tension_resistance(Thread::M8, PropertyClass::Steel8_8);
/// assert_eq!(format!("{:.1}", tension.0 / 1000.0), "21.1");
/// ```
#[must_use]
pub fn tension_resistance(thread: Thread, class: PropertyClass) -> Newtons {
    Newtons(0.9 * design_strength(class) * thread.stress_area().0 / GAMMA_M2)
}

/// Shear and tension on one fastener.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FastenerLoads {
    /// Along the surface.
    pub shear: Newtons,
    /// Out of the surface.
    pub tension: Newtons,
}

/// How much of a bolt is used by shear and tension together.
///
/// ```text
/// u = max(Fv / Fv,Rd + Ft / (1.4 · Ft,Rd),  Ft / Ft,Rd)
/// ```
///
/// | symbol           | meaning                                                     | unit |
/// |------------------|-------------------------------------------------------------|------|
/// | `u`              | utilisation, result; the bolt holds up to 1                 | –    |
/// | `Fv`, `Ft`       | shear and tension of `loads`                                | N    |
/// | `Fv,Rd`, `Ft,Rd` | [`shear_resistance`], [`tension_resistance`]                | N    |
///
/// # Source
///
/// EN 1993-1-8, table 3.4 (seen in public summaries).
///
/// # Example
///
/// M6 8.8, 1 226 N each way. By hand: 1226 / 7718 + 1226 / (1.4 × 11 578) = 0.234.
///
/// ```
/// use fusewright::engineering::bolt_resistance::{FastenerLoads, bolt_utilisation};
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::Newtons;
///
/// let loads = FastenerLoads { shear: Newtons(1226.0), tension: Newtons(1226.0) };
/// let used = bolt_utilisation(loads, Thread::M6, PropertyClass::Steel8_8).unwrap();
/// assert_eq!(format!("{used:.3}"), "0.234");
/// ```
pub fn bolt_utilisation(
    loads: FastenerLoads,
    thread: Thread,
    class: PropertyClass,
) -> Result<f64, OutOfRange> {
    let shear = check::not_negative("shear", loads.shear)? / shear_resistance(thread, class).0;
    let tension =
        check::not_negative("tension", loads.tension)? / tension_resistance(thread, class).0;
    Ok((shear + tension / 1.4).max(tension))
}
