//! Solar modules: open-circuit voltage at a cell temperature, and on the coldest morning.

use super::units::{Celsius, Volts};
use super::{OutOfRange, check};

/// Temperature coefficient of open-circuit voltage where the data sheet is missing [1/K].
///
/// # Source
///
/// The slope that NEC table 690.7(A) implies for crystalline silicon down to −25 °C (from memory).
pub const VOC_COEFFICIENT_SILICON: f64 = -0.004;

/// Temperature of standard test conditions.
const STANDARD: Celsius = Celsius(25.0);

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
/// | `β`    | `coefficient`, negative for all usual modules        | 1/K  |
/// | `T`    | `cell`, temperature of the cells, not of the air     | °C   |
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
    Ok(Volts(standard_test * (1.0 + coefficient * (cell.0 - STANDARD.0))))
}

/// Lowest temperature of each band [°C] and the factor on the module's voltage, crystalline silicon.
///
/// # Source
///
/// NEC table 690.7(A); IEC 62548 has the same table (from memory).
const COLD_FACTORS: [(f64, f64); 13] = [
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

/// Factor on the open-circuit voltage for the lowest expected air temperature, by table.
///
/// At 25 °C and above the factor is 1; below −40 °C it stays that of −40 °C, which the caller should
/// treat as a lower bound.
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
/// assert_eq!(format!("{:.2}", cold_factor(Celsius(-12.0))), "1.16");
/// ```
#[must_use]
pub fn cold_factor(lowest_air: Celsius) -> f64 {
    if lowest_air.0 >= STANDARD.0 {
        return 1.0;
    }
    let band = COLD_FACTORS.iter().find(|(least, _)| lowest_air.0 >= *least);
    band.map_or(1.25, |(_, factor)| *factor)
}
