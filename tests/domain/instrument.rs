//! When an instrument may be used.

use fusewright::domain::ids::Moment;
use fusewright::domain::instrument::{Range, Unfit};
use fusewright::domain::step::Unit;

use super::cast::{MORNING, dec, instrument};

fn wrench() -> fusewright::domain::instrument::Instrument {
    instrument(vec![Range {
        unit: Unit::NewtonMetre,
        from: dec("2"),
        to: dec("50"),
        resolution: dec("0.1"),
        percent: dec("4"),
        digits: 0,
    }])
}

#[test]
fn a_wrench_is_usable_from_a_fifth_of_its_range() {
    assert!(wrench().uncertainty(dec("10"), Unit::NewtonMetre, MORNING).is_ok());
    let refused = wrench().uncertainty(dec("9.9"), Unit::NewtonMetre, MORNING).unwrap_err();
    assert!(matches!(refused, Unfit::LowEndOfWrench { .. }), "{refused}");
}

#[test]
fn a_reading_beyond_the_range_is_refused() {
    assert!(wrench().uncertainty(dec("50"), Unit::NewtonMetre, MORNING).is_ok());
    let refused = wrench().uncertainty(dec("50.1"), Unit::NewtonMetre, MORNING).unwrap_err();
    assert!(matches!(refused, Unfit::OutOfRange { .. }), "{refused}");
}

#[test]
fn a_calibration_holds_through_its_last_day_and_not_beyond() {
    let on = |text| Moment::parse(text).unwrap();
    let last = on("2026-12-31T23:59:59Z");
    assert!(wrench().uncertainty(dec("20"), Unit::NewtonMetre, last).is_ok());
    let after = on("2027-01-01T00:00:00Z");
    let refused = wrench().uncertainty(dec("20"), Unit::NewtonMetre, after).unwrap_err();
    assert!(matches!(refused, Unfit::OutOfCalibration { .. }), "{refused}");
}

#[test]
fn an_instrument_for_another_quantity_is_refused() {
    let refused = wrench().uncertainty(dec("12"), Unit::Volt, MORNING).unwrap_err();
    assert!(matches!(refused, Unfit::WrongQuantity { .. }), "{refused}");
}
