//! Changing the seal: the register knows it, old papers stay valid, and a cut anywhere loses no key.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use std::sync::Arc;

use fusewright::acts::By;
use fusewright::acts::certificate::{Sealer, issue};
use fusewright::acts::seals::change;
use fusewright::documents::sign::SealKey;
use fusewright::domain::ids::{DeviceId, JobId, Moment};
use fusewright::domain::person::{Person, Role};
use fusewright::domain::seal::hex;
use fusewright::storage::Store;
use fusewright::storage::certificates::{find, register_list};
use fusewright::storage::withdrawals::{Confirmed, Request, ask as ask_for, confirm};
use fusewright::storage::workshops::{self, Workshop};
use fusewright::storage::{jobs, people};
use fusewright::world::Clock;
use tempfile::TempDir;

use super::demo::copy_of_the_demo;
use super::program::{Said, ask, text};
use super::seal::start_in;
use crate::support::workshop;

pub(super) type Files = BTreeMap<String, String>;

/// The files of a key folder.
pub(super) fn files(keys: &Path) -> Files {
    let texts = fs::read_dir(keys).unwrap().map(|entry| entry.unwrap());
    let texts = texts.filter(|entry| entry.file_name().to_string_lossy().starts_with("seal."));
    let text = |path: PathBuf| fs::read_to_string(path).unwrap();
    texts.map(|one| (one.file_name().into_string().unwrap(), text(one.path()))).collect()
}

fn put(keys: &Path, files: &Files) {
    for name in self::files(keys).keys() {
        fs::remove_file(keys.join(name)).unwrap();
    }
    for (name, text) in files {
        fs::write(keys.join(name), text).unwrap();
    }
}

pub(super) fn fingerprint(data: &Path) -> String {
    let said = ask(&["seal", "show", "--data", text(data)]);
    assert_eq!(said.code, 0, "{said:?}");
    let line = said.out.lines().find_map(|line| line.strip_prefix("Fingerprint   "));
    line.unwrap().to_owned()
}

fn renew(data: &Path) -> Said {
    ask(&["seal", "renew", "--data", text(data)])
}

/// Names of the files of a seal that is not in use any more.
fn old_names(fingerprint: &str) -> [String; 2] {
    let short = &fingerprint[..16];
    [format!("seal.cert.{short}.pem"), format!("seal.key.{short}.pem")]
}

#[test]
fn a_renewed_seal_is_in_use_the_old_certificate_is_kept_and_everything_verifies() {
    let place = copy_of_the_demo();
    let (data, keys) = (place.path(), place.path().join("keys"));
    let (old, before) = (fingerprint(data), files(&keys));
    let paper = fs::read_dir(data.join("certificates")).unwrap().next().unwrap().unwrap().path();
    let said = renew(data);
    assert_eq!(said.code, 0, "{said:?}");
    let new = fingerprint(data);
    assert!(said.out.contains(&old) && said.out.contains(&new) && old != new, "{}", said.out);

    let after = files(&keys);
    let [certificate, key] = old_names(&old);
    assert_eq!(after[&certificate], before["seal.cert.pem"]);
    assert_eq!(after[&key], before["seal.key.pem"]);
    assert_eq!(after.len(), 4, "{:?}", after.keys());
    let by_file = ask(&["verify", text(&paper), "--seal", &old]);
    assert!(by_file.code == 0 && by_file.out.contains("It is the seal that you named."));
    ask(&["verify", text(&paper), "--seal", &new]).refused(1, "was sealed by another seal");
    let whole = ask(&["verify", "--data", text(data)]);
    assert!(whole.code == 0 && whole.out.contains("Nothing was changed."), "{whole:?}");
    let again = renew(data);
    assert_eq!(again.code, 0, "{again:?}");
    assert_eq!(ask(&["verify", "--data", text(data)]).code, 0);
    let server = start_in(data);
    assert_eq!(server.get("/seals"), "HTTP/1.1 200 OK");
    assert_eq!(server.get(&format!("/seals/{new}/change")), "HTTP/1.1 200 OK");
}

#[cfg(unix)]
#[test]
fn new_and_old_key_are_for_the_account_of_the_server_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = copy_of_the_demo();
    let (data, keys) = (place.path(), place.path().join("keys"));
    let old = fingerprint(data);
    assert_eq!(renew(data).code, 0);
    for name in ["seal.key.pem", &old_names(&old)[1]] {
        let mode = fs::metadata(keys.join(name)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "{name}");
    }
}

/// A demo before and after its seal was changed.
struct Changeover {
    place: TempDir,
    /// The files of the key folder.
    before: Files,
    after: Files,
    /// The database.
    uncommitted: Vec<u8>,
    committed: Vec<u8>,
    old: String,
    new: String,
}

impl Changeover {
    fn made() -> Self {
        let place = copy_of_the_demo();
        let (data, keys) = (place.path(), place.path().join("keys"));
        let database = || fs::read(data.join("fusewright.db")).unwrap();
        let (old, before, uncommitted) = (fingerprint(data), files(&keys), database());
        assert_eq!(renew(data).code, 0);
        let (new, after, committed) = (fingerprint(data), files(&keys), database());
        Self { place, before, after, uncommitted, committed, old, new }
    }

    /// Puts the machine into a state and starts the server.
    fn started_from(&self, database: &[u8], keys: &Files) -> (&Path, Files) {
        let data = self.place.path();
        fs::write(data.join("fusewright.db"), database).unwrap();
        put(&data.join("keys"), keys);
        start_in(data).stop();
        (data, files(&data.join("keys")))
    }
}

fn with(base: &Files, more: &[(&str, &str)]) -> Files {
    let more = more.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned()));
    base.clone().into_iter().chain(more).collect()
}

const NEXT: [&str; 2] = ["seal.cert.next.pem", "seal.key.next.pem"];

/// Each state that the order of writes can leave behind once the register has the change.
#[test]
fn a_changeover_that_is_cut_off_behind_its_commit_goes_on_at_the_next_start() {
    let made = Changeover::made();
    let (before, after) = (&made.before, &made.after);
    let [old_certificate, old_key] = old_names(&made.old);
    let (certificate, key) = (after["seal.cert.pem"].as_str(), after["seal.key.pem"].as_str());
    let ready = with(before, &[(NEXT[0], certificate), (NEXT[1], key)]);
    let torn = with(&ready, &[(&old_certificate, "-----BEGIN")]);
    let kept = with(&ready, &[(&old_certificate, &before["seal.cert.pem"])]);
    let mut keyless = with(&kept, &[(&old_key, &before["seal.key.pem"])]);
    keyless.remove("seal.key.pem");
    let mut half = with(&keyless, &[("seal.key.pem", key)]);
    half.remove(NEXT[1]);
    for (at, state) in [&ready, &torn, &kept, &keyless, &half, after].into_iter().enumerate() {
        let (data, found) = made.started_from(&made.committed, state);
        assert_eq!(&found, after, "state {at}");
        assert_eq!(fingerprint(data), made.new, "state {at}");
    }
}

/// Each state before that: the old seal goes on, and the change can be begun anew.
#[test]
fn a_changeover_that_is_cut_off_before_its_commit_has_not_begun() {
    let made = Changeover::made();
    let (before, after) = (&made.before, &made.after);
    let torn = with(before, &[(NEXT[0], "-----BEGIN")]);
    let no_key = with(before, &[(NEXT[0], &after["seal.cert.pem"])]);
    let torn_key = with(&no_key, &[(NEXT[1], "-----BEGIN")]);
    let ready = with(&no_key, &[(NEXT[1], &after["seal.key.pem"])]);
    for (at, state) in [&torn, &no_key, &torn_key, &ready].into_iter().enumerate() {
        let (data, _) = made.started_from(&made.uncommitted, state);
        assert_eq!(fingerprint(data), made.old, "state {at}");
        assert_eq!(renew(data).code, 0, "state {at}");
        let found = files(&data.join("keys"));
        assert_eq!(found[&old_names(&made.old)[1]], before["seal.key.pem"], "state {at}");
        assert_eq!(found.len(), 4, "state {at}");
        assert_eq!(ask(&["verify", "--data", text(data)]).code, 0);
    }
}

#[test]
fn the_seal_is_not_changed_under_a_running_server() {
    let place = TempDir::new().unwrap();
    let server = start_in(place.path());
    let before = files(&place.path().join("keys"));
    renew(place.path()).refused(1, "Stop it, change the seal, and start it again");
    assert_eq!(files(&place.path().join("keys")), before);
    server.stop();
    assert_eq!(renew(place.path()).code, 0);
    let none = TempDir::new().unwrap();
    renew(none.path()).refused(1, "There is no database");
}

#[test]
fn a_seal_that_the_register_does_not_know_is_refused() {
    let place = copy_of_the_demo();
    let (data, keys) = (place.path(), place.path().join("keys"));
    let (old, before) = (fingerprint(data), files(&keys));
    let database = fs::read(data.join("fusewright.db")).unwrap();
    assert_eq!(renew(data).code, 0);
    let after = files(&keys);
    let serve = ["serve", "--data", text(data), "--listen", "127.0.0.1:0"];
    // The old files are back, but the register has the new seal.
    put(&keys, &before);
    ask(&serve).refused(1, "but the database knows");
    renew(data).refused(1, "Put the files of that seal back");
    // The database is one from before; the files that were set aside go with it.
    fs::write(data.join("fusewright.db"), database).unwrap();
    put(&keys, &after);
    ask(&serve).refused(1, &format!("knows {old} as the one in use"));
    let [certificate, key] = old_names(&old);
    fs::rename(keys.join(certificate), keys.join("seal.cert.pem")).unwrap();
    fs::rename(keys.join(key), keys.join("seal.key.pem")).unwrap();
    start_in(data).stop();
    assert_eq!(fingerprint(data), old);
}

#[tokio::test]
async fn the_old_key_is_deleted_thirty_days_after_the_change_and_its_certificate_stays() {
    for (days, is_kept) in [(29, true), (31, false)] {
        let place = TempDir::new().unwrap();
        let (data, keys) = (place.path(), place.path().join("keys"));
        start_in(data).stop();
        let before = files(&keys);
        let old = SealKey::from_pem(&before["seal.key.pem"], &before["seal.cert.pem"]).unwrap();
        let then = now().plus_days(-days);
        let new = SealKey::create("New", [9; 48], then.utc(), 10).unwrap();
        let store = Store::open(data).await.unwrap();
        workshops::append(&store, &Workshop { created: then, ..workshop() }).await.unwrap();
        change(&store, &old, &new, then).await.unwrap();
        store.close().await;
        fs::write(keys.join("seal.key.next.pem"), new.key_pem().unwrap()).unwrap();
        fs::write(keys.join("seal.cert.next.pem"), new.certificate_pem().unwrap()).unwrap();
        start_in(data).stop();
        let [certificate, key] = old_names(&hex(&old.fingerprint()));
        assert_eq!(files(&keys)[&certificate], before["seal.cert.pem"]);
        assert_eq!(keys.join(key).exists(), is_kept, "{days} days");
    }
}

#[test]
fn a_seal_near_its_end_is_announced_at_the_start() {
    for (days, is_told) in [(60, true), (62, false)] {
        let place = TempDir::new().unwrap();
        let keys = place.path().join("keys");
        // A seal of one year, begun so long ago that this many days are left.
        let begun = now().plus_days(days - 365).utc();
        let seal = SealKey::create("Test", [3; 48], begun, 1).unwrap();
        fs::create_dir(&keys).unwrap();
        fs::write(keys.join("seal.key.pem"), seal.key_pem().unwrap()).unwrap();
        fs::write(keys.join("seal.cert.pem"), seal.certificate_pem().unwrap()).unwrap();
        let greeting = start_in(place.path()).greeting.clone();
        assert_eq!(greeting.contains("fusewright seal renew"), is_told, "{greeting}");
    }
}

/// A released job of the demo whose certificate is withdrawn, and who asks for the next one.
pub(super) async fn without_certificate(store: &Store) -> (JobId, By) {
    let workshop = workshops::list(store).await.unwrap().remove(0);
    let people = people::list(store, workshop.id).await.unwrap();
    let managers: Vec<&Person> = people.iter().filter(|one| one.role == Role::Manager).collect();
    // Issuing names no device.
    let device = DeviceId(uuid::Uuid::from_u128(1));
    let at = now();
    let lines = register_list(store, workshop.id).await.unwrap();
    let number = lines.last().unwrap().number.clone();
    let job = find(store, &number).await.unwrap().unwrap().job;
    let reason = "A joint was read at the wrong place.".to_owned();
    let request = Request { number: number.clone(), reason, asked_by: managers[0].id, asked: at };
    ask_for(store, workshop.id, request).await.unwrap();
    let confirmed = Confirmed { number, asked: at, by: managers[1].id, at };
    confirm(store, workshop.id, confirmed).await.unwrap();
    (job, By { person: managers[0].clone(), device, now: at })
}

fn sealer(key: SealKey) -> Sealer {
    Sealer { key: Arc::new(key), stamps: None }
}

#[tokio::test]
async fn after_the_end_of_the_seal_a_release_stands_and_its_certificate_waits() {
    let place = copy_of_the_demo();
    let store = Store::open(place.path()).await.unwrap();
    let (job, by) = without_certificate(&store).await;
    let begun = by.now.plus_days(-400).utc();
    let ended = SealKey::create("Test", [3; 48], begun, 1).unwrap();
    let said = issue(&store, &sealer(ended), "http://x", &by, job).await.unwrap_err().to_string();
    assert!(said.contains("The release stands") && said.contains("seal renew"), "{said}");
    let sound = SealKey::create("Test", [3; 48], begun, 2).unwrap();
    let row = issue(&store, &sealer(sound), "http://x", &by, job).await.unwrap();
    assert!(row.is_in_force());
    store.close().await;
}

/// The change itself stays with the workshop that made it; its line comes along as a link of the chain.
#[tokio::test]
async fn a_job_from_both_sides_of_a_change_is_sound_in_another_installation() {
    let (place, elsewhere) = (copy_of_the_demo(), TempDir::new().unwrap());
    let data = place.path();
    let store = Store::open(data).await.unwrap();
    let (job, by) = without_certificate(&store).await;
    let number = jobs::load(&store, by.workshop(), job).await.unwrap().unwrap().number.to_string();
    store.close().await;
    assert_eq!(renew(data).code, 0);
    let keys = files(&data.join("keys"));
    let key = SealKey::from_pem(&keys["seal.key.pem"], &keys["seal.cert.pem"]).unwrap();
    let store = Store::open(data).await.unwrap();
    issue(&store, &sealer(key), "http://x", &by, job).await.unwrap();
    store.close().await;

    let archive = elsewhere.path().join("job.zip");
    let there = elsewhere.path().join("data");
    for arguments in [
        ["export", &number, "--data", text(data), "--out", text(&archive)].as_slice(),
        &["verify", text(&archive)],
        &["import", text(&archive), "--data", text(&there)],
        &["verify", "--data", text(&there)],
    ] {
        let said = ask(arguments);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{arguments:?}: {said:?}");
    }
    assert_eq!(ask(&["verify", "--data", text(data)]).code, 0, "where it was made");
}

fn now() -> Moment {
    Clock::system().now()
}

#[tokio::test]
async fn a_workshop_that_was_quiet_for_long_has_a_new_line_at_the_start() {
    for (days, lines) in [(24, 0), (26, 1)] {
        let place = TempDir::new().unwrap();
        let store = Store::open(place.path()).await.unwrap();
        let created = now().plus_days(-days);
        workshops::append(&store, &Workshop { created, ..workshop() }).await.unwrap();
        store.close().await;
        start_in(place.path()).stop();
        let store = Store::open(place.path()).await.unwrap();
        let found = register_list(&store, workshop().id).await.unwrap();
        assert_eq!(found.len(), lines, "{days} days");
        store.close().await;
    }
}
