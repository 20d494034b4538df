//! What is only added: the database itself refuses to change or delete it.

use std::borrow::Cow;

use fusewright::domain::ids::{CalibrationId, InstrumentId};
use fusewright::domain::instrument::{Calibration, Instrument};
use fusewright::storage::{certificates, entries, instruments, plans};
use uuid::Uuid;

use super::certificates::finished;
use super::fixture::{Bench, JOB, MORNING, WORKSHOP, from_technician, note, plan};
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
        retired: false,
    };
    instruments::append(store, WORKSHOP, instrument, MORNING).await.unwrap();
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
