//! Issuing: the file durable under its number, then the register's line and the certificate's row.

use std::path::PathBuf;

use sqlx::SqliteConnection;

use crate::domain::ids::{JobId, Moment, WorkshopId};
use crate::domain::seal::sha256;

use super::super::columns::stored;
use super::super::error::taken;
use super::super::files::{self, Aside};
use super::super::{Conflict, StorageError, Store};
use super::{CertificateRow, LAST_LINE, Line, certificate, end, insert_line, path, select};

/// A finished certificate. From version 2 on it replaces the one before.
#[derive(Debug, Clone)]
pub struct NewCertificate {
    pub job: JobId,
    /// Letters, digits and hyphens.
    pub number: String,
    pub version: u32,
    pub code: String,
    /// The embedded record, byte for byte.
    pub record: Vec<u8>,
    /// The sealed file, byte for byte.
    pub pdf: Vec<u8>,
    pub issued: Moment,
    /// The place in the register that it was made for.
    pub expect_index: u64,
}

/// Issues a certificate, unless the register has moved on since it was made.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    new: NewCertificate,
) -> Result<CertificateRow, StorageError> {
    if !is_plain(&new.number) {
        return Err(Conflict::Rule.into());
    }
    let NewCertificate { job, number, version, code, record, pdf, issued, expect_index } = new;
    let path = path(store, &number);
    let row = CertificateRow {
        workshop,
        number,
        job,
        version,
        record,
        pdf_sha256: sha256(&pdf),
        code,
        issued,
        index: expect_index,
        replaced_by: None,
        withdrawn: None,
    };
    let folder = store.folder().to_owned();
    let file = store.write_files(move || Aside::write(&folder, &pdf)).await?;
    store.write(move |db| Box::pin(issue(db, row, file, path))).await
}

/// The file alone, of a certificate that was issued elsewhere: nothing names it yet.
pub async fn keep_file(store: &Store, number: &str, pdf: Vec<u8>) -> Result<(), StorageError> {
    if !is_plain(number) {
        return Err(Conflict::Rule.into());
    }
    let (folder, path) = (store.folder().to_owned(), path(store, number));
    store.write_files(move || Aside::write(&folder, &pdf)?.keep_as(&path)).await
}

fn is_plain(number: &str) -> bool {
    !number.is_empty() && number.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
}

/// The file gets its name in here, though it makes the writer wait for a flush: of two that were
/// made for the same place only one may have it, and no other file may end up under its number.
async fn issue(
    db: &mut SqliteConnection,
    row: CertificateRow,
    file: Aside,
    path: PathBuf,
) -> Result<CertificateRow, StorageError> {
    if let Some(there) = find(&mut *db, &row).await? {
        let same = there.record == row.record && there.pdf_sha256 == row.pdf_sha256;
        return if same { Ok(there) } else { Err(Conflict::RegisterMoved.into()) };
    }
    let last = sqlx::query(LAST_LINE).bind(row.workshop.0).fetch_optional(&mut *db).await?;
    let (index, prev) = end(last.as_ref())?;
    if index != row.index {
        return Err(Conflict::RegisterMoved.into());
    }
    insert_line(&mut *db, row.workshop, line(&row, prev)).await?;
    insert(&mut *db, &row).await?;
    files::blocking(move || file.keep_as(&path)).await?;
    Ok(row)
}

/// Its line in the register.
fn line(row: &CertificateRow, prev: [u8; 32]) -> Line {
    Line {
        index: row.index,
        prev,
        kind: if row.version == 1 { "issue" } else { "replace" }.to_owned(),
        number: row.number.clone(),
        record_sha256: sha256(&row.record),
        pdf_sha256: row.pdf_sha256,
        at: row.issued,
        hash: [0; 32],
    }
}

/// The certificate of that number, where it was issued already.
async fn find(
    db: &mut SqliteConnection,
    row: &CertificateRow,
) -> Result<Option<CertificateRow>, StorageError> {
    let found = sqlx::query(select!("c.workshop_id = $1 and c.number = $2"))
        .bind(row.workshop.0)
        .bind(&row.number)
        .fetch_optional(db)
        .await?;
    found.map(|found| certificate(&found)).transpose()
}

pub(in crate::storage) async fn insert(
    db: &mut SqliteConnection,
    row: &CertificateRow,
) -> Result<(), StorageError> {
    // A version follows on the one before: none is skipped, so that `replaced_by` is never lost.
    let before = "select coalesce(max(version), 0) from certificate \
                  where workshop_id = $1 and job_id = $2";
    let before: u32 =
        sqlx::query_scalar(before).bind(row.workshop.0).bind(row.job.0).fetch_one(&mut *db).await?;
    if row.version != before + 1 {
        return Err(Conflict::VersionTaken.into());
    }
    sqlx::query(
        "insert into certificate (workshop_id, number, job_id, version, record, pdf_sha256, code, \
         issued_ms, register_idx) values ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(row.workshop.0)
    .bind(&row.number)
    .bind(row.job.0)
    .bind(row.version)
    .bind(&row.record)
    .bind(row.pdf_sha256.as_slice())
    .bind(&row.code)
    .bind(row.issued.0)
    .bind(stored(row.index))
    .execute(db)
    .await
    .map_err(taken(Conflict::VersionTaken))?;
    Ok(())
}
