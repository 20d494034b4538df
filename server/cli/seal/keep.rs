//! `fusewright seal`: whose seal this is, a copy of it for the safe, and back; the next one.

use std::fs;
use std::io::{self, BufRead as _, IsTerminal as _};
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::super::{Failure, Outcome, say, wait_for};
use super::{CERTIFICATE, KEY, SECRET, import, read, renew, write, write_new};
use crate::config::{DataFolder, KeyFolder};
use crate::documents::seal_backup::{lock, unlock};
use crate::documents::sign::SealKey;
use crate::domain::seal::hex;

/// Nothing of a seal is longer.
const COPY_BYTES_MAX: u64 = 1 << 16;

#[derive(Debug, Subcommand)]
pub(in crate::cli) enum Seal {
    /// Print its fingerprint and when it ends
    Show(Place),
    /// Write a copy under a passphrase, which is asked for or read from the standard input
    Backup(Copy),
    /// Put a copy back into a key folder that has no seal
    Restore(Copy),
    /// Put a new key and certificate in its place; what was sealed before stays valid
    Renew(Place),
    /// Take key and certificate from a PKCS#12 file (.p12, .pfx), in the place of a seal where there is one
    Import(Incoming),
}

#[derive(Debug, Args)]
pub(in crate::cli) struct Place {
    #[command(flatten)]
    data: DataFolder,
    #[command(flatten)]
    keys: KeyFolder,
}

impl Place {
    pub(super) fn path(&self) -> PathBuf {
        self.keys.path(&self.data)
    }

    pub(super) fn data(&self) -> &Path {
        &self.data.data
    }
}

#[derive(Debug, Args)]
pub(in crate::cli) struct Copy {
    /// The copy; it is not written over
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    place: Place,
}

#[derive(Debug, Args)]
pub(in crate::cli) struct Incoming {
    /// The file; its passphrase is asked for or read from the standard input
    #[arg(value_name = "FILE.p12")]
    pub(super) file: PathBuf,
    #[command(flatten)]
    pub(super) place: Place,
}

pub(in crate::cli) fn run(asked: Seal) -> Outcome {
    match asked {
        Seal::Show(place) => show(&load(&place.path())?),
        Seal::Backup(copy) => backup(&copy)?,
        Seal::Restore(copy) => restore(&copy)?,
        Seal::Renew(place) => return wait_for(renew::run(place)),
        Seal::Import(file) => return wait_for(import::run(file)),
    }
    Ok(0)
}

pub(super) fn show(seal: &SealKey) {
    let end = seal.not_after().map_or_else(|| "–".to_owned(), |end| end.date().to_string());
    say(format!("Fingerprint   {}\nSeals until   {end}", hex(&seal.fingerprint())));
}

pub(super) fn load(folder: &Path) -> Result<SealKey, Failure> {
    let (Some(key), Some(certificate)) =
        (read(&folder.join(KEY))?, read(&folder.join(CERTIFICATE))?)
    else {
        return Err(Failure::new(format!(
            "{} holds no seal. Name its folder with --key-folder.",
            folder.display()
        )));
    };
    SealKey::from_pem(&key, &certificate).map_err(Failure::new)
}

fn backup(copy: &Copy) -> Result<(), Failure> {
    let seal = load(&copy.place.path())?;
    let passphrase = passphrase()?;
    let locked = lock(&seal, &passphrase).map_err(Failure::new)?;
    // A copy that does not open would be found out on the day it is needed.
    unlock(&locked, &passphrase).map_err(Failure::new)?;
    write_new(&copy.file, &locked, SECRET).map_err(|why| {
        Failure::new(format!("{} cannot be written ({why}). Name a new file.", copy.file.display()))
    })?;
    say(format!(
        "{} holds the seal {}. Keep it apart from the server, and the passphrase apart from it: whoever has both \
         can seal in the workshop's name.",
        copy.file.display(),
        hex(&seal.fingerprint())
    ));
    Ok(())
}

fn restore(copy: &Copy) -> Result<(), Failure> {
    let folder = &copy.place.path();
    if [KEY, CERTIFICATE].iter().any(|name| folder.join(name).exists()) {
        return Err(Failure::new(format!(
            "{} holds a seal already. Name an empty folder with --key-folder.",
            folder.display()
        )));
    }
    let no_copy = || Failure::new(format!("{} is no copy of a seal.", copy.file.display()));
    let text = read_small(&copy.file)?.ok_or_else(no_copy)?;
    let text = String::from_utf8(text).map_err(|_| no_copy())?;
    let seal = unlock(&text, &passphrase()?).map_err(Failure::new)?;
    place(&seal, folder)?;
    show(&seal);
    Ok(())
}

/// The bytes of a file; nothing where it is larger than any seal.
pub(super) fn read_small(file: &Path) -> Result<Option<Vec<u8>>, Failure> {
    let fault = |why| Failure::new(format!("{} cannot be read ({why}).", file.display()));
    if fs::metadata(file).map_err(fault)?.len() > COPY_BYTES_MAX {
        return Ok(None);
    }
    Ok(Some(fs::read(file).map_err(fault)?))
}

/// Puts a seal into a folder that has none.
pub(super) fn place(seal: &SealKey, folder: &Path) -> Result<(), Failure> {
    let (key, certificate) = (seal.key_pem(), seal.certificate_pem());
    let (key, certificate) = (key.map_err(Failure::new)?, certificate.map_err(Failure::new)?);
    write(folder, &key, &certificate).map_err(|why| {
        Failure::new(format!("The seal cannot be written to {} ({why}).", folder.display()))
    })
}

/// Asked for without showing it, or the first line of what is handed in.
pub(super) fn passphrase() -> Result<String, Failure> {
    let fault = |why: io::Error| Failure::new(format!("No passphrase was given ({why})."));
    if io::stdin().is_terminal() {
        return rpassword::prompt_password("Passphrase: ").map_err(fault);
    }
    let mut line = String::new();
    io::stdin().lock().read_line(&mut line).map_err(fault)?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}
