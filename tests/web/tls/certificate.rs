//! Which certificates are taken, and what is said of those that are not.

use std::fs;
use std::path::Path;
use std::process::Command;

use fusewright::domain::ids::Moment;
use fusewright::web::tls::{CertificateFault, Files, Pair};
use fusewright::world::Clock;
use tempfile::TempDir;

use super::HOST;
use crate::support::{Authority, MORNING, pair_in};

const DAY_MS: i64 = 86_400_000;

fn open(pair: Pair, host: &str) -> Result<Files, CertificateFault> {
    Files::open(pair, host, Clock::from(|| MORNING))
}

#[track_caller]
fn refused(pair: Pair, host: &str, words: &[&str]) {
    let why = open(pair, host).map(drop).unwrap_err().to_string();
    assert!(why.ends_with('.'), "{why}");
    for word in words {
        assert!(why.contains(word), "{word:?} is not said: {why}");
    }
}

fn openssl(folder: &Path, arguments: &str) {
    let mut openssl = Command::new("openssl");
    let done = openssl.current_dir(folder).args(arguments.split(' ')).output().unwrap();
    assert!(done.status.success(), "{arguments}: {}", String::from_utf8_lossy(&done.stderr));
}

#[test]
fn keys_are_taken_in_each_form_that_tools_write() {
    let kinds = [
        (
            "genpkey -algorithm EC -pkeyopt ec_paramgen_curve:P-256 -out key.pem",
            "BEGIN PRIVATE KEY",
        ),
        ("ecparam -name prime256v1 -genkey -noout -out key.pem", "BEGIN EC PRIVATE KEY"),
        ("genrsa -traditional -out key.pem 2048", "BEGIN RSA PRIVATE KEY"),
    ];
    for (make, begin) in kinds {
        let folder = TempDir::new().unwrap();
        openssl(folder.path(), make);
        let sign = "req -x509 -new -key key.pem -days 30 -subj /CN=jobs -addext \
                    subjectAltName=DNS:jobs.example -out chain.pem";
        openssl(folder.path(), sign);
        let pair = pair_in(folder.path());
        assert!(fs::read_to_string(&pair.key).unwrap().contains(begin), "{make}");
        assert!(open(pair, HOST).is_ok(), "{make}");
    }
}

#[test]
fn a_file_that_is_missing_or_holds_something_else_is_named() {
    let folder = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    refused(pair_in(folder.path()), HOST, &["chain.pem cannot be read", "Correct its name"]);
    let pair = authority.issue_for(&[HOST], -1..30).lay_into(folder.path());
    assert!(open(pair.clone(), HOST).is_ok());
    fs::remove_file(&pair.key).unwrap();
    refused(pair.clone(), HOST, &["key.pem cannot be read"]);
    fs::write(&pair.key, fs::read(&pair.certificate).unwrap()).unwrap();
    refused(pair.clone(), HOST, &["key.pem holds no private key", "BEGIN PRIVATE KEY"]);
    fs::write(&pair.certificate, "no certificate\n").unwrap();
    refused(pair.clone(), HOST, &["chain.pem holds no certificate", "BEGIN CERTIFICATE"]);
    let broken = "-----BEGIN CERTIFICATE-----\nMAA=\n-----END CERTIFICATE-----\n";
    fs::write(&pair.certificate, broken).unwrap();
    refused(pair, HOST, &["chain.pem cannot be used"]);
}

#[test]
fn a_key_of_another_certificate_is_refused() {
    let folder = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    let other = authority.issue_for(&[HOST], -1..30);
    let pair = authority.issue_for(&[HOST], -1..30).lay_into(folder.path());
    fs::write(&pair.key, other.key).unwrap();
    refused(pair, HOST, &["key.pem does not belong to the certificate in", "chain.pem"]);
}

#[test]
fn a_certificate_is_for_the_name_that_people_type() {
    let folder = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    let names = ["*.yard.example", "jobs.example", "192.0.2.7", "2001:db8::7"];
    let pair = authority.issue_for(&names, -1..30).lay_into(folder.path());
    for fits in ["jobs.example", "desk.yard.example", "192.0.2.7", "2001:db8::7"] {
        assert!(open(pair.clone(), fits).is_ok(), "{fits}");
    }
    for other in ["job.example", "yard.example", "a.desk.yard.example", "192.0.2.8", "2001:db8::8"]
    {
        let said = format!("people type {other}:");
        let names = "is for *.yard.example, jobs.example, 192.0.2.7, 2001:db8::7";
        refused(pair.clone(), other, &[&said, names, "correct --origin"]);
    }
    let nameless = authority.issue_for(&[], -1..30).lay_into(folder.path());
    refused(nameless, HOST, &["is for no name at all"]);
}

#[test]
fn what_is_to_be_known_of_its_time_is_said_at_the_limit_and_not_before() {
    let folder = TempDir::new().unwrap();
    let pair = Authority::new("Root").issue_for(&[HOST], 0..30).lay_into(folder.path());
    let files = open(pair, HOST).unwrap();
    let shown = files.shown().certificate().unwrap();
    let (begins, ends) = (MORNING, MORNING.plus_days(30));
    assert_eq!((shown.begins, shown.ends), (begins, ends));
    let concern = |at: i64| shown.concern(Moment(at)).unwrap_or_default();
    assert!(concern(begins.0 - 1).starts_with("The certificate begins only on 2026-11-25"));
    assert_eq!(concern(begins.0), "");
    assert_eq!(concern(ends.0 - 14 * DAY_MS), "");
    assert!(concern(ends.0 - 14 * DAY_MS + 1).starts_with("The certificate ends on 2026-12-25"));
    assert!(concern(ends.0).starts_with("The certificate ends on 2026-12-25"));
    assert!(concern(ends.0 + 1).starts_with("The certificate ended on 2026-12-25"));
}
