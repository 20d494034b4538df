//! A phone's outbox as a file: what it holds when no signal comes any more. Read here, believed nowhere:
//! every entry is checked again as if it had been sent.

use serde::Deserialize;
use serde_json::value::RawValue;

use super::entry::Digest;
use super::ids::{DeviceId, JobId, PersonId};

/// Version of the file that this program reads.
pub const OUTBOX_VERSION: u32 = 1;
/// Largest file.
pub const OUTBOX_MIB_MAX: usize = 40;
/// Entries of one file.
pub const OUTBOX_ENTRIES_MAX: usize = 2_000;
/// Photos of one file.
pub const OUTBOX_PHOTOS_MAX: usize = 500;

/// What a phone saved.
#[derive(Debug, Clone)]
pub struct OutboxFile {
    /// Of the exact bytes of the file.
    pub sha256: Digest,
    pub saved: String,
    pub person: PersonId,
    pub person_name: String,
    pub device: Option<DeviceId>,
    pub entries: Vec<HeldEntry>,
    pub photos: Vec<HeldPhoto>,
}

/// The exact text of a body, and the job it was made for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldEntry {
    pub job: JobId,
    pub body: String,
}

/// A photo as base 64 text, not looked at yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldPhoto {
    pub sha256: Digest,
    pub base64: String,
}

/// Why a file cannot be loaded.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OutboxFault {
    #[error("The file is empty. Choose the file that the phone saved")]
    Empty,
    #[error("The file is larger than {OUTBOX_MIB_MAX} MiB. Save the outbox again on the phone")]
    TooLarge,
    #[error(
        "This is not a phone's outbox: its name begins with fusewright-outbox and ends with .json. Choose \
         that file"
    )]
    NotAnOutbox,
    #[error("The file is of version {0}, which this server does not know. Update the server")]
    UnknownVersion(u64),
    #[error("The file is damaged ({0}). Save the outbox again on the phone")]
    Damaged(String),
    #[error("Nothing is in this file. The phone has sent all it had")]
    NothingInIt,
    #[error(
        "The file holds more than {OUTBOX_ENTRIES_MAX} entries, which no phone saves. Save the outbox again"
    )]
    TooManyEntries,
    #[error(
        "The file holds more than {OUTBOX_PHOTOS_MAX} photos, which no phone saves. Save the outbox again"
    )]
    TooManyPhotos,
}

#[derive(Deserialize)]
struct Version {
    fusewright_outbox: u64,
}

#[derive(Deserialize)]
struct Written {
    saved: String,
    person: PersonId,
    person_name: String,
    device: Option<DeviceId>,
    entries: Vec<WrittenEntry>,
    photos: Vec<WrittenPhoto>,
}

#[derive(Deserialize)]
struct WrittenEntry {
    job: JobId,
    /// Read by itself, so that a text that is none spoils no other.
    body: Box<RawValue>,
}

#[derive(Deserialize)]
struct WrittenPhoto {
    sha256: Digest,
    jpeg: String,
}

impl OutboxFile {
    /// Reads the bytes of a file. Keys that are to come are passed over.
    pub fn read(bytes: &[u8]) -> Result<Self, OutboxFault> {
        if bytes.is_empty() {
            return Err(OutboxFault::Empty);
        }
        if bytes.len() > OUTBOX_MIB_MAX * 1024 * 1024 {
            return Err(OutboxFault::TooLarge);
        }
        let version: Version =
            serde_json::from_slice(bytes).map_err(|_| OutboxFault::NotAnOutbox)?;
        if version.fusewright_outbox != u64::from(OUTBOX_VERSION) {
            return Err(OutboxFault::UnknownVersion(version.fusewright_outbox));
        }
        let written: Written =
            serde_json::from_slice(bytes).map_err(|e| OutboxFault::Damaged(e.to_string()))?;
        check_counts(&written)?;
        Ok(Self {
            sha256: Digest::of(bytes),
            saved: written.saved,
            person: written.person,
            person_name: written.person_name,
            device: written.device,
            entries: written.entries.iter().map(held).collect(),
            photos: written
                .photos
                .into_iter()
                .map(|photo| HeldPhoto { sha256: photo.sha256, base64: photo.jpeg })
                .collect(),
        })
    }

    /// The jobs that it has entries of, each once, in the order of the file.
    pub fn jobs(&self) -> Vec<JobId> {
        let mut jobs = Vec::new();
        for entry in &self.entries {
            if !jobs.contains(&entry.job) {
                jobs.push(entry.job);
            }
        }
        jobs
    }
}

fn check_counts(written: &Written) -> Result<(), OutboxFault> {
    if written.entries.is_empty() && written.photos.is_empty() {
        return Err(OutboxFault::NothingInIt);
    }
    if written.entries.len() > OUTBOX_ENTRIES_MAX {
        return Err(OutboxFault::TooManyEntries);
    }
    if written.photos.len() > OUTBOX_PHOTOS_MAX {
        return Err(OutboxFault::TooManyPhotos);
    }
    Ok(())
}

/// What is no text becomes an empty one, which is refused when it is read as a body.
fn held(written: &WrittenEntry) -> HeldEntry {
    let text = serde_json::from_str(written.body.get());
    HeldEntry { job: written.job, body: text.unwrap_or_default() }
}
