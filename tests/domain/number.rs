//! Figures as people type them, and limits as they are printed.

use fusewright::domain::number::{lower_limit, parse_typed, upper_limit};

use super::cast::dec;

#[test]
fn comma_point_minus_and_spaces_are_read() {
    for (typed, read) in [
        ("10.4", "10.4"),
        ("10,4", "10.4"),
        (" 7.10 ", "7.10"),
        ("1 234", "1234"),
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
    assert_eq!(lower_limit(6.281, 2), Some(dec("6.29")));
    assert_eq!(upper_limit(0.36, 2), Some(dec("0.36")));
    assert_eq!(lower_limit(0.36, 2), Some(dec("0.36")));
    assert_eq!(upper_limit(f64::NAN, 2), None);
}
