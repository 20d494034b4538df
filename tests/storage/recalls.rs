//! Recalls and the files of calibrations as they are kept.

use fusewright::domain::calibration_paper::{Paper, PaperKind};
use fusewright::domain::entry::Digest;
use fusewright::domain::ids::{CalibrationId, InstrumentId, Moment, RecallId};
use fusewright::domain::instrument::as_found::FoundOff;
use fusewright::domain::instrument::standing::{Standing, WARN_DAYS};
use fusewright::domain::instrument::{Calibration, Instrument, Recall};
use fusewright::storage::calibration_files::{self, FILES_MAX};
use fusewright::storage::instruments::{append, count_due, load};
use fusewright::storage::verify::{Fault, verify};
use fusewright::storage::{Conflict, recalls};
use uuid::Uuid;

use super::fixture::{Bench, MANAGER, MORNING, OTHER_WORKSHOP, WORKSHOP};

const OF: (InstrumentId, CalibrationId) =
    (InstrumentId(Uuid::from_u128(0x60)), CalibrationId(Uuid::from_u128(1)));

fn wrench(calibrations: &[(u128, &str, &str)]) -> Instrument {
    let calibration = |(number, done_on, due_on): &(u128, &str, &str)| Calibration {
        id: CalibrationId(Uuid::from_u128(*number)),
        done_on: (*done_on).to_owned(),
        due_on: (*due_on).to_owned(),
        certificate: "C".to_owned(),
    };
    Instrument {
        id: OF.0,
        label: "Wrench 07".to_owned(),
        kind: "Torque wrench".to_owned(),
        serial: "0042".to_owned(),
        ranges: Vec::new(),
        calibrations: calibrations.iter().map(calibration).collect(),
        recalls: Vec::new(),
        retired: false,
    }
}

fn recall(found_on: &str, doubted: Vec<CalibrationId>) -> Recall {
    Recall {
        id: RecallId(Uuid::from_u128(0x70)),
        from: "2026-11-01".to_owned(),
        found_on: found_on.to_owned(),
        doubted,
        reason: "Reads 6 % high.".to_owned(),
        found_off: Some(FoundOff { percent: "6.0".parse().unwrap(), digits: 2 }),
        noted: MORNING,
    }
}

async fn with(calibrations: &[(u128, &str, &str)]) -> Bench {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, wrench(calibrations), MORNING).await.unwrap();
    bench
}

fn pdf(text: &str) -> Paper {
    Paper::read(format!("%PDF-1.7 {text} %%EOF").into_bytes()).unwrap()
}

#[tokio::test]
async fn a_recall_comes_back_with_its_instrument_as_it_was_noted() {
    let bench = with(&[(1, "2026-01-10", "2027-01-10")]).await;
    let noted = recall("2026-11-20", vec![OF.1]);
    let at = recalls::append(&bench.store, WORKSHOP, OF.0, (noted.clone(), MANAGER)).await.unwrap();
    assert_eq!(at, MORNING);
    let there = load(&bench.store, WORKSHOP, OF.0).await.unwrap().unwrap();
    assert_eq!(there.recalls, std::slice::from_ref(&noted));
    let refused = recalls::append(&bench.store, OTHER_WORKSHOP, OF.0, (noted, MANAGER)).await;
    assert_eq!(refused.unwrap_err().conflict(), Some(Conflict::NotThere));
}

/// The number in the navigation and the words on the page follow one rule.
#[tokio::test]
async fn as_many_are_counted_as_stand_for_care() {
    let doubted = [CalibrationId(Uuid::from_u128(1))];
    let first = (1, "2026-01-10", "2027-06-10");
    for (calibrations, recall, standing) in [
        (vec![first], None, Standing::InDate),
        (vec![(1, "2026-01-10", "2026-12-26")], None, Standing::InDate),
        (vec![(1, "2026-01-10", "2026-12-25")], None, Standing::Ends { days: 30 }),
        (vec![(1, "2025-01-10", "2026-01-10")], None, Standing::Lapsed),
        (vec![], None, Standing::NeverCalibrated),
        (vec![first], Some(recall("2026-11-20", vec![])), Standing::Recalled),
        (
            vec![first, (2, "2026-11-20", "2027-11-20")],
            Some(recall("2026-11-20", vec![])),
            Standing::InDate,
        ),
        (
            vec![(1, "2026-11-20", "2027-11-20")],
            Some(recall("2026-11-20", doubted.to_vec())),
            Standing::Recalled,
        ),
        (
            vec![first, (2, "2026-11-25", "2027-11-20")],
            Some(recall("2026-11-25", vec![])),
            Standing::Recalled,
        ),
    ] {
        let bench = with(&calibrations).await;
        if let Some(recall) = recall.clone() {
            recalls::append(&bench.store, WORKSHOP, OF.0, (recall, MANAGER)).await.unwrap();
        }
        let there = load(&bench.store, WORKSHOP, OF.0).await.unwrap().unwrap();
        let told = there.standing(MORNING);
        assert_eq!(told, standing, "{calibrations:?} {recall:?}");
        let days = (MORNING.date(), MORNING.plus_days(WARN_DAYS).date());
        let due = count_due(&bench.store, WORKSHOP, (&days.0, &days.1)).await.unwrap();
        assert_eq!(due, u64::from(told.wants_care()), "{calibrations:?} {recall:?}");
    }
}

#[tokio::test]
async fn a_second_file_stands_beside_the_first_and_the_same_again_changes_nothing() {
    let bench = with(&[(1, "2026-01-10", "2027-01-10")]).await;
    let keep = |text: &str| {
        let new = (pdf(text), MANAGER, MORNING);
        calibration_files::append(&bench.store, WORKSHOP, OF, new)
    };
    let (one, other) = (keep("one").await.unwrap(), keep("other").await.unwrap());
    assert_eq!(keep("one").await.unwrap(), one);
    let rows = calibration_files::list(&bench.store, WORKSHOP, OF.0).await.unwrap();
    assert_eq!(rows.len(), 2);
    let (row, bytes) =
        calibration_files::load(&bench.store, WORKSHOP, OF, &other).await.unwrap().unwrap();
    assert_eq!((row.kind, row.bytes), (PaperKind::Pdf, bytes.len() as u64));
    assert_eq!(Digest::of(&bytes), other);
    let elsewhere = calibration_files::load(&bench.store, OTHER_WORKSHOP, OF, &other).await;
    assert!(elsewhere.unwrap().is_none());
    let of_none = (OF.0, CalibrationId(Uuid::from_u128(9)));
    let refused =
        calibration_files::append(&bench.store, WORKSHOP, of_none, (pdf("x"), MANAGER, MORNING));
    assert_eq!(refused.await.unwrap_err().conflict(), Some(Conflict::NotThere));
}

#[tokio::test]
async fn ten_files_of_one_calibration_are_kept_and_an_eleventh_is_not() {
    let bench = with(&[(1, "2026-01-10", "2027-01-10")]).await;
    for number in 0..FILES_MAX {
        let new = (pdf(&number.to_string()), MANAGER, MORNING);
        calibration_files::append(&bench.store, WORKSHOP, OF, new).await.unwrap();
    }
    let new = (pdf("one too many"), MANAGER, MORNING);
    let refused = calibration_files::append(&bench.store, WORKSHOP, OF, new).await;
    assert_eq!(refused.unwrap_err().conflict(), Some(Conflict::CalibrationFilesFull));
    let rows = calibration_files::list(&bench.store, WORKSHOP, OF.0).await.unwrap();
    assert_eq!(rows.len(), FILES_MAX as usize);
}

#[tokio::test]
async fn verifying_tells_of_a_file_that_was_changed_or_is_gone() {
    let bench = with(&[(1, "2026-01-10", "2027-01-10")]).await;
    let new = (pdf("one"), MANAGER, Moment(MORNING.0));
    let sha256 = calibration_files::append(&bench.store, WORKSHOP, OF, new).await.unwrap();
    let report = verify(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!((report.calibration_files, report.faults), (1, vec![]));
    let digits = sha256.as_str();
    let folder = bench.store.folder().join("calibrations").join(&digits[..2]).join(&digits[2..4]);
    for (act, what) in [("change", "it was changed"), ("remove", "it is gone")] {
        let path = folder.join(digits);
        match act {
            "change" => std::fs::write(path, b"%PDF-1.7 two %%EOF").unwrap(),
            _ => std::fs::remove_file(path).unwrap(),
        }
        let faults = verify(&bench.store, WORKSHOP).await.unwrap().faults;
        assert_eq!(faults, [Fault::CalibrationFile { sha256: sha256.clone(), what }]);
    }
}
