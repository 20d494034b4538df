//! From an instrument's data sheet to the uncertainty of a reading, in exact decimals.
//!
//! Verdicts rest on these figures, so no binary fraction has a say: everything is whole numbers,
//! the only rounding is the last step, and it is upwards, which is the cautious side. The page on
//! the phone does the same with big integers and must come to the same digits:
//!
//! 1. Write every input as a whole number over a power of ten: |reading| = r/10^i, percent =
//!    p/10^j, resolution = q/10^k.
//! 2. Half-width of the specification, exactly: a = r·p/10^(i+j+2) + digits·q/10^k.
//! 3. Expanded uncertainty: U = a · 1.1547005384, rounded up to six decimals. The factor is 2/√3,
//!    itself rounded up at the tenth decimal; the standard uncertainty takes half of it,
//!    0.5773502692.
//! 4. Difference of two readings: √(U1² + U2²), rounded up to six decimals.
//!
//! "Rounded up" is the smallest multiple of 0.000001 that is not less than the exact value. The
//! sign of an input has no say. Where the whole numbers outgrow 128 bits, which no reading of an
//! instrument does, the answer is [`Decimal::MAX`]: nothing can pass with it.

use rust_decimal::Decimal;

use super::{OutOfRange, Source, check};

/// Decimals an uncertainty is rounded up to.
pub const UNCERTAINTY_DECIMALS: u32 = 6;

/// 2/√3 = 1.154 700 538 379…, rounded up, in units of 10⁻¹⁰.
const EXPANDED_FACTOR: i128 = 11_547_005_384;

/// 1/√3 = 0.577 350 269 189…, rounded up, in units of 10⁻¹⁰.
const STANDARD_FACTOR: i128 = 5_773_502_692;

/// Decimals of the two factors.
const FACTOR_DECIMALS: u32 = 10;

/// Where the rule comes from.
pub const UNCERTAINTY_SOURCE: Source =
    Source::seen("JCGM 100:2008, 4.3.7: half-width over √3, times 2");

/// Expanded uncertainty (k = 2) of a reading, from the accuracy on the data sheet.
///
/// ```text
/// a = |x| · p / 100 + n · q        U = 2 · a / √3
/// ```
///
/// | symbol | meaning                                                          | unit           |
/// |--------|------------------------------------------------------------------|----------------|
/// | `U`    | expanded uncertainty, result, rounded up to six decimals         | of the reading |
/// | `x`    | `reading`                                                        | its own        |
/// | `p`    | `percent` of the reading                                         | %              |
/// | `n`    | `digits`                                                         | –              |
/// | `q`    | `resolution`: last digit of the range that was used              | of the reading |
///
/// Exactly as the top of this file says. Negative percent or resolution count by their size;
/// [`check_accuracy`] refuses them where an instrument is entered.
///
/// # Source
///
/// JCGM 100:2008, 4.3.7 and 4.4.5 (from memory); the √3 for a specification without a stated
/// distribution seen in a public copy.
///
/// # Example
///
/// 14.50 V, ±(0.5 % + 3 digits of 0.01 V). By hand: a = 0.0725 + 0.03 = 0.1025; 0.1025 × 1.1547 =
/// 0.118 V.
///
/// ```
/// use fusewright::engineering::uncertainty::expanded;
/// use rust_decimal::Decimal;
///
/// let decimal = |text: &str| text.parse::<Decimal>().unwrap();
/// let u = expanded(decimal("14.50"), decimal("0.5"), 3, decimal("0.01"));
/// assert_eq!(u, decimal("0.118357"));
/// ```
#[must_use]
pub fn expanded(reading: Decimal, percent: Decimal, digits: u32, resolution: Decimal) -> Decimal {
    scaled(reading, percent, digits, resolution, EXPANDED_FACTOR)
}

/// Standard uncertainty of a reading: u = a / √3, rounded up to six decimals.
///
/// Symbols, units, range and source as for [`expanded`].
///
/// # Example
///
/// 14.50 V, ±(0.5 % + 3 digits of 0.01 V). By hand: 0.1025 / 1.732 = 0.0592 V.
///
/// ```
/// use fusewright::engineering::uncertainty::standard;
/// use rust_decimal::Decimal;
///
/// let decimal = |text: &str| text.parse::<Decimal>().unwrap();
/// let u = standard(decimal("14.50"), decimal("0.5"), 3, decimal("0.01"));
/// assert_eq!(u, decimal("0.059179"));
/// ```
#[must_use]
pub fn standard(reading: Decimal, percent: Decimal, digits: u32, resolution: Decimal) -> Decimal {
    scaled(reading, percent, digits, resolution, STANDARD_FACTOR)
}

/// Uncertainty of a difference of two readings: √(U1² + U2²), rounded up to six decimals.
///
/// Both must be of the same kind (both expanded or both standard) and the readings independent.
///
/// # Source
///
/// JCGM 100:2008, 5.1.2 (from memory).
///
/// # Example
///
/// 0.03 V and 0.04 V. By hand: √(0.0009 + 0.0016) = 0.0500 V.
///
/// ```
/// use fusewright::engineering::uncertainty::difference;
/// use rust_decimal::Decimal;
///
/// let decimal = |text: &str| text.parse::<Decimal>().unwrap();
/// assert_eq!(difference(decimal("0.03"), decimal("0.04")), decimal("0.05"));
/// ```
#[must_use]
pub fn difference(first: Decimal, second: Decimal) -> Decimal {
    quadrature(first, second).unwrap_or(Decimal::MAX)
}

/// Refuses an accuracy that no data sheet has: a negative percentage or resolution.
pub fn check_accuracy(percent: Decimal, resolution: Decimal) -> Result<(), OutOfRange> {
    let hundred = Decimal::ONE_HUNDRED;
    if percent < Decimal::ZERO || percent > hundred {
        return Err(check::refusal("accuracy in percent", &percent, "from 0 to 100"));
    }
    if resolution < Decimal::ZERO {
        return Err(check::refusal("resolution", &resolution, "0 or more"));
    }
    Ok(())
}

/// a · factor, rounded up.
fn scaled(
    reading: Decimal,
    percent: Decimal,
    digits: u32,
    resolution: Decimal,
    factor: i128,
) -> Decimal {
    exact_half_width(reading, percent, digits, resolution)
        .and_then(|(half_width, decimals)| {
            let product = half_width.checked_mul(factor)?;
            rounded_up(product, decimals + FACTOR_DECIMALS)
        })
        .unwrap_or(Decimal::MAX)
}

/// The half-width a of the specification as a whole number and its decimals; `None` when it
/// outgrows 128 bits.
fn exact_half_width(
    reading: Decimal,
    percent: Decimal,
    digits: u32,
    resolution: Decimal,
) -> Option<(i128, u32)> {
    let (reading, percent) = (reading.abs().normalize(), percent.abs().normalize());
    let resolution = resolution.abs().normalize();
    // Percent is hundredths: two decimals more.
    let share_decimals = reading.scale() + percent.scale() + 2;
    let decimals = share_decimals.max(resolution.scale());
    let share = reading.mantissa().checked_mul(percent.mantissa())?;
    let share = share.checked_mul(power_of_ten(decimals - share_decimals)?)?;
    let steps = resolution.mantissa().checked_mul(i128::from(digits))?;
    let steps = steps.checked_mul(power_of_ten(decimals - resolution.scale())?)?;
    Some((share.checked_add(steps)?, decimals))
}

/// √(first² + second²), rounded up to six decimals.
fn quadrature(first: Decimal, second: Decimal) -> Option<Decimal> {
    let (first, second) = (first.abs().normalize(), second.abs().normalize());
    let decimals = first.scale().max(second.scale()).max(UNCERTAINTY_DECIMALS);
    let whole =
        |number: Decimal| number.mantissa().checked_mul(power_of_ten(decimals - number.scale())?);
    let square = |number: i128| number.checked_mul(number);
    let sum = square(whole(first)?)?.checked_add(square(whole(second)?)?)?;
    let root = sum.isqrt();
    let root = if root * root < sum { root + 1 } else { root };
    rounded_up(root, decimals)
}

/// A whole number of 10^−decimals, as a decimal rounded up to six decimals.
fn rounded_up(number: i128, decimals: u32) -> Option<Decimal> {
    let surplus = decimals.saturating_sub(UNCERTAINTY_DECIMALS);
    let step = power_of_ten(surplus)?;
    let up = i128::from(number % step != 0);
    let scale = decimals.min(UNCERTAINTY_DECIMALS);
    Decimal::try_from_i128_with_scale(number / step + up, scale).ok()
}

/// 10 to a power, if it fits.
fn power_of_ten(exponent: u32) -> Option<i128> {
    10_i128.checked_pow(exponent)
}
