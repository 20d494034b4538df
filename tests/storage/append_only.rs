//! What is only added: the database itself refuses to change or delete it.

use std::borrow::Cow;

use fusewright::domain::calibration_paper::Paper;
use fusewright::domain::ids::{CalibrationId, InstrumentId, RecallId};
use fusewright::domain::instrument::{Calibration, Instrument, Recall};
use fusewright::storage::{calibration_files, certificates, entries, instruments, plans, recalls};
use uuid::Uuid;

use super::certificates::finished;
use super::fixture::{Bench, JOB, MANAGER, MORNING, WORKSHOP, from_technician, note, plan};
use super::withdrawals::withdrawn;

/// One row in each table whose rows never change.
async fn filled() -> Bench {
    let bench = Bench::working().await;
    let store = &bench.store;
    entries::append(store, WORKSHOP, JOB, from_technician(vec![note(1, JOB)])).await.unwrap();
    plans::append(store, WORKSHOP, plan(JOB, 1, b"a")).await.unwrap();
    certificates::append(store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    withdrawn(&bench, "HV-26-00001-A").await;
    let calibration = Calibration {
        id: CalibrationId(Uuid::from_u128(1)),
        done_on: "2026-01-10".to_owned(),
        due_on: "2027-01-10".to_owned(),
        certificate: "C-1".to_owned(),
    };
    let instrument = Instrument {
        id: InstrumentId(Uuid::from_u128(1)),
        label: "Wrench 07".to_owned(),
        kind: "Torque wrench".to_owned(),
        serial: "42".to_owned(),
        ranges: Vec::new(),
        calibrations: vec![calibration],
        recalls: Vec::new(),
        retired: false,
    };
    let id = instrument.id;
    instruments::append(store, WORKSHOP, instrument, MORNING).await.unwrap();
    let recall = Recall {
        id: RecallId(Uuid::from_u128(1)),
        from: "2026-11-01".to_owned(),
        found_on: "2026-11-20".to_owned(),
        doubted: Vec::new(),
        reason: "Dropped.".to_owned(),
        found_off: None,
        noted: MORNING,
    };
    recalls::append(store, WORKSHOP, id, (recall, MANAGER)).await.unwrap();
    let paper = Paper::read(b"%PDF-1.7 %%EOF".to_vec()).unwrap();
    let of = (id, CalibrationId(Uuid::from_u128(1)));
    calibration_files::append(store, WORKSHOP, of, (paper, MANAGER, MORNING)).await.unwrap();
    bench
}

#[tokio::test]
async fn the_database_refuses_to_change_or_delete_what_is_only_added() {
    let bench = filled().await;
    let mut intruder = bench.intruder().await;
    for statement in [
        "update entry set received_ms = 1",
        "delete from entry",
        "update plan set saved_ms = 1",
        "delete from plan",
        "update certificate set code = 'X'",
        "delete from certificate",
        "update register set at_ms = 1",
        "delete from register",
        "update withdrawal set reason = 'It is fine after all.'",
        "delete from withdrawal",
        "update kit set title = 'X'",
        "update calibration set due_on = '2099-01-01'",
        "delete from calibration",
        "update calibration_file set kind = 'png'",
        "delete from calibration_file",
        "update instrument_recall set from_day = '2026-11-19'",
        "delete from instrument_recall",
    ] {
        let refused = sqlx::query(statement).execute(&mut intruder).await.unwrap_err();
        let code = code(&refused);
        // 1811 is SQLITE_CONSTRAINT_TRIGGER, https://www.sqlite.org/rescode.html.
        assert_eq!(code.as_deref(), Some("1811"), "{statement}: {refused}");
    }
}

#[tokio::test]
async fn a_kit_that_a_job_uses_cannot_be_deleted_behind_the_servers_back() {
    let bench = filled().await;
    let mut intruder = bench.intruder().await;
    let refused = sqlx::query("delete from kit").execute(&mut intruder).await.unwrap_err();
    let code = code(&refused);
    // 787 is SQLITE_CONSTRAINT_FOREIGNKEY.
    assert_eq!(code.as_deref(), Some("787"), "{refused}");
}

fn code(error: &sqlx::Error) -> Option<Cow<'_, str>> {
    error.as_database_error()?.code()
}
