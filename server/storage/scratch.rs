//! A file that is made, handed out and forgotten: an archive on its way to whoever asked for it.

use std::fs::File;
use std::path::{Path, PathBuf};

use super::files::{ASIDE, fault};
use super::{StorageError, Store};

/// A file in the data folder that is removed with this; one that is left over goes at the next start.
#[derive(Debug)]
pub struct Scratch {
    path: PathBuf,
}

impl Scratch {
    /// Makes the file. Names are drawn by lot: a command beside the server makes such files too.
    pub fn create(store: &Store, name: &str) -> Result<(Self, File), StorageError> {
        let scratch = Self { path: store.folder().join(ASIDE).join(name) };
        let made = File::options().read(true).write(true).create_new(true).open(&scratch.path);
        let file = made.map_err(fault(&scratch.path, "made"))?;
        Ok((scratch, file))
    }

    pub fn path(&self) -> &Path {
        &self.path
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // One that stays is removed at the next start.
        let _ = std::fs::remove_file(&self.path);
    }
}
