//! Short circuits: how much current flows, and whether the fuse opens before the cable is ruined.

use super::ampacity::Insulation;
pub use super::fault_curves::{CURVE_POINTS_MAX, DamagePoint, damage_curve, prospective_along};
use super::fuse::{FuseForm, gate};
use super::units::{Amps, AmpsSquaredSeconds, Celsius, Ohms, Seconds, SquareMillimetres, Volts};
use super::{OutOfRange, Source, check};

/// The loop that a short circuit closes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaultLoop {
    /// Open-circuit voltage of the source.
    pub voltage: Volts,
    /// Internal resistance of the source.
    pub source: Ohms,
    /// Resistance of the path up to the short circuit and back, at 20 °C: a cold cable gives the
    /// larger current.
    pub path: Ohms,
}

/// The current that flows into a short circuit.
///
/// ```text
/// I = U / (Rsource + Rpath)
/// ```
///
/// | symbol    | meaning                                  | unit |
/// |-----------|------------------------------------------|------|
/// | `I`       | prospective current, result              | A    |
/// | `U`       | `voltage`                                | V    |
/// | `Rsource` | `source`                                 | Ω    |
/// | `Rpath`   | `path`, at 20 °C                         | Ω    |
///
/// The arc and the inductance are left out, so that the figure is the highest. The two resistances
/// together must be more than nothing.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// 12.6 V, 6 mΩ inside, 7.26 mΩ of cable. By hand: 12.6 / 0.013 26 = 950 A.
///
/// ```
/// use fusewright::engineering::{fault::{FaultLoop, prospective_current}, units::*};
///
/// let short = FaultLoop { voltage: Volts(12.6), source: Ohms(0.006), path: Ohms(0.007_26) };
/// assert_eq!(format!("{:.0}", prospective_current(short).unwrap()), "950 A");
/// ```
pub fn prospective_current(short: FaultLoop) -> Result<Amps, OutOfRange> {
    let voltage = check::not_negative("voltage of the source", short.voltage)?;
    let source = check::not_negative("resistance of the source", short.source)?;
    let path = check::not_negative("resistance of the path", short.path)?;
    let whole = check::positive("resistance of source and path together", Ohms(source + path))?;
    Ok(Amps(voltage / whole))
}

/// Voltage to which a 12 V starter battery may sink while its cold cranking current flows [V].
///
/// # Source
///
/// SAE J537 (from memory).
const CRANKING_END_VOLTAGE: f64 = 7.2;

/// Open-circuit voltage of a full 12 V lead-acid battery [V].
const FULL_VOLTAGE: f64 = 12.6;

/// Internal resistance at room temperature against that at −18 °C, where the cold cranking current
/// is measured. An assumption on the cautious side (it gives the larger current), without a source.
const WARM_OVER_COLD: f64 = 0.5;

/// Internal resistance of a lead-acid source, estimated from its cold cranking current.
///
/// ```text
/// R = 0.5 · (12.6 − 7.2) / Icc · n
/// ```
///
/// | symbol | meaning                                                        | unit |
/// |--------|----------------------------------------------------------------|------|
/// | `R`    | internal resistance at room temperature, result                | Ω    |
/// | `Icc`  | `cold_cranking`, SAE, at −18 °C                                | A    |
/// | `n`    | `batteries_in_series`, of 12 V each, from 1 to 4               | –    |
///
/// An estimate only, for want of a measured or printed figure, and for lead-acid alone: a lithium
/// battery has far less. The factor 0.5 is an assumption.
///
/// # Source
///
/// End voltage 7.2 V: SAE J537 (from memory). The factor 0.5 for the warm battery: none, an
/// assumption.
///
/// # Example
///
/// 700 A cold cranking, 12 V. By hand: 0.5 × 5.4 / 700 = 3.86 mΩ.
///
/// ```
/// use fusewright::engineering::{fault::source_resistance_from_cranking, units::Amps};
///
/// let inside = source_resistance_from_cranking(Amps(700.0), 1).unwrap();
/// assert_eq!(format!("{:.2}", inside.to_milliohms()), "3.86");
/// ```
pub fn source_resistance_from_cranking(
    cold_cranking: Amps,
    batteries_in_series: u32,
) -> Result<Ohms, OutOfRange> {
    let cranking = check::positive("cold cranking current", cold_cranking)?;
    let count = check::count("number of batteries in series", batteries_in_series, 4)?;
    Ok(Ohms(WARM_OVER_COLD * (FULL_VOLTAGE - CRANKING_END_VOLTAGE) / cranking * count))
}

/// Where [`source_resistance_from_cranking`] comes from.
pub const CRANKING_SOURCE: Source = Source::from_memory(
    "estimate from the cold cranking current, SAE J537, halved for a warm battery",
);

/// The k of a copper conductor: how much heat it takes up until its insulation is at its limit.
///
/// ```text
/// k = 226 · √ln(1 + (θf − θi) / (234.5 + θi))
/// ```
///
/// | symbol | meaning                                                          | unit       |
/// |--------|------------------------------------------------------------------|------------|
/// | `k`    | result                                                           | A·√s/mm²   |
/// | `θi`   | `initial`: conductor temperature when the short circuit begins   | °C         |
/// | `θf`   | `limit`: highest temperature the insulation stands for seconds   | °C         |
///
/// Copper only; `limit` must be above `initial`.
///
/// # Source
///
/// IEC 60364-4-43, 434.5.2 and table 43A (k values seen in a public copy; formula from memory, it
/// gives them within 0.2).
///
/// # Example
///
/// PVC from 70 °C to 160 °C. By hand: 226 × √ln(1 + 90 / 304.5) = 226 × √0.2591 = 115.
///
/// ```
/// use fusewright::engineering::{fault::k_factor, units::Celsius};
///
/// assert_eq!(format!("{:.0}", k_factor(Celsius(70.0), Celsius(160.0)).unwrap()), "115");
/// ```
pub fn k_factor(initial: Celsius, limit: Celsius) -> Result<f64, OutOfRange> {
    let start = check::temperature("initial conductor temperature", initial)?;
    let end = check::temperature("limit temperature of the insulation", limit)?;
    if end <= start {
        let allowed = format!("above the initial {initial}");
        return Err(check::refusal("limit temperature of the insulation", &limit, allowed));
    }
    Ok(226.0 * ((end - start) / (234.5 + start)).ln_1p().sqrt())
}

/// Highest temperature the insulation stands for the seconds of a short circuit.
///
/// # Source
///
/// IEC 60364-4-43, table 43A: 160 °C for PVC (seen). 160 °C for every class up to 105 °C and 250 °C
/// for the cross-linked 125 °C and the 200 °C class are assumptions on the cautious side.
#[must_use]
pub const fn short_circuit_limit(insulation: Insulation) -> Celsius {
    match insulation {
        Insulation::C125 | Insulation::C200 => Celsius(250.0),
        _ => Celsius(160.0),
    }
}

/// Heat that a current lets into a conductor in a time: I²·t.
///
/// # Source
///
/// IEC 60364-4-43, 434.5.2, left side.
///
/// # Example
///
/// 2 000 A for 0.1 s. By hand: 4 000 000 × 0.1 = 400 000 A²·s.
///
/// ```
/// use fusewright::engineering::{fault::let_through, units::*};
///
/// assert_eq!(let_through(Amps(2000.0), Seconds(0.1)).unwrap(), AmpsSquaredSeconds(400_000.0));
/// ```
pub fn let_through(current: Amps, duration: Seconds) -> Result<AmpsSquaredSeconds, OutOfRange> {
    let current = check::not_negative("prospective current", current)?;
    let duration = check::not_negative("duration", duration)?;
    Ok(AmpsSquaredSeconds(current.powi(2) * duration))
}

/// Heat that a conductor can take up: k²·S².
///
/// # Source
///
/// IEC 60364-4-43, 434.5.2, right side.
///
/// # Example
///
/// 6 mm² with k = 100. By hand: 600² = 360 000 A²·s.
///
/// ```
/// use fusewright::engineering::{fault::cable_withstand, units::*};
///
/// let withstand = cable_withstand(100.0, SquareMillimetres(6.0)).unwrap();
/// assert_eq!(withstand, AmpsSquaredSeconds(360_000.0));
/// ```
pub fn cable_withstand(k: f64, area: SquareMillimetres) -> Result<AmpsSquaredSeconds, OutOfRange> {
    let k = check::positive("k of the conductor", k)?;
    let area = check::positive("conductor area", area)?;
    Ok(AmpsSquaredSeconds((k * area).powi(2)))
}

/// How long a conductor stands a short-circuit current.
///
/// ```text
/// t = (k · S / I)²
/// ```
///
/// | symbol | meaning                            | unit       |
/// |--------|------------------------------------|------------|
/// | `t`    | withstand time, result             | s          |
/// | `k`    | of [`k_factor`]                    | A·√s/mm²   |
/// | `S`    | `area`                             | mm²        |
/// | `I`    | `current`, prospective             | A          |
///
/// The law holds from 0.1 s to 5 s ([`ADIABATIC_SHORTEST`], [`ADIABATIC_LONGEST`]).
///
/// # Source
///
/// IEC 60364-4-43, 434.5.2.
///
/// # Example
///
/// 16 mm², k = 115, 2 500 A. By hand: (1840 / 2500)² = 0.542 s.
///
/// ```
/// use fusewright::engineering::{fault::withstand_time, units::*};
///
/// let time = withstand_time(115.0, SquareMillimetres(16.0), Amps(2500.0)).unwrap();
/// assert_eq!(format!("{time:.3}"), "0.542 s");
/// ```
pub fn withstand_time(
    k: f64,
    area: SquareMillimetres,
    current: Amps,
) -> Result<Seconds, OutOfRange> {
    let withstand = cable_withstand(k, area)?;
    let current = check::positive("prospective current", current)?;
    Ok(Seconds(withstand.0 / current.powi(2)))
}

/// Shortest duration the adiabatic law is meant for (IEC 60364-4-43, 434.5.2).
pub const ADIABATIC_SHORTEST: Seconds = Seconds(0.1);

/// Longest duration the adiabatic law is meant for (IEC 60364-4-43, 434.5.2).
pub const ADIABATIC_LONGEST: Seconds = Seconds(5.0);

/// A fuse, the fault it has to clear, and the conductor it protects.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClearingCase {
    /// Form of the fuse.
    pub form: FuseForm,
    /// Its rating.
    pub rating: Amps,
    /// The current of the short circuit; the far end of the cable is the harder case.
    pub current: Amps,
    /// k of the conductor, of [`k_factor`].
    pub k: f64,
    /// Area of the conductor.
    pub area: SquareMillimetres,
}

/// Whether the fuse opens before the conductor's insulation is ruined.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Clearing {
    /// The longest time of the gate is within what the conductor stands.
    Holds {
        /// Longest time until the fuse opens.
        longest: Seconds,
        /// Time the conductor stands.
        withstand: Seconds,
    },
    /// It is not.
    Fails {
        /// Longest time until the fuse opens.
        longest: Seconds,
        /// Time the conductor stands.
        withstand: Seconds,
    },
    /// No verdict: there is no gate, it has no upper end at this current, or that lies outside
    /// 0.1 s to 5 s, where the law does not hold.
    NotJudged,
}

/// Holds the longest time of a fuse's gate against the time the conductor stands.
///
/// # Source
///
/// IEC 60364-4-43, 434.5.2; gates as [`gate`] says, from memory, so that the result is too.
///
/// # Example
///
/// 40 A blade fuse, 500 A (1 250 %), 6 mm², k = 115. By hand: opens within 0.1 s, the conductor
/// stands (690 / 500)² = 1.90 s.
///
/// ```
/// use fusewright::engineering::fault::{Clearing, ClearingCase, clearing};
/// use fusewright::engineering::{fuse::FuseForm, units::*};
///
/// let case = ClearingCase {
///     form: FuseForm::Blade,
///     rating: Amps(40.0),
///     current: Amps(500.0),
///     k: 115.0,
///     area: SquareMillimetres(6.0),
/// };
/// assert!(matches!(clearing(case).unwrap(), Clearing::Holds { longest: Seconds(0.1), .. }));
/// ```
pub fn clearing(case: ClearingCase) -> Result<Clearing, OutOfRange> {
    let rating = check::positive("fuse rating", case.rating)?;
    let withstand = withstand_time(case.k, case.area, case.current)?;
    let longest = gate(case.form, case.current.0 / rating).and_then(|gate| gate.longest);
    let lawful = (ADIABATIC_SHORTEST.0)..=(ADIABATIC_LONGEST.0);
    Ok(match longest {
        Some(longest) if lawful.contains(&longest.0) => {
            if longest.0 <= withstand.0 {
                Clearing::Holds { longest, withstand }
            } else {
                Clearing::Fails { longest, withstand }
            }
        }
        _ => Clearing::NotJudged,
    })
}
