//! Each migration, proven on a database that has something in it.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use fusewright::storage::MIGRATIONS;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions as _, SqliteConnection};
use tempfile::TempDir;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn file_names(name: &str) -> BTreeSet<String> {
    let entries = fs::read_dir(folder(name)).unwrap();
    entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
}

/// Statements without comments, lower case, white space closed up.
fn statements(sql: &str) -> Vec<String> {
    let code: Vec<&str> = sql.lines().filter_map(|line| line.split("--").next()).collect();
    let code = code.join(" ").to_lowercase();
    code.split(';').map(|one| one.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
}

async fn database(place: &TempDir) -> SqliteConnection {
    let file = place.path().join("database");
    let options = SqliteConnectOptions::new().filename(file).create_if_missing(true);
    options.connect().await.unwrap()
}

#[test]
fn each_migration_has_samples_of_the_same_name() {
    assert_eq!(file_names("migrations"), file_names("tests/data/migrations"));
    let built_in = MIGRATIONS.iter().count();
    assert_eq!(file_names("migrations").len(), built_in, "build anew: the program has others");
}

#[test]
fn numbers_go_up_by_one_and_each_migration_says_why() {
    for (number, name) in (1..).zip(file_names("migrations")) {
        assert!(name.starts_with(&format!("{number:04}_")), "{name} is not number {number}");
        let sql = fs::read_to_string(folder("migrations").join(&name)).unwrap();
        assert!(sql.starts_with("-- "), "{name} does not begin by saying why");
    }
}

#[tokio::test]
async fn each_migration_runs_on_the_samples_of_those_before() {
    let place = TempDir::new().unwrap();
    let mut db = database(&place).await;
    for (migration, name) in MIGRATIONS.iter().zip(file_names("tests/data/migrations")) {
        MIGRATIONS.run_to(migration.version, &mut db).await.unwrap();
        let samples = fs::read_to_string(folder("tests/data/migrations").join(&name)).unwrap();
        let added = sqlx::raw_sql(AssertSqlSafe(samples)).execute(&mut db).await.unwrap();
        assert!(added.rows_affected() > 0, "{name} adds nothing");
    }
    let sound: String =
        sqlx::query_scalar("pragma integrity_check").fetch_one(&mut db).await.unwrap();
    assert_eq!(sound, "ok");
    let dangling = sqlx::query("pragma foreign_key_check").fetch_all(&mut db).await.unwrap();
    assert!(dangling.is_empty());
}

#[tokio::test]
async fn every_table_has_a_sample() {
    let place = TempDir::new().unwrap();
    let mut db = database(&place).await;
    MIGRATIONS.run(&mut db).await.unwrap();
    // An index of words is made of tables of its own, which nobody writes to by hand.
    let find = "select name from pragma_table_list where schema = 'main' and type = 'table' \
                and name not like '\\_%' escape '\\' and name not like 'sqlite%'";
    let tables: Vec<String> = sqlx::query_scalar(find).fetch_all(&mut db).await.unwrap();
    let mut samples = String::new();
    for name in file_names("tests/data/migrations") {
        samples += &fs::read_to_string(folder("tests/data/migrations").join(name)).unwrap();
    }
    assert!(tables.len() >= 15, "{tables:?}");
    for table in tables {
        assert!(samples.contains(&format!("insert into {table} ")), "{table} has no sample");
    }
}

#[test]
fn a_required_column_that_is_added_later_has_a_default() {
    for name in file_names("migrations") {
        let sql = fs::read_to_string(folder("migrations").join(&name)).unwrap();
        for statement in statements(&sql) {
            assert!(!breaks_rows(&statement), "{name}: rows that are there have no value for it");
        }
    }
}

fn breaks_rows(statement: &str) -> bool {
    statement.starts_with("alter table")
        && statement.contains(" add ")
        && statement.contains("not null")
        && !statement.contains("default")
}

#[test]
fn the_check_for_required_columns_finds_one() {
    let without = statements("-- why\nalter table job\n  add column colour text NOT NULL;");
    assert!(without.iter().any(|statement| breaks_rows(statement)));
    let with = statements("alter table job add column colour text not null default '';");
    assert!(!with.iter().any(|statement| breaks_rows(statement)));
}
