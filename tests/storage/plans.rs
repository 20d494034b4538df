//! Plan editions.

use fusewright::domain::seal::sha256;
use fusewright::storage::Conflict;
use fusewright::storage::plans::{append, find_latest, list, load};

use super::fixture::{Bench, JOB, OTHER_JOB, OTHER_WORKSHOP, WORKSHOP, plan};

#[tokio::test]
async fn editions_follow_on_each_other_byte_for_byte() {
    let bench = Bench::working().await;
    assert_eq!(find_latest(&bench.store, WORKSHOP, JOB).await.unwrap(), None);
    append(&bench.store, WORKSHOP, plan(JOB, 1, b"a\r\n")).await.unwrap();
    let second = append(&bench.store, WORKSHOP, plan(JOB, 2, b"b")).await.unwrap();
    assert_eq!(second.sha256, sha256(b"b"));
    assert_eq!(find_latest(&bench.store, WORKSHOP, JOB).await.unwrap(), Some(second.clone()));
    let first = load(&bench.store, WORKSHOP, JOB, 1).await.unwrap().unwrap();
    assert_eq!(first.source, b"a\r\n");
    assert_eq!(list(&bench.store, WORKSHOP, JOB).await.unwrap(), [first, second]);
    assert_eq!(load(&bench.store, OTHER_WORKSHOP, JOB, 1).await.unwrap(), None);
    assert!(list(&bench.store, WORKSHOP, OTHER_JOB).await.unwrap().is_empty());
}

#[tokio::test]
async fn an_edition_saved_twice_is_there_once_and_another_text_is_refused() {
    let bench = Bench::working().await;
    let first = append(&bench.store, WORKSHOP, plan(JOB, 1, b"a")).await.unwrap();
    assert_eq!(append(&bench.store, WORKSHOP, plan(JOB, 1, b"a")).await.unwrap(), first);
    let refused = append(&bench.store, WORKSHOP, plan(JOB, 1, b"b")).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::PlanEditionTaken));
    assert_eq!(list(&bench.store, WORKSHOP, JOB).await.unwrap(), [first]);
}

#[tokio::test]
async fn no_edition_is_skipped() {
    let bench = Bench::working().await;
    for edition in [0, 2] {
        let refused = append(&bench.store, WORKSHOP, plan(JOB, edition, b"a")).await;
        assert_eq!(refused.unwrap_err().conflict(), Some(Conflict::PlanEditionTaken));
    }
}

#[tokio::test]
async fn a_plan_of_no_job_is_refused() {
    let bench = Bench::staffed().await;
    let refused = append(&bench.store, WORKSHOP, plan(JOB, 1, b"a")).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}
