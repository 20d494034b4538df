//! A seal from a PKCS#12 file: the first one, or one that follows on the seal in use.

use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use super::demo::copy_of_the_demo;
use super::program::{Said, ask, text};
use super::seal::{ask_telling, start_in};
use super::seal_renew::{files, fingerprint};
use crate::documents::seal_import::{WHOLE, WORDS, exported, sound, with_chain};

/// A file with a seal and who vouches for it.
fn file_in(place: &Path) -> PathBuf {
    let desk = sound();
    with_chain(&desk);
    let file = place.join("bought.p12");
    fs::write(&file, exported(&desk, &WHOLE)).unwrap();
    file
}

fn import(file: &Path, data: &Path, words: &str) -> Said {
    ask_telling(&["seal", "import", text(file), "--data", text(data)], &format!("{words}\n"))
}

#[test]
fn before_the_first_start_it_becomes_the_first_seal() {
    let (place, desk) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let file = file_in(desk.path());
    let said = import(&file, place.path(), WORDS);
    assert_eq!(said.code, 0, "{said:?}");
    let seal = fingerprint(place.path());
    assert!(said.out.contains(&seal), "{said:?}");
    let made = files(&place.path().join("keys"));
    assert_eq!(made["seal.cert.pem"].matches("BEGIN CERTIFICATE").count(), 2);
    start_in(place.path()).stop();
    assert_eq!(files(&place.path().join("keys")), made);
    // A copy under a passphrase holds the whole of it.
    let (copy, new) = (desk.path().join("copy.pem"), desk.path().join("new"));
    let backup = ["seal", "backup", text(&copy), "--data", text(place.path())];
    assert_eq!(ask_telling(&backup, "lantern gravel otter quince\n").code, 0);
    let restore = ["seal", "restore", text(&copy), "--key-folder", text(&new)];
    assert_eq!(ask_telling(&restore, "lantern gravel otter quince\n").code, 0);
    assert_eq!(files(&new), made);
}

#[test]
fn where_papers_were_sealed_it_follows_on_the_seal_in_use() {
    let (place, desk) = (copy_of_the_demo(), TempDir::new().unwrap());
    let data = place.path();
    let old = fingerprint(data);
    let file = file_in(desk.path());
    let said = import(&file, data, WORDS);
    assert_eq!(said.code, 0, "{said:?}");
    let new = fingerprint(data);
    assert!(new != old && said.out.contains(&old), "{said:?}");
    assert_eq!(ask(&["verify", "--data", text(data)]).code, 0);
    let server = start_in(data);
    for path in [format!("/seals/{old}"), format!("/seals/{new}/change")] {
        assert_eq!(server.get(&path), "HTTP/1.1 200 OK");
    }
    server.stop();
    import(&file, data, WORDS).refused(1, "This seal is in use, or was before");
    assert_eq!(fingerprint(data), new);
    assert_eq!(files(&data.join("keys")).len(), 4, "a key that is not used is left behind");
    assert_eq!(ask(&["seal", "renew", "--data", text(data)]).code, 0);
    import(&file, data, WORDS).refused(1, "Take a new key and certificate");
    start_in(data).stop();
}

#[test]
fn what_does_not_open_changes_nothing() {
    let place = copy_of_the_demo();
    let (data, file) = (place.path(), file_in(place.path()));
    let before = files(&data.join("keys"));
    import(&file, data, "lantern").refused(1, "the passphrase is another one");
    import(&data.join("none.p12"), data, WORDS).refused(1, "cannot be read");
    fs::write(&file, vec![0; 70_000]).unwrap();
    import(&file, data, WORDS).refused(1, "larger than any file with one key");
    fs::write(&file, "nothing").unwrap();
    import(&file, data, WORDS).refused(1, "no PKCS#12 file");
    assert_eq!(files(&data.join("keys")), before);
}

#[test]
fn it_waits_until_the_server_is_stopped_and_the_lost_seal_is_back() {
    let (place, desk) = (copy_of_the_demo(), TempDir::new().unwrap());
    let (data, file) = (place.path(), file_in(desk.path()));
    let server = start_in(data);
    import(&file, data, WORDS).refused(1, "Stop it, change the seal");
    server.stop();
    fs::remove_dir_all(data.join("keys")).unwrap();
    import(&file, data, WORDS).refused(1, "Put it back first");
    // With half a seal nothing is begun either.
    fs::create_dir(data.join("keys")).unwrap();
    fs::write(data.join("keys/seal.cert.pem"), "-----BEGIN").unwrap();
    import(&file, data, WORDS).refused(1, "holds no seal");
}
