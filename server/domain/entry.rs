//! What a person recorded for a step, on a device, at a time. Entries are only ever added.

use serde::{Deserialize, Serialize};

use super::ids::{DeviceId, EntryId, InstrumentId, JobId, Moment, PersonId};
use super::number::Decimal;

/// Version of the body format that this program writes. Older ones stay readable.
pub const BODY_VERSION: u32 = 1;
/// A body larger than this is refused (`trust.md` 5.4).
pub const BODY_BYTES_MAX: usize = 16 * 1024;
/// Entries one job may have.
pub const JOB_ENTRIES_MAX: u64 = 2_000;
/// Characters of one remark, reason or note.
pub const TEXT_CHARS_MAX: usize = 2_000;
/// Entries that one manager's entry names as loaded from a phone's file.
pub const LOADED_ENTRIES_MAX: usize = 400;
/// Photos of one entry.
pub const ENTRY_PHOTOS_MAX: usize = 6;

/// What was recorded. Closed: a new kind is a new version of the program.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Payload {
    // --- the technician, at a step
    Confirm {},
    Photo {
        photos: Vec<Digest>,
    },
    Torque {
        value: Decimal,
        instrument: InstrumentId,
    },
    Fuse {
        rating_a: Decimal,
    },
    Order {
        labels: Vec<String>,
    },
    Reading {
        value: Decimal,
        instrument: InstrumentId,
    },
    PathDrop {
        drop_v: Decimal,
        current_a: Decimal,
        instrument: InstrumentId,
        current_instrument: InstrumentId,
    },
    SolarOpen {
        voltage_v: Decimal,
        cell_c: Decimal,
        instrument: InstrumentId,
        thermometer: InstrumentId,
    },
    Note {
        text: String,
    },
    /// A confirm, photo or note step that could not be done, and why. Wants a concession.
    Unable {
        reason: String,
    },
    /// Words or pictures about a step, beside its result: what was re-made, what was seen.
    Remark {
        text: String,
        #[serde(default)]
        photos: Vec<Digest>,
    },
    /// What was done about a defect, named by the entry that opened it.
    Rework {
        defect: EntryId,
        text: String,
    },
    // --- the technician, for the whole job
    Submit {
        signature: Signature,
    },
    // --- the manager
    /// A plan edition was saved; its exact text is committed to by its hash.
    Plan {
        edition: u32,
        sha256: Digest,
    },
    /// A caution of a plan edition, accepted in writing.
    Acknowledge {
        plan: u32,
        finding: String,
        reason: String,
    },
    /// A sheet edition was made from kit and plan.
    Sheet {
        edition: u32,
        plan: u32,
        kit_sha256: Digest,
        plan_sha256: Digest,
        sheet_sha256: Digest,
    },
    Return {
        remark: String,
        steps: Vec<String>,
    },
    /// About the step that the body names.
    Concession {
        reason: String,
    },
    /// Something wrong, at the step that the body names or at the job as a whole.
    Defect {
        text: String,
        #[serde(default)]
        photos: Vec<Digest>,
    },
    /// A defect that no re-test can close was looked at and is put right.
    DefectClosed {
        defect: EntryId,
        text: String,
    },
    Release {
        signature: Signature,
        /// Whoever did the work releases it, as the workshop allows.
        same_person: bool,
    },
    /// Entries of somebody were loaded from their phone's file; they stand behind this one.
    Loaded {
        person: PersonId,
        file_sha256: Digest,
        entries: Vec<EntryId>,
    },
}

impl Payload {
    /// The kind word, as in the body.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Confirm {} => "confirm",
            Self::Photo { .. } => "photo",
            Self::Torque { .. } => "torque",
            Self::Fuse { .. } => "fuse",
            Self::Order { .. } => "order",
            Self::Reading { .. } => "reading",
            Self::PathDrop { .. } => "path_drop",
            Self::SolarOpen { .. } => "solar_open",
            Self::Note { .. } => "note",
            Self::Unable { .. } => "unable",
            Self::Remark { .. } => "remark",
            Self::Rework { .. } => "rework",
            Self::Submit { .. } => "submit",
            Self::Plan { .. } => "plan",
            Self::Acknowledge { .. } => "acknowledge",
            Self::Sheet { .. } => "sheet",
            Self::Return { .. } => "return",
            Self::Concession { .. } => "concession",
            Self::Defect { .. } => "defect",
            Self::DefectClosed { .. } => "defect_closed",
            Self::Release { .. } => "release",
            Self::Loaded { .. } => "loaded",
        }
    }

    /// A result of a step, as opposed to words about it or a decision about the job.
    pub fn is_result(&self) -> bool {
        matches!(
            self,
            Self::Confirm {}
                | Self::Photo { .. }
                | Self::Torque { .. }
                | Self::Fuse { .. }
                | Self::Order { .. }
                | Self::Reading { .. }
                | Self::PathDrop { .. }
                | Self::SolarOpen { .. }
                | Self::Note { .. }
                | Self::Unable { .. }
        )
    }

    /// What only a manager may record.
    pub fn is_managers(&self) -> bool {
        matches!(
            self,
            Self::Plan { .. }
                | Self::Acknowledge { .. }
                | Self::Sheet { .. }
                | Self::Return { .. }
                | Self::Concession { .. }
                | Self::Defect { .. }
                | Self::DefectClosed { .. }
                | Self::Release { .. }
                | Self::Loaded { .. }
        )
    }

    /// The photos that the entry names.
    pub fn photos(&self) -> &[Digest] {
        match self {
            Self::Photo { photos } | Self::Remark { photos, .. } | Self::Defect { photos, .. } => {
                photos
            }
            _ => &[],
        }
    }
}

/// How somebody signed: always the typed name, and the drawn strokes where the device could draw.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signature {
    pub name: String,
    /// SVG path of the strokes in a box of 600 × 200, only `M`, `L`, digits, spaces and points.
    #[serde(default)]
    pub strokes: String,
}

/// A SHA-256 in lower-case hexadecimal, as it stands in bodies.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Digest(String);

impl Digest {
    pub fn of(bytes: &[u8]) -> Self {
        Self(super::seal::hex(&super::seal::sha256(bytes)))
    }

    /// A digest that was worked out elsewhere.
    pub fn from_bytes(sha256: &[u8; 32]) -> Self {
        Self(super::seal::hex(sha256))
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for Digest {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        let sound = text.len() == 64
            && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
        if sound { Ok(Self(text)) } else { Err("a digest is 64 digits of 0-9 and a-f") }
    }
}

impl From<Digest> for String {
    fn from(digest: Digest) -> Self {
        digest.0
    }
}

impl std::fmt::Display for Digest {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// The body that a device writes once and that is hashed byte for byte.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Body {
    /// Format version.
    pub v: u32,
    pub id: EntryId,
    pub job: JobId,
    /// Sheet edition that the person looked at; 0 before the first.
    pub sheet: u32,
    /// Step key; empty where the entry is about the whole job.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub step: String,
    /// Device time, RFC 3339.
    pub at: String,
    /// The entries whose results this one replaces: a correction, knowing what was there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub supersedes: Vec<EntryId>,
    /// The person looked at an improbable figure twice and kept it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub improbable: bool,
    #[serde(flatten)]
    pub payload: Payload,
}

/// Why a body cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BodyFault {
    #[error("The entry is {0} bytes long; at most {BODY_BYTES_MAX} are taken. Shorten its text")]
    TooLong(usize),
    #[error("The entry cannot be read: {0}")]
    Unreadable(String),
    #[error("The entry is of format {0}, which this server does not know. Update the server")]
    UnknownVersion(u32),
    #[error("The time of the entry is not an RFC 3339 time, for example 2026-11-25T14:03:07Z")]
    BadTime,
    #[error("The text is longer than {TEXT_CHARS_MAX} characters. Shorten it")]
    TextTooLong,
    #[error("Write a few words: this entry lives by its text")]
    TextMissing,
    #[error("At least one and at most {ENTRY_PHOTOS_MAX} photos go with one entry")]
    PhotoCount,
    #[error("At least one and at most {LOADED_ENTRIES_MAX} entries are loaded at once")]
    LoadedCount,
    #[error("Type your name to sign")]
    SignatureMissing,
    #[error("The drawn signature cannot be read. Clear it and draw again, or type the name only")]
    SignatureStrokes,
}

impl Body {
    /// Reads a body and checks everything that can be known without its job.
    pub fn read(bytes: &[u8]) -> Result<Self, BodyFault> {
        if bytes.len() > BODY_BYTES_MAX {
            return Err(BodyFault::TooLong(bytes.len()));
        }
        let body: Self =
            serde_json::from_slice(bytes).map_err(|e| BodyFault::Unreadable(e.to_string()))?;
        if body.v != BODY_VERSION {
            return Err(BodyFault::UnknownVersion(body.v));
        }
        Moment::parse(&body.at).ok_or(BodyFault::BadTime)?;
        body.payload.check()?;
        Ok(body)
    }

    /// The exact bytes that are hashed and stored.
    pub fn write(&self) -> Result<Vec<u8>, BodyFault> {
        serde_json::to_vec(self).map_err(|e| BodyFault::Unreadable(e.to_string()))
    }

    /// Device time. [`Body::read`] has refused bodies without one.
    pub fn recorded(&self) -> Moment {
        Moment::parse(&self.at).unwrap_or(Moment(0))
    }
}

impl Payload {
    /// What can be known of it without its job: lengths and counts.
    pub(super) fn check(&self) -> Result<(), BodyFault> {
        match self {
            Self::Note { text }
            | Self::Unable { reason: text }
            | Self::Acknowledge { reason: text, .. }
            | Self::Concession { reason: text, .. }
            | Self::Rework { text, .. }
            | Self::DefectClosed { text, .. }
            | Self::Return { remark: text, .. } => check_text(text),
            Self::Remark { text, photos } | Self::Defect { text, photos } if photos.is_empty() => {
                check_text(text)
            }
            Self::Defect { text, photos } => check_text(text).and_then(|()| check_photos(photos)),
            Self::Remark { text, photos } => {
                check_length(text)?;
                check_photos(photos)
            }
            Self::Photo { photos } => check_photos(photos),
            Self::Loaded { entries, .. } if !(1..=LOADED_ENTRIES_MAX).contains(&entries.len()) => {
                Err(BodyFault::LoadedCount)
            }
            Self::Submit { signature } | Self::Release { signature, .. } => signature.check(),
            _ => Ok(()),
        }
    }
}

fn check_text(text: &str) -> Result<(), BodyFault> {
    if text.trim().is_empty() {
        return Err(BodyFault::TextMissing);
    }
    check_length(text)
}

fn check_length(text: &str) -> Result<(), BodyFault> {
    if text.chars().count() > TEXT_CHARS_MAX { Err(BodyFault::TextTooLong) } else { Ok(()) }
}

fn check_photos(photos: &[Digest]) -> Result<(), BodyFault> {
    if (1..=ENTRY_PHOTOS_MAX).contains(&photos.len()) { Ok(()) } else { Err(BodyFault::PhotoCount) }
}

impl Signature {
    fn check(&self) -> Result<(), BodyFault> {
        if self.name.trim().is_empty() {
            return Err(BodyFault::SignatureMissing);
        }
        check_length(&self.name)?;
        let sound = |c: char| c.is_ascii_digit() || matches!(c, 'M' | 'L' | ' ' | '.');
        if self.strokes.chars().all(sound) { Ok(()) } else { Err(BodyFault::SignatureStrokes) }
    }
}

/// An entry as it stands in the record: the body with what the server added.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Place in the job's chain, from 0 without gaps.
    pub seq: u64,
    pub device: DeviceId,
    pub person: PersonId,
    /// Server clock.
    pub received: Moment,
    /// How far the phone's clock was ahead when it sent this, where it said so. No part of the chain.
    pub clock_ahead_ms: Option<i64>,
    pub body: Body,
    /// The chain's value after this entry.
    pub hash: [u8; 32],
}
