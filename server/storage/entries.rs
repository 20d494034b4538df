//! Entries: appended to their job's chain, never changed, verified whenever they are read.

mod append;

use sqlx::sqlite::SqliteRow;

use crate::domain::entry::{Body, Entry};
use crate::domain::ids::{DeviceId, EntryId, JobId, Moment, PersonId, WorkshopId};
use crate::domain::seal::job_genesis;

use super::chain::Walk;
use super::columns::Columns as _;
use super::{StorageError, Store};

pub(super) use append::insert;
pub use append::{AppendRefused, Appended, append};

#[derive(Debug, Clone)]
pub struct NewEntry {
    /// Exactly as the device wrote them.
    pub bytes: Vec<u8>,
    /// Read from `bytes`.
    pub body: Body,
    pub salt: [u8; 16],
}

/// Entries of one job that came together.
#[derive(Debug, Clone)]
pub struct NewEntries {
    pub device: DeviceId,
    pub person: PersonId,
    pub received: Moment,
    /// How far the phone's clock was ahead when it sent these, where it said so.
    pub clock_ahead_ms: Option<i64>,
    /// For decisions: how many entries whoever decided has seen.
    pub expect_count: Option<u64>,
    pub entries: Vec<NewEntry>,
}

/// A row as it stands, for export and verification.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawEntry {
    pub seq: u64,
    pub id: EntryId,
    pub sheet: u32,
    pub step: String,
    pub kind: String,
    pub device: DeviceId,
    pub person: PersonId,
    pub recorded: Moment,
    pub received: Moment,
    /// No part of the hash.
    pub clock_ahead_ms: Option<i64>,
    pub salt: [u8; 16],
    pub body: Vec<u8>,
    pub commitment: [u8; 32],
    pub prev: [u8; 32],
    pub hash: [u8; 32],
}

/// Where a job's chain stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Head {
    pub count: u64,
    pub hash: [u8; 32],
}

pub(super) const BY_JOB: &str =
    "select * from entry where workshop_id = $1 and job_id = $2 order by seq";

/// A job's entries in order, each checked against the chain.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<Entry>, StorageError> {
    let mut walk = Walk::start(workshop, job);
    let rows = raw_list(store, workshop, job).await?;
    rows.iter()
        .map(|raw| {
            let body = walk.step(raw);
            let body = body.map_err(|why| StorageError::ChainBroken { job, seq: raw.seq, why })?;
            let RawEntry { seq, device, person, received, clock_ahead_ms, hash, .. } = *raw;
            Ok(Entry { seq, device, person, received, clock_ahead_ms, body, hash })
        })
        .collect()
}

/// A job's rows in order, unchecked.
pub async fn raw_list(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<RawEntry>, StorageError> {
    let rows = sqlx::query(BY_JOB).bind(workshop.0).bind(job.0).fetch_all(store.readers()).await?;
    rows.iter().map(raw_entry).collect()
}

pub async fn head(store: &Store, workshop: WorkshopId, job: JobId) -> Result<Head, StorageError> {
    let row = sqlx::query(
        "select seq, hash from entry where workshop_id = $1 and job_id = $2 \
         order by seq desc limit 1",
    )
    .bind(workshop.0)
    .bind(job.0)
    .fetch_optional(store.readers())
    .await?;
    match row {
        Some(row) => Ok(Head { count: row.number::<u64>("seq")? + 1, hash: row.array("hash")? }),
        None => Ok(Head { count: 0, hash: job_genesis(job, workshop) }),
    }
}

/// Where an entry stands, by its id alone.
pub async fn find(
    store: &Store,
    workshop: WorkshopId,
    id: EntryId,
) -> Result<Option<(JobId, u64)>, StorageError> {
    let row = sqlx::query("select job_id, seq from entry where workshop_id = $1 and id = $2")
        .bind(workshop.0)
        .bind(id.0)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| Ok((JobId(row.uuid("job_id")?), row.number("seq")?))).transpose()
}

pub(super) fn raw_entry(row: &SqliteRow) -> Result<RawEntry, StorageError> {
    Ok(RawEntry {
        seq: row.number("seq")?,
        id: EntryId(row.uuid("id")?),
        sheet: row.number("sheet")?,
        step: row.text("step")?,
        kind: row.text("kind")?,
        device: DeviceId(row.uuid("device_id")?),
        person: PersonId(row.uuid("person_id")?),
        recorded: row.moment("recorded_ms")?,
        received: row.moment("received_ms")?,
        clock_ahead_ms: row.signed_or_none("clock_ahead_ms")?,
        salt: row.array("salt")?,
        body: row.bytes("body")?,
        commitment: row.array("commitment")?,
        prev: row.array("prev")?,
        hash: row.array("hash")?,
    })
}
