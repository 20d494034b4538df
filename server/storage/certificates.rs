//! Certificates, their files, and the register that has a line for each.

mod append;
mod standing;

use std::path::PathBuf;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{JobId, Moment, WorkshopId};
use crate::domain::seal::sha256;

use super::chain::{REGISTER_GENESIS, check_line, line_hash};
use super::columns::{Columns as _, stored};
use super::open::below;
use super::{StorageError, Store, files};

pub(super) use append::insert;
pub use append::{NewCertificate, append, keep_file};
pub use standing::{Standing, Status, standing};

pub(super) const FOLDER: &str = "certificates";

/// What a certificate has to carry, known before it is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Next {
    /// Its place in the register.
    pub index: u64,
    /// The register's value before it.
    pub prev: [u8; 32],
    /// Its version for the job, from 1.
    pub version: u32,
    /// The number of the version before.
    pub replaces: Option<String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CertificateRow {
    pub workshop: WorkshopId,
    pub number: String,
    pub job: JobId,
    pub version: u32,
    /// The embedded record, byte for byte.
    pub record: Vec<u8>,
    pub pdf_sha256: [u8; 32],
    /// The check code printed on it.
    pub code: String,
    pub issued: Moment,
    /// Its line in the register.
    pub index: u64,
    /// The number of the version after it, if one was issued.
    pub replaced_by: Option<String>,
    /// When it was withdrawn, if it was.
    pub withdrawn: Option<Moment>,
}

impl CertificateRow {
    /// Neither replaced nor withdrawn.
    pub fn is_in_force(&self) -> bool {
        self.replaced_by.is_none() && self.withdrawn.is_none()
    }
}

/// A line of the register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    pub index: u64,
    pub prev: [u8; 32],
    /// `issue`, `withdraw`, `replace`, `key` or `epoch`.
    pub kind: String,
    pub number: String,
    pub record_sha256: [u8; 32],
    pub pdf_sha256: [u8; 32],
    pub at: Moment,
    pub hash: [u8; 32],
}

macro_rules! select {
    ($rest:literal) => {
        concat!(
            "select c.*, n.number as replaced_by, w.at_ms as withdrawn_ms from certificate c \
             left join certificate n on n.workshop_id = c.workshop_id and n.job_id = c.job_id \
             and n.version = c.version + 1 \
             left join withdrawal w on w.workshop_id = c.workshop_id and w.number = c.number where ",
            $rest
        )
    };
}
pub(super) use select;

/// What the job's next certificate has to carry.
pub async fn next(store: &Store, workshop: WorkshopId, job: JobId) -> Result<Next, StorageError> {
    let last = sqlx::query(LAST_LINE).bind(workshop.0);
    let (index, prev) = end(last.fetch_optional(store.readers()).await?.as_ref())?;
    let newest = sqlx::query(
        "select number, version from certificate where workshop_id = $1 and job_id = $2 \
         order by version desc limit 1",
    )
    .bind(workshop.0)
    .bind(job.0)
    .fetch_optional(store.readers())
    .await?;
    let Some(row) = newest else {
        return Ok(Next { index, prev, version: 1, replaces: None });
    };
    let version = row.number::<u32>("version")? + 1;
    Ok(Next { index, prev, version, replaces: Some(row.text("number")?) })
}

pub(super) const LAST_LINE: &str =
    "select * from register where workshop_id = $1 order by idx desc limit 1";

/// The index and previous value that follow on the last line, which is checked.
pub(super) fn end(last: Option<&SqliteRow>) -> Result<(u64, [u8; 32]), StorageError> {
    let Some(row) = last else { return Ok((0, REGISTER_GENESIS)) };
    let last = line(row)?;
    check_line(&last, last.index, &last.prev)
        .map_err(|why| StorageError::RegisterBroken { index: last.index, why })?;
    Ok((last.index + 1, last.hash))
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    number: &str,
) -> Result<Option<CertificateRow>, StorageError> {
    let row = sqlx::query(select!("c.workshop_id = $1 and c.number = $2"))
        .bind(workshop.0)
        .bind(number)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| certificate(&row)).transpose()
}

/// For whoever checks a certificate and knows nothing but its number.
pub async fn find(store: &Store, number: &str) -> Result<Option<CertificateRow>, StorageError> {
    let row =
        sqlx::query(select!("c.number = $1")).bind(number).fetch_optional(store.readers()).await?;
    row.map(|row| certificate(&row)).transpose()
}

/// The record of the workshop's newest certificate.
pub async fn newest_record(
    store: &Store,
    workshop: WorkshopId,
) -> Result<Option<Vec<u8>>, StorageError> {
    let newest =
        "select record from certificate where workshop_id = $1 order by register_idx desc limit 1";
    let row = sqlx::query(newest).bind(workshop.0).fetch_optional(store.readers()).await?;
    row.map(|row| row.bytes("record")).transpose()
}

/// A job's certificates, the first version first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<CertificateRow>, StorageError> {
    let rows = sqlx::query(select!("c.workshop_id = $1 and c.job_id = $2 order by c.version"))
        .bind(workshop.0)
        .bind(job.0)
        .fetch_all(store.readers())
        .await?;
    rows.iter().map(certificate).collect()
}

/// The file, exactly as it was issued: another one is not given out.
pub async fn pdf(store: &Store, certificate: &CertificateRow) -> Result<Vec<u8>, StorageError> {
    let path = path(store, &certificate.number);
    let bytes = files::blocking(move || files::read(&path)).await?;
    let bytes = bytes.ok_or_else(|| StorageError::unreadable("certificate", "its file is gone"))?;
    if sha256(&bytes) == certificate.pdf_sha256 {
        Ok(bytes)
    } else {
        Err(StorageError::unreadable("certificate", "its file was changed"))
    }
}

/// The whole register, each line checked against the one before.
pub async fn register_list(store: &Store, workshop: WorkshopId) -> Result<Vec<Line>, StorageError> {
    let rows = sqlx::query(REGISTER).bind(workshop.0).fetch_all(store.readers()).await?;
    let lines: Vec<Line> = rows.iter().map(line).collect::<Result<_, _>>()?;
    let mut prev = REGISTER_GENESIS;
    for (index, line) in (0..).zip(&lines) {
        check_line(line, index, &prev)
            .map_err(|why| StorageError::RegisterBroken { index: line.index, why })?;
        prev = line.hash;
    }
    Ok(lines)
}

pub(super) const REGISTER: &str = "select * from register where workshop_id = $1 order by idx";

/// Numbers hold letters, digits and hyphens alone; a constraint keeps it so.
pub(super) fn path(store: &Store, number: &str) -> PathBuf {
    below(store, FOLDER).join(format!("{number}.pdf"))
}

pub(super) fn line(row: &SqliteRow) -> Result<Line, StorageError> {
    Ok(Line {
        index: row.number("idx")?,
        prev: row.array("prev")?,
        kind: row.text("kind")?,
        number: row.text("number")?,
        record_sha256: row.array("record_sha256")?,
        pdf_sha256: row.array("pdf_sha256")?,
        at: row.moment("at_ms")?,
        hash: row.array("hash")?,
    })
}

/// Adds a line that follows on the last one; its hash is worked out here.
pub(super) async fn insert_line(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    line: Line,
) -> Result<(), StorageError> {
    let hash = line_hash(&line);
    sqlx::query(
        "insert into register (workshop_id, idx, prev, kind, number, record_sha256, pdf_sha256, \
         at_ms, hash) values ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(workshop.0)
    .bind(stored(line.index))
    .bind(line.prev.as_slice())
    .bind(line.kind)
    .bind(line.number)
    .bind(line.record_sha256.as_slice())
    .bind(line.pdf_sha256.as_slice())
    .bind(line.at.0)
    .bind(hash.as_slice())
    .execute(db)
    .await?;
    Ok(())
}

pub(super) fn certificate(row: &SqliteRow) -> Result<CertificateRow, StorageError> {
    Ok(CertificateRow {
        workshop: WorkshopId(row.uuid("workshop_id")?),
        number: row.text("number")?,
        job: JobId(row.uuid("job_id")?),
        version: row.number("version")?,
        record: row.bytes("record")?,
        pdf_sha256: row.array("pdf_sha256")?,
        code: row.text("code")?,
        issued: row.moment("issued_ms")?,
        index: row.number("register_idx")?,
        replaced_by: row.text_or_none("replaced_by")?,
        withdrawn: row.signed_or_none("withdrawn_ms")?.map(Moment),
    })
}
