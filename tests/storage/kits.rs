//! Kit editions.

use fusewright::domain::ids::KitId;
use fusewright::domain::seal::sha256;
use fusewright::storage::kits::{append, find, list, load, remove};
use fusewright::storage::{Conflict, jobs};
use uuid::Uuid;

use super::fixture::{Bench, JOB, KIT, OTHER_WORKSHOP, WORKSHOP, job, kit};

const SECOND: KitId = KitId(Uuid::from_u128(0x41));

#[tokio::test]
async fn a_kit_keeps_its_file_byte_for_byte() {
    let bench = Bench::staffed().await;
    let source = b"# caf\xc3\xa9\r\ntitle = \"x\"\n\n";
    append(&bench.store, WORKSHOP, kit(SECOND, 2, source)).await.unwrap();
    let (row, file) = load(&bench.store, WORKSHOP, SECOND).await.unwrap().unwrap();
    assert_eq!(file, source);
    assert_eq!((row.edition, row.sha256, row.in_use), (2, sha256(source), false));
    assert_eq!(find(&bench.store, WORKSHOP, "dock-30", 2).await.unwrap(), Some(row));
    assert!(load(&bench.store, OTHER_WORKSHOP, SECOND).await.unwrap().is_none());
    assert!(find(&bench.store, WORKSHOP, "dock-30", 3).await.unwrap().is_none());
}

#[tokio::test]
async fn the_same_edition_again_is_the_stored_one_and_other_content_is_refused() {
    let bench = Bench::staffed().await;
    let again = append(&bench.store, WORKSHOP, kit(SECOND, 1, b"code = \"dock-30\"\n")).await;
    assert_eq!(again.unwrap().id, KIT);
    let other = append(&bench.store, WORKSHOP, kit(SECOND, 1, b"code = \"dock-30\" \n")).await;
    assert_eq!(other.unwrap_err().conflict(), Some(Conflict::KitEditionTaken));
    assert_eq!(list(&bench.store, WORKSHOP).await.unwrap().len(), 1);
}

#[tokio::test]
async fn kits_are_listed_by_code_with_the_newest_edition_first() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, kit(SECOND, 2, b"two")).await.unwrap();
    let editions: Vec<u32> =
        list(&bench.store, WORKSHOP).await.unwrap().iter().map(|kit| kit.edition).collect();
    assert_eq!(editions, [2, 1]);
}

#[tokio::test]
async fn a_kit_is_removed_only_while_no_job_uses_it() {
    let bench = Bench::staffed().await;
    append(&bench.store, WORKSHOP, kit(SECOND, 2, b"two")).await.unwrap();
    jobs::append(&bench.store, WORKSHOP, job(JOB, "Van", "")).await.unwrap();
    assert!(load(&bench.store, WORKSHOP, KIT).await.unwrap().unwrap().0.in_use);
    let refused = remove(&bench.store, WORKSHOP, KIT).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::KitInUse));
    let refused = remove(&bench.store, OTHER_WORKSHOP, SECOND).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
    remove(&bench.store, WORKSHOP, SECOND).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP).await.unwrap().len(), 1);
}
