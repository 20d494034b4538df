//! What the program will not start with: one sentence each, and an exit code that is not zero.

use std::net::TcpListener;

use sqlx::ConnectOptions as _;
use sqlx::sqlite::SqliteConnectOptions;
use tempfile::TempDir;

use super::program::{Running, ask, ask_with, command, text};

const ANY_PORT: &str = "127.0.0.1:0";

#[test]
fn a_port_in_use_is_named() {
    let place = TempDir::new().unwrap();
    let taken = TcpListener::bind(ANY_PORT).unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let said = ask(&["serve", "--data", text(place.path()), "--listen", &address]);
    said.refused(1, "is in use by another program");
}

#[test]
fn a_folder_that_cannot_be_written_to_is_named() {
    let place = TempDir::new().unwrap();
    std::fs::write(place.path().join("file"), "in the way").unwrap();
    let folder = place.path().join("file/data");
    let said = ask(&["serve", "--data", text(&folder), "--listen", ANY_PORT]);
    said.refused(1, "cannot be written to");
}

#[test]
fn a_folder_belongs_to_one_server_at_a_time() {
    let place = TempDir::new().unwrap();
    let data = text(place.path());
    let first = Running::start(&["serve", "--data", data, "--listen", ANY_PORT]);
    let words = "Another server is using the data folder";
    ask(&["serve", "--data", data, "--listen", ANY_PORT]).refused(1, words);
    ask(&["verify", "--data", data]).refused(1, words);
    assert_eq!(first.stop().code, 0);
    assert_eq!(ask(&["verify", "--data", data]).code, 0);
}

#[tokio::test]
async fn a_database_of_a_newer_program_is_not_touched() {
    let place = TempDir::new().unwrap();
    let data = text(place.path());
    Running::start(&["serve", "--data", data, "--listen", ANY_PORT]).stop();
    let file = place.path().join("fusewright.db");
    let mut db = SqliteConnectOptions::new().filename(&file).connect().await.unwrap();
    let later = "insert into _sqlx_migrations (version, description, success, checksum, \
                 execution_time) values (9999, 'later', 1, x'00', 0)";
    sqlx::query(later).execute(&mut db).await.unwrap();
    drop(db);
    let said = ask(&["serve", "--data", data, "--listen", ANY_PORT]);
    said.refused(1, "written by a newer version of this program");
}

#[test]
fn plain_http_beyond_this_machine_is_refused_before_anything_is_made() {
    let place = TempDir::new().unwrap();
    let folder = place.path().join("data");
    let said = ask(&["serve", "--data", text(&folder), "--listen", "0.0.0.0:0"]);
    said.refused(1, "Plain http on 0.0.0.0:0");
    let said = ask(&["serve", "--data", text(&folder), "--origin", "http://jobs.example"]);
    said.refused(1, "is plain http beyond this machine");
    let said = ask(&["demo", "--data", text(&folder), "--listen", "0.0.0.0:0"]);
    said.refused(1, "Plain http on 0.0.0.0:0");
    assert!(!folder.exists());
}

#[test]
fn a_variable_that_looks_like_a_setting_and_is_none_is_refused() {
    let mut misspelt = command(&["verify"]);
    misspelt.env("FUSEWRIGHT_LISTENS", ANY_PORT);
    ask_with(misspelt).refused(1, "FUSEWRIGHT_LISTENS");
}

#[test]
fn a_log_filter_that_cannot_be_read_is_refused() {
    ask(&["serve", "--log", "fusewright=loudly"]).refused(1, "The log filter cannot be read");
}

#[test]
fn a_proxy_is_named_by_its_address_and_by_nothing_else() {
    for wrong in ["proxy.example", "192.0.2.1,proxy", "192.0.2.0/24", "192.0.2.1:80"] {
        let said = ask(&["serve", "--trusted-proxy", wrong]);
        assert_eq!(said.code, 64, "{said:?}");
        assert!(said.err.contains("--trusted-proxy"), "{said:?}");
    }
}

#[test]
fn what_is_no_option_is_told_apart_from_a_stop() {
    let said = ask(&["--lisen", ANY_PORT]);
    assert_eq!(said.code, 64, "{said:?}");
    assert!(said.err.contains("--lisen"), "{said:?}");
}

#[test]
fn help_names_every_setting_with_its_variable() {
    for asked in [&["--help"][..], &["serve", "--help"]] {
        let said = ask(asked);
        assert_eq!(said.code, 0);
        for (option, variable) in [
            ("--data", "FUSEWRIGHT_DATA"),
            ("--listen", "FUSEWRIGHT_LISTEN"),
            ("--origin", "FUSEWRIGHT_ORIGIN"),
            ("--tls-certificate", "FUSEWRIGHT_TLS_CERTIFICATE"),
            ("--tls-key", "FUSEWRIGHT_TLS_KEY"),
            ("--acme-contact", "FUSEWRIGHT_ACME_CONTACT"),
            ("--acme-directory", "FUSEWRIGHT_ACME_DIRECTORY"),
            ("--acme-root", "FUSEWRIGHT_ACME_ROOT"),
            ("--redirect-from", "FUSEWRIGHT_REDIRECT_FROM"),
            ("--trusted-proxy", "FUSEWRIGHT_TRUSTED_PROXY"),
            ("--key-folder", "FUSEWRIGHT_KEY_FOLDER"),
            ("--log", "FUSEWRIGHT_LOG"),
        ] {
            assert!(said.out.contains(option) && said.out.contains(variable), "{option}: {said:?}");
        }
    }
    let version = ask(&["--version"]);
    assert_eq!(version.out, format!("fusewright {}\n", env!("CARGO_PKG_VERSION")));
}
