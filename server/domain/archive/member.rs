//! The names of an archive's files. A name that is none of these is refused, so no path leads elsewhere.

use std::fmt;

use super::super::entry::{Digest, JOB_ENTRIES_MAX};

/// Files that one archive may hold.
pub const ARCHIVE_MEMBERS_MAX: usize = 20_000;

const KIB: u64 = 1024;
const MIB: u64 = 1024 * KIB;
/// Editions of plan or sheet that a job may have.
const EDITIONS_MAX: u32 = 1_000;
const NUMBER_CHARS_MAX: usize = 50;

/// A file of the archive, in the order in which they are written.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Member {
    Readme,
    Job,
    Customer,
    Entries,
    Register,
    Kit,
    Plan(u32),
    Sheet(u32),
    Photo(Digest),
    /// The sealed PDF of a certificate.
    Paper(String),
    /// The record inside it.
    Record(String),
    Seal(Digest),
    Sums,
}

impl Member {
    /// The member of that name, spelt exactly so.
    pub fn parse(name: &str) -> Option<Self> {
        let member = match name.split_once('/') {
            None => match name {
                "README.txt" => Self::Readme,
                "job.json" => Self::Job,
                "customer.json" => Self::Customer,
                "entries.jsonl" => Self::Entries,
                "register.jsonl" => Self::Register,
                "kit.toml" => Self::Kit,
                "SHA256SUMS" => Self::Sums,
                _ => return None,
            },
            Some((folder, file)) => match (folder, file.split_once('.')?) {
                ("plans", (edition, "toml")) => Self::Plan(edition_of(edition)?),
                ("sheets", (edition, "json")) => Self::Sheet(edition_of(edition)?),
                ("photos", (digest, "jpg")) => Self::Photo(digest_of(digest)?),
                ("certificates", (number, "pdf")) => Self::Paper(number_of(number)?),
                ("certificates", (number, "json")) => Self::Record(number_of(number)?),
                ("seals", (digest, "pem")) => Self::Seal(digest_of(digest)?),
                _ => return None,
            },
        };
        // `07` would be another way to write 7.
        (member.to_string() == name).then_some(member)
    }

    /// How large it may be.
    pub fn bytes_max(&self) -> u64 {
        match self {
            Self::Readme | Self::Customer | Self::Seal(_) => 64 * KIB,
            // Each entry has a body of up to 16 KiB, whose quotes are escaped, and its hashes.
            Self::Entries => JOB_ENTRIES_MAX * 50 * KIB,
            Self::Register => 128 * MIB,
            Self::Job | Self::Photo(_) => 8 * MIB,
            Self::Sums | Self::Record(_) => 4 * MIB,
            Self::Kit | Self::Plan(_) | Self::Sheet(_) => MIB,
            Self::Paper(_) => 64 * MIB,
        }
    }
}

fn edition_of(text: &str) -> Option<u32> {
    text.parse().ok().filter(|edition| (1..=EDITIONS_MAX).contains(edition))
}

fn digest_of(text: &str) -> Option<Digest> {
    Digest::try_from(text.to_owned()).ok()
}

fn number_of(text: &str) -> Option<String> {
    let plain = (1..=NUMBER_CHARS_MAX).contains(&text.len())
        && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
    plain.then(|| text.to_owned())
}

impl fmt::Display for Member {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Readme => f.write_str("README.txt"),
            Self::Job => f.write_str("job.json"),
            Self::Customer => f.write_str("customer.json"),
            Self::Entries => f.write_str("entries.jsonl"),
            Self::Register => f.write_str("register.jsonl"),
            Self::Kit => f.write_str("kit.toml"),
            Self::Plan(edition) => write!(f, "plans/{edition}.toml"),
            Self::Sheet(edition) => write!(f, "sheets/{edition}.json"),
            Self::Photo(digest) => write!(f, "photos/{digest}.jpg"),
            Self::Paper(number) => write!(f, "certificates/{number}.pdf"),
            Self::Record(number) => write!(f, "certificates/{number}.json"),
            Self::Seal(digest) => write!(f, "seals/{digest}.pem"),
            Self::Sums => f.write_str("SHA256SUMS"),
        }
    }
}
