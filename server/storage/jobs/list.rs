//! Lists of jobs, page by page, the latest change first.

use uuid::Uuid;

use crate::domain::ids::{JobId, Moment, WorkshopId};

use super::super::{StorageError, Store};
use super::{JOBS_LISTED, JOBS_LISTED_MAX, JobRow, PageMark, job, select};

/// Which page.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    /// Where the page before ended.
    pub before: Option<PageMark>,
    /// 0 stands for [`JOBS_LISTED`].
    pub limit: u32,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    pub jobs: Vec<JobRow>,
    /// Where the next page begins, if there is one.
    pub next: Option<PageMark>,
}

/// $1 workshop, $2 and $3 page mark, $4 rows.
pub const SQL_LIST_ALL: &str = select!(
    "(j.updated_ms, j.id) < ($2, $3) \
     order by j.updated_ms desc, j.id desc limit $4"
);

pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    filter: &Filter,
) -> Result<Page, StorageError> {
    let limit = if filter.limit == 0 { JOBS_LISTED } else { filter.limit.min(JOBS_LISTED_MAX) };
    let first = PageMark { updated: Moment(i64::MAX), id: JobId(Uuid::max()) };
    let before = filter.before.unwrap_or(first);
    let rows = sqlx::query(SQL_LIST_ALL)
        .bind(workshop.0)
        .bind(before.updated.0)
        .bind(before.id.0)
        // One more than is shown tells whether there is a next page.
        .bind(limit + 1)
        .fetch_all(store.readers())
        .await?;
    let mut jobs = rows.iter().map(job).collect::<Result<Vec<_>, _>>()?;
    let more = jobs.len() > limit as usize;
    jobs.truncate(limit as usize);
    let next = jobs.last().filter(|_| more);
    let next = next.map(|job| PageMark { updated: job.updated, id: job.id });
    Ok(Page { jobs, next })
}
