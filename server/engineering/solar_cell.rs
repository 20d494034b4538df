//! Solar cells at work: how warm they get in the sun, and what they give then.

use super::solar::{CELL_RANGE, COEFFICIENT_RANGE, STANDARD};
use super::units::{Celsius, MetresPerSecond, Watts, WattsPerSquareMetre};
use super::{OutOfRange, check};

/// Temperature coefficient of power where the data sheet is missing [1/K].
///
/// # Source
///
/// Usual for crystalline silicon (from memory).
pub const POWER_COEFFICIENT_SILICON: f64 = -0.004;

/// Irradiance of standard test conditions [W/m²].
const STANDARD_IRRADIANCE: f64 = 1000.0;

/// Irradiance at which the nominal operating cell temperature is measured [W/m²].
const NOCT_IRRADIANCE: f64 = 800.0;

/// Temperature of the air at which it is measured [°C].
const NOCT_AIR: f64 = 20.0;

/// Sunlight on a module; edges of clouds reach 1 500 W/m² for moments.
const IRRADIANCE_RANGE: (f64, f64) = (0.0, 1500.0);

/// Air a module works in [°C].
const AIR_RANGE: (f64, f64) = (-60.0, 60.0);

/// Nominal operating cell temperatures that modules have [°C].
const NOCT_RANGE: (f64, f64) = (30.0, 80.0);

/// Wind that the law was fitted to, and a gale beyond [m/s].
const WIND_RANGE: (f64, f64) = (0.0, 40.0);

/// Air and light around a module.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Daylight {
    /// Temperature of the air, from −60 °C to 60 °C.
    pub air: Celsius,
    /// Sunlight on the plane of the module, from 0 to 1 500 W/m².
    pub irradiance: WattsPerSquareMetre,
}

impl Daylight {
    /// Both figures, in range.
    fn checked(self) -> Result<(f64, f64), OutOfRange> {
        let air = check::within("air temperature", self.air, AIR_RANGE)?;
        Ok((air, check::within("irradiance", self.irradiance, IRRADIANCE_RANGE)?))
    }
}

/// Temperature of the cells from the figure on the data sheet.
///
/// ```text
/// T = Ta + (NOCT − 20) / 800 · G
/// ```
///
/// | symbol | meaning                                                      | unit |
/// |--------|--------------------------------------------------------------|------|
/// | `T`    | cell temperature, result                                     | °C   |
/// | `Ta`   | `air` of the daylight, −60 to 60                             | °C   |
/// | `NOCT` | `noct`, nominal operating cell temperature, 30 to 80         | °C   |
/// | `G`    | `irradiance` of the daylight, 0 to 1 500                     | W/m² |
///
/// For a module on an open rack in a light wind. One that lies flat on a roof runs hotter than
/// this: measure the back of the module where a reading depends on it.
///
/// # Source
///
/// Ross's linear law with the NOCT of IEC 61215 (from memory).
///
/// # Example
///
/// NOCT 45 °C, 20 °C, 800 W/m². By hand: 20 + 25 / 800 × 800 = 45.0 °C.
///
/// ```
/// use fusewright::engineering::{solar_cell::*, units::*};
///
/// let daylight = Daylight { air: Celsius(20.0), irradiance: WattsPerSquareMetre(800.0) };
/// let cell = cell_temperature_by_noct(daylight, Celsius(45.0)).unwrap();
/// assert_eq!(format!("{cell:.1}"), "45.0 °C");
/// ```
pub fn cell_temperature_by_noct(daylight: Daylight, noct: Celsius) -> Result<Celsius, OutOfRange> {
    let (air, irradiance) = daylight.checked()?;
    let noct = check::within("nominal operating cell temperature", noct, NOCT_RANGE)?;
    Ok(Celsius(air + (noct - NOCT_AIR) / NOCT_IRRADIANCE * irradiance))
}

/// Logarithm of the heating by sunlight in still air, glass on both sides, open rack.
const OPEN_RACK_A: f64 = -3.47;

/// How the wind takes from it [s/m].
const OPEN_RACK_B: f64 = -0.0594;

/// Cells over the back of the module at 1 000 W/m² [K].
const OPEN_RACK_RISE: f64 = 3.0;

/// Temperature of the cells of a glass-on-glass module on an open rack, with the wind.
///
/// ```text
/// T = Ta + G · exp(a + b · w) + G / 1000 · ΔT
/// ```
///
/// | symbol | meaning                                                      | unit |
/// |--------|--------------------------------------------------------------|------|
/// | `T`    | cell temperature, result                                     | °C   |
/// | `Ta`   | `air` of the daylight, −60 to 60                             | °C   |
/// | `G`    | `irradiance` of the daylight, 0 to 1 500                     | W/m² |
/// | `w`    | `wind` at ten metres' height, 0 to 40                        | m/s  |
/// | `a`    | −3.47                                                        | –    |
/// | `b`    | −0.0594                                                      | s/m  |
/// | `ΔT`   | 3, cells over the back of the module                         | K    |
///
/// As for [`cell_temperature_by_noct`], a module flat on a roof runs hotter.
///
/// # Source
///
/// Photovoltaic array performance model, SAND2004-3535 (2004), open rack, glass on both sides
/// (coefficients from memory; they recompute a check value seen in public documentation).
///
/// # Example
///
/// 1 000 W/m², 10 °C, no wind. By hand: exp(−3.47) = 0.0311; 10 + 31.1 + 3 = 44.1 °C.
///
/// ```
/// use fusewright::engineering::{solar_cell::*, units::*};
///
/// let daylight = Daylight { air: Celsius(10.0), irradiance: WattsPerSquareMetre(1000.0) };
/// let cell = cell_temperature_open_rack(daylight, MetresPerSecond(0.0)).unwrap();
/// assert_eq!(format!("{cell:.1}"), "44.1 °C");
/// ```
pub fn cell_temperature_open_rack(
    daylight: Daylight,
    wind: MetresPerSecond,
) -> Result<Celsius, OutOfRange> {
    let (air, irradiance) = daylight.checked()?;
    let wind = check::within("wind speed", wind, WIND_RANGE)?;
    let back = air + irradiance * (OPEN_RACK_A + OPEN_RACK_B * wind).exp();
    Ok(Celsius(back + irradiance / STANDARD_IRRADIANCE * OPEN_RACK_RISE))
}

/// A module as its data sheet rates its power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatedPower {
    /// Power at standard test: 1 000 W/m², cells at 25 °C.
    pub standard_test: Watts,
    /// Temperature coefficient of the power, from −0.01 to 0 [1/K].
    pub coefficient: f64,
}

/// Direct-current power of a module at a cell temperature.
///
/// ```text
/// P = P0 · G / 1000 · (1 + γ · (T − 25))
/// ```
///
/// | symbol | meaning                                                      | unit |
/// |--------|--------------------------------------------------------------|------|
/// | `P`    | power, result                                                | W    |
/// | `P0`   | `standard_test` of the rating                                | W    |
/// | `γ`    | `coefficient` of the rating, from −0.01 to 0                 | 1/K  |
/// | `G`    | `irradiance`, 0 to 1 500                                     | W/m² |
/// | `T`    | `cell`, −60 to 120                                           | °C   |
///
/// Dirt, shade, cable and controller are not in it, nor that modules give less than in proportion
/// in weak light.
///
/// # Source
///
/// `PVWatts`, version 5 manual, NREL/TP-6A20-62641 (from memory).
///
/// # Example
///
/// 100 W, −0.4 %/K, 1 000 W/m², cells at 60 °C. By hand: 100 × (1 − 0.004 × 35) = 86.0 W.
///
/// ```
/// use fusewright::engineering::{solar_cell::*, units::*};
///
/// let module = RatedPower { standard_test: Watts(100.0), coefficient: -0.004 };
/// let hot = module_power(module, WattsPerSquareMetre(1000.0), Celsius(60.0)).unwrap();
/// assert_eq!(format!("{hot:.1}"), "86.0 W");
/// ```
pub fn module_power(
    module: RatedPower,
    irradiance: WattsPerSquareMetre,
    cell: Celsius,
) -> Result<Watts, OutOfRange> {
    let rated = check::positive("rated power", module.standard_test)?;
    let quantity = "coefficient of the power, in 1/K";
    let coefficient = check::within(quantity, module.coefficient, COEFFICIENT_RANGE)?;
    let irradiance = check::within("irradiance", irradiance, IRRADIANCE_RANGE)?;
    let cell = check::within("cell temperature", cell, CELL_RANGE)?;
    let warmth = 1.0 + coefficient * (cell - STANDARD.0);
    Ok(Watts(rated * irradiance / STANDARD_IRRADIANCE * warmth))
}
