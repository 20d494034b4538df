//! Short circuits along a path and over time, for drawing and for a row of fuses; part of the room
//! `fault`.

use super::fault::{
    ADIABATIC_LONGEST, ADIABATIC_SHORTEST, FaultLoop, cable_withstand, prospective_current,
};
use super::units::{Amps, Ohms, Seconds, SquareMillimetres, Volts};
use super::{OutOfRange, check};

/// Points a curve may have.
pub const CURVE_POINTS_MAX: u32 = 200;

/// One point of a conductor's damage curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DamagePoint {
    /// A short-circuit current.
    pub current: Amps,
    /// How long the conductor stands it.
    pub time: Seconds,
}

/// The damage curve of a conductor: what it stands and for how long, over the times for which the
/// law holds, smallest current first. To be drawn over the fuse's gate.
///
/// ```text
/// t = k² · S² / I²
/// ```
///
/// | symbol | meaning                                              | unit       |
/// |--------|------------------------------------------------------|------------|
/// | `t`    | time, from 5 s down to 0.1 s, evenly on a log scale  | s          |
/// | `I`    | current that belongs to it                           | A          |
/// | `k`    | of [`k_factor`](super::fault::k_factor)              | A·√s/mm²   |
/// | `S`    | `area`                                               | mm²        |
///
/// From 2 to 200 `points`. On two logarithmic axes it is a straight line.
///
/// # Source
///
/// IEC 60364-4-43, 434.5.2.
///
/// # Example
///
/// 16 mm², k = 115. By hand: 1840 / √5 = 823 A for 5 s, 1840 / √0.1 = 5 820 A for 0.1 s.
///
/// ```
/// use fusewright::engineering::{fault::damage_curve, units::*};
///
/// let curve = damage_curve(115.0, SquareMillimetres(16.0), 2).unwrap();
/// assert_eq!(format!("{:.0} {:.1}", curve[0].current, curve[0].time), "823 A 5.0 s");
/// assert_eq!(format!("{:.0} {:.1}", curve[1].current, curve[1].time), "5819 A 0.1 s");
/// ```
pub fn damage_curve(
    k: f64,
    area: SquareMillimetres,
    points: u32,
) -> Result<Vec<DamagePoint>, OutOfRange> {
    let withstand = cable_withstand(k, area)?;
    if !(2..=CURVE_POINTS_MAX).contains(&points) {
        let allowed = format!("from 2 to {CURVE_POINTS_MAX}");
        return Err(check::refusal("number of points", &points, allowed));
    }
    let ratio = ADIABATIC_SHORTEST.0 / ADIABATIC_LONGEST.0;
    Ok((0..points)
        .map(|point| {
            let time = ADIABATIC_LONGEST.0 * ratio.powf(f64::from(point) / f64::from(points - 1));
            DamagePoint { current: Amps((withstand.0 / time).sqrt()), time: Seconds(time) }
        })
        .collect())
}

/// The prospective current at the end of each section of a path, the source's first: what each fuse
/// on the way has to break, since it is the nearest place where a short circuit is behind it.
///
/// ```text
/// I(n) = U / (Rsource + R1 + … + Rn)
/// ```
///
/// | symbol    | meaning                                                             | unit |
/// |-----------|---------------------------------------------------------------------|------|
/// | `I(n)`    | prospective current after section `n`, result                       | A    |
/// | `U`       | `voltage`                                                           | V    |
/// | `Rsource` | `source`                                                            | Ω    |
/// | `R1`…`Rn` | `sections`, each out and back, at 20 °C: the larger current         | Ω    |
///
/// The way back counts with the section it belongs to. A section of nothing stands for a fuse at the
/// source itself.
///
/// # Source
///
/// First principles, as [`prospective_current`].
///
/// # Example
///
/// 12.6 V, 6 mΩ inside; a fuse after 1.26 mΩ, the load after another 6 mΩ. By hand: 12.6 / 7.26 mΩ =
/// 1 740 A at the fuse, 12.6 / 13.26 mΩ = 950 A at the load.
///
/// ```
/// use fusewright::engineering::{fault::prospective_along, units::*};
///
/// let sections = [Ohms(0.001_26), Ohms(0.006)];
/// let found = prospective_along(Volts(12.6), Ohms(0.006), &sections).unwrap();
/// assert_eq!(format!("{:.0} {:.0}", found[0], found[1]), "1736 A 950 A");
/// ```
pub fn prospective_along(
    voltage: Volts,
    source: Ohms,
    sections: &[Ohms],
) -> Result<Vec<Amps>, OutOfRange> {
    let mut path = Ohms(0.0);
    let mut currents = Vec::with_capacity(sections.len());
    for &section in sections {
        path = Ohms(path.0 + check::not_negative("resistance of the path", section)?);
        currents.push(prospective_current(FaultLoop { voltage, source, path })?);
    }
    Ok(currents)
}
