//! Range checks that every calculation starts with.

use super::OutOfRange;
use super::units::{Celsius, Unit};

/// No quantity of a vehicle is larger, in any unit used here; a larger one is a slipped unit, and
/// would overflow a product further on.
const LARGEST: f64 = 1.0e9;

/// Copper's resistance is a straight line over this range, and no cable of ours leaves it [°C].
const TEMPERATURE_RANGE: (f64, f64) = (-60.0, 300.0);

/// Passes the number on when it lies from `least` to `most`, both included; refuses not-a-number.
pub(super) fn within<U: Unit>(
    quantity: &'static str,
    given: U,
    (least, most): (f64, f64),
) -> Result<f64, OutOfRange> {
    if (least..=most).contains(&given.value()) {
        return Ok(given.value());
    }
    let allowed = format!("from {least} to {most} {}", U::SYMBOL);
    Err(refusal(quantity, &given, allowed.trim_end().to_owned()))
}

/// Passes on zero or more.
pub(super) fn not_negative<U: Unit>(quantity: &'static str, given: U) -> Result<f64, OutOfRange> {
    within(quantity, given, (0.0, LARGEST))
}

/// Passes on more than zero.
pub(super) fn positive<U: Unit>(quantity: &'static str, given: U) -> Result<f64, OutOfRange> {
    let value = given.value();
    if value > 0.0 && value <= LARGEST {
        return Ok(value);
    }
    let allowed = format!("more than 0 and at most {LARGEST} {}", U::SYMBOL);
    Err(refusal(quantity, &given, allowed.trim_end().to_owned()))
}

/// Passes on a temperature that a copper conductor can have.
pub(super) fn temperature(quantity: &'static str, given: Celsius) -> Result<f64, OutOfRange> {
    within(quantity, given, TEMPERATURE_RANGE)
}

/// Passes on a count from one to `most`.
pub(super) fn count(quantity: &'static str, given: u32, most: u32) -> Result<f64, OutOfRange> {
    if (1..=most).contains(&given) {
        return Ok(f64::from(given));
    }
    Err(refusal(quantity, &given, format!("from 1 to {most}")))
}

/// The refusal itself.
pub(super) fn refusal(
    quantity: &'static str,
    given: &dyn std::fmt::Display,
    allowed: impl Into<String>,
) -> OutOfRange {
    OutOfRange { quantity, value: given.to_string(), allowed: allowed.into() }
}

/// The refusal of a word that is not on the list.
pub(super) fn not_listed<'a>(
    quantity: &'static str,
    given: &str,
    listed: impl Iterator<Item = &'a str>,
) -> OutOfRange {
    let listed = listed.collect::<Vec<_>>().join(", ");
    refusal(quantity, &format!("\"{given}\""), format!("one of {listed}"))
}
