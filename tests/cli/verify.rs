//! What `verify` says about a folder, and that nothing changed gets past it.

use sqlx::ConnectOptions as _;
use sqlx::sqlite::SqliteConnectOptions;
use tempfile::TempDir;

use super::demo::copy_of_the_demo;
use super::program::{ask, text};

#[test]
fn an_untouched_folder_is_counted_through_and_sound() {
    let place = copy_of_the_demo();
    let said = ask(&["verify", "--data", text(place.path())]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
    assert!(said.out.contains("10 jobs with ") && said.out.contains("2 certificates"), "{said:?}");
    assert!(said.out.ends_with("Nothing was changed.\n"));
}

#[tokio::test]
async fn every_change_is_named_and_the_exit_code_says_so() {
    let place = copy_of_the_demo();
    let mut certificates: Vec<_> = std::fs::read_dir(place.path().join("certificates"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    certificates.sort();
    let mut bytes = std::fs::read(&certificates[0]).unwrap();
    bytes[1000] ^= 1;
    std::fs::write(&certificates[0], bytes).unwrap();

    let file = place.path().join("fusewright.db");
    let mut db = SqliteConnectOptions::new().filename(&file).connect().await.unwrap();
    for change in [
        "drop trigger if exists entry_is_not_changed",
        "update entry set body = cast(cast(body as text) || ' ' as blob) where seq = 3",
    ] {
        sqlx::raw_sql(change).execute(&mut db).await.unwrap();
    }
    drop(db);

    let said = ask(&["verify", "--data", text(place.path())]);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.err.contains("entry 3: "), "{said:?}");
    let number = certificates[0].file_stem().unwrap().to_str().unwrap();
    assert!(said.err.contains(&format!("Certificate {number}: its file was changed")), "{said:?}");
    assert!(said.out.contains("faults were found"), "{said:?}");
}

#[test]
fn a_folder_without_a_database_is_not_made_into_one() {
    let place = TempDir::new().unwrap();
    let folder = place.path().join("none");
    ask(&["verify", "--data", text(&folder)]).refused(1, "There is no database in");
    assert!(!folder.exists());
}
