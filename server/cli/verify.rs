//! `fusewright verify`: a folder with everything in it recomputed, or one certificate or exported job checked
//! with nothing but its file.

mod archive;

use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;

use super::{Failure, Outcome, complain, folder, harmless, say, wait_for};
use crate::acts::seals;
use crate::config::DataFolder;
use crate::documents::paper::grouped_hex;
use crate::documents::time_stamp::Stamp;
use crate::documents::verify::{Carried, check_certificate};
use crate::domain::seal::hex;
use crate::storage::verify::{Report, verify};
use crate::storage::{Store, workshops};

/// A certificate is not larger; what is, is none.
const FILE_BYTES_MAX: u64 = 64 << 20;
const FINGERPRINT_DIGITS: usize = 64;

/// Recompute every chain, the register and every digest; or check a certificate or an exported job without
/// server and network
#[derive(Debug, Args)]
pub(super) struct Verify {
    /// A certificate as PDF, or an exported job as ZIP; without one, the data folder is looked through
    #[arg(value_name = "CERTIFICATE.pdf|ARCHIVE.zip")]
    file: Option<PathBuf>,
    /// The fingerprint that the workshop publishes: 64 hexadecimal digits, spaces and colons do not matter
    #[arg(long, value_name = "FINGERPRINT", requires = "file")]
    seal: Option<String>,
    #[command(flatten)]
    folder: DataFolder,
}

pub(super) fn run(asked: Verify) -> Outcome {
    match asked.file {
        Some(file) => check(&file, asked.seal.as_deref()),
        None => wait_for(look_through(asked.folder)),
    }
}

/// One certificate: 0 if it is exactly as it was sealed, and by the seal that was named.
fn check(file: &Path, seal: Option<&str>) -> Outcome {
    let expected = seal.map(fingerprint).transpose()?;
    if archive::is_archive(file) {
        return archive::verify(file, expected.as_deref());
    }
    let pdf = read(file)?;
    let name = file.display();
    let carried = match check_certificate(&pdf) {
        Ok(carried) => carried,
        Err(why) => {
            complain(&format!("{name} is not valid. {why}"));
            return Ok(1);
        }
    };
    if expected.as_ref().is_some_and(|expected| *expected != hex(&carried.seal.fingerprint)) {
        complain(&format!(
            "{name} was sealed by another seal, {}. It is not from the workshop whose seal you named.",
            grouped_hex(&carried.seal.fingerprint)
        ));
        return Ok(1);
    }
    say(harmless(&told(&carried, expected.is_some())));
    Ok(0)
}

fn read(file: &Path) -> Result<Vec<u8>, Failure> {
    let fault = |why| Failure::new(format!("{} cannot be read ({why}).", file.display()));
    let bytes = fs::metadata(file).map_err(fault)?.len();
    if bytes > FILE_BYTES_MAX {
        return Err(Failure::new(format!(
            "{} is larger than any certificate. Name the PDF that the workshop handed over.",
            file.display()
        )));
    }
    fs::read(file).map_err(fault)
}

fn fingerprint(typed: &str) -> Result<String, Failure> {
    let digits: String = typed.chars().filter(|c| !matches!(c, ' ' | ':')).collect();
    if digits.len() == FINGERPRINT_DIGITS && digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return Ok(digits.to_ascii_lowercase());
    }
    Err(Failure::new(
        "A fingerprint has 64 hexadecimal digits. Type it as the workshop publishes it, in quotation marks.",
    ))
}

/// What an intact certificate says, and what its file alone cannot say.
fn told(carried: &Carried, is_named: bool) -> String {
    let (said, seal) = (&carried.said, &carried.seal);
    let whose = if is_named {
        "It is the seal that you named."
    } else {
        "Compare it with the one that the workshop publishes: anybody can make a seal."
    };
    format!(
        "Unchanged since it was sealed.\n\
         Certificate   {} of {}, job {}\n\
         Issued        {}\n\
         Steps         {}, each passed, done or accepted by a concession\n\
         Check code    {}\n\
         Record        SHA-256 {}\n\
         Job's chain   {} entries, head {}\n\
         Register      line {}, after {}\n\
         Seal          {}\n\
         {whose}\n\
         Time stamp    {}\n\
         Whether it was withdrawn or replaced since stands on the workshop's page, not in the file.",
        said.number,
        said.workshop,
        said.job_number,
        said.issued,
        said.steps.len(),
        spaced(&carried.code, 4),
        grouped_hex(&carried.record_sha256),
        said.entry_count,
        spaced(&said.head, 8),
        said.register_index,
        spaced(&said.register_prev, 8),
        grouped_hex(&seal.fingerprint),
        stamped(seal.stamp.as_ref()),
    )
}

fn stamped(stamp: Option<&Stamp>) -> String {
    let none = || "none: the time is that of the workshop's clock".to_owned();
    stamp.map_or_else(none, |stamp| {
        let whose = grouped_hex(&stamp.fingerprint);
        format!("{} by {}, whose certificate is {whose}", stamp.when(), stamp.authority)
    })
}

fn spaced(text: &str, group: usize) -> String {
    let chars: Vec<char> = text.chars().collect();
    chars.chunks(group).map(|part| part.iter().collect::<String>()).collect::<Vec<_>>().join(" ")
}

async fn look_through(folder: DataFolder) -> Outcome {
    let store = folder::open(&folder.data).await?;
    let done = look(&store).await;
    store.close().await;
    let faults = done?;
    Ok(u8::from(faults > 0))
}

/// Looks through every workshop and gives the number of faults.
async fn look(store: &Store) -> Result<usize, Failure> {
    let mut faults = 0;
    for workshop in workshops::list(store).await? {
        let report = verify(store, workshop.id).await?;
        say(format!("{}: {}", workshop.name, seen(&report)));
        for fault in &report.faults {
            complain(&format!("{fault}."));
        }
        let unsigned = seals::faults(store, &workshop).await?;
        for (index, what) in &unsigned {
            complain(&format!("Register, line {index}: {what}."));
        }
        faults += report.faults.len() + unsigned.len();
    }
    say(match faults {
        0 => "Nothing was changed.".to_owned(),
        1 => "One fault was found.".to_owned(),
        many => format!("{many} faults were found."),
    });
    Ok(faults)
}

fn seen(report: &Report) -> String {
    format!(
        "{} jobs with {} entries, {} plan editions, {} kits, {} photos, {} certificates, {} lines \
         of the register.",
        report.jobs,
        report.entries,
        report.plans,
        report.kits,
        report.photos,
        report.certificates,
        report.register_lines
    )
}
