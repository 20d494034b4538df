//! Jobs by what they wait for, whoever waits longest first.

use std::fmt;
use std::str::FromStr;

use sqlx::sqlite::SqliteRow;
use uuid::Uuid;

use crate::domain::ids::{JobId, Moment, PersonId, WorkshopId};

use super::super::{StorageError, Store};
use super::search::load_in_order;
use super::{JobRow, NoPageMark, job, select};

/// Jobs of one stage that are counted; beyond, there are "more than".
pub const COUNTED_MAX: u32 = 999;

/// Where a page of waiting jobs ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct WaitMark {
    pub since: Moment,
    pub id: JobId,
}

impl WaitMark {
    /// Before every job.
    pub const FIRST: Self = Self { since: Moment(i64::MIN), id: JobId(Uuid::nil()) };
}

impl fmt::Display for WaitMark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.since.0, self.id)
    }
}

impl FromStr for WaitMark {
    type Err = NoPageMark;

    fn from_str(text: &str) -> Result<Self, NoPageMark> {
        let (since, id) = text.split_once('-').ok_or(NoPageMark)?;
        Ok(Self {
            since: Moment(since.parse().map_err(|_| NoPageMark)?),
            id: id.parse().map_err(|_| NoPageMark)?,
        })
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WaitPage {
    pub jobs: Vec<JobRow>,
    pub next: Option<WaitMark>,
}

/// $1 workshop, $2 stage, $3 and $4 page mark, $5 rows.
pub const SQL_WAITING: &str =
    select!("j.stage = $2 and (j.since_ms, j.id) > ($3, $4) order by j.since_ms, j.id limit $5");

/// $1 workshop, $2 stage, $3 rows.
pub const SQL_CAME_LAST: &str =
    select!("j.stage = $2 order by j.since_ms desc, j.id desc limit $3");

/// $1 workshop, $2 stage, $3 person, $4 rows.
pub const SQL_OPEN_OF: &str =
    select!("j.stage = $2 and j.technician_id = $3 order by j.since_ms, j.id limit $4");

/// $1 workshop, $2 stage, $3 how many are counted at most.
pub const SQL_COUNT_STAGE: &str = "select count(*) from (select 1 from job \
     where workshop_id = $1 and stage = $2 limit $3)";

/// Jobs with a link that holds and was never opened, and no other that was; $2 now, $3 rows.
pub const SQL_UNOPENED: &str = "select distinct l.job_id from customer_link l \
     where l.workshop_id = $1 and l.opened = 0 and l.revoked_ms is null and l.expires_ms > $2 \
     and not exists (select 1 from customer_link o where o.workshop_id = l.workshop_id \
     and o.job_id = l.job_id and o.opened > 0) order by l.expires_ms limit $3";

/// Jobs in any of some stages.
pub async fn waiting(
    store: &Store,
    workshop: WorkshopId,
    stages: &[&str],
    after: Option<WaitMark>,
    limit: u32,
) -> Result<WaitPage, StorageError> {
    let after = after.unwrap_or(WaitMark::FIRST);
    let mut jobs: Vec<JobRow> = Vec::new();
    // Each stage comes in order from the index; a set of them in one query would be sorted whole.
    for stage in stages {
        let query = sqlx::query(SQL_WAITING)
            .bind(workshop.0)
            .bind(*stage)
            .bind(after.since.0)
            .bind(after.id.0)
            .bind(limit + 1);
        let rows: Vec<SqliteRow> = query.fetch_all(store.readers()).await?;
        jobs.extend(rows.iter().map(job).collect::<Result<Vec<_>, _>>()?);
    }
    let mark = |job: &JobRow| WaitMark { since: job.since, id: job.id };
    jobs.sort_by_key(mark);
    let more = jobs.len() > limit as usize;
    jobs.truncate(limit as usize);
    let next = jobs.last().filter(|_| more).map(mark);
    Ok(WaitPage { jobs, next })
}

/// Jobs of a stage, whichever came to it last first.
pub async fn came_last(
    store: &Store,
    workshop: WorkshopId,
    stage: &str,
    limit: u32,
) -> Result<Vec<JobRow>, StorageError> {
    let query = sqlx::query(SQL_CAME_LAST).bind(workshop.0).bind(stage).bind(limit);
    query.fetch_all(store.readers()).await?.iter().map(job).collect()
}

/// What one person has not finished, in the order of stages given, whatever waits longest first.
pub async fn open_of(
    store: &Store,
    workshop: WorkshopId,
    (person, stages): (PersonId, &[&str]),
    limit: u32,
) -> Result<Vec<JobRow>, StorageError> {
    let mut jobs: Vec<JobRow> = Vec::new();
    for stage in stages {
        let query = sqlx::query(SQL_OPEN_OF).bind(workshop.0).bind(*stage).bind(person.0);
        let rows = query.bind(limit).fetch_all(store.readers()).await?;
        jobs.extend(rows.iter().map(job).collect::<Result<Vec<_>, _>>()?);
    }
    jobs.truncate(limit as usize);
    Ok(jobs)
}

/// How many jobs are in any of some stages, up to [`COUNTED_MAX`] and one each.
pub async fn count_waiting(
    store: &Store,
    workshop: WorkshopId,
    stages: &[&str],
) -> Result<u32, StorageError> {
    let mut count = 0;
    for stage in stages {
        let query = sqlx::query_scalar(SQL_COUNT_STAGE).bind(workshop.0).bind(*stage);
        count += query.bind(COUNTED_MAX + 1).fetch_one(store.readers()).await.map(|n: u32| n)?;
    }
    Ok(count)
}

/// Jobs whose customer has a link to the handover and has not opened it, whichever link ends soonest first.
pub async fn unopened(
    store: &Store,
    workshop: WorkshopId,
    now: Moment,
    limit: u32,
) -> Result<Vec<JobRow>, StorageError> {
    let query = sqlx::query_scalar(SQL_UNOPENED).bind(workshop.0).bind(now.0).bind(limit);
    let ids: Vec<Uuid> = query.fetch_all(store.readers()).await?;
    load_in_order(store, workshop, &ids).await
}
