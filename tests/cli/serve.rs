//! A server's life, from the first start to a clean end.

use std::fs::OpenOptions;
use std::io::{Seek as _, SeekFrom, Write as _};
use std::path::Path;

use sqlx::ConnectOptions as _;
use sqlx::sqlite::SqliteConnectOptions;
use tempfile::TempDir;

use super::program::{Running, command, text};

#[test]
fn it_answers_until_it_is_told_to_stop_and_leaves_a_folded_database() {
    let place = TempDir::new().unwrap();
    let server =
        Running::start(&["serve", "--data", text(place.path()), "--listen", "127.0.0.1:0"]);
    assert_eq!(server.get("/livez"), "HTTP/1.1 200 OK");
    assert_eq!(server.get("/readyz"), "HTTP/1.1 200 OK");
    let said = server.stop();
    assert_eq!(said.code, 0, "{said:?}");
    let log = place.path().join("fusewright.db-wal");
    assert!(!log.exists() || std::fs::metadata(log).unwrap().len() == 0);
}

#[test]
fn without_a_command_it_serves_and_settings_come_from_the_environment() {
    let place = TempDir::new().unwrap();
    let mut bare = command(&[]);
    bare.env("FUSEWRIGHT_DATA", place.path()).env("FUSEWRIGHT_LISTEN", "127.0.0.1:0");
    let server = Running::start_with(bare);
    assert_eq!(server.told("Data:"), text(place.path()));
    assert_eq!(server.get("/livez"), "HTTP/1.1 200 OK");
}

#[test]
fn an_option_counts_more_than_the_environment() {
    let (named, other) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let mut both = command(&["serve", "--data", text(named.path()), "--listen", "127.0.0.1:0"]);
    both.env("FUSEWRIGHT_DATA", other.path());
    let server = Running::start_with(both);
    assert_eq!(server.told("Data:"), text(named.path()));
    assert_eq!(std::fs::read_dir(other.path()).unwrap().count(), 0);
}

#[test]
fn the_set_up_code_is_new_at_each_start_and_easy_to_type() {
    let place = TempDir::new().unwrap();
    let arguments = ["serve", "--data", text(place.path()), "--listen", "127.0.0.1:0"];
    let code = |server: &Running| {
        let line = server.greeting.lines().find(|line| line.contains("set-up code")).unwrap();
        line.rsplit(' ').next().unwrap().to_owned()
    };
    let first = Running::start(&arguments);
    let one = code(&first);
    first.stop();
    let two = code(&Running::start(&arguments));
    assert_ne!(one, two);
    for code in [one, two] {
        assert_eq!(code.len(), 8, "{code}");
        assert!(code.chars().all(|c| c.is_ascii_digit() || c.is_ascii_uppercase()), "{code}");
        assert!(!code.contains(['I', 'L', 'O', 'U']), "{code}");
    }
}

#[test]
fn behind_a_proxy_both_addresses_are_told() {
    let place = TempDir::new().unwrap();
    let mut proxied = command(&["serve", "--listen", "127.0.0.1:0"]);
    proxied.args(["--data", text(place.path()), "--origin", "https://jobs.example/"]);
    let server = Running::start_with(proxied);
    assert_eq!(server.told("Open:"), "https://jobs.example");
    assert!(server.told("Listening on").starts_with("127.0.0.1:"));
}

/// Overwrites the table of sessions on the disk.
async fn damage(file: &Path) {
    let find = "select rootpage from sqlite_schema where name = 'session'";
    let mut db = SqliteConnectOptions::new().filename(file).connect().await.unwrap();
    let page: i64 = sqlx::query_scalar(find).fetch_one(&mut db).await.unwrap();
    drop(db);
    let mut file = OpenOptions::new().write(true).open(file).unwrap();
    file.seek(SeekFrom::Start((page.unsigned_abs() - 1) * 4096)).unwrap();
    file.write_all(&[0xff; 4096]).unwrap();
}

/// Whoever asked is told that nothing was saved; then the program ends, as it can promise nothing.
#[tokio::test]
async fn a_server_whose_database_fails_says_so_and_ends() {
    let place = TempDir::new().unwrap();
    let arguments = ["serve", "--data", text(place.path()), "--listen", "127.0.0.1:0"];
    let server = Running::start(&arguments);
    let line = server.greeting.lines().find(|line| line.contains("set-up code")).unwrap();
    let code = line.rsplit(' ').next().unwrap().to_owned();
    let password = "nine+grey+herons+wade";
    let form = format!(
        "code={code}&workshop=Alder+Lane&prefix=AL&person=Nora+Fell&sign_in=nora\
         &password={password}&repeat={password}"
    );
    assert_eq!(server.post("/first-run", &form), "HTTP/1.1 303 See Other");
    assert_eq!(server.stop().code, 0);
    damage(&place.path().join("fusewright.db")).await;
    let server = Running::start(&arguments);
    let answer = server.post("/sign-in", &format!("name=nora&password={password}"));
    assert_eq!(answer, "HTTP/1.1 500 Internal Server Error");
    let said = server.ended();
    assert_eq!(said.code, 1, "{said:?}");
    let last = said.err.lines().last().unwrap_or_default();
    assert!(last.starts_with("fusewright: The server stopped storing: "), "{said:?}");
    assert!(last.contains("malformed"), "{said:?}");
}
