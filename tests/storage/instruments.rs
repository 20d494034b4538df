//! Instruments and calibrations.

use fusewright::domain::ids::{CalibrationId, InstrumentId};
use fusewright::domain::instrument::{Calibration, Instrument, Range};
use fusewright::domain::number::Decimal;
use fusewright::domain::step::Unit;
use fusewright::storage::Conflict;
use fusewright::storage::instruments::{append, append_calibration, list, load, retire};
use uuid::Uuid;

use super::fixture::{Bench, MORNING, OTHER_WORKSHOP, WORKSHOP, after};

const WRENCH: InstrumentId = InstrumentId(Uuid::from_u128(0x60));
const METER: InstrumentId = InstrumentId(Uuid::from_u128(0x61));

fn calibration(number: u128, done_on: &str, due_on: &str) -> Calibration {
    Calibration {
        id: CalibrationId(Uuid::from_u128(number)),
        done_on: done_on.to_owned(),
        due_on: due_on.to_owned(),
        certificate: format!("C-{number}"),
    }
}

fn instrument(id: InstrumentId, label: &str) -> Instrument {
    let range = Range {
        unit: Unit::NewtonMetre,
        from: Decimal::from(5),
        to: Decimal::from(25),
        resolution: Decimal::new(10, 2),
        percent: Decimal::from(4),
        digits: 0,
    };
    Instrument {
        id,
        label: label.to_owned(),
        kind: "Torque wrench".to_owned(),
        serial: "0042".to_owned(),
        ranges: vec![range],
        calibrations: vec![calibration(1, "2026-01-10", "2027-01-10")],
        recalls: Vec::new(),
        retired: false,
    }
}

#[tokio::test]
async fn an_instrument_comes_back_with_its_ranges_and_calibrations() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, instrument(WRENCH, "Wrench 07"), MORNING).await.unwrap();
    let there = load(&bench.store, WORKSHOP, WRENCH).await.unwrap().unwrap();
    assert_eq!(there, instrument(WRENCH, "Wrench 07"));
    // Digits as typed: the resolution counts.
    assert_eq!(there.ranges[0].resolution.to_string(), "0.10");
    assert!(load(&bench.store, OTHER_WORKSHOP, WRENCH).await.unwrap().is_none());
}

#[tokio::test]
async fn a_calibration_is_added_to_its_own_instrument_in_order_of_date() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, instrument(WRENCH, "Wrench 07"), MORNING).await.unwrap();
    append(&bench.store, WORKSHOP, instrument(METER, "Meter 2"), MORNING).await.unwrap();
    let earlier = calibration(2, "2025-01-10", "2026-01-10");
    append_calibration(&bench.store, WORKSHOP, WRENCH, earlier.clone()).await.unwrap();
    let all = list(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!(all[0].id, METER);
    assert_eq!(all[0].calibrations.len(), 1);
    assert_eq!(all[1].calibrations, [earlier, calibration(1, "2026-01-10", "2027-01-10")]);
}

#[tokio::test]
async fn a_calibration_that_ends_before_it_begins_or_belongs_to_nothing_is_refused() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, instrument(WRENCH, "Wrench 07"), MORNING).await.unwrap();
    let backwards = calibration(3, "2026-01-10", "2026-01-09");
    let refused = append_calibration(&bench.store, WORKSHOP, WRENCH, backwards).await;
    assert_eq!(refused.unwrap_err().conflict(), Some(Conflict::Rule));
    let lost = calibration(3, "2026-01-10", "2027-01-10");
    let refused = append_calibration(&bench.store, WORKSHOP, METER, lost).await;
    assert_eq!(refused.unwrap_err().conflict(), Some(Conflict::NotThere));
}

#[tokio::test]
async fn a_refused_calibration_leaves_no_half_instrument() {
    let bench = Bench::staffed().await;
    let mut wrong = instrument(WRENCH, "Wrench 07");
    wrong.calibrations.push(calibration(9, "2026-01-10", "2025-01-10"));
    append(&bench.store, WORKSHOP, wrong, MORNING).await.unwrap_err();
    assert!(list(&bench.store, WORKSHOP).await.unwrap().is_empty());
}

#[tokio::test]
async fn a_retired_instrument_is_listed_last() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, instrument(METER, "A meter"), MORNING).await.unwrap();
    append(&bench.store, WORKSHOP, instrument(WRENCH, "B wrench"), MORNING).await.unwrap();
    retire(&bench.store, WORKSHOP, METER, after(1)).await.unwrap();
    let all = list(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!((all[0].retired, all[1].retired, all[1].id), (false, true, METER));
    let refused = retire(&bench.store, OTHER_WORKSHOP, WRENCH, after(1)).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}
