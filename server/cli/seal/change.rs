//! The changeover from one seal to the next, which may be cut off anywhere. The order of writes:
//!
//! 1. certificate and key of the new seal, under names of their own;
//! 2. the lines of the register, all in one commit: from here on the new seal is the seal;
//! 3. the old certificate under a name of its own, for good; the old key beside it for a while;
//! 4. the new key, then the new certificate, under the names of the seal.
//!
//! Each is on the disk before the next begins. Cut off before the commit, the old seal stands untouched;
//! cut off behind it, the next start finds the new certificate waiting, asks the register, and goes on.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::super::Failure;
use super::{CERTIFICATE, KEY, PUBLIC, SECRET, read, write_over};
use crate::acts::seals;
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::domain::seal::{hex, sha256};
use crate::storage::{Store, seal_changes, workshops};

const NEXT_KEY: &str = "seal.key.next.pem";
const NEXT_CERTIFICATE: &str = "seal.cert.next.pem";
/// The old key is of use while a copy of the database from before the change may have to be put back, with
/// which the new seal does not go. Then it is deleted: whoever finds it could date papers back.
pub(super) const OLD_KEY_DAYS: i64 = 30;
/// So many digits of a fingerprint tell the old files apart.
const NAME_DIGITS: usize = 16;

/// Where the files of a seal go that is not in use any more: its certificate, and its key.
pub(super) fn old_files(folder: &Path, fingerprint: &[u8; 32]) -> (PathBuf, PathBuf) {
    let name: String = hex(fingerprint).chars().take(NAME_DIGITS).collect();
    (folder.join(format!("seal.cert.{name}.pem")), folder.join(format!("seal.key.{name}.pem")))
}

/// Changes the seal of the folder.
pub(super) async fn change(
    store: &Store,
    folder: &Path,
    (old, new): (&SealKey, &SealKey),
    now: Moment,
) -> Result<(), Failure> {
    seals::check_unused(store, old, new).await?;
    let (key, certificate) = (new.key_pem(), new.certificate_pem());
    let (key, certificate) = (key.map_err(Failure::new)?, certificate.map_err(Failure::new)?);
    lay_ready(folder, &key, &certificate).map_err(|why| unwritable(folder, &why))?;
    seals::change(store, old, new, now).await?;
    take_over(folder, &old.fingerprint()).map_err(|why| unwritable(folder, &why))
}

/// Goes on with a changeover that was cut off behind its commit. One that was cut off before it has left
/// files that are never read.
pub(super) async fn finish(store: &Store, folder: &Path) -> Result<(), Failure> {
    let Some(waiting) = read(&folder.join(NEXT_CERTIFICATE))? else { return Ok(()) };
    let waiting = SealKey::fingerprint_of(&waiting).ok();
    match seals::last_change(store).await? {
        Some(change) if Some(change.new_seal()) == waiting => {
            take_over(folder, &change.old_seal()).map_err(|why| unwritable(folder, &why))
        }
        _ => Ok(()),
    }
}

fn unwritable(folder: &Path, why: &io::Error) -> Failure {
    let folder = folder.display();
    Failure::new(format!(
        "The seal cannot be changed in {folder} ({why}). Give this account write access to it, then start \
         the server: it goes on with what was begun"
    ))
}

/// The certificate first: only with it on the disk is anything begun.
fn lay_ready(folder: &Path, key: &str, certificate: &str) -> io::Result<()> {
    for left_over in [NEXT_CERTIFICATE, NEXT_KEY] {
        remove(&folder.join(left_over))?;
    }
    flush(folder)?;
    write_over(&folder.join(NEXT_CERTIFICATE), certificate, PUBLIC)?;
    write_over(&folder.join(NEXT_KEY), key, SECRET)?;
    flush(folder)
}

/// Gives the waiting files the names of the seal. Begun anew, it ends the same.
fn take_over(folder: &Path, old: &[u8; 32]) -> io::Result<()> {
    let (old_certificate, old_key) = old_files(folder, old);
    // The certificate is renamed last, so it still is the old one.
    write_over(&old_certificate, &fs::read_to_string(folder.join(CERTIFICATE))?, PUBLIC)?;
    flush(folder)?;
    if folder.join(NEXT_KEY).exists() {
        rename(folder, &folder.join(KEY), &old_key)?;
        rename(folder, &folder.join(NEXT_KEY), &folder.join(KEY))?;
    }
    rename(folder, &folder.join(NEXT_CERTIFICATE), &folder.join(CERTIFICATE))
}

/// Nothing to rename means that it was done before.
fn rename(folder: &Path, from: &Path, to: &Path) -> io::Result<()> {
    match fs::rename(from, to) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => Err(why),
        _ => flush(folder),
    }
}

fn remove(file: &Path) -> io::Result<()> {
    match fs::remove_file(file) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => Err(why),
        _ => Ok(()),
    }
}

fn flush(folder: &Path) -> io::Result<()> {
    fs::File::open(folder)?.sync_all()
}

/// Deletes the keys of seals that went out of use more than [`OLD_KEY_DAYS`] ago.
pub(in crate::cli) async fn drop_old_keys(
    store: &Store,
    folder: &Path,
    now: Moment,
) -> Result<(), Failure> {
    for workshop in workshops::list(store).await? {
        for change in seal_changes::list(store, workshop.id).await? {
            if change.at.plus_days(OLD_KEY_DAYS) < now {
                let old_key = old_files(folder, &sha256(&change.old_certificate)).1;
                remove(&old_key).map_err(|why| {
                    Failure::new(format!("{} cannot be deleted ({why})", old_key.display()))
                })?;
            }
        }
    }
    Ok(())
}
