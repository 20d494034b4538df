//! A slipped decimal point is asked about; an honest fail is not.

use fusewright::domain::plausible::is_implausible;
use fusewright::domain::step::Limits;

use super::cast::dec;

#[test]
fn ten_times_a_good_reading_is_asked_about_and_a_plain_fail_is_not() {
    let torque = Limits::between(dec("9.0"), dec("11.0"));
    assert!(is_implausible(dec("104"), &torque));
    assert!(is_implausible(dec("1.04"), &torque));
    assert!(!is_implausible(dec("14"), &torque));
    assert!(!is_implausible(dec("5"), &torque));
}

#[test]
fn with_one_limit_five_times_it_is_far_off() {
    assert!(is_implausible(dec("1.8"), &Limits::at_most(dec("0.36"))));
    assert!(!is_implausible(dec("1.79"), &Limits::at_most(dec("0.36"))));
    assert!(is_implausible(dec("0.1"), &Limits::at_least(dec("0.5"))));
    assert!(!is_implausible(dec("0.2"), &Limits::at_least(dec("0.5"))));
}

#[test]
fn a_figure_within_its_limits_is_no_slip() {
    let dead = Limits::between(dec("-0.5"), dec("0.5"));
    for value in ["0", "0.00", "0.04", "-0.5", "0.5"] {
        assert!(!is_implausible(dec(value), &dead), "{value}");
    }
    assert!(is_implausible(dec("5"), &dead));
    assert!(is_implausible(dec("-12.6"), &dead));
}
