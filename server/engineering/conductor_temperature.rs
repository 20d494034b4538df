//! How warm a conductor gets under load; part of the room `conductor`.

use super::units::{Amps, Celsius};
use super::{OutOfRange, check};

/// What heats a conductor, and what it may stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConductorLoad {
    /// Temperature of the air around the cable.
    pub ambient: Celsius,
    /// Highest temperature the insulation may have.
    pub insulation_max: Celsius,
    /// Steady current.
    pub current: Amps,
    /// The ampacity in these very surroundings, that is after every correction.
    pub ampacity: Amps,
}

/// Temperature of a conductor that carries a steady current.
///
/// ```text
/// T = Ta + (Tmax − Ta) · (I / Iz)²
/// ```
///
/// | symbol | meaning                                                   | unit |
/// |--------|-----------------------------------------------------------|------|
/// | `T`    | conductor temperature, result                             | °C   |
/// | `Ta`   | `ambient`                                                 | °C   |
/// | `Tmax` | `insulation_max`                                          | °C   |
/// | `I`    | `current`                                                 | A    |
/// | `Iz`   | `ampacity` in these surroundings, which heats to `Tmax`   | A    |
///
/// The heat is I²·R with R held constant. A current above the ampacity gives a temperature above
/// the insulation's: that is the finding, and the caller compares. An ambient that is not below the
/// insulation's temperature is refused.
///
/// # Source
///
/// Steady-state heat balance (first principles); at I = Iz it gives the temperature that defines
/// Iz.
///
/// # Example
///
/// Half the ampacity in 30 °C air, 105 °C insulation. By hand: 30 + 75 × 0.25 = 48.8 °C.
///
/// ```
/// use fusewright::engineering::{conductor::{ConductorLoad, conductor_temperature}, units::*};
///
/// let load = ConductorLoad {
///     ambient: Celsius(30.0),
///     insulation_max: Celsius(105.0),
///     current: Amps(30.0),
///     ampacity: Amps(60.0),
/// };
/// assert_eq!(format!("{:.1}", conductor_temperature(load).unwrap()), "48.8 °C");
/// ```
pub fn conductor_temperature(load: ConductorLoad) -> Result<Celsius, OutOfRange> {
    let (rise, ratio) = rise_and_ratio(load)?;
    Ok(Celsius(load.ambient.0 + rise * ratio.powi(2)))
}

/// Temperature of a conductor by the more cautious rule published for aircraft.
///
/// ```text
/// T = Ta + (Tmax − Ta) · √(I / Iz)
/// ```
///
/// Symbols, units and range as for [`conductor_temperature`]. Up to the ampacity it gives the
/// higher temperature of the two; it is not a heat balance.
///
/// # Source
///
/// FAA AC 43.13-1B, paragraph 11-66 (symbols and "conservative" seen in a public copy; the square
/// root from memory, it reproduces the circular's own example).
///
/// # Example
///
/// 20 A of 26 A in 50 °C air, 200 °C insulation. By hand: 50 + 150 × 0.877 = 182 °C.
///
/// ```
/// use fusewright::engineering::conductor::{ConductorLoad, conductor_temperature_square_root};
/// use fusewright::engineering::units::*;
///
/// let load = ConductorLoad {
///     ambient: Celsius(50.0),
///     insulation_max: Celsius(200.0),
///     current: Amps(20.0),
///     ampacity: Amps(26.0),
/// };
/// assert_eq!(format!("{:.0}", conductor_temperature_square_root(load).unwrap()), "182 °C");
/// ```
pub fn conductor_temperature_square_root(load: ConductorLoad) -> Result<Celsius, OutOfRange> {
    let (rise, ratio) = rise_and_ratio(load)?;
    Ok(Celsius(load.ambient.0 + rise * ratio.sqrt()))
}

/// The rise the insulation allows, and the share of the ampacity in use.
fn rise_and_ratio(load: ConductorLoad) -> Result<(f64, f64), OutOfRange> {
    let insulation_max = check::temperature("temperature of the insulation", load.insulation_max)?;
    let ambient = check::temperature("ambient temperature", load.ambient)?;
    if ambient >= insulation_max {
        let allowed = format!("below the {} of the insulation", load.insulation_max);
        return Err(check::refusal("ambient temperature", &load.ambient, allowed));
    }
    let current = check::not_negative("current", load.current)?;
    let ampacity = check::positive("ampacity", load.ampacity)?;
    Ok((insulation_max - ambient, current / ampacity))
}
