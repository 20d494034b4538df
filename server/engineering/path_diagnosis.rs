//! What a voltage drop under load says about a path: its resistance, how much more that is than
//! planned, and where to put the probes next to find the cause.

use super::conductor::warming;
pub use super::half_split::{
    KnownStretch, NextProbe, PathSearch, SEGMENTS_MAX, SpanDrop, known_stretches, next_probe,
};
use super::units::{Amps, Celsius, Metres, Ohms, OhmsPerMetre, Volts};
use super::{OutOfRange, check};

/// A voltage drop and the current that made it, each with the expanded uncertainty (k = 2) of its
/// instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadedDrop {
    /// The drop; its size counts, not which way round the probes were.
    pub drop: Volts,
    /// Its expanded uncertainty.
    pub drop_uncertainty: Volts,
    /// The current at the same moment.
    pub current: Amps,
    /// Its expanded uncertainty.
    pub current_uncertainty: Amps,
}

/// A resistance with its expanded uncertainty (k = 2); negative where it is a difference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The best figure there is.
    pub value: Ohms,
    /// Its expanded uncertainty.
    pub uncertainty: Ohms,
}

/// Resistance of a path from the drop over it.
///
/// ```text
/// R = U / I        U(R) = R · √((U(U)/U)² + (U(I)/I)²)
/// ```
///
/// | symbol         | meaning                                              | unit |
/// |----------------|------------------------------------------------------|------|
/// | `R`            | resistance, result                                   | Ω    |
/// | `U`            | size of `drop`                                       | V    |
/// | `I`            | `current`, more than nothing                         | A    |
/// | `U(U)`, `U(I)` | their expanded uncertainties                         | V, A |
/// | `U(R)`         | expanded uncertainty of the resistance, result       | Ω    |
///
/// Worked as √(U(U)² + (R·U(I))²)/I, which is the same and also holds for a drop of nothing. The two
/// readings must be independent and of one moment. For showing: the verdict of a step is worked in
/// decimals where steps are judged.
///
/// # Source
///
/// JCGM 100:2008, 5.1.2 (from memory): the relative uncertainties of a quotient add as squares.
///
/// # Example
///
/// 0.281 V ± 0.0051 V at 30.0 A ± 0.6 A. By hand: 0.281 / 30 = 9.37 mΩ; 9.37 × √(0.018 15² + 0.02²)
/// = 9.37 × 0.0270 = 0.253 mΩ.
///
/// ```
/// use fusewright::engineering::path_diagnosis::{LoadedDrop, measured_resistance};
/// use fusewright::engineering::units::*;
///
/// let found = measured_resistance(LoadedDrop {
///     drop: Volts(0.281),
///     drop_uncertainty: Volts(0.0051),
///     current: Amps(30.0),
///     current_uncertainty: Amps(0.6),
/// })
/// .unwrap();
/// assert_eq!(format!("{:.2}", found.value.to_milliohms()), "9.37");
/// assert_eq!(format!("{:.3}", found.uncertainty.to_milliohms()), "0.253");
/// ```
pub fn measured_resistance(reading: LoadedDrop) -> Result<Measured, OutOfRange> {
    let drop = check::not_negative("voltage drop", Volts(reading.drop.0.abs()))?;
    let current = check::positive("current", reading.current)?;
    let of_drop = check::not_negative("uncertainty of the voltage drop", reading.drop_uncertainty)?;
    let of_current =
        check::not_negative("uncertainty of the current", reading.current_uncertainty)?;
    let value = drop / current;
    let uncertainty = of_drop.hypot(value * of_current) / current;
    Ok(Measured { value: Ohms(value), uncertainty: Ohms(uncertainty) })
}

/// A resistance measured at one conductor temperature, as it would be at another.
///
/// ```text
/// R(Tp) = R(Tm) · (234.5 + Tp) / (234.5 + Tm)
/// ```
///
/// | symbol  | meaning                                              | unit |
/// |---------|------------------------------------------------------|------|
/// | `R(Tp)` | resistance at `wanted`, result                       | Ω    |
/// | `R(Tm)` | `measured`                                           | Ω    |
/// | `Tm`    | `measured_at`, conductor temperature while measuring | °C   |
/// | `Tp`    | `wanted`, the one planned with, or 20 °C             | °C   |
///
/// To 20 °C the factor is the Kt of test tables, 254.5/(234.5 + T). Copper only: joints and body,
/// which hardly follow, are taken along, and the uncertainty of the temperature is not counted; ten
/// kelvins are 4 %.
///
/// # Source
///
/// IEC 60228, annex B; FAA AC 43.13-1B, paragraph 11-66 (seen in a public copy).
///
/// # Example
///
/// 10.0 mΩ measured at 40 °C, at 20 °C. By hand: 10.0 × 254.5 / 274.5 = 9.27 mΩ.
///
/// ```
/// use fusewright::engineering::path_diagnosis::{Measured, at_temperature};
/// use fusewright::engineering::units::*;
///
/// let warm = Measured { value: Ohms(0.010), uncertainty: Ohms(0.0003) };
/// let cold = at_temperature(warm, Celsius(40.0), Celsius(20.0)).unwrap();
/// assert_eq!(format!("{:.2}", cold.value.to_milliohms()), "9.27");
/// ```
pub fn at_temperature(
    measured: Measured,
    measured_at: Celsius,
    wanted: Celsius,
) -> Result<Measured, OutOfRange> {
    let measured_at = check::temperature("conductor temperature while measuring", measured_at)?;
    let wanted = check::temperature("conductor temperature planned", wanted)?;
    let factor = warming(wanted) / warming(measured_at);
    let value = check::not_negative("resistance measured", measured.value)?;
    let uncertainty = check::not_negative("uncertainty of the resistance", measured.uncertainty)?;
    Ok(Measured { value: Ohms(value * factor), uncertainty: Ohms(uncertainty * factor) })
}

/// What a path has beyond its plan.
///
/// ```text
/// ΔR = R − Rplan        U(ΔR) = U(R)
/// ```
///
/// | symbol  | meaning                                                       | unit |
/// |---------|---------------------------------------------------------------|------|
/// | `ΔR`    | excess, result; negative where there is less than planned     | Ω    |
/// | `R`     | `measured`, at the temperature the plan is for                | Ω    |
/// | `Rplan` | `planned`, taken as exact                                     | Ω    |
///
/// Planned figures are the highest a good cable may have, so a sound path comes out a little below
/// nothing.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 9.37 mΩ ± 0.25 mΩ where 7.26 mΩ were planned: 2.11 mΩ ± 0.25 mΩ too much, which is more than the
/// instruments leave open. By hand, at 1.21 mΩ/m: 2.11 / 1.21 = 1.74 m of this cable, or four joints
/// of half a milliohm.
///
/// ```
/// use fusewright::engineering::path_diagnosis::{Measured, Standing, excess};
/// use fusewright::engineering::units::*;
///
/// let found = Measured { value: Ohms(0.009_37), uncertainty: Ohms(0.000_25) };
/// let more = excess(found, Ohms(0.007_26)).unwrap();
/// assert_eq!(format!("{:.2}", more.value.to_milliohms()), "2.11");
/// assert_eq!(more.standing(), Standing::More);
/// assert_eq!(format!("{:.2}", more.as_cable(OhmsPerMetre(0.001_21)).unwrap()), "1.74 m");
/// assert_eq!(format!("{:.1}", more.as_joints(Ohms(0.000_5)).unwrap()), "4.2");
/// ```
pub fn excess(measured: Measured, planned: Ohms) -> Result<Measured, OutOfRange> {
    let value = check::not_negative("resistance measured", measured.value)?;
    let uncertainty = check::not_negative("uncertainty of the resistance", measured.uncertainty)?;
    let planned = check::not_negative("resistance planned", planned)?;
    Ok(Measured { value: Ohms(value - planned), uncertainty: Ohms(uncertainty) })
}

/// Whether a difference is one, given what the instruments leave open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Above nothing by more than the uncertainty.
    More,
    /// Not to be told from nothing.
    WithinUncertainty,
    /// Below nothing by more than the uncertainty.
    Less,
}

impl Measured {
    /// Whether this difference can be told from nothing: its size is above its uncertainty.
    #[must_use]
    pub fn standing(self) -> Standing {
        if self.value.0.abs() <= self.uncertainty.0 {
            Standing::WithinUncertainty
        } else if self.value.0 > 0.0 {
            Standing::More
        } else {
            Standing::Less
        }
    }

    /// The length of cable that has this resistance: R / R', negative for a lack.
    pub fn as_cable(self, resistance: OhmsPerMetre) -> Result<Metres, OutOfRange> {
        let per_metre = check::positive("conductor resistance", resistance)?;
        Ok(Metres(self.value.0 / per_metre))
    }

    /// How many joints of a resistance make this one: R / Rj, negative for a lack.
    pub fn as_joints(self, joint: Ohms) -> Result<f64, OutOfRange> {
        Ok(self.value.0 / check::positive("resistance of a joint", joint)?)
    }
}
