//! The papers of calibrations: files under the digest of their bytes, rows that name them. Only added.

use std::path::PathBuf;

use sqlx::sqlite::SqliteRow;

use crate::domain::calibration_paper::{Paper, PaperKind};
use crate::domain::entry::Digest;
use crate::domain::ids::{CalibrationId, InstrumentId, Moment, PersonId, WorkshopId};

use super::columns::{Columns as _, stored};
use super::files::{self, Aside};
use super::open::below;
use super::photos::{digest, raw, shelf};
use super::{Conflict, StorageError, Store};

pub(super) const FOLDER: &str = "calibrations";
/// Files of one calibration.
pub const FILES_MAX: u32 = 10;

/// Which calibration of which instrument.
pub type Of = (InstrumentId, CalibrationId);

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileRow {
    pub calibration: CalibrationId,
    pub sha256: Digest,
    pub kind: PaperKind,
    pub bytes: u64,
    pub received: Moment,
    pub received_by: PersonId,
}

/// Keeps a file: first its bytes, durable; then the row that names them. The same file again changes nothing.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    of: Of,
    (paper, by, received): (Paper, PersonId, Moment),
) -> Result<Digest, StorageError> {
    let sha256 = Digest::of(paper.bytes());
    let (kind, bytes) = (paper.kind(), stored(paper.bytes().len() as u64));
    let (folder, name) = (store.folder().to_owned(), sha256.clone());
    let write = move || {
        let (first, second) = shelf(&name);
        let shelf = files::make_folders(&folder.join(FOLDER), &[first, second])?;
        Aside::write(&folder, paper.bytes())?.keep_as(&shelf.join(name.as_str()))
    };
    store.write_files(write).await?;
    let row = (raw(&sha256), kind, bytes);
    store.write(move |db| Box::pin(insert(db, workshop, of, (row, by, received)))).await?;
    Ok(sha256)
}

async fn insert(
    db: &mut sqlx::SqliteConnection,
    workshop: WorkshopId,
    (instrument, calibration): Of,
    ((sha256, kind, bytes), by, received): ((Vec<u8>, PaperKind, i64), PersonId, Moment),
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into calibration_file (workshop_id, instrument_id, calibration_id, sha256, kind, \
         bytes, received_ms, received_by) values ($1, $2, $3, $4, $5, $6, $7, $8) \
         on conflict do nothing",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(calibration.0)
    .bind(sha256)
    .bind(kind.ending())
    .bind(bytes)
    .bind(received.0)
    .bind(by.0)
    .execute(&mut *db)
    .await?;
    let count = sqlx::query(
        "select count(*) as files from calibration_file where workshop_id = $1 \
         and instrument_id = $2 and calibration_id = $3",
    );
    let count = count.bind(workshop.0).bind(instrument.0).bind(calibration.0).fetch_one(db).await?;
    let is_full = count.number::<u32>("files")? > FILES_MAX;
    if is_full { Err(Conflict::CalibrationFilesFull.into()) } else { Ok(()) }
}

/// Those of one instrument, in the order they came.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    instrument: InstrumentId,
) -> Result<Vec<FileRow>, StorageError> {
    let rows = sqlx::query(
        "select * from calibration_file where workshop_id = $1 and instrument_id = $2 \
         order by calibration_id, received_ms, sha256",
    );
    let rows = rows.bind(workshop.0).bind(instrument.0).fetch_all(store.readers()).await?;
    rows.iter().map(file_row).collect()
}

/// The file of that digest, as far as it belongs to this calibration.
pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    (instrument, calibration): Of,
    sha256: &Digest,
) -> Result<Option<(FileRow, Vec<u8>)>, StorageError> {
    let row = sqlx::query(
        "select * from calibration_file where workshop_id = $1 and instrument_id = $2 \
         and calibration_id = $3 and sha256 = $4",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(calibration.0)
    .bind(raw(sha256))
    .fetch_optional(store.readers())
    .await?;
    let Some(row) = row else { return Ok(None) };
    let row = file_row(&row)?;
    let path = path(store, sha256);
    let bytes = files::blocking(move || files::read(&path)).await?;
    Ok(bytes.map(|bytes| (row, bytes)))
}

pub(super) fn path(store: &Store, sha256: &Digest) -> PathBuf {
    let (first, second) = shelf(sha256);
    below(store, FOLDER).join(first).join(second).join(sha256.as_str())
}

pub(super) fn file_row(row: &SqliteRow) -> Result<FileRow, StorageError> {
    let word = row.text("kind")?;
    Ok(FileRow {
        calibration: CalibrationId(row.uuid("calibration_id")?),
        sha256: digest(&row.array("sha256")?)?,
        kind: PaperKind::of_ending(&word).ok_or_else(|| StorageError::unreadable("kind", word))?,
        bytes: row.number("bytes")?,
        received: row.moment("received_ms")?,
        received_by: PersonId(row.uuid("received_by")?),
    })
}
