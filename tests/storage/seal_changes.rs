//! Changes of the seal: a line and what stands beside it, for all workshops or for none.

use fusewright::domain::certificate::KEY;
use fusewright::domain::seal::sha256;
use fusewright::storage::certificates::{append as issue, newest_record, register_list};
use fusewright::storage::seal_changes::{StoredChange, append, list, next_line};
use fusewright::storage::verify::{Fault, verify};
use fusewright::storage::{Conflict, epochs, workshops};

use super::certificates::finished;
use super::fixture::{Bench, MORNING, OTHER_WORKSHOP, WORKSHOP, after, workshop};

async fn change(bench: &Bench, old: &[u8], new: &[u8]) -> StoredChange {
    let (index, prev) = next_line(&bench.store, WORKSHOP).await.unwrap();
    let signatures = (b"by the old".to_vec(), b"by the new".to_vec());
    StoredChange {
        index,
        prev,
        at: after(60),
        old_certificate: old.to_vec(),
        new_certificate: new.to_vec(),
        old_signature: signatures.0,
        new_signature: signatures.1,
    }
}

/// A certificate, then a change of the seal.
async fn changed() -> Bench {
    let bench = Bench::working().await;
    issue(&bench.store, WORKSHOP, finished(0, "HV-26-00001-A")).await.unwrap();
    let change = change(&bench, b"first", b"second").await;
    append(&bench.store, vec![(WORKSHOP, change)]).await.unwrap();
    bench
}

async fn faults_after(statements: &'static [&'static str]) -> Vec<Fault> {
    let bench = changed().await;
    bench.tamper(statements).await;
    verify(&bench.store, WORKSHOP).await.unwrap().faults
}

#[tokio::test]
async fn a_change_is_a_line_with_both_fingerprints_and_stands_beside_it() {
    let bench = changed().await;
    let lines = register_list(&bench.store, WORKSHOP).await.unwrap();
    let line = &lines[1];
    assert_eq!((line.kind.as_str(), line.number.as_str(), line.at), (KEY, "", after(60)));
    assert_eq!((line.record_sha256, line.pdf_sha256), (sha256(b"first"), sha256(b"second")));
    let stored = list(&bench.store, WORKSHOP).await.unwrap();
    assert_eq!((stored[0].index, stored[0].prev), (1, lines[0].hash));
    assert_eq!(stored[0].statement("HV").line_hash(), line.hash);
    assert_eq!(verify(&bench.store, WORKSHOP).await.unwrap().faults, []);
}

#[tokio::test]
async fn a_change_made_for_another_place_in_the_register_changes_no_workshop() {
    let bench = Bench::working().await;
    workshops::append(&bench.store, &workshop(OTHER_WORKSHOP, "OW")).await.unwrap();
    let good = change(&bench, b"first", b"second").await;
    for late in
        [StoredChange { index: 1, ..good.clone() }, StoredChange { prev: [1; 32], ..good.clone() }]
    {
        let both = vec![(OTHER_WORKSHOP, good.clone()), (WORKSHOP, late)];
        let refused = append(&bench.store, both).await.unwrap_err();
        assert_eq!(refused.conflict(), Some(Conflict::RegisterMoved));
        assert_eq!(register_list(&bench.store, OTHER_WORKSHOP).await.unwrap(), []);
    }
    append(&bench.store, vec![(OTHER_WORKSHOP, good.clone()), (WORKSHOP, good)]).await.unwrap();
    assert_eq!(list(&bench.store, OTHER_WORKSHOP).await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_change_that_is_taken_away_is_missed() {
    let faults =
        faults_after(&["drop trigger seal_change_is_not_deleted", "delete from seal_change"]).await;
    let what = "the change of the seal that it stands for is gone";
    assert_eq!(faults, [Fault::Register { index: 1, what }]);
}

#[tokio::test]
async fn an_exchanged_certificate_is_found() {
    let faults = faults_after(&[
        "drop trigger seal_change_is_not_changed",
        "update seal_change set new_certificate = x'3000'",
    ])
    .await;
    let what = "the change of the seal beside it is another one";
    assert_eq!(faults, [Fault::Register { index: 1, what }]);
}

#[tokio::test]
async fn a_change_made_up_beside_another_line_is_found() {
    let faults = faults_after(&["insert into seal_change values \
                        (x'00000000000000000000000000000001', 0, x'30', x'30', x'30', x'30')"])
    .await;
    let named = |what| Fault::Register { index: 0, what };
    assert!(faults.contains(&named("the change of the seal beside it is another one")));
}

#[tokio::test]
async fn a_change_from_a_seal_that_was_not_in_use_is_found() {
    let bench = changed().await;
    let odd = change(&bench, b"third", b"fourth").await;
    append(&bench.store, vec![(WORKSHOP, odd)]).await.unwrap();
    let what = "the seal that it takes out of use was not the one in use";
    let faults = verify(&bench.store, WORKSHOP).await.unwrap().faults;
    assert_eq!(faults, [Fault::Register { index: 2, what }]);
}

#[tokio::test]
async fn a_change_is_neither_edited_nor_deleted() {
    let bench = changed().await;
    let mut intruder = bench.intruder().await;
    for statement in ["update seal_change set new_signature = x'30'", "delete from seal_change"] {
        assert!(sqlx::query(statement).execute(&mut intruder).await.is_err(), "{statement}");
    }
}

#[tokio::test]
async fn the_newest_record_is_that_of_the_last_certificate() {
    let bench = Bench::working().await;
    assert_eq!(newest_record(&bench.store, WORKSHOP).await.unwrap(), None);
    let finished = finished(0, "HV-26-00001-A");
    let record = finished.record.clone();
    issue(&bench.store, WORKSHOP, finished).await.unwrap();
    assert_eq!(newest_record(&bench.store, WORKSHOP).await.unwrap(), Some(record));
}

#[tokio::test]
async fn an_epoch_is_added_only_where_nothing_happened_for_long() {
    let bench = Bench::working().await;
    let place = (WORKSHOP, MORNING);
    // The workshop itself is from this morning; a line is as old as it says.
    let added = |since, at| epochs::append(&bench.store, place, after(since), after(at));
    assert!(!added(-1, 10).await.unwrap());
    assert!(added(0, 10).await.unwrap());
    assert!(!added(9, 20).await.unwrap());
    assert!(added(10, 20).await.unwrap());
    let lines = register_list(&bench.store, WORKSHOP).await.unwrap();
    let told: Vec<_> =
        lines.iter().map(|line| (&line.kind[..], &line.number[..], line.at)).collect();
    assert_eq!(told, [("epoch", "", after(10)), ("epoch", "", after(20))]);
    assert_eq!((lines[1].record_sha256, lines[1].pdf_sha256), ([0; 32], [0; 32]));
    assert_eq!(verify(&bench.store, WORKSHOP).await.unwrap().faults, []);
}
