//! The files of the seal: made at the first start, kept out of the database, never made anew once
//! certificates were issued with them.

use std::fs;
use std::io::{self, ErrorKind, Write as _};
use std::path::Path;
use std::sync::Arc;

mod change;
mod import;
mod keep;
mod renew;

pub(super) use change::drop_old_keys;
pub(super) use keep::{Seal, run};

use super::Failure;
use crate::acts::seals;
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::domain::seal::hex;
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
    change::finish(store, folder).await?;
    let key = match (read(&folder.join(KEY))?, read(&folder.join(CERTIFICATE))?) {
        (Some(key), Some(certificate)) => {
            let seal = SealKey::from_pem(&key, &certificate).map_err(|why| {
                Failure::new(format!(
                    "The seal in {} cannot be used: {why} Put back {KEY} and {CERTIFICATE} as they were.",
                    folder.display()
                ))
            })?;
            check_in_use(store, &seal, folder).await?;
            seal
        }
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

/// Refuses a seal that is not the one the register knows: nobody could tell who authorised it.
async fn check_in_use(store: &Store, seal: &SealKey, folder: &Path) -> Result<(), Failure> {
    let ours = hex(&seal.fingerprint());
    match seals::in_use(store).await? {
        Some(known) if known != ours => Err(Failure::new(format!(
            "The seal in {} is {ours}, but the database knows {known} as the one in use. Put the files of that \
             seal back as {KEY} and {CERTIFICATE}, or the database that goes with this one.",
            folder.display()
        ))),
        _ => Ok(()),
    }
}

/// What is said at the start about a seal that comes near its end.
pub(super) fn ends_soon(seal: &SealKey, now: Moment) -> Option<String> {
    let end = seal.ends_soon(now.utc())?.date();
    Some(format!(
        "The seal ends on {end}; after that no certificate can be made. Stop the server and change it with \
         `fusewright seal renew`."
    ))
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
    if has_sealed(store).await? {
        return Err(Failure::new(format!(
            "{} holds no seal, but certificates were issued with one. Put {KEY} and {CERTIFICATE} \
             back, or name their folder with --key-folder.",
            folder.display()
        )));
    }
    let key = SealKey::create(&name(store).await?, random()?, now.utc(), VALID_YEARS)
        .map_err(Failure::new)?;
    let private = key.key_pem().map_err(Failure::new)?;
    let public = key.certificate_pem().map_err(Failure::new)?;
    write(folder, &private, &public).map_err(|why| {
        let folder = folder.display();
        Failure::new(format!("The new seal cannot be written to {folder} ({why})."))
    })?;
    Ok(key)
}

/// Whether anything was sealed that a new seal would not fit.
async fn has_sealed(store: &Store) -> Result<bool, Failure> {
    for workshop in workshops::list(store).await? {
        let lines = certificates::register_list(store, workshop.id).await?;
        // What came as an archive was sealed elsewhere, with a seal that need not be here.
        let came = imports::find(store, workshop.id).await?.map_or(0, |came| came.register_lines);
        if lines.iter().any(|line| line.index >= came && line.kind != "epoch") {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Whose seal it is, as its certificate names it.
async fn name(store: &Store) -> Result<String, Failure> {
    let workshop = workshops::list(store).await?.pop();
    let name = workshop.map_or_else(|| UNNAMED.to_owned(), |workshop| workshop.name);
    Ok(name.chars().take(NAME_CHARS_MAX).collect())
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
fn write_new(path: &Path, text: &str, mode: u32) -> io::Result<()> {
    write_with(fs::OpenOptions::new().write(true).create_new(true), path, text, mode)
}

/// The same for a file that may be there.
fn write_over(path: &Path, text: &str, mode: u32) -> io::Result<()> {
    write_with(fs::OpenOptions::new().write(true).create(true).truncate(true), path, text, mode)
}

#[cfg_attr(not(unix), expect(unused_variables, reason = "modes are a thing of Unix"))]
fn write_with(options: &mut fs::OpenOptions, path: &Path, text: &str, mode: u32) -> io::Result<()> {
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(options, mode);
    let mut file = options.open(path)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()
}
