//! The key that PINs are mixed with before they are hashed: a file beside the seal's, outside of the
//! database, so that a copy of the database alone does not give away six digits.

use std::fmt;
use std::fs::{self, DirBuilder, OpenOptions};
use std::io::{self, Write as _};
use std::path::Path;

use super::StorageError;
use super::files::{self, FileFault, fault};

/// Name of the file in the key folder.
pub const FILE: &str = "pin.pepper";
const BYTES: usize = 32;

#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Pepper([u8; BYTES]);

impl Pepper {
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }
}

impl fmt::Debug for Pepper {
    /// Never in a log.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Pepper(…)")
    }
}

/// The pepper of a key folder, if there is one.
pub async fn load(folder: &Path) -> Result<Option<Pepper>, StorageError> {
    let file = folder.join(FILE);
    let bytes = files::blocking(move || files::read(&file)).await?;
    bytes.map(|bytes| read(&bytes)).transpose()
}

fn read(bytes: &[u8]) -> Result<Pepper, StorageError> {
    let odd = |_| StorageError::unreadable(FILE, format!("it holds {} bytes", bytes.len()));
    bytes.try_into().map(Pepper).map_err(odd)
}

/// Makes the pepper of a key folder from chance, for this account only. It replaces none: whoever calls
/// has looked.
pub async fn append(folder: &Path, chance: [u8; BYTES]) -> Result<Pepper, StorageError> {
    let folder = folder.to_owned();
    files::blocking(move || write(&folder, &chance)).await?;
    Ok(Pepper(chance))
}

fn write(folder: &Path, bytes: &[u8]) -> Result<(), FileFault> {
    let file = folder.join(FILE);
    let aside = folder.join(format!("{FILE}.new"));
    make_folder(folder).map_err(fault(folder, "made"))?;
    write_private(&aside, bytes).map_err(fault(&aside, "written"))?;
    fs::rename(&aside, &file).map_err(fault(&file, "renamed"))?;
    files::flush_folder(folder)
}

fn make_folder(folder: &Path) -> io::Result<()> {
    let mut builder = DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

fn write_private(file: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(file)?;
    file.write_all(bytes)?;
    file.sync_all()
}
