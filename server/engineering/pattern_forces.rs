//! How a pattern of fasteners shares the force of a mass: shear, twist in the plane, and tilting.

use super::bolt_resistance::FastenerLoads;
use super::fastener_pattern::{FastenerPattern, Position};
use super::units::{Millimetres, Newtons};
use super::{OutOfRange, check};

/// Forces larger than this are a slipped unit [N].
const FORCE_MAX: f64 = 1.0e9;

/// The force of a mass, acting at its centre.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MassForce {
    /// Forward; negative to the rear.
    pub along: Newtons,
    /// To the left; negative to the right.
    pub across: Newtons,
    /// Up, away from the surface.
    pub upward: Newtons,
    /// Height of the centre of mass above the surface.
    pub height: Millimetres,
    /// Centre of mass as seen from the centroid of the fasteners, in plan view.
    pub offset: Position,
}

/// What one fastener gets of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FastenerForce {
    /// Shear forward; negative to the rear.
    pub along: Newtons,
    /// Shear to the left; negative to the right.
    pub across: Newtons,
    /// Pull out of the surface; negative where the base presses on the surface instead.
    pub pull: Newtons,
}

impl FastenerForce {
    /// Shear in whatever direction, and tension; pressure on the surface loads no bolt.
    #[must_use]
    pub fn loads(self) -> FastenerLoads {
        FastenerLoads {
            shear: Newtons(self.along.0.hypot(self.across.0)),
            tension: Newtons(self.pull.0.max(0.0)),
        }
    }
}

/// Forces and moments about the centroid, checked [N, N·mm].
struct Resultant {
    along: f64,
    across: f64,
    upward: f64,
    /// Σ pull · x.
    tilt_along: f64,
    /// Σ pull · y.
    tilt_across: f64,
    /// Twist in the plane.
    twist: f64,
}

impl MassForce {
    fn resultant(&self) -> Result<Resultant, OutOfRange> {
        let along = check::within("force along the vehicle", self.along, (-FORCE_MAX, FORCE_MAX))?;
        let across =
            check::within("force across the vehicle", self.across, (-FORCE_MAX, FORCE_MAX))?;
        let upward = check::not_negative("upward force", self.upward)?;
        let height = check::not_negative("height of the centre of mass", self.height)?;
        let (forward, left) = self.offset.checked()?;
        Ok(Resultant {
            along,
            across,
            upward,
            tilt_along: forward * upward - height * along,
            tilt_across: left * upward - height * across,
            twist: forward * across - left * along,
        })
    }
}

/// Forces on every fastener of a pattern, elastic, about its centroid.
///
/// ```text
/// Vx = Fx/n − T·y/Σr²        Vy = Fy/n + T·x/Σr²        T = ex·Fy − ey·Fx
/// N  = Fz/n + a·x + b·y      with  Σ N·x = ex·Fz − h·Fx  and  Σ N·y = ey·Fz − h·Fy
/// ```
///
/// | symbol       | meaning                                                        | unit |
/// |--------------|----------------------------------------------------------------|------|
/// | `Vx`, `Vy`   | shear of a fastener, result                                    | N    |
/// | `N`          | pull of a fastener, result; negative presses on the surface    | N    |
/// | `Fx`, `Fy`, `Fz` | `along`, `across`, `upward` of `force`                     | N    |
/// | `h`          | `height` of the centre of mass                                 | mm   |
/// | `ex`, `ey`   | `offset` of the centre of mass from the centroid               | mm   |
/// | `x`, `y`     | place of the fastener, from the centroid; r² = x² + y²         | mm   |
/// | `n`          | number of fasteners                                            | –    |
///
/// For a rectangle pulled along it, `N` is F · h · x / Σx². Two elastic methods are in use: levers
/// from the edge the base tips over, and levers from the centroid. This is the second, because it
/// is never the less cautious one: with levers from the front row, x from 0 to L, the rear row gets
/// M·L/Σx², here M·(L − x̄)/Σ(x − x̄)², and the variance of numbers between 0 and L is at most
/// x̄·(L − x̄), which makes the second at least as large; the two agree where all fasteners stand
/// in the front row and the rear row. Pull and pressure balance exactly, and so do all moments.
///
/// The base is taken as stiff. A soft base shares less evenly, and levering at its flange (prying)
/// adds to the pull. The weight, which helps, and friction are left out.
///
/// # Source
///
/// First principles; a steel construction handbook calls the neutral axis at the centroid the more
/// conservative of its two cases for tension, and has the vector form for twist (from memory).
///
/// # Example
///
/// 4903 N forward, four fasteners on 300 × 300 mm, 150 mm high. By hand: 4903 / 4 = 1226 N of
/// shear; Σx² = 4 × 150² = 90 000 mm², 4903 × 150 × 150 / 90 000 = 1226 N of pull behind and of
/// pressure in front.
///
/// ```
/// use fusewright::engineering::fastener_pattern::FastenerPattern;
/// use fusewright::engineering::pattern_forces::{MassForce, pattern_forces};
/// use fusewright::engineering::units::*;
///
/// let side = Millimetres(300.0);
/// let pattern = FastenerPattern::rectangle(4, side, side).unwrap();
/// let (along, height) = (Newtons(4903.0), Millimetres(150.0));
/// let force = MassForce { along, height, ..MassForce::default() };
/// let all = pattern_forces(&pattern, &force).unwrap();
/// let pulls: Vec<String> = all.iter().map(|one| format!("{:.0}", one.pull.0)).collect();
/// assert_eq!(pulls, ["1226", "-1226", "1226", "-1226"]);
/// assert_eq!(format!("{:.0}", all[0].loads().shear), "1226 N");
/// ```
pub fn pattern_forces(
    pattern: &FastenerPattern,
    force: &MassForce,
) -> Result<Vec<FastenerForce>, OutOfRange> {
    let total = force.resultant()?;
    let (count, spread) = (pattern.count(), pattern.spread());
    let twist = total.twist / spread.polar();
    let per_along = (total.tilt_along * spread.across - total.tilt_across * spread.product)
        / spread.determinant();
    let per_across = (total.tilt_across * spread.along - total.tilt_along * spread.product)
        / spread.determinant();
    let share = |(x, y): (f64, f64)| FastenerForce {
        along: Newtons(total.along / count - twist * y),
        across: Newtons(total.across / count + twist * x),
        pull: Newtons(total.upward / count + per_along * x + per_across * y),
    };
    Ok(pattern.levers().map(share).collect())
}
