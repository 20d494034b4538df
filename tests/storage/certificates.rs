//! Certificates and the register.

use std::fs;

use fusewright::domain::ids::JobId;
use fusewright::domain::seal::{RegisterLine, register_hash, sha256};
use fusewright::storage::certificates::{
    NewCertificate, Next, append, find, list, load, next, pdf, register_list,
};
use fusewright::storage::{Conflict, StorageError, workshops};
use tokio::task::JoinSet;

use super::fixture::{Bench, JOB, OTHER_JOB, OTHER_WORKSHOP, WORKSHOP, after, job, workshop};

/// A first version for the job, made for a place in the register.
pub(super) fn finished(expect_index: u64, number: &str) -> NewCertificate {
    NewCertificate {
        job: JOB,
        number: number.to_owned(),
        version: 1,
        code: "7K2M-9QXW".to_owned(),
        record: format!("{{\"number\":\"{number}\"}}").into_bytes(),
        pdf: format!("%PDF {number}").into_bytes(),
        issued: after(90),
        expect_index,
    }
}

async fn conflict(bench: &Bench, new: NewCertificate) -> Option<Conflict> {
    append(&bench.store, WORKSHOP, new).await.unwrap_err().conflict()
}

#[tokio::test]
async fn the_first_certificate_stands_at_the_registers_beginning() {
    let bench = Bench::working().await;
    let expected = Next { index: 0, prev: [0; 32], version: 1, replaces: None };
    assert_eq!(next(&bench.store, WORKSHOP, JOB).await.unwrap(), expected);
    let row = append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    assert_eq!((row.index, row.version, &row.replaced_by), (0, 1, &None));
    let lines = register_list(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!(lines.len(), 1);
    assert_eq!((lines[0].kind.as_str(), lines[0].number.as_str()), ("issue", "HV-26-00001-A"));
    let hash = register_hash(&RegisterLine {
        index: 0,
        prev: &[0; 32],
        kind: "issue",
        number: "HV-26-00001-A",
        record_sha256: &sha256(b"{\"number\":\"HV-26-00001-A\"}"),
        pdf_sha256: &sha256(b"%PDF HV-26-00001-A"),
        at: after(90),
    });
    assert_eq!(lines[0].hash, hash);
    let expected =
        Next { index: 1, prev: hash, version: 2, replaces: Some("HV-26-00001-A".to_owned()) };
    assert_eq!(next(&bench.store, WORKSHOP, JOB).await.unwrap(), expected);
}

#[tokio::test]
async fn a_certificate_is_found_by_its_number_with_and_without_its_workshop() {
    let bench = Bench::working().await;
    let row = append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let number = "HV-26-00001-A";
    assert_eq!(load(&bench.store, WORKSHOP, number).await.unwrap().as_ref(), Some(&row));
    assert_eq!(find(&bench.store, number).await.unwrap().as_ref(), Some(&row));
    assert_eq!(load(&bench.store, OTHER_WORKSHOP, number).await.unwrap(), None);
    assert_eq!(find(&bench.store, "HV-26-00002-B").await.unwrap(), None);
    assert_eq!(pdf(&bench.store, &row).await.unwrap(), b"%PDF HV-26-00001-A");
    assert!(bench.path("certificates/HV-26-00001-A.pdf").exists());
    assert_eq!(fs::read_dir(bench.path("tmp")).unwrap().count(), 0);
}

#[tokio::test]
async fn a_second_version_replaces_the_first_and_both_stay() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let second = NewCertificate { version: 2, ..finished(1, "HV-26-00002-B") };
    append(&bench.store, WORKSHOP, second).await.unwrap();
    let both = list(&bench.store, WORKSHOP, JOB).await.unwrap();
    assert_eq!(both[0].replaced_by.as_deref(), Some("HV-26-00002-B"));
    assert_eq!((both[1].version, &both[1].replaced_by), (2, &None));
    let lines = register_list(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!(lines[1].kind, "replace");
    assert_eq!(lines[1].prev, lines[0].hash);
    assert_eq!(pdf(&bench.store, &both[0]).await.unwrap(), b"%PDF HV-26-00001-A");
}

#[tokio::test]
async fn a_certificate_made_for_a_place_that_is_taken_is_refused() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let late = NewCertificate { job: OTHER_JOB, ..finished(0, "HV-26-00002-B") };
    assert_eq!(conflict(&bench, late).await, Some(Conflict::RegisterMoved));
    let early = NewCertificate { job: OTHER_JOB, ..finished(2, "HV-26-00003-C") };
    assert_eq!(conflict(&bench, early).await, Some(Conflict::RegisterMoved));
    assert_eq!(register_list(&bench.store, WORKSHOP).await.unwrap().len(), 1);
    assert!(!bench.path("certificates/HV-26-00002-B.pdf").exists());
}

#[tokio::test]
async fn of_two_made_for_one_number_one_is_issued_and_its_file_is_its_own() {
    let bench = Bench::working().await;
    let mut issuing = JoinSet::new();
    for releaser in 0..8_u8 {
        let store = bench.store.clone();
        let mut new = finished(0, "HV-26-00001-A");
        new.pdf.push(releaser);
        issuing.spawn(async move { append(&store, WORKSHOP, new).await });
    }
    let outcomes = issuing.join_all().await;
    let issued: Vec<_> = outcomes.iter().filter_map(|outcome| outcome.as_ref().ok()).collect();
    assert_eq!(issued.len(), 1);
    for refused in outcomes.iter().filter_map(|outcome| outcome.as_ref().err()) {
        assert_eq!(refused.conflict(), Some(Conflict::RegisterMoved));
    }
    // Answers only when the file fits the digest in the row.
    pdf(&bench.store, issued[0]).await.unwrap();
}

#[tokio::test]
async fn the_same_certificate_sent_again_is_the_stored_one() {
    let bench = Bench::working().await;
    let first = append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let again = append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    assert_eq!(again, first);
    assert_eq!(register_list(&bench.store, WORKSHOP).await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_version_is_neither_issued_twice_nor_skipped() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    for version in [1, 3] {
        let new = NewCertificate { version, ..finished(1, "HV-26-00002-B") };
        assert_eq!(conflict(&bench, new).await, Some(Conflict::VersionTaken));
    }
    // The line that was written first went with it.
    assert_eq!(register_list(&bench.store, WORKSHOP).await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_number_that_would_lead_out_of_the_folder_is_refused() {
    let bench = Bench::working().await;
    for number in ["../evil", "HV/26", "", "HV 26", "HV.26"] {
        assert_eq!(conflict(&bench, finished(0, number)).await, Some(Conflict::Rule), "{number}");
    }
}

#[tokio::test]
async fn another_workshop_has_a_register_of_its_own_but_not_a_number_that_is_taken() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    workshops::append(&bench.store, &workshop(OTHER_WORKSHOP, "OV")).await.unwrap();
    let there = next(&bench.store, OTHER_WORKSHOP, JOB).await.unwrap();
    assert_eq!((there.index, there.version), (0, 1));
    // A job of the first workshop is not the second one's.
    let stolen = append(&bench.store, OTHER_WORKSHOP, finished(0, "OV-26-00001-A")).await;
    assert_eq!(stolen.unwrap_err().conflict(), Some(Conflict::NotThere));
    assert!(register_list(&bench.store, OTHER_WORKSHOP).await.unwrap().is_empty());
}

#[tokio::test]
async fn a_certificate_of_no_job_is_refused() {
    let bench = Bench::working().await;
    let new = NewCertificate { job: JobId(uuid::Uuid::max()), ..finished(0, "HV-26-00001-A") };
    assert_eq!(conflict(&bench, new).await, Some(Conflict::NotThere));
    assert!(!bench.path("certificates/HV-26-00001-A.pdf").exists());
}

#[tokio::test]
async fn a_file_that_was_changed_is_not_given_out() {
    let bench = Bench::working().await;
    let row = append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let file = bench.path("certificates/HV-26-00001-A.pdf");
    fs::write(&file, "%PDF HV-26-00001-B").unwrap();
    let changed = pdf(&bench.store, &row).await.unwrap_err();
    assert!(changed.to_string().contains("its file was changed"), "{changed}");
    fs::remove_file(&file).unwrap();
    let gone = pdf(&bench.store, &row).await.unwrap_err();
    assert!(gone.to_string().contains("its file is gone"), "{gone}");
}

#[tokio::test]
async fn a_changed_line_is_noticed_at_reading_and_at_issuing() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    bench
        .tamper(&["drop trigger register_is_not_changed", "update register set at_ms = at_ms + 1"])
        .await;
    let read = register_list(&bench.store, WORKSHOP).await.unwrap_err();
    assert!(matches!(read, StorageError::RegisterBroken { index: 0, .. }), "{read}");
    let asked = next(&bench.store, WORKSHOP, JOB).await.unwrap_err();
    assert!(matches!(asked, StorageError::RegisterBroken { index: 0, .. }), "{asked}");
    let new = NewCertificate { version: 2, ..finished(1, "HV-26-00002-B") };
    let issued = append(&bench.store, WORKSHOP, new).await.unwrap_err();
    assert!(matches!(issued, StorageError::RegisterBroken { index: 0, .. }), "{issued}");
}

#[tokio::test]
async fn certificates_outlast_a_restart() {
    let bench = Bench::working().await;
    let row = append(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let bench = bench.restarted().await;
    assert_eq!(find(&bench.store, "HV-26-00001-A").await.unwrap().as_ref(), Some(&row));
    pdf(&bench.store, &row).await.unwrap();
    let third = JobId(uuid::Uuid::from_u128(0x52));
    fusewright::storage::jobs::append(&bench.store, WORKSHOP, job(third, "Van", "")).await.unwrap();
    let new = NewCertificate { job: third, ..finished(1, "HV-26-00002-B") };
    assert_eq!(append(&bench.store, WORKSHOP, new).await.unwrap().index, 1);
}
