//! Phones' files between the first look and the second press: kept under their digest, a few at a time,
//! and no longer than a week.

use std::fs;
use std::path::{Path, PathBuf};

use crate::domain::entry::Digest;
use crate::domain::ids::{Moment, WorkshopId};

use super::files::{self, FileFault};
use super::incoming::{forget, give_up, list, moment};
use super::open::below;
use super::{StorageError, Store};

pub(super) const FOLDER: &str = "outbox-files";
/// Files that one workshop may have looked at and not recorded; beyond it the oldest goes.
pub const KEPT_MAX: usize = 8;

/// Keeps a file to come back to.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    bytes: Vec<u8>,
    now: Moment,
) -> Result<Digest, StorageError> {
    let (folder, sha256) = (folder(store, workshop), Digest::of(&bytes));
    let path = folder.join(sha256.as_str());
    files::blocking(move || {
        fs::create_dir_all(&folder).map_err(files::fault(&folder, "made"))?;
        give_up(&folder, now)?;
        let written = fs::write(&path, bytes)
            .and_then(|()| fs::File::options().write(true).open(&path)?.set_modified(moment(now)));
        written.map_err(files::fault(&path, "written"))?;
        drop_oldest(&folder, &path)
    })
    .await?;
    Ok(sha256)
}

/// The file as it was kept. `None` where it is not here, or is not what its name says.
pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    sha256: &Digest,
) -> Result<Option<Vec<u8>>, StorageError> {
    let path = folder(store, workshop).join(sha256.as_str());
    let bytes = files::blocking(move || files::read(&path)).await?;
    Ok(bytes.filter(|bytes| Digest::of(bytes) == *sha256))
}

/// Forgets a file, once what was in it is recorded.
pub async fn remove(
    store: &Store,
    workshop: WorkshopId,
    sha256: &Digest,
) -> Result<(), StorageError> {
    let path = folder(store, workshop).join(sha256.as_str());
    Ok(files::blocking(move || forget(&path)).await?)
}

fn folder(store: &Store, workshop: WorkshopId) -> PathBuf {
    below(store, FOLDER).join(workshop.to_string())
}

fn drop_oldest(folder: &Path, newest: &Path) -> Result<(), FileFault> {
    let mut kept = Vec::new();
    for path in list(folder)?.into_iter().filter(|path| path != newest) {
        let touched = fs::metadata(&path).and_then(|found| found.modified());
        kept.push((touched.map_err(files::fault(&path, "read"))?, path));
    }
    kept.sort();
    let beyond = (kept.len() + 1).saturating_sub(KEPT_MAX);
    kept.iter().take(beyond).try_for_each(|(_, path)| forget(path))
}
