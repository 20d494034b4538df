//! The folder of what an authority gave: account and certificate, for the server's account only.

use std::fs;
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

/// Secret key of the account, with its address at the authority.
pub(super) const ACCOUNT: &str = "account.json";
/// Key and chain in one file, so that they are always a pair.
pub(super) const CERTIFICATE: &str = "certificate.pem";

/// A folder that nobody else may look into.
pub(super) struct Kept {
    folder: PathBuf,
}

impl Kept {
    pub(super) fn open(folder: &Path) -> io::Result<Self> {
        let mut builder = fs::DirBuilder::new();
        builder.recursive(true);
        #[cfg(unix)]
        std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
        builder.create(folder)?;
        Ok(Self { folder: folder.to_owned() })
    }

    pub(super) fn place(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// What a file holds, or nothing if there is none.
    pub(super) fn read(&self, name: &str) -> io::Result<Option<Vec<u8>>> {
        match fs::read(self.place(name)) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(why) if why.kind() == ErrorKind::NotFound => Ok(None),
            Err(why) => Err(why),
        }
    }

    /// Replaces a file as a whole, so that a power cut leaves the old one or the new one.
    pub(super) fn write(&self, name: &str, bytes: &[u8]) -> io::Result<()> {
        let fresh = self.place(&format!("{name}.new"));
        match fs::remove_file(&fresh) {
            Err(why) if why.kind() != ErrorKind::NotFound => return Err(why),
            _ => {}
        }
        let mut options = fs::OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let mut file = options.open(&fresh)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&fresh, self.place(name))?;
        fs::File::open(&self.folder)?.sync_all()
    }

    pub(super) fn forget(&self, name: &str) -> io::Result<()> {
        fs::remove_file(self.place(name))
    }
}
