//! Figures as people type them, and limits as they are printed.

use fusewright::domain::finding::three_digits;
use fusewright::domain::number::{parse_typed, upper_limit, with_minus};

use super::cast::dec;

#[test]
fn comma_point_minus_and_spaces_are_read() {
    for (typed, read) in [
        ("10.4", "10.4"),
        ("10,4", "10.4"),
        (" 7.10 ", "7.10"),
        ("1 234", "1234"),
        ("1  234", "1234"),
        ("1\u{a0}234\u{202f}567,5", "1234567.5"),
        ("\u{2212}0,5", "-0.5"),
        (".5", "0.5"),
        ("-.5", "-0.5"),
        ("12.", "12"),
        ("+3", "3"),
        ("0.216000001", "0.216000001"),
        ("000123456789", "123456789"),
    ] {
        assert_eq!(parse_typed(typed).map(|d| d.to_string()), Some(read.to_owned()), "{typed:?}");
    }
}

#[test]
fn what_is_not_one_plain_number_is_not_read() {
    for typed in [
        "",
        "-",
        ".",
        "1.2.3",
        "1,2.3",
        "12V",
        "1e5",
        "ten",
        "1234567890",
        "--1",
        "NaN",
        "12 5",
        "1 2345",
        "1.5 234",
        ".5 234",
        "1 234.567 8",
        "1 234.567 890",
        "0.0000000001",
    ] {
        assert_eq!(parse_typed(typed), None, "{typed:?}");
    }
}

#[test]
fn digits_are_kept_as_typed() {
    assert_eq!(parse_typed("7.10").unwrap().scale(), 2);
}

#[test]
fn a_printed_limit_never_widens_the_calculated_one() {
    assert_eq!(upper_limit(6.289, 2), Some(dec("6.28")));
    assert_eq!(upper_limit(0.36, 2), Some(dec("0.36")));
    assert_eq!(upper_limit(f64::NAN, 2), None);
}

#[test]
fn a_number_printed_for_people_has_a_minus_sign() {
    for (text, printed) in [
        ("-4.2 K", "\u{2212}4.2 K"),
        ("-0.5 to 0.5 V", "\u{2212}0.5 to 0.5 V"),
        ("from -40 to -10 \u{b0}C", "from \u{2212}40 to \u{2212}10 \u{b0}C"),
        ("cells (-20) = -3", "cells (\u{2212}20) = \u{2212}3"),
        ("44.8\u{a0}\u{b7} -3", "44.8\u{a0}\u{b7} \u{2212}3"),
    ] {
        assert_eq!(with_minus(text), printed);
        assert_eq!(with_minus(printed), printed, "once is enough");
    }
}

#[test]
fn hyphens_that_start_no_number_stay() {
    for text in
        ["2026-11-25", "TRAY-40", "a 4-wire meter", "- five", "J1-1", "12-24 V", "W -x", "-"]
    {
        assert_eq!(with_minus(text), text);
    }
}

#[test]
fn three_digits_below_zero_have_a_minus_sign_and_zero_has_none() {
    for (value, text) in [
        (-4.234, "\u{2212}4.23"),
        (-0.0361, "\u{2212}0.0361"),
        (-4903.3, "\u{2212}4900"),
        (-0.0, "0"),
        (0.0, "0"),
    ] {
        assert_eq!(three_digits(value), text);
        let read = parse_typed(text).map(|figure| figure.to_string().parse::<f64>().unwrap());
        let error = read.map(|read| (read - value).abs());
        assert!(error.is_some_and(|error| error <= value.abs() * 0.005), "{text} reads {read:?}");
    }
}
