//! From an instrument's data sheet to a guarded limit: JCGM 100, ILAC-G8:09/2019, ISO 14253-1.

use fusewright::engineering::uncertainty::{difference, expanded, standard};
use rust_decimal::Decimal;

use super::decimal;

/// Fails unless the two decimals are within the tolerance of each other.
#[track_caller]
fn assert_close(found: Decimal, printed: &str, tolerance: &str) {
    let off = (found - decimal(printed)).abs();
    assert!(off <= decimal(tolerance), "found {found}, printed {printed} ± {tolerance}");
}

/// Golden case G16 (rule and √3 seen; computed): limit 14.60 V, reading 14.50 V, ±(0.5 % + 3 ×
/// 0.01 V). U 0.118 V; accepted as it stands; guarded by U the limit is 14.482 V and it fails;
/// guarded by 1.65 u (ISO 14253-1:2017, from memory) the limit is 14.502 V and it passes.
#[test]
fn one_reading_under_three_decision_rules() {
    let (limit, reading) = (decimal("14.60"), decimal("14.50"));
    let spec = (decimal("0.5"), 3, decimal("0.01"));
    let u = expanded(reading, spec.0, spec.1, spec.2);
    assert_close(u, "0.1184", "0.0001");
    assert_close(limit - u, "14.482", "0.0005");
    assert!(reading <= limit && reading > limit - u);

    let small = standard(reading, spec.0, spec.1, spec.2);
    assert_close(small, "0.0592", "0.00005");
    assert_close(limit - decimal("1.65") * small, "14.502", "0.0005");
    assert!(reading <= limit - decimal("1.65") * small);
}

/// The same limit and meter (computed): 14.42 V passes under every rule.
#[test]
fn a_reading_further_inside_passes_when_guarded() {
    let u = expanded(decimal("14.42"), decimal("0.5"), 3, decimal("0.01"));
    assert!(decimal("14.42") <= decimal("14.60") - u);
}

/// Worked (computed): 0.281 V of a limit of 0.300 V, ±(0.5 % + 3 digits of 1 mV): u 2.54 mV, U
/// 5.1 mV, limit guarded 0.2949 V.
#[test]
fn a_voltage_drop_guarded() {
    let spec = (decimal("0.281"), decimal("0.5"), 3, decimal("0.001"));
    assert_close(standard(spec.0, spec.1, spec.2, spec.3), "0.00254", "0.000005");
    let u = expanded(spec.0, spec.1, spec.2, spec.3);
    assert_close(u, "0.0051", "0.00005");
    assert_close(decimal("0.300") - u, "0.2949", "0.00005");
}

/// Half-widths that others printed, recovered as u · √3 (seen): a university's ±(2.5 % + 3 digits)
/// at 32.00 V is 0.83 V and at 0.09 V 0.032 V; a meter maker's ±(0.08 % + 2 digits) at 2.000 V
/// 0.0036 V.
#[test]
fn half_widths_as_others_print_them() {
    let root_of_three = decimal("1.732050807568877");
    let cases = [
        ("32.00", "2.5", 3, "0.01", "0.83", "0.0001"),
        ("0.09", "2.5", 3, "0.01", "0.032", "0.0003"),
        ("2.000", "0.08", 2, "0.001", "0.0036", "0.000002"),
    ];
    for (reading, percent, digits, resolution, printed, tolerance) in cases {
        let u = standard(decimal(reading), decimal(percent), digits, decimal(resolution));
        assert_close(u * root_of_three, printed, tolerance);
    }
}

/// JCGM 100:2008, 4.3.7, example 1 (from memory): a half-width of 0.40 gives u = 0.231.
#[test]
fn a_half_width_of_two_fifths() {
    let u = standard(Decimal::ZERO, Decimal::ZERO, 40, decimal("0.01"));
    assert_close(u, "0.231", "0.0005");
}

/// JCGM 100:2008, 5.1.2 (from memory): independent contributions add as squares. 3, 4, 5.
#[test]
fn a_difference_adds_as_squares() {
    assert_eq!(difference(decimal("0.3"), decimal("0.4")), decimal("0.5"));
    assert_eq!(difference(decimal("5"), decimal("12")), decimal("13"));
}

/// Every digit counts, since the phone works the same sums. Worked with whole numbers by hand:
/// 0.1025 × 1.1547005384 = 0.118 356 805 186, up to 0.118357; 0.004405 × 1.1547005384 =
/// 0.005 086 455 871 652, up to 0.005087; √2 = 1.414 213 56…, up to 1.414214.
#[test]
fn the_last_digit_is_rounded_up() {
    let coarse = expanded(decimal("14.50"), decimal("0.5"), 3, decimal("0.01"));
    assert_eq!(coarse.to_string(), "0.118357");
    let fine = expanded(decimal("0.281"), decimal("0.5"), 3, decimal("0.001"));
    assert_eq!(fine.to_string(), "0.005087");
    assert_eq!(difference(decimal("1"), decimal("1")).to_string(), "1.414214");
}
