//! Uncertainty in decimals: exact, rounded up, and never narrower than the data sheet.

use fusewright::engineering::uncertainty::{check_accuracy, difference, expanded, standard};
use proptest::prelude::*;
use rust_decimal::Decimal;

use super::{assert_refused, settings};
use crate::published::decimal;

fn any_decimal(most: i64) -> impl Strategy<Value = Decimal> {
    (0..most, 0_u32..=4).prop_map(|(mantissa, scale)| Decimal::new(mantissa, scale))
}

/// One step of the last decimal.
const STEP: Decimal = Decimal::from_parts(1, 0, 0, false, 6);

proptest! {
    #![proptest_config(settings())]

    /// Held against the formula in full decimals: at or above a · 1.154 700 538 379…, less than a
    /// step and a ten-thousand-millionth of it more.
    #[test]
    fn expanded_is_the_formula_rounded_up(
        reading in any_decimal(1_000_000),
        percent in any_decimal(1000),
        digits in 0_u32..100,
        resolution in any_decimal(1000),
    ) {
        let hundred = Decimal::ONE_HUNDRED;
        let half_width = reading * percent / hundred + Decimal::from(digits) * resolution;
        let exact = half_width * decimal("1.15470053837925");
        let found = expanded(reading, percent, digits, resolution);
        prop_assert!(found >= exact);
        prop_assert!(found - exact < STEP + half_width * decimal("0.0000000001"));
        prop_assert!(found.scale() <= 6);
    }

    #[test]
    fn standard_is_half_of_expanded_but_for_the_last_digit(
        reading in any_decimal(1_000_000),
        percent in any_decimal(1000),
        digits in 0_u32..100,
        resolution in any_decimal(1000),
    ) {
        let twice = standard(reading, percent, digits, resolution) * Decimal::TWO;
        let whole = expanded(reading, percent, digits, resolution);
        prop_assert!(twice >= whole && twice - whole < Decimal::TWO * STEP);
    }

    #[test]
    fn the_sign_of_a_reading_has_no_say(
        reading in any_decimal(1_000_000),
        percent in any_decimal(1000),
    ) {
        let u = |reading| expanded(reading, percent, 3, decimal("0.01"));
        prop_assert_eq!(u(reading), u(-reading));
        prop_assert_eq!(difference(reading, percent), difference(-reading, percent));
    }

    #[test]
    fn a_difference_is_the_root_rounded_up(
        first in any_decimal(1_000_000),
        second in any_decimal(1_000_000),
    ) {
        let sum = first * first + second * second;
        let found = difference(first, second);
        prop_assert!(found * found >= sum);
        if found >= STEP {
            let less = found - STEP;
            prop_assert!(less * less < sum);
        }
        prop_assert!(found >= first.max(second));
        prop_assert_eq!(found, difference(second, first));
    }

    #[test]
    fn how_a_number_is_written_has_no_say(reading in any_decimal(1_000_000)) {
        let mut longer = reading;
        longer.rescale(reading.scale() + 5);
        let u = |reading| expanded(reading, decimal("0.50"), 3, decimal("0.010"));
        prop_assert_eq!(u(reading), u(longer));
    }
}

/// By hand: 1 digit of 1 is 1.1547005384, so 1.154701; 10 000 of it is 11 547.005384, exact and not
/// raised.
#[test]
fn rounding_up_starts_beyond_the_sixth_decimal() {
    let of_digits = |digits| expanded(Decimal::ZERO, Decimal::ZERO, digits, Decimal::ONE);
    assert_eq!(of_digits(1), decimal("1.154701"));
    assert_eq!(of_digits(10_000), decimal("11547.005384"));
    assert_eq!(of_digits(0), Decimal::ZERO);
    let of_half = standard(Decimal::ZERO, Decimal::ZERO, 1, Decimal::ONE);
    assert_eq!(of_half, decimal("0.577351"));
}

/// By hand: 0.02 % of 12.3456 V and no digits: 0.002 469 12 × 1.154 700 538 4 = 0.002 851 094…
#[test]
fn percent_alone_and_digits_alone() {
    let percent = expanded(decimal("12.3456"), decimal("0.02"), 0, decimal("0.0001"));
    assert_eq!(percent, decimal("0.002852"));
    // 2 digits of 0.0001: 0.0002 × 1.154 700 538 4 = 0.000 230 94.
    let digits = expanded(decimal("12.3456"), Decimal::ZERO, 2, decimal("0.0001"));
    assert_eq!(digits, decimal("0.000231"));
}

/// Nothing can pass with it; an answer that wraps round could.
#[test]
fn numbers_no_instrument_has_give_the_largest_uncertainty() {
    let huge = expanded(Decimal::MAX, Decimal::MAX, u32::MAX, Decimal::MAX);
    assert_eq!(huge, Decimal::MAX);
    assert_eq!(difference(Decimal::MAX, Decimal::ONE), Decimal::MAX);
    let long = decimal("0.1234567890123456789012345678");
    assert_eq!(expanded(long, long, 1, decimal("0.01")), Decimal::MAX);
    assert_eq!(difference(long, Decimal::ONE), Decimal::MAX);
}

#[test]
fn an_accuracy_below_nothing_is_refused_where_it_is_entered() {
    let (zero, cent) = (Decimal::ZERO, decimal("0.01"));
    assert_eq!(check_accuracy(zero, zero), Ok(()));
    assert_eq!(check_accuracy(decimal("100"), cent), Ok(()));
    assert_refused(check_accuracy(decimal("-0.1"), cent), "accuracy in percent");
    assert_refused(check_accuracy(decimal("100.1"), cent), "accuracy in percent");
    assert_refused(check_accuracy(zero, decimal("-0.01")), "resolution");
}
