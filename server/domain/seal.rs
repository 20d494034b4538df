//! What is hashed, byte for byte: the chain over a job's entries and the register over certificates.
//!
//! `LP(x)` is the length of `x` as four bytes, most significant first, then `x`. Numbers are eight
//! bytes, most significant first. Each hash is SHA-256 and begins with a tag of its own, so that
//! no value of one kind can pass for another. The body is committed to with a salt, so that a
//! body can be erased while the chain still verifies.

use sha2::{Digest as _, Sha256};

use super::ids::{DeviceId, EntryId, JobId, Moment, PersonId, WorkshopId};

/// SHA-256 of bytes.
pub fn sha256(bytes: &[u8]) -> [u8; 32] {
    Sha256::digest(bytes).into()
}

/// Lower-case hexadecimal.
pub fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

struct Hasher(Sha256);

impl Hasher {
    fn tagged(tag: &str) -> Self {
        let mut inner = Sha256::new();
        inner.update(tag.as_bytes());
        Self(inner)
    }

    fn part(mut self, bytes: &[u8]) -> Self {
        // Nothing that is hashed comes near 4 GiB; every part has a named limit.
        let length = u32::try_from(bytes.len()).unwrap_or(u32::MAX);
        self.0.update(length.to_be_bytes());
        self.0.update(bytes);
        self
    }

    fn finish(self) -> [u8; 32] {
        self.0.finalize().into()
    }
}

/// The value that a job's chain starts from.
pub fn job_genesis(job: JobId, workshop: WorkshopId) -> [u8; 32] {
    Hasher::tagged("job/1\n").part(job.0.as_bytes()).part(workshop.0.as_bytes()).finish()
}

/// The salted commitment to a body.
pub fn body_commitment(salt: &[u8; 16], body: &[u8]) -> [u8; 32] {
    Hasher::tagged("body/1\n").part(salt).part(body).finish()
}

/// What the server adds to a body, as far as it is hashed.
#[derive(Debug, Clone, Copy)]
pub struct Link<'a> {
    pub job: JobId,
    pub seq: u64,
    pub prev: &'a [u8; 32],
    pub entry: EntryId,
    pub device: DeviceId,
    pub person: PersonId,
    pub received: Moment,
    pub commitment: &'a [u8; 32],
}

/// The chain's value after an entry.
pub fn entry_hash(link: &Link<'_>) -> [u8; 32] {
    Hasher::tagged("entry/1\n")
        .part(link.job.0.as_bytes())
        .part(&link.seq.to_be_bytes())
        .part(link.prev)
        .part(link.entry.0.as_bytes())
        .part(link.device.0.as_bytes())
        .part(link.person.0.as_bytes())
        .part(&link.received.0.to_be_bytes())
        .part(link.commitment)
        .finish()
}

/// One line of the register over a workshop's certificates.
///
/// | kind                           | `number`        | `record_sha256`             | `pdf_sha256`                |
/// |--------------------------------|-----------------|-----------------------------|-----------------------------|
/// | `issue`, `replace`, `withdraw` | the certificate | its record                  | its whole file              |
/// | `key`: the seal changes        | empty           | certificate of the old seal | certificate of the new seal |
/// | `epoch`: nothing has changed   | empty           | noughts                     | noughts                     |
///
/// Certificates of seals are hashed as DER, so that both values are the seals' fingerprints.
#[derive(Debug, Clone, Copy)]
pub struct RegisterLine<'a> {
    pub index: u64,
    pub prev: &'a [u8; 32],
    /// `issue`, `withdraw`, `replace`, `key` or `epoch`.
    pub kind: &'a str,
    pub number: &'a str,
    pub record_sha256: &'a [u8; 32],
    pub pdf_sha256: &'a [u8; 32],
    pub at: Moment,
}

/// The register's value after a line.
pub fn register_hash(line: &RegisterLine<'_>) -> [u8; 32] {
    Hasher::tagged("reg/1\n")
        .part(&line.index.to_be_bytes())
        .part(line.prev)
        .part(line.kind.as_bytes())
        .part(line.number.as_bytes())
        .part(line.record_sha256)
        .part(line.pdf_sha256)
        .part(&line.at.0.to_be_bytes())
        .finish()
}
