//! Solar modules: open-circuit voltage at a cell temperature, and the currents to design for.

use super::units::{Amps, Celsius, Volts};
use super::{OutOfRange, check};

/// Temperature coefficient of open-circuit voltage where the data sheet is missing [1/K].
///
/// # Source
///
/// The slope that NEC table 690.7(A) implies for crystalline silicon down to −25 °C (from memory).
pub const VOC_COEFFICIENT_SILICON: f64 = -0.004;

/// Temperature of standard test conditions.
pub(super) const STANDARD: Celsius = Celsius(25.0);

/// Temperatures that solar cells are reckoned with [°C].
pub(super) const CELL_RANGE: (f64, f64) = (-60.0, 120.0);

/// Coefficients of voltage and power that modules have [1/K]. One typed in %/K, or without its
/// minus sign, lies outside.
pub(super) const COEFFICIENT_RANGE: (f64, f64) = (-0.01, 0.0);

/// Strings or modules that one calculation takes side by side or in a row.
pub(super) const MODULES_MAX: u32 = 100;

/// Open-circuit voltage of a module at a cell temperature.
///
/// ```text
/// V = Voc · (1 + β · (T − 25))
/// ```
///
/// | symbol | meaning                                              | unit |
/// |--------|------------------------------------------------------|------|
/// | `V`    | open-circuit voltage, result                         | V    |
/// | `Voc`  | `standard_test`, at 25 °C                            | V    |
/// | `β`    | `coefficient`, from −0.01 to 0                       | 1/K  |
/// | `T`    | `cell`, of the cells, not of the air; −60 to 120     | °C   |
///
/// Irradiance is taken as high enough for the open-circuit voltage to be reached. A linear law,
/// about 1 % off the diode equation at its ends. Refuses a voltage that is not above zero.
///
/// # Source
///
/// NEC 690.7(A)(1); IEC 62548-1 (seen in public copies).
///
/// # Example
///
/// 21.6 V at −10 °C with −0.30 %/K. By hand: 21.6 × (1 + 0.003 × 35) = 23.87 V.
///
/// ```
/// use fusewright::engineering::{solar::open_circuit_voltage, units::*};
///
/// let cold = open_circuit_voltage(Volts(21.6), -0.003, Celsius(-10.0)).unwrap();
/// assert_eq!(format!("{cold:.2}"), "23.87 V");
/// ```
pub fn open_circuit_voltage(
    standard_test: Volts,
    coefficient: f64,
    cell: Celsius,
) -> Result<Volts, OutOfRange> {
    let standard_test = check::positive("open-circuit voltage", standard_test)?;
    let coefficient =
        check::within("coefficient of the voltage, in 1/K", coefficient, COEFFICIENT_RANGE)?;
    let cell = check::within("cell temperature", cell, CELL_RANGE)?;
    Ok(Volts(standard_test * (1.0 + coefficient * (cell - STANDARD.0))))
}

/// Lowest temperature of each band [°C] and the factor on the module's voltage, crystalline silicon.
/// The first line is the standard test itself, above the printed ones.
///
/// # Source
///
/// NEC table 690.7(A); IEC 62548 has the same table (from memory).
const COLD_FACTORS: [(f64, f64); 14] = [
    (25.0, 1.00),
    (20.0, 1.02),
    (15.0, 1.04),
    (10.0, 1.06),
    (5.0, 1.08),
    (0.0, 1.10),
    (-5.0, 1.12),
    (-10.0, 1.14),
    (-15.0, 1.16),
    (-20.0, 1.18),
    (-25.0, 1.20),
    (-30.0, 1.21),
    (-35.0, 1.23),
    (-40.0, 1.25),
];

/// Warmest air that can be the coldest of a year [°C].
const WARMEST: f64 = 60.0;

/// Factor on the open-circuit voltage for the lowest expected air temperature, by table.
///
/// At 25 °C and above the factor is 1. A temperature between two bands counts to the colder one.
/// Below −40 °C the table ends, and so does this function: a coefficient is needed there.
///
/// # Source
///
/// NEC table 690.7(A) for crystalline silicon (from memory).
///
/// # Example
///
/// Twelve degrees below zero lies in the band −11 °C to −15 °C, which prints 1.16.
///
/// ```
/// use fusewright::engineering::{solar::cold_factor, units::Celsius};
///
/// assert_eq!(format!("{:.2}", cold_factor(Celsius(-12.0)).unwrap()), "1.16");
/// assert!(cold_factor(Celsius(-40.1)).is_err());
/// ```
pub fn cold_factor(lowest_air: Celsius) -> Result<f64, OutOfRange> {
    let band = COLD_FACTORS.iter().find(|(least, _)| (*least..=WARMEST).contains(&lowest_air.0));
    band.map(|(_, factor)| *factor)
        .ok_or_else(|| check::refusal("lowest air temperature", &lowest_air, "from -40 to 60 °C"))
}

/// Factor from the short-circuit current to the largest current: the sun is brighter than the test.
///
/// # Source
///
/// NEC 690.8(A); IEC 62548 has the same (seen in a public copy).
pub const BRIGHT_SUN_FACTOR: f64 = 1.25;

/// Factor for a current that flows for three hours and more.
///
/// # Source
///
/// NEC 690.8(B) (seen in a public copy).
pub const CONTINUOUS_FACTOR: f64 = 1.25;

/// Largest current of modules side by side.
///
/// ```text
/// I = 1.25 · n · Isc
/// ```
///
/// | symbol | meaning                                                | unit |
/// |--------|--------------------------------------------------------|------|
/// | `I`    | largest current, result                                | A    |
/// | `n`    | `in_parallel`, from 1 to 100                           | –    |
/// | `Isc`  | `short_circuit`, of one module at standard test        | A    |
///
/// An input that limits its own current still sees this figure at its terminals.
///
/// # Source
///
/// NEC 690.8(A); IEC 62548 (seen in a public copy).
///
/// # Example
///
/// One module of 5.95 A. By hand: 1.25 × 5.95 = 7.44 A.
///
/// ```
/// use fusewright::engineering::{solar::maximum_current, units::Amps};
///
/// assert_eq!(format!("{:.2}", maximum_current(Amps(5.95), 1).unwrap()), "7.44 A");
/// ```
pub fn maximum_current(short_circuit: Amps, in_parallel: u32) -> Result<Amps, OutOfRange> {
    let one = check::positive("short-circuit current", short_circuit)?;
    let modules = check::count("number of modules in parallel", in_parallel, MODULES_MAX)?;
    Ok(Amps(BRIGHT_SUN_FACTOR * modules * one))
}

/// Current that conductor and fuse are chosen for, before any other factor.
///
/// ```text
/// I = 1.25 · 1.25 · n · Isc = 1.5625 · n · Isc
/// ```
///
/// Symbols, units and range as for [`maximum_current`]. Ambient and grouping reduce the conductor's
/// ampacity besides. Printed elsewhere as 1.56.
///
/// # Source
///
/// NEC 690.8(B) (seen in a public copy).
///
/// # Example
///
/// One module of 5.95 A. By hand: 1.5625 × 5.95 = 9.30 A.
///
/// ```
/// use fusewright::engineering::{solar::conductor_current, units::Amps};
///
/// assert_eq!(format!("{:.2}", conductor_current(Amps(5.95), 1).unwrap()), "9.30 A");
/// ```
pub fn conductor_current(short_circuit: Amps, in_parallel: u32) -> Result<Amps, OutOfRange> {
    Ok(Amps(CONTINUOUS_FACTOR * maximum_current(short_circuit, in_parallel)?.0))
}
