//! The one that writes: together, apart where one fails, and not at all after damage.

use std::fs::OpenOptions;
use std::io::{Seek as _, SeekFrom, Write as _};
use std::time::Duration;

use fusewright::domain::ids::{DeviceId, PersonId};
use fusewright::domain::person::Role;
use fusewright::storage::people::NewPerson;
use fusewright::storage::{Conflict, StorageError, Store, devices, people};
use tokio::task::JoinSet;
use uuid::Uuid;

use super::fixture::{Bench, WORKSHOP, device, person};

#[tokio::test]
async fn one_refused_change_takes_no_other_of_its_group_with_it() {
    let bench = Bench::staffed().await;
    // On one thread all of these wait before the writer has its turn, so they make one group.
    let mut waiting = JoinSet::new();
    for number in 0..40_u128 {
        // Every tenth wants the name of the one before it.
        let name = if number % 10 == 9 { number - 1 } else { number };
        let id = PersonId(Uuid::from_u128(0x1000 + number));
        let new = person(id, &format!("p{name}"), Role::Technician);
        let store = bench.store.clone();
        waiting.spawn(async move { people::append(&store, new).await });
    }
    let mut refused = 0;
    while let Some(outcome) = waiting.join_next().await {
        if let Err(error) = outcome.unwrap() {
            assert_eq!(error.conflict(), Some(Conflict::SignInTaken));
            refused += 1;
        }
    }
    assert_eq!(refused, 4);
    // The two that staff the workshop, and the thirty-six that were not refused.
    assert_eq!(people::list(&bench.store, WORKSHOP).await.unwrap().len(), 38);
}

#[tokio::test]
async fn nothing_is_written_after_the_store_was_closed() {
    let bench = Bench::staffed().await;
    bench.store.close().await;
    let late = devices::append(&bench.store, WORKSHOP, device(DeviceId(Uuid::from_u128(9)))).await;
    assert!(matches!(late, Err(StorageError::Stopped)), "{late:?}");
}

#[tokio::test]
async fn changes_that_wait_while_the_store_closes_are_still_stored() {
    let bench = Bench::staffed().await;
    let mut waiting = JoinSet::new();
    for number in 0..20 {
        let store = bench.store.clone();
        let new = device(DeviceId(Uuid::from_u128(0x900 + number)));
        waiting.spawn(async move { devices::append(&store, WORKSHOP, new).await });
    }
    tokio::task::yield_now().await;
    bench.store.close().await;
    let answers = waiting.join_all().await;
    let acknowledged = answers.iter().filter(|answer| answer.is_ok()).count();
    assert!(acknowledged > 0);
    let store = Store::open(&bench.path("")).await.unwrap();
    // One more was there from the start.
    assert_eq!(devices::list(&store, WORKSHOP).await.unwrap().len(), acknowledged + 1);
}

#[tokio::test]
async fn what_could_not_be_committed_is_not_acknowledged_and_can_be_sent_again() {
    let bench = Bench::staffed().await;
    let new = device(DeviceId(Uuid::from_u128(0x21)));
    // Somebody with a tool holds the database for longer than the writer waits.
    let mut intruder = bench.intruder().await;
    sqlx::query("begin immediate").execute(&mut intruder).await.unwrap();
    let refused = devices::append(&bench.store, WORKSHOP, new.clone()).await;
    assert!(matches!(refused, Err(StorageError::NotStored(_))), "{refused:?}");
    sqlx::query("rollback").execute(&mut intruder).await.unwrap();
    assert_eq!(devices::load(&bench.store, WORKSHOP, new.id).await.unwrap(), None);
    devices::append(&bench.store, WORKSHOP, new.clone()).await.unwrap();
    assert!(devices::load(&bench.store, WORKSHOP, new.id).await.unwrap().is_some());
}

/// A staffed workshop whose table of devices is garbage on the disk.
async fn damaged() -> (Bench, Store) {
    let bench = Bench::staffed().await;
    let page: i64 = {
        let mut intruder = bench.intruder().await;
        let find = "select rootpage from sqlite_schema where name = 'device'";
        sqlx::query_scalar(find).fetch_one(&mut intruder).await.unwrap()
    };
    bench.store.close().await;
    let mut file = OpenOptions::new().write(true).open(bench.path("fusewright.db")).unwrap();
    file.seek(SeekFrom::Start((page.unsigned_abs() - 1) * 4096)).unwrap();
    file.write_all(&[0xff; 4096]).unwrap();
    let store = Store::open(&bench.path("")).await.unwrap();
    (bench, store)
}

#[tokio::test]
async fn a_damaged_database_stops_the_writer_for_good() {
    let (_bench, store) = damaged().await;
    let new = device(DeviceId(Uuid::from_u128(0x21)));
    let first = devices::append(&store, WORKSHOP, new.clone()).await;
    assert!(matches!(first, Err(StorageError::Database(_))), "{first:?}");
    let reason = tokio::time::timeout(Duration::from_secs(5), store.failed()).await.unwrap();
    assert!(reason.contains("malformed"), "{reason}");
    let second = devices::append(&store, WORKSHOP, new).await;
    assert!(matches!(second, Err(StorageError::Stopped)), "{second:?}");
    // A table that is whole is refused as well.
    let third = people::append(&store, mia()).await;
    assert!(matches!(third, Err(StorageError::Stopped)), "{third:?}");
}

#[tokio::test]
async fn of_a_group_that_was_lost_nobody_is_told_that_it_is_stored() {
    let (bench, store) = damaged().await;
    // Joined on one thread, both wait before the writer has its turn: one group, the sound first.
    let (sound, damaged) = tokio::join!(
        people::append(&store, mia()),
        devices::append(&store, WORKSHOP, device(DeviceId(Uuid::from_u128(0x21)))),
    );
    assert!(matches!(damaged, Err(StorageError::Database(_))), "{damaged:?}");
    assert!(matches!(sound, Err(StorageError::NotStored(_))), "{sound:?}");
    store.close().await;
    let store = Store::open(&bench.path("")).await.unwrap();
    assert_eq!(people::load(&store, WORKSHOP, MIA).await.unwrap(), None);
}

const MIA: PersonId = PersonId(Uuid::from_u128(0x99));

fn mia() -> NewPerson {
    person(MIA, "Mia Berg", Role::Technician)
}
