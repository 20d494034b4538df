//! Opening the data folder, and what it refuses to open.

use std::fs;

use fusewright::domain::ids::DeviceId;
use fusewright::storage::{MIGRATIONS, OpenError, Store, devices, sqlite_is_new_enough, workshops};
use sqlx::ConnectOptions as _;
use sqlx::sqlite::SqliteConnectOptions;
use tempfile::TempDir;
use tokio::task::JoinSet;
use uuid::Uuid;

use super::fixture::{Bench, WORKSHOP, device};

async fn refusal(folder: &std::path::Path) -> OpenError {
    match Store::open(folder).await {
        Ok(_) => panic!("the folder was opened"),
        Err(error) => error,
    }
}

#[tokio::test]
async fn a_new_folder_is_made_with_everything_in_it() {
    let place = TempDir::new().unwrap();
    let folder = place.path().join("not/there/yet");
    let store = Store::open(&folder).await.unwrap();
    assert_eq!(store.folder(), folder);
    for name in ["fusewright.db", "lock", "photos", "certificates"] {
        assert!(folder.join(name).exists(), "{name} is missing");
    }
    assert!(workshops::list(&store).await.unwrap().is_empty());
}

#[cfg(unix)]
#[tokio::test]
async fn a_new_folder_is_closed_to_other_accounts() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = TempDir::new().unwrap();
    let folder = place.path().join("data");
    Store::open(&folder).await.unwrap();
    assert_eq!(fs::metadata(&folder).unwrap().permissions().mode() & 0o777, 0o700);
}

#[tokio::test]
async fn the_writing_connection_has_the_settings_that_the_promises_rest_on() {
    let bench = Bench::empty().await;
    let health = bench.store.health().await.unwrap();
    let expected = [
        ("journal_mode", "wal"),
        ("synchronous", "2"),
        ("busy_timeout", "5000"),
        ("foreign_keys", "1"),
        ("trusted_schema", "0"),
        ("cell_size_check", "1"),
        ("mmap_size", "0"),
        ("secure_delete", "1"),
    ];
    assert_eq!(health.settings, expected.map(|(name, value)| (name, value.to_owned())));
    assert_eq!(health.schema, MIGRATIONS.iter().last().unwrap().version);
    assert!(sqlite_is_new_enough(&health.sqlite));
}

#[test]
fn an_engine_below_3_51_3_is_too_old() {
    assert!(sqlite_is_new_enough("3.51.3"));
    assert!(sqlite_is_new_enough("3.52.0"));
    assert!(sqlite_is_new_enough("4.0.0"));
    assert!(!sqlite_is_new_enough("3.51.2"));
    assert!(!sqlite_is_new_enough("3.9.9"));
    assert!(!sqlite_is_new_enough("unknown"));
}

#[tokio::test]
async fn a_folder_in_use_is_locked_until_the_other_server_ends() {
    let bench = Bench::empty().await;
    let error = refusal(&bench.path("")).await;
    assert!(matches!(error, OpenError::Locked { .. }), "{error}");
    assert!(error.to_string().starts_with("Another server is using the data folder"));
    bench.store.close().await;
    Store::open(&bench.path("")).await.unwrap();
}

#[tokio::test]
async fn a_place_that_cannot_be_written_to_is_named() {
    let place = TempDir::new().unwrap();
    fs::write(place.path().join("file"), "in the way").unwrap();
    let error = refusal(&place.path().join("file/data")).await;
    assert!(matches!(error, OpenError::Unwritable { .. }), "{error}");
    assert!(error.to_string().contains("cannot be written to"));
}

#[tokio::test]
async fn a_file_that_is_no_database_is_refused_and_left_alone() {
    let place = TempDir::new().unwrap();
    let file = place.path().join("fusewright.db");
    let text = "This is a letter, not a database. ".repeat(40);
    fs::write(&file, &text).unwrap();
    let error = refusal(place.path()).await;
    assert!(matches!(error, OpenError::NotADatabase { .. }), "{error}");
    assert_eq!(fs::read_to_string(&file).unwrap(), text);
}

#[tokio::test]
async fn a_database_of_another_program_is_refused() {
    let place = TempDir::new().unwrap();
    let file = place.path().join("fusewright.db");
    let options = SqliteConnectOptions::new().filename(&file).create_if_missing(true);
    let mut other = options.connect().await.unwrap();
    sqlx::query("create table recipe (name text)").execute(&mut other).await.unwrap();
    let error = refusal(place.path()).await;
    assert!(matches!(error, OpenError::Foreign { .. }), "{error}");
}

#[tokio::test]
async fn a_database_of_a_newer_program_is_refused_with_both_numbers() {
    let bench = Bench::empty().await;
    bench.store.close().await;
    bench
        .tamper(&["insert into _sqlx_migrations (version, description, success, checksum, \
                   execution_time) values (9999, 'later', 1, x'00', 0)"])
        .await;
    let error = refusal(&bench.path("")).await;
    assert!(matches!(error, OpenError::Newer { found: 9999, .. }), "{error}");
    assert!(error.to_string().contains("schema 9999"));
}

#[tokio::test]
async fn a_migration_that_was_changed_after_it_ran_is_refused() {
    let bench = Bench::empty().await;
    bench.store.close().await;
    bench.tamper(&["update _sqlx_migrations set checksum = x'00' where version = 1"]).await;
    let error = refusal(&bench.path("")).await;
    assert!(matches!(error, OpenError::Migration(_)), "{error}");
}

#[tokio::test]
async fn an_older_database_is_copied_before_it_is_changed() {
    let place = TempDir::new().unwrap();
    let options = SqliteConnectOptions::new().filename(place.path().join("fusewright.db"));
    let mut old = options.create_if_missing(true).connect().await.unwrap();
    MIGRATIONS.run_to(1, &mut old).await.unwrap();
    let sample = include_str!("../data/migrations/0001_workshop.sql");
    sqlx::raw_sql(sample).execute(&mut old).await.unwrap();
    drop(old);

    let store = Store::open(place.path()).await.unwrap();
    assert!(!workshops::list(&store).await.unwrap().is_empty());

    let copy = place.path().join("fusewright-schema-0001.db");
    let mut copy = SqliteConnectOptions::new().filename(copy).connect().await.unwrap();
    let schema: i64 = sqlx::query_scalar("select max(version) from _sqlx_migrations")
        .fetch_one(&mut copy)
        .await
        .unwrap();
    let workshops: i64 =
        sqlx::query_scalar("select count(*) from workshop").fetch_one(&mut copy).await.unwrap();
    assert_eq!(schema, 1);
    assert!(workshops > 0);
}

#[tokio::test]
async fn a_database_that_is_up_to_date_is_not_copied() {
    let bench = Bench::empty().await.restarted().await;
    let copies = fs::read_dir(bench.path("")).unwrap();
    let names: Vec<_> = copies.map(|entry| entry.unwrap().file_name()).collect();
    assert!(!names.iter().any(|name| name.to_string_lossy().contains("schema")), "{names:?}");
}

#[tokio::test]
async fn everything_is_there_after_a_restart() {
    let bench = Bench::staffed().await;
    let before = workshops::load(&bench.store, WORKSHOP).await.unwrap();
    assert!(before.is_some());
    let bench = bench.restarted().await;
    assert_eq!(workshops::load(&bench.store, WORKSHOP).await.unwrap(), before);
}

#[tokio::test]
async fn files_that_never_got_their_name_are_cleared_at_the_start() {
    let bench = Bench::empty().await;
    bench.store.close().await;
    fs::write(bench.path("tmp/17"), "half a photo").unwrap();
    Store::open(&bench.path("")).await.unwrap();
    assert!(!bench.path("tmp/17").exists());
}

#[tokio::test]
async fn beside_a_server_both_write_in_turn_and_each_sees_what_the_other_stored() {
    let bench = Bench::staffed().await;
    let beside = Store::open_beside(&bench.path("")).await.unwrap();
    let mut waiting = JoinSet::new();
    for number in 0..40_u128 {
        let store = if number % 2 == 0 { bench.store.clone() } else { beside.clone() };
        let new = device(DeviceId(Uuid::from_u128(0x900 + number)));
        waiting.spawn(async move { devices::append(&store, WORKSHOP, new).await });
    }
    for outcome in waiting.join_all().await {
        outcome.unwrap();
    }
    // One more was there from the start.
    for store in [&bench.store, &beside] {
        assert_eq!(devices::list(store, WORKSHOP).await.unwrap().len(), 41);
    }
    beside.close().await;
    let late = device(DeviceId(Uuid::from_u128(0x21)));
    devices::append(&bench.store, WORKSHOP, late).await.unwrap();
}

#[tokio::test]
async fn beside_a_server_what_it_is_writing_aside_is_left_alone() {
    let bench = Bench::staffed().await;
    let half_written = bench.path("tmp/photo");
    fs::write(&half_written, "half").unwrap();
    Store::open_beside(&bench.path("")).await.unwrap().close().await;
    assert!(half_written.exists());
}

#[tokio::test]
async fn beside_a_server_of_another_version_nothing_is_opened() {
    let bench = Bench::staffed().await;
    let mut intruder = bench.intruder().await;
    let later = "insert into _sqlx_migrations (version, description, success, checksum, \
                 execution_time) values (9999, 'later', 1, x'00', 0)";
    sqlx::query(later).execute(&mut intruder).await.unwrap();
    let error = Store::open_beside(&bench.path("")).await.map(|_| ()).unwrap_err();
    assert!(matches!(error, OpenError::OtherProgram { found: 9999, .. }), "{error}");
}

#[tokio::test]
async fn without_a_server_the_folder_is_taken_as_by_one() {
    let bench = Bench::staffed().await;
    bench.store.close().await;
    let alone = Store::open_beside(&bench.path("")).await.unwrap();
    assert!(matches!(refusal(&bench.path("")).await, OpenError::Locked { .. }));
    alone.close().await;
}
