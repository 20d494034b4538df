//! An instrument that was found to have read wrongly: which readings count, what ends it, and which job it
//! takes back.

use fusewright::domain::ids::{CalibrationId, Moment, RecallId};
use fusewright::domain::instrument::standing::Standing;
use fusewright::domain::instrument::{Calibration, Instrument, Recall, Unfit};
use fusewright::domain::job::{Flag, Stage};
use fusewright::domain::step::Unit;
use uuid::Uuid;

use super::cast::{MORNING, Pen, dec, exact_instrument};

const RESTED: &str = "before.battery_rested";

fn at(text: &str) -> Moment {
    Moment::parse(text).unwrap()
}

fn calibration(number: u128, done_on: &str, due_on: &str) -> Calibration {
    Calibration {
        id: CalibrationId(Uuid::from_u128(number)),
        done_on: done_on.to_owned(),
        due_on: due_on.to_owned(),
        certificate: format!("C-{number}"),
    }
}

/// Out of tolerance since the first of June, found on the tenth.
fn recall(noted: Moment) -> Recall {
    Recall {
        id: RecallId(Uuid::from_u128(300)),
        from: "2026-06-01".to_owned(),
        found_on: "2026-06-10".to_owned(),
        doubted: Vec::new(),
        reason: "Reads 6 % high".to_owned(),
        found_off: None,
        noted,
    }
}

fn recalled() -> Instrument {
    Instrument { recalls: vec![recall(at("2026-06-10T12:00:00Z"))], ..exact_instrument() }
}

fn counts(instrument: &Instrument, moment: &str) -> bool {
    instrument.uncertainty(dec("12"), Unit::Volt, at(moment)).is_ok()
}

#[test]
fn readings_count_until_the_day_before_and_not_from_the_first_moment_in_doubt_on() {
    assert!(counts(&recalled(), "2026-05-31T23:59:59Z"));
    assert!(!counts(&recalled(), "2026-06-01T00:00:00Z"));
    let refused = recalled().uncertainty(dec("12"), Unit::Volt, at("2026-06-20T08:00:00Z"));
    let refused = refused.unwrap_err();
    assert!(matches!(refused, Unfit::Recalled { .. }), "{refused}");
    assert!(refused.to_string().contains("from 2026-06-01 on (Reads 6 % high)"), "{refused}");
}

#[test]
fn a_calibration_after_the_finding_ends_it_from_its_own_day_on() {
    let mut meter = recalled();
    meter.calibrations.push(calibration(1, "2026-06-15", "2027-06-15"));
    assert!(!counts(&meter, "2026-06-14T23:59:59Z"));
    assert!(counts(&meter, "2026-06-15T00:00:00Z"));
    assert_eq!(meter.ended_on(&meter.recalls[0]), Some("2026-06-15"));
    assert!(meter.open_recall().is_none());
}

/// Days are all that papers name: nobody knows whether a reading of that day came before or after.
#[test]
fn a_calibration_of_the_day_it_was_found_counts_from_the_next_day_on() {
    let mut meter = recalled();
    meter.calibrations.push(calibration(1, "2026-06-10", "2027-06-10"));
    assert!(!counts(&meter, "2026-06-10T23:59:59Z"));
    assert!(counts(&meter, "2026-06-11T00:00:00Z"));
    assert_eq!(meter.standing(at("2026-06-10T15:00:00Z")), Standing::Recalled);
    assert_eq!(meter.standing(at("2026-06-11T15:00:00Z")), Standing::InDate);
}

#[test]
fn a_calibration_from_before_the_finding_ends_nothing_whenever_it_is_noted() {
    for done_on in ["2026-05-01", "2026-06-05", "2026-06-09"] {
        let mut meter = recalled();
        meter.calibrations.push(calibration(1, done_on, "2027-06-01"));
        assert!(!counts(&meter, "2026-06-20T08:00:00Z"), "{done_on}");
        assert!(meter.open_recall().is_some(), "{done_on}");
    }
}

/// Calibrated in the morning, dropped at noon.
#[test]
fn a_calibration_of_that_day_that_came_before_the_finding_ends_nothing() {
    let mut meter = recalled();
    meter.calibrations.push(calibration(1, "2026-06-10", "2027-06-10"));
    meter.recalls[0].doubted = meter.calibrated_on("2026-06-10");
    assert!(!counts(&meter, "2026-06-20T08:00:00Z"));
    meter.calibrations.push(calibration(2, "2026-06-10", "2027-06-10"));
    assert!(counts(&meter, "2026-06-20T08:00:00Z"), "that one was noted since");
}

#[test]
fn what_would_not_count_anyway_is_out_of_calibration_and_not_recalled() {
    let refused = recalled().uncertainty(dec("12"), Unit::Volt, at("2027-03-01T08:00:00Z"));
    let refused = refused.unwrap_err();
    assert!(matches!(refused, Unfit::OutOfCalibration { .. }), "{refused}");
    assert!(recalled().recall_at(at("2027-03-01T08:00:00Z")).is_none());
}

#[test]
fn how_an_instrument_stands_is_told_at_each_edge() {
    // In calibration all of 2026.
    for (day, standing) in [
        ("2025-12-31", Standing::Lapsed),
        ("2026-11-30", Standing::InDate),
        ("2026-12-01", Standing::Ends { days: 30 }),
        ("2026-12-30", Standing::Ends { days: 1 }),
        ("2026-12-31", Standing::Ends { days: 0 }),
        ("2027-01-01", Standing::Lapsed),
    ] {
        let now = at(&format!("{day}T12:00:00Z"));
        assert_eq!(exact_instrument().standing(now), standing, "{day}");
    }
    let retired = Instrument { retired: true, ..recalled() };
    assert_eq!(retired.standing(MORNING), Standing::Retired);
    assert_eq!(recalled().standing(MORNING), Standing::Recalled);
    let new = Instrument { calibrations: Vec::new(), ..exact_instrument() };
    assert_eq!(new.standing(MORNING), Standing::NeverCalibrated);
    assert!(!Standing::InDate.wants_care() && Standing::Ends { days: 30 }.wants_care());
}

/// The recall of a pen's meter, in doubt since before the work began.
fn recall_all(pen: &mut Pen, noted: Moment) {
    pen.instruments[0].recalls = vec![Recall { found_on: noted.date(), ..recall(noted) }];
}

#[test]
fn a_recall_takes_the_results_of_a_job_that_is_not_released() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    assert_eq!(pen.state().stage(), Stage::Review);
    recall_all(&mut pen, MORNING.plus_days(1));
    let state = pen.state();
    assert_eq!(state.stage(), Stage::Working, "what was signed for is not there any more");
    let step = state.step(RESTED).unwrap();
    assert!(step.result().is_none());
    assert!(step.flags().contains(&Flag::NotCounted));
    let why = step.history[0].judged.as_ref().unwrap_err();
    assert!(why.0.contains("was recalled"), "{}", why.0);
}

#[test]
fn what_was_released_before_the_recall_stays_as_it_was_decided() {
    let mut pen = Pen::with_sheet();
    pen.fill();
    pen.submit();
    pen.release();
    let before = pen.state();
    let released = before.released.as_ref().unwrap().act.received;
    // At the very moment of the release it came too late, a millisecond earlier it did not.
    recall_all(&mut pen, released);
    assert_eq!(pen.state(), before);
    recall_all(&mut pen, Moment(released.0 - 1));
    assert!(pen.state().released.is_none());
}
