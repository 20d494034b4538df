//! Verification finds what somebody did to the files, and names it.

use std::fs;

use fusewright::domain::entry::Digest;
use fusewright::storage::jobs::{Derived, refresh};
use fusewright::storage::results::Results;
use fusewright::storage::verify::{Fault, Report, verify};
use fusewright::storage::{certificates, entries, photos, plans};

use super::certificates::finished;
use super::fixture::{Bench, JOB, KIT, OTHER_JOB, WORKSHOP, after, from_technician, note, plan};
use super::photos::photo;

/// Two jobs with five and one entries, a plan, a photo, two certificates.
async fn full() -> Bench {
    let bench = Bench::working().await;
    let store = &bench.store;
    let five = from_technician((0..5).map(|n| note(n, JOB)).collect());
    entries::append(store, WORKSHOP, JOB, five).await.unwrap();
    let one = from_technician(vec![note(9, OTHER_JOB)]);
    entries::append(store, WORKSHOP, OTHER_JOB, one).await.unwrap();
    plans::append(store, WORKSHOP, plan(JOB, 1, b"a")).await.unwrap();
    photos::append(store, WORKSHOP, photo(b"sent", b"kept")).await.unwrap();
    certificates::append(store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let other = certificates::NewCertificate { job: OTHER_JOB, ..finished(1, "HV-26-00002-B") };
    certificates::append(store, WORKSHOP, other).await.unwrap();
    let derived = Derived {
        stage: "working".to_owned(),
        steps_total: 9,
        steps_done: 5,
        flags: "[]".to_owned(),
        entry_count: 5,
        updated: after(3),
        vin: String::new(),
        results: Results::default(),
        notices: String::new(),
    };
    refresh(store, WORKSHOP, JOB, derived).await.unwrap();
    bench
}

async fn faults_after(statements: &'static [&'static str]) -> Vec<Fault> {
    let bench = full().await;
    bench.tamper(statements).await;
    verify(&bench.store, WORKSHOP).await.unwrap().faults
}

fn entry_fault(seq: u64, what: &'static str) -> Fault {
    Fault::Entry { job: JOB, seq, what }
}

#[tokio::test]
async fn an_untouched_workshop_verifies_with_everything_counted() {
    let bench = full().await;
    let expected = Report {
        jobs: 2,
        entries: 6,
        plans: 1,
        kits: 1,
        calibration_files: 0,
        photos: 1,
        certificates: 2,
        register_lines: 2,
        faults: Vec::new(),
    };
    assert_eq!(verify(&bench.store, WORKSHOP).await.unwrap(), expected);
    let bench = bench.restarted().await;
    assert_eq!(verify(&bench.store, WORKSHOP).await.unwrap(), expected);
}

#[tokio::test]
async fn a_changed_body_is_named_by_job_and_entry() {
    let faults = faults_after(&[
        "drop trigger entry_is_not_changed",
        "update entry set body = cast(replace(cast(body as text), 'note 2', 'note 7') as blob) \
         where seq = 2",
    ])
    .await;
    assert_eq!(faults, [entry_fault(2, "its body or salt was changed")]);
    let sentence = format!("Job {JOB}, entry 2: its body or salt was changed");
    assert_eq!(faults[0].to_string(), sentence);
}

#[tokio::test]
async fn whoever_changes_a_column_of_the_server_is_found() {
    let what = "its hash does not fit what stands beside it";
    for statement in [
        &["drop trigger entry_is_not_changed", "update entry set received_ms = 5 where seq = 3"][..],
        &[
            "drop trigger entry_is_not_changed",
            "update entry set person_id = x'00000000000000000000000000000010' \
             where seq = 3",
        ],
    ] {
        assert_eq!(faults_after(statement).await, [entry_fault(3, what)]);
    }
}

#[tokio::test]
async fn a_column_that_says_something_else_than_its_body_is_found() {
    let what = "the columns beside the body say something else than the body";
    for statement in [
        &["drop trigger entry_is_not_changed", "update entry set step = 'other' where seq = 1"][..],
        &["drop trigger entry_is_not_changed", "update entry set kind = 'torque' where seq = 1"],
        &["drop trigger entry_is_not_changed", "update entry set sheet = 2 where seq = 1"],
        &["drop trigger entry_is_not_changed", "update entry set recorded_ms = 1 where seq = 1"],
    ] {
        assert_eq!(faults_after(statement).await, [entry_fault(1, what)]);
    }
}

#[tokio::test]
async fn an_entry_taken_out_of_the_middle_leaves_a_gap() {
    let faults =
        faults_after(&["drop trigger entry_is_not_deleted", "delete from entry where seq = 2"])
            .await;
    assert_eq!(faults, [entry_fault(3, "an entry is missing before it")]);
}

#[tokio::test]
async fn entries_cut_off_the_end_are_missed() {
    let faults =
        faults_after(&["drop trigger entry_is_not_deleted", "delete from entry where seq >= 3"])
            .await;
    assert_eq!(faults, [entry_fault(3, "it and those after it were there and are gone")]);
}

#[tokio::test]
async fn two_entries_that_changed_places_are_found() {
    let faults = faults_after(&[
        "drop trigger entry_is_not_changed",
        "update entry set seq = 1000 where seq = 1 and kind = 'note'",
        "update entry set seq = 1 where seq = 2",
        "update entry set seq = 2 where seq = 1000",
    ])
    .await;
    assert!(faults.contains(&entry_fault(1, "it does not follow on the entry before it")));
    assert!(faults.contains(&entry_fault(2, "it does not follow on the entry before it")));
}

#[tokio::test]
async fn changed_plans_and_kits_are_found() {
    let faults =
        faults_after(&["drop trigger plan_is_not_changed", "update plan set source = x'62'"]).await;
    assert_eq!(faults, [Fault::Plan { job: JOB, edition: 1 }]);
    let faults =
        faults_after(&["drop trigger kit_is_not_changed", "update kit set source = x'62'"]).await;
    assert_eq!(faults, [Fault::Kit { id: KIT }]);
}

#[tokio::test]
async fn a_changed_or_missing_photo_is_found() {
    let bench = full().await;
    let name = Digest::of(b"kept").to_string();
    let file = bench.path("photos").join(&name[..2]).join(&name[2..4]).join(format!("{name}.jpg"));
    let sha256 = Digest::of(b"sent");
    fs::write(&file, b"kepT").unwrap();
    let report = verify(&bench.store, WORKSHOP).await.unwrap();
    let changed = Fault::Photo { sha256: sha256.clone(), what: "its file was changed" };
    assert_eq!(report.faults, [changed]);
    fs::remove_file(&file).unwrap();
    let report = verify(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!(report.faults, [Fault::Photo { sha256, what: "its file is gone" }]);
}

fn certificate_fault(what: &'static str) -> Fault {
    Fault::Certificate { number: "HV-26-00001-A".to_owned(), what }
}

#[tokio::test]
async fn a_changed_or_missing_certificate_is_found() {
    let bench = full().await;
    let file = bench.path("certificates/HV-26-00001-A.pdf");
    let mut bytes = fs::read(&file).unwrap();
    bytes[0] ^= 1;
    fs::write(&file, bytes).unwrap();
    let report = verify(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!(report.faults, [certificate_fault("its file was changed")]);
    fs::remove_file(&file).unwrap();
    let report = verify(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!(report.faults, [certificate_fault("its file is gone")]);
}

#[tokio::test]
async fn a_certificate_that_says_something_else_than_its_line_is_found() {
    let faults = faults_after(&[
        "drop trigger certificate_is_not_changed",
        "update certificate set record = x'7b7d' where register_idx = 0",
    ])
    .await;
    assert_eq!(faults, [certificate_fault("its record was changed")]);
    let faults = faults_after(&[
        "drop trigger certificate_is_not_changed",
        "update certificate set pdf_sha256 = zeroblob(32) where register_idx = 0",
    ])
    .await;
    assert_eq!(faults, [certificate_fault("its line in the register says something else")]);
}

#[tokio::test]
async fn a_changed_register_line_is_named() {
    let faults = faults_after(&[
        "drop trigger register_is_not_changed",
        "update register set kind = 'withdraw' where idx = 1",
    ])
    .await;
    let what = "its hash does not fit what stands beside it";
    assert_eq!(faults, [Fault::Register { index: 1, what }]);
}

#[tokio::test]
async fn a_register_line_taken_out_is_missed() {
    let faults = faults_after(&[
        "pragma foreign_keys = off",
        "drop trigger register_is_not_deleted",
        "delete from register where idx = 0",
    ])
    .await;
    let gap = Fault::Register { index: 1, what: "a line is missing before it" };
    assert_eq!(faults, [gap, certificate_fault("it has no line in the register")]);
}
