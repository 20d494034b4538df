//! `fusewright kit`: kit files checked, brought in and written out.

use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use clap::Subcommand;

use super::{Failure, Outcome, complain, folder, say, wait_for};
use crate::config::DataFolder;
use crate::domain::document::Fault;
use crate::domain::ids::KitId;
use crate::domain::kit::Kit as SoundKit;
use crate::domain::kit_check::read_kit;
use crate::storage::kits::{self, NewKit};
use crate::world::{Clock, new_id};

/// A document has faults.
pub(super) const FAULTY: u8 = 3;

#[derive(Debug, Subcommand)]
pub(super) enum Kit {
    /// Check kit files and list every fault with its line (exit code 3 if there is one)
    Check {
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
    },
    /// Bring a kit file into the workshop, also while the server runs
    Import {
        #[arg(value_name = "FILE")]
        file: PathBuf,
        #[command(flatten)]
        folder: DataFolder,
    },
    /// Write out a kit edition as it was brought in, also while the server runs
    Export {
        #[arg(value_name = "CODE")]
        code: String,
        #[arg(value_name = "EDITION")]
        edition: u32,
        #[command(flatten)]
        folder: DataFolder,
        /// File to write; the kit is printed if it is not given
        #[arg(long, value_name = "FILE")]
        to: Option<PathBuf>,
    },
}

pub(super) fn run(kit: Kit) -> Outcome {
    match kit {
        Kit::Check { files } => Ok(check(&files)),
        Kit::Import { file, folder } => wait_for(import(file, folder)),
        Kit::Export { code, edition, folder, to } => wait_for(export(code, edition, folder, to)),
    }
}

fn check(files: &[PathBuf]) -> u8 {
    let mut code = 0;
    for file in files {
        match load(file) {
            Ok((kit, _)) => say(format!(
                "{}: sound. {} edition {}, {}",
                file.display(),
                kit.code,
                kit.edition,
                kit.title
            )),
            Err(failure) => {
                complain(&failure.sentence);
                code = failure.code;
            }
        }
    }
    code
}

/// Reads and checks a kit file.
pub(super) fn load(file: &Path) -> Result<(SoundKit, String), Failure> {
    let text = read(file)?;
    let kit = read_kit(&text).map_err(|faults| faulty(file, &faults))?;
    Ok((kit, text))
}

pub(super) fn read(file: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(file).map_err(|why| {
        let sentence = format!("{} cannot be read as text ({why}).", file.display());
        Failure::new(sentence).with_code(FAULTY)
    })
}

/// All faults of a document, each with its line.
pub(super) fn faulty(file: &Path, faults: &[Fault]) -> Failure {
    let count = match faults.len() {
        1 => "one fault".to_owned(),
        many => format!("{many} faults"),
    };
    let lines: Vec<String> = faults.iter().map(|fault| format!("  {fault}")).collect();
    Failure::new(format!("{} has {count}:\n{}", file.display(), lines.join("\n"))).with_code(FAULTY)
}

async fn import(file: PathBuf, folder: DataFolder) -> Outcome {
    let (kit, text) = load(&file)?;
    let store = folder::open_beside(&folder.data).await?;
    let done = bring_in(&store, kit, text).await;
    store.close().await;
    done.map(say).map(|()| 0)
}

async fn bring_in(
    store: &crate::storage::Store,
    kit: SoundKit,
    text: String,
) -> Result<String, Failure> {
    let (workshop, owner) = folder::workshop(store).await?;
    let now = Clock::system().now();
    let new = NewKit {
        id: KitId(new_id(now)?),
        code: kit.code,
        edition: kit.edition,
        title: kit.title,
        source: text.into_bytes(),
        imported: now,
        imported_by: owner.id,
    };
    let row = kits::append(store, workshop.id, new).await?;
    Ok(format!("{} edition {} is in the workshop: {}", row.code, row.edition, row.title))
}

async fn export(code: String, edition: u32, folder: DataFolder, to: Option<PathBuf>) -> Outcome {
    let store = folder::open_beside(&folder.data).await?;
    let found = take_out(&store, &code, edition).await;
    store.close().await;
    let source = found?;
    let Some(file) = to else {
        let _ = std::io::stdout().lock().write_all(&source);
        return Ok(0);
    };
    write_new(&file, &source)?;
    say(format!("{code} edition {edition} is in {}", file.display()));
    Ok(0)
}

async fn take_out(
    store: &crate::storage::Store,
    code: &str,
    edition: u32,
) -> Result<Vec<u8>, Failure> {
    let (workshop, _) = folder::workshop(store).await?;
    let none = || Failure::new(format!("The workshop has no kit {code} of edition {edition}."));
    let row = kits::find(store, workshop.id, code, edition).await?.ok_or_else(none)?;
    let (_, source) = kits::load(store, workshop.id, row.id).await?.ok_or_else(none)?;
    Ok(source)
}

/// Writes a file that is not there yet: what somebody else keeps under this name stays.
fn write_new(file: &Path, bytes: &[u8]) -> Result<(), Failure> {
    std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(file)
        .and_then(|mut open| open.write_all(bytes))
        .map_err(|why| {
            let file = file.display();
            Failure::new(match why.kind() {
                ErrorKind::AlreadyExists => {
                    format!("{file} is there already. Name another file, or move it away first.")
                }
                _ => format!("{file} cannot be written ({why})."),
            })
        })
}
