//! Which jobs hold readings of an instrument, and which readings.

use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{InstrumentId, JobId, Moment, WorkshopId};

use super::columns::{Columns as _, stored};
use super::jobs::PageMark;
use super::{StorageError, Store};

/// A job with readings of one instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UsedIn {
    pub job: JobId,
    pub readings: u64,
    /// By the clock of the phone that recorded them.
    pub first: Moment,
    pub last: Moment,
}

/// Which readings of an instrument: taken at or after the first moment and before the second.
#[derive(Debug, Clone, Copy)]
pub struct Span {
    pub from: Moment,
    pub until: Moment,
    /// Only those of jobs that are released, or only those of jobs that are not.
    pub released: Option<bool>,
}

impl Span {
    pub fn since(from: Moment) -> Self {
        Self { from, until: Moment(i64::MAX), released: None }
    }

    pub fn holds(&self, recorded: Moment) -> bool {
        self.from <= recorded && recorded < self.until
    }
}

/// Jobs with readings of the instrument, the newest reading first; a page goes on after the newest reading
/// and the job of the last row before it.
pub async fn list(
    store: &Store,
    (workshop, instrument): (WorkshopId, InstrumentId),
    span: Span,
    before: Option<PageMark>,
    limit: u32,
) -> Result<Vec<UsedIn>, StorageError> {
    let rows = sqlx::query(
        "select u.job_id, count(*) as readings, min(u.recorded_ms) as first_ms, \
         max(u.recorded_ms) as last_ms from entry_instrument u \
         join job j on j.workshop_id = u.workshop_id and j.id = u.job_id \
         where u.workshop_id = $1 and u.instrument_id = $2 and u.recorded_ms >= $3 \
         and u.recorded_ms < $7 and ($8 is null or (j.stage = 'released') = $8) group by u.job_id \
         having $4 is null or (last_ms, u.job_id) < ($4, $5) \
         order by last_ms desc, u.job_id desc limit $6",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(span.from.0)
    .bind(before.map(|mark| mark.updated.0))
    .bind(before.map(|mark| mark.id.0))
    .bind(limit)
    .bind(span.until.0)
    .bind(span.released)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(used_in).collect()
}

/// Where a list of readings goes on: before this one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ReadingMark {
    pub recorded: Moment,
    pub job: JobId,
    pub seq: u64,
}

/// Single readings of the instrument, the newest first.
pub async fn list_readings(
    store: &Store,
    (workshop, instrument): (WorkshopId, InstrumentId),
    span: Span,
    before: Option<ReadingMark>,
    limit: u32,
) -> Result<Vec<ReadingMark>, StorageError> {
    let rows = sqlx::query(
        "select recorded_ms, job_id, seq from entry_instrument where workshop_id = $1 \
         and instrument_id = $2 and recorded_ms >= $3 and recorded_ms < $4 \
         and ($5 is null or (recorded_ms, job_id, seq) < ($5, $6, $7)) \
         order by recorded_ms desc, job_id desc, seq desc limit $8",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(span.from.0)
    .bind(span.until.0)
    .bind(before.map(|mark| mark.recorded.0))
    .bind(before.map(|mark| mark.job.0))
    .bind(before.map(|mark| stored(mark.seq)))
    .bind(limit)
    .fetch_all(store.readers())
    .await?;
    let mark = |row: &SqliteRow| {
        let (recorded, job) = (row.moment("recorded_ms")?, JobId(row.uuid("job_id")?));
        Ok(ReadingMark { recorded, job, seq: row.number("seq")? })
    };
    rows.iter().map(mark).collect()
}

/// Jobs that are not released and hold readings of the instrument: what they come to changes with it.
pub async fn list_open(
    store: &Store,
    (workshop, instrument): (WorkshopId, InstrumentId),
) -> Result<Vec<JobId>, StorageError> {
    let rows = sqlx::query(
        "select id from job where workshop_id = $1 and stage <> 'released' and id in \
         (select job_id from entry_instrument where workshop_id = $1 and instrument_id = $2)",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(|row| Ok(JobId(row.uuid("id")?))).collect()
}

/// How many jobs and readings there are.
pub async fn count(
    store: &Store,
    (workshop, instrument): (WorkshopId, InstrumentId),
    span: Span,
) -> Result<(u64, u64), StorageError> {
    let row = sqlx::query(
        "select count(distinct job_id) as jobs, count(*) as readings from entry_instrument \
         where workshop_id = $1 and instrument_id = $2 and recorded_ms >= $3 and recorded_ms < $4",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(span.from.0)
    .bind(span.until.0)
    .fetch_one(store.readers())
    .await?;
    Ok((row.number("jobs")?, row.number("readings")?))
}

fn used_in(row: &SqliteRow) -> Result<UsedIn, StorageError> {
    Ok(UsedIn {
        job: JobId(row.uuid("job_id")?),
        readings: row.number("readings")?,
        first: row.moment("first_ms")?,
        last: row.moment("last_ms")?,
    })
}
