//! Sheet editions.

use fusewright::domain::sheet::Sheet;
use fusewright::storage::Conflict;
use fusewright::storage::sheets::{NewSheet, append, list};

use super::fixture::{Bench, JOB, OTHER_JOB, OTHER_WORKSHOP, WORKSHOP, after};

fn sheet(edition: u32) -> Sheet {
    let kit_code = "dock-30".to_owned();
    Sheet { edition, plan_edition: 1, kit_code, kit_edition: 1, again: None, steps: Vec::new() }
}

fn new(edition: u32) -> NewSheet {
    NewSheet { job: JOB, sheet: sheet(edition), made: after(5) }
}

#[tokio::test]
async fn editions_are_listed_oldest_first_for_their_job_alone() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, new(2)).await.unwrap();
    append(&bench.store, WORKSHOP, new(1)).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP, JOB).await.unwrap(), [sheet(1), sheet(2)]);
    assert!(list(&bench.store, WORKSHOP, OTHER_JOB).await.unwrap().is_empty());
    assert!(list(&bench.store, OTHER_WORKSHOP, JOB).await.unwrap().is_empty());
}

#[tokio::test]
async fn the_same_edition_with_the_same_bytes_again_changes_nothing() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, new(1)).await.unwrap();
    // A lost answer is asked for again later.
    let again = NewSheet { made: after(9), ..new(1) };
    append(&bench.store, WORKSHOP, again).await.unwrap();
    assert_eq!(list(&bench.store, WORKSHOP, JOB).await.unwrap(), [sheet(1)]);
}

#[tokio::test]
async fn an_edition_is_not_made_twice_with_other_bytes() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, new(1)).await.unwrap();
    let other = NewSheet { sheet: Sheet { plan_edition: 2, ..sheet(1) }, ..new(1) };
    let refused = append(&bench.store, WORKSHOP, other).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::AlreadyThere));
    assert_eq!(list(&bench.store, WORKSHOP, JOB).await.unwrap(), [sheet(1)]);
}

#[tokio::test]
async fn the_database_refuses_to_change_or_delete_an_edition() {
    let bench = Bench::working().await;
    append(&bench.store, WORKSHOP, new(1)).await.unwrap();
    let mut intruder = bench.intruder().await;
    for statement in ["update sheet set made_ms = 1", "delete from sheet"] {
        sqlx::query(statement).execute(&mut intruder).await.unwrap_err();
    }
}

#[tokio::test]
async fn a_sheet_of_no_job_is_refused() {
    let bench = Bench::staffed().await;
    let refused = append(&bench.store, WORKSHOP, new(1)).await.unwrap_err();
    assert_eq!(refused.conflict(), Some(Conflict::NotThere));
}
