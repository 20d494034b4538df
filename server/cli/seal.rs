//! The files of the seal: made at the first start, kept out of the database, never made anew once
//! certificates were issued with them.

use std::fs;
use std::io::{self, ErrorKind, Write as _};
use std::path::Path;
use std::sync::Arc;

mod keep;

pub(super) use keep::{Seal, run};

use super::Failure;
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::storage::{Store, certificates, imports, workshops};
use crate::world::random;

const KEY: &str = "seal.key.pem";
const CERTIFICATE: &str = "seal.cert.pem";
/// Name of a seal that is made before the workshop has one.
const UNNAMED: &str = "Fusewright workshop seal";
/// The longest name a certificate takes.
const NAME_CHARS_MAX: usize = 64;
/// As long as certificates are kept by default.
const VALID_YEARS: u16 = 10;

/// The seal of the folder; a new one if there never was any.
pub(super) async fn load_or_make(
    store: &Store,
    folder: &Path,
    now: Moment,
) -> Result<Arc<SealKey>, Failure> {
    let key = match (read(&folder.join(KEY))?, read(&folder.join(CERTIFICATE))?) {
        (Some(key), Some(certificate)) => SealKey::from_pem(&key, &certificate).map_err(|why| {
            Failure::new(format!(
                "The seal in {} cannot be used: {why} Put back {KEY} and {CERTIFICATE} as they were.",
                folder.display()
            ))
        })?,
        (None, None) => make(store, folder, now).await?,
        _ => {
            return Err(Failure::new(format!(
                "{} holds only one of {KEY} and {CERTIFICATE}. They belong together: put the other \
                 one back.",
                folder.display()
            )));
        }
    };
    Ok(Arc::new(key))
}

/// The text of a file, or nothing if there is none.
fn read(file: &Path) -> Result<Option<String>, Failure> {
    match fs::read_to_string(file) {
        Ok(text) => Ok(Some(text)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(Failure::new(format!(
            "{} cannot be read ({error}). Give the server's account read access to it.",
            file.display()
        ))),
    }
}

async fn make(store: &Store, folder: &Path, now: Moment) -> Result<SealKey, Failure> {
    let mut issued = 0;
    let mut name = UNNAMED.to_owned();
    for workshop in workshops::list(store).await? {
        let lines = certificates::register_list(store, workshop.id).await?.len() as u64;
        // What came as an archive was sealed elsewhere, with a seal that need not be here.
        let came = imports::find(store, workshop.id).await?.map_or(0, |came| came.register_lines);
        issued += lines.saturating_sub(came);
        name = workshop.name.chars().take(NAME_CHARS_MAX).collect();
    }
    if issued > 0 {
        return Err(Failure::new(format!(
            "{} holds no seal, but certificates were issued with one. Put {KEY} and {CERTIFICATE} \
             back, or name their folder with --key-folder.",
            folder.display()
        )));
    }
    let key = SealKey::create(&name, random()?, now.utc(), VALID_YEARS).map_err(Failure::new)?;
    let private = key.key_pem().map_err(Failure::new)?;
    let public = key.certificate_pem().map_err(Failure::new)?;
    write(folder, &private, &public).map_err(|why| {
        let folder = folder.display();
        Failure::new(format!("The new seal cannot be written to {folder} ({why})."))
    })?;
    Ok(key)
}

/// Writes both files so that they outlast a power cut, the key for this account only.
fn write(folder: &Path, private: &str, public: &str) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)?;
    write_new(&folder.join(CERTIFICATE), public, PUBLIC)?;
    write_new(&folder.join(KEY), private, SECRET)?;
    fs::File::open(folder)?.sync_all()
}

/// Who may read a file: everybody, or this account only.
const PUBLIC: u32 = 0o644;
const SECRET: u32 = 0o600;

/// Writes a file that is not there yet, and waits until the disk has it.
#[cfg_attr(not(unix), expect(unused_variables, reason = "modes are a thing of Unix"))]
fn write_new(path: &Path, text: &str, mode: u32) -> io::Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, mode);
    let mut file = options.open(path)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}
