//! Files that are durable before anything names them: write aside, flush, rename, flush the folder.

use std::fs::File;
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Where files are written before they get their name; emptied at each start.
pub(super) const ASIDE: &str = "tmp";

/// A file could not be written or read.
#[derive(Debug, thiserror::Error)]
#[error("The file {path} could not be {act}: {source}")]
pub struct FileFault {
    path: PathBuf,
    act: &'static str,
    source: io::Error,
}

const FLUSHED: &str = "flushed to the disk";

impl FileFault {
    /// The disk took the bytes and then could not keep them. A full disk is no such case.
    pub fn is_lost_flush(&self) -> bool {
        let full = matches!(self.source.kind(), ErrorKind::StorageFull | ErrorKind::QuotaExceeded);
        self.act == FLUSHED && !full
    }
}

pub(super) fn fault<'p>(
    path: &'p Path,
    act: &'static str,
) -> impl FnOnce(io::Error) -> FileFault + 'p {
    move |source| FileFault { path: path.to_owned(), act, source }
}

/// A durable file that has no lasting name yet; dropped without one, it is removed.
pub(super) struct Aside {
    path: PathBuf,
}

impl Aside {
    pub(super) fn write(folder: &Path, bytes: &[u8]) -> Result<Self, FileFault> {
        static COUNTER: AtomicU64 = AtomicU64::new(0);
        let name = COUNTER.fetch_add(1, Ordering::Relaxed).to_string();
        let aside = Self { path: folder.join(ASIDE).join(name) };
        let mut file = File::create(&aside.path).map_err(fault(&aside.path, "made"))?;
        file.write_all(bytes).map_err(fault(&aside.path, "written"))?;
        file.sync_all().map_err(fault(&aside.path, FLUSHED))?;
        Ok(aside)
    }

    /// Gives the file its name and makes the name durable.
    pub(super) fn keep_as(self, path: &Path) -> Result<(), FileFault> {
        std::fs::rename(&self.path, path).map_err(fault(path, "renamed"))?;
        flush_folder(path.parent().unwrap_or(path))
    }
}

impl Drop for Aside {
    fn drop(&mut self) {
        // Gone already if it was kept; one that stays is removed at the next start.
        let _ = std::fs::remove_file(&self.path);
    }
}

/// Makes `parts` below `root`, each name durable in its parent. Flushes also where the folder is
/// there: whoever made it a moment ago may not have come to the flush yet.
pub(super) fn make_folders(root: &Path, parts: &[&str]) -> Result<PathBuf, FileFault> {
    let mut folder = root.to_owned();
    for part in parts {
        let parent = folder.clone();
        folder.push(part);
        match std::fs::create_dir(&folder) {
            Err(error) if error.kind() != ErrorKind::AlreadyExists => {
                return Err(fault(&folder, "made")(error));
            }
            _ => flush_folder(&parent)?,
        }
    }
    Ok(folder)
}

pub(super) fn flush_folder(folder: &Path) -> Result<(), FileFault> {
    flush(folder)
}

/// Flushes a file that somebody else wrote.
pub(super) fn flush(path: &Path) -> Result<(), FileFault> {
    let file = File::open(path).map_err(fault(path, "opened"))?;
    file.sync_all().map_err(fault(path, FLUSHED))
}

/// `None` where there is no such file.
pub(super) fn read(path: &Path) -> Result<Option<Vec<u8>>, FileFault> {
    match std::fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(fault(path, "read")(error)),
    }
}

/// Takes files away that may be there.
pub(super) fn remove(paths: &[PathBuf]) -> Result<(), FileFault> {
    for path in paths {
        match std::fs::remove_file(path) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Err(fault(path, "deleted")(error));
            }
            _ => {}
        }
    }
    Ok(())
}

/// Runs file work on a thread that may wait.
pub(super) async fn blocking<T, F>(act: F) -> Result<T, FileFault>
where
    T: Send + 'static,
    F: FnOnce() -> Result<T, FileFault> + Send + 'static,
{
    let outcome = tokio::task::spawn_blocking(act).await;
    // The thread broke off: a bug, reported like a failed write so that nobody counts on the file.
    outcome.map_err(|error| fault(Path::new(ASIDE), "handled")(io::Error::other(error)))?
}
