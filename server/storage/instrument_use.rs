//! Which jobs hold readings of an instrument.

use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{InstrumentId, JobId, Moment, WorkshopId};

use super::columns::Columns as _;
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

/// Jobs with readings that the instrument took at or after `since`, the newest reading first; a page goes
/// on after the newest reading and the job of the last row before it.
pub async fn list(
    store: &Store,
    (workshop, instrument): (WorkshopId, InstrumentId),
    since: Moment,
    before: Option<PageMark>,
    limit: u32,
) -> Result<Vec<UsedIn>, StorageError> {
    let rows = sqlx::query(
        "select job_id, count(*) as readings, min(recorded_ms) as first_ms, \
         max(recorded_ms) as last_ms from entry_instrument \
         where workshop_id = $1 and instrument_id = $2 and recorded_ms >= $3 group by job_id \
         having $4 is null or (last_ms, job_id) < ($4, $5) \
         order by last_ms desc, job_id desc limit $6",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(since.0)
    .bind(before.map(|mark| mark.updated.0))
    .bind(before.map(|mark| mark.id.0))
    .bind(limit)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(used_in).collect()
}

/// How many jobs and readings there are.
pub async fn count(
    store: &Store,
    (workshop, instrument): (WorkshopId, InstrumentId),
    since: Moment,
) -> Result<(u64, u64), StorageError> {
    let row = sqlx::query(
        "select count(distinct job_id) as jobs, count(*) as readings from entry_instrument \
         where workshop_id = $1 and instrument_id = $2 and recorded_ms >= $3",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(since.0)
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
