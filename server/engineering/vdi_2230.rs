//! Tightening by VDI 2230: clamp force and torque of a bolt, with the friction that makes them.

use super::thread::{PropertyClass, Thread};
use super::thread_geometry::ThreadGeometry;
use super::units::{Megapascals, Millimetres, NewtonMetres, Newtons};
use super::{OutOfRange, Source, check};

/// Share of the yield strength that tightening may use, torsion included.
///
/// # Source
///
/// VDI 2230-1, ν of its tables of assembly preload (from memory).
pub const YIELD_SHARE: f64 = 0.90;

/// Where preload and torque come from.
pub const TIGHTENING_SOURCE: Source =
    Source::from_memory("VDI 2230-1, table A1 and its formulas, recomputed");

/// Coefficients of friction that threads and heads have, from waxed to galling.
const FRICTION_RANGE: (f64, f64) = (0.04, 0.50);

/// Yield strengths of bolts [N/mm²].
const YIELD_RANGE: (f64, f64) = (100.0, 1500.0);

/// Shares of the yield strength that anyone tightens to.
const YIELD_SHARE_RANGE: (f64, f64) = (0.10, 1.0);

/// The face under a head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeadFace {
    /// Outer diameter dw of the face that turns.
    pub outer: Millimetres,
    /// Diameter dh of the hole beneath it.
    pub hole: Millimetres,
}

/// A bolt as it is tightened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TightenedBolt {
    /// Its thread.
    pub thread: ThreadGeometry,
    /// Its yield strength Rp0.2.
    pub yield_strength: Megapascals,
    /// The face under its head.
    pub head: HeadFace,
    /// Share ν of the yield strength to tighten to; usually [`YIELD_SHARE`].
    pub yield_share: f64,
}

impl TightenedBolt {
    /// A hexagon bolt of a coarse thread in its medium hole, tightened to [`YIELD_SHARE`].
    ///
    /// # Source
    ///
    /// Face of ISO 4014 and ISO 4017, hole of ISO 273, medium (from memory).
    #[must_use]
    pub const fn hexagon(thread: Thread, class: PropertyClass) -> Self {
        Self {
            thread: thread.geometry(),
            yield_strength: class.yield_strength(),
            head: HeadFace { outer: thread.head_bearing_diameter(), hole: thread.clearance_hole() },
            yield_share: YIELD_SHARE,
        }
    }

    /// Mean diameter `DKm` of the face under the head [mm].
    fn face_mean(&self) -> Result<f64, OutOfRange> {
        let outer = check::positive("diameter of the face under the head", self.head.outer)?;
        let hole = check::positive("hole under the head", self.head.hole)?;
        if hole >= outer {
            let allowed = format!("less than the face of {} over it", self.head.outer);
            return Err(check::refusal("hole under the head", &self.head.hole, allowed));
        }
        Ok(f64::midpoint(outer, hole))
    }
}

/// Coefficients of friction of a bolt that is tightened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Friction {
    /// In the thread, μG.
    pub thread: f64,
    /// Under the head or nut, μK.
    pub head: f64,
}

impl Friction {
    /// The same in thread and under the head, as the printed tables have it.
    #[must_use]
    pub const fn same(coefficient: f64) -> Self {
        Self { thread: coefficient, head: coefficient }
    }

    /// Both, checked.
    pub(super) fn checked(self) -> Result<(f64, f64), OutOfRange> {
        let thread = check::within("friction in the thread", self.thread, FRICTION_RANGE)?;
        Ok((thread, check::within("friction under the head", self.head, FRICTION_RANGE)?))
    }
}

/// Clamp force at which pull and torsion together use the wanted share of the yield strength.
///
/// ```text
/// FM = As · ν · Rp0.2 / √(1 + 3 · (3/2 · d2/d0 · (P / (π·d2) + 1.155·μG))²)
/// ```
///
/// | symbol  | meaning                                                  | unit  |
/// |---------|----------------------------------------------------------|-------|
/// | `FM`    | assembly preload, result                                 | N     |
/// | `As`    | stress area of the thread                                | mm²   |
/// | `ν`     | `yield_share` of the bolt, from 0.10 to 1                | –     |
/// | `Rp0.2` | `yield_strength` of the bolt, from 100 to 1500           | N/mm² |
/// | `d2`    | pitch diameter                                           | mm    |
/// | `d0`    | diameter of the stress area                              | mm    |
/// | `P`     | pitch                                                    | mm    |
/// | `μG`    | friction in the thread, from 0.04 to 0.50                | –     |
///
/// For bolts whose shank is no thinner than the stress area. Setting, heat and the load in service
/// are not in it.
///
/// # Source
///
/// VDI 2230-1 (formula from memory; it gives a table of fine threads that was seen).
///
/// # Example
///
/// M8 8.8, μ 0.12. By hand: torsion 1.5 × 1.053 × (0.0554 + 0.1386) = 0.306, so the root is 1.132;
/// 36.6 × 0.9 × 640 / 1.132 = 18 600 N.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::vdi_2230::{Friction, TightenedBolt, assembly_preload};
///
/// let bolt = TightenedBolt::hexagon(Thread::M8, PropertyClass::Steel8_8);
/// let preload = assembly_preload(&bolt, Friction::same(0.12)).unwrap();
/// assert_eq!(format!("{:.1}", preload.0 / 1000.0), "18.6");
/// ```
pub fn assembly_preload(bolt: &TightenedBolt, friction: Friction) -> Result<Newtons, OutOfRange> {
    let (in_thread, _) = friction.checked()?;
    let share = check::within("share of the yield strength", bolt.yield_share, YIELD_SHARE_RANGE)?;
    let strength = check::within("yield strength", bolt.yield_strength, YIELD_RANGE)?;
    let pitch_diameter = bolt.thread.pitch_diameter().0;
    let slope = bolt.thread.pitch().0 / (std::f64::consts::PI * pitch_diameter);
    let lever = pitch_diameter / bolt.thread.stress_diameter().0;
    let torsion = 1.5 * lever * (slope + 1.155 * in_thread);
    let combined = (1.0 + 3.0 * torsion.powi(2)).sqrt();
    Ok(Newtons(bolt.thread.stress_area().0 * share * strength / combined))
}

/// Torque that makes a clamp force.
///
/// ```text
/// MA = F · (0.16·P + 0.58·d2·μG + DKm/2 · μK)        DKm = (dw + dh) / 2
/// ```
///
/// | symbol | meaning                                                        | unit |
/// |--------|----------------------------------------------------------------|------|
/// | `MA`   | tightening torque, result; the lengths here in m               | N·m  |
/// | `F`    | `preload`; [`assembly_preload`] for the torque of the tables   | N    |
/// | `P`    | pitch                                                          | mm   |
/// | `d2`   | pitch diameter                                                 | mm   |
/// | `μG`   | friction in the thread, from 0.04 to 0.50                      | –    |
/// | `μK`   | friction under the head, from 0.04 to 0.50                     | –    |
/// | `DKm`  | mean diameter of the face under the head                       | mm   |
/// | `dw`   | outer diameter of that face                                    | mm   |
/// | `dh`   | hole beneath it                                                | mm   |
///
/// The torque of a nut that brakes is not in it: see `prevailing_torque`. A maker's torque stands
/// above it.
///
/// # Source
///
/// VDI 2230-1 (formula from memory; it gives a table of fine threads that was seen).
///
/// # Example
///
/// M8, 18.63 kN, μ 0.12. By hand: 0.16 × 1.25 + 0.58 × 7.188 × 0.12 + 5.16 × 0.12 = 1.319 mm;
/// 18 630 × 0.001 319 = 24.6 N·m.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::Newtons;
/// use fusewright::engineering::vdi_2230::{Friction, TightenedBolt, tightening_torque};
///
/// let bolt = TightenedBolt::hexagon(Thread::M8, PropertyClass::Steel8_8);
/// let torque = tightening_torque(&bolt, Friction::same(0.12), Newtons(18_630.0)).unwrap();
/// assert_eq!(format!("{torque:.1}"), "24.6 N·m");
/// ```
pub fn tightening_torque(
    bolt: &TightenedBolt,
    friction: Friction,
    preload: Newtons,
) -> Result<NewtonMetres, OutOfRange> {
    let lever = torque_lever(bolt, friction)?;
    Ok(NewtonMetres(check::not_negative("preload", preload)? * lever))
}

/// Clamp force that a torque makes: [`tightening_torque`] the other way round.
///
/// Symbols, units, range and source as there.
///
/// # Example
///
/// M8, 24.6 N·m, μ 0.12. By hand: 24.6 / 0.001 319 = 18 600 N.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::NewtonMetres;
/// use fusewright::engineering::vdi_2230::{Friction, TightenedBolt, preload_from_torque};
///
/// let bolt = TightenedBolt::hexagon(Thread::M8, PropertyClass::Steel8_8);
/// let preload = preload_from_torque(&bolt, Friction::same(0.12), NewtonMetres(24.6)).unwrap();
/// assert_eq!(format!("{:.1}", preload.0 / 1000.0), "18.6");
/// ```
pub fn preload_from_torque(
    bolt: &TightenedBolt,
    friction: Friction,
    torque: NewtonMetres,
) -> Result<Newtons, OutOfRange> {
    let lever = torque_lever(bolt, friction)?;
    Ok(Newtons(check::not_negative("torque", torque)? / lever))
}

/// The nut factor of the quick formula that this friction amounts to.
///
/// ```text
/// K = MA / (F · d)
/// ```
///
/// | symbol | meaning                                          | unit |
/// |--------|--------------------------------------------------|------|
/// | `K`    | nut factor, result                               | –    |
/// | `MA`   | [`tightening_torque`] of the clamp force `F`     | N·m  |
/// | `d`    | nominal diameter; here in m                      | mm   |
///
/// The clamp force cancels out. K = 0.20 is roughly μ 0.15.
///
/// # Source
///
/// VDI 2230-1 (formula from memory) in the form of Shigley, eq. (8-27) (from memory).
///
/// # Example
///
/// M8, μ 0.12. By hand: 1.319 mm / 8 mm = 0.165.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::vdi_2230::{Friction, TightenedBolt, implied_nut_factor};
///
/// let bolt = TightenedBolt::hexagon(Thread::M8, PropertyClass::Steel8_8);
/// let factor = implied_nut_factor(&bolt, Friction::same(0.12)).unwrap();
/// assert_eq!(format!("{factor:.3}"), "0.165");
/// ```
pub fn implied_nut_factor(bolt: &TightenedBolt, friction: Friction) -> Result<f64, OutOfRange> {
    Ok(torque_lever(bolt, friction)? / bolt.thread.diameter().to_metres().0)
}

/// Torque over clamp force [m].
fn torque_lever(bolt: &TightenedBolt, friction: Friction) -> Result<f64, OutOfRange> {
    let (in_thread, under_head) = friction.checked()?;
    let climb = 0.16 * bolt.thread.pitch().0;
    let thread = 0.58 * bolt.thread.pitch_diameter().0 * in_thread;
    let head = bolt.face_mean()? / 2.0 * under_head;
    Ok(Millimetres(climb + thread + head).to_metres().0)
}
