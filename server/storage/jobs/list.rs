//! Lists of jobs, page by page, the latest change first.

use sqlx::sqlite::SqliteRow;
use uuid::Uuid;

use crate::domain::ids::{JobId, Moment, PersonId, WorkshopId};

use super::super::{StorageError, Store};
use super::{JOBS_LISTED, JOBS_LISTED_MAX, JobRow, PageMark, job, select};

/// Which jobs. What is empty does not narrow.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    pub technician: Option<PersonId>,
    /// Of that technician's jobs, those in one of these stages.
    pub stages: Vec<String>,
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

/// As [`SQL_LIST_ALL`]; $5 technician, $6 stages between commas or empty.
pub const SQL_LIST_TECHNICIAN: &str = select!(
    "j.technician_id = $5 and (j.updated_ms, j.id) < ($2, $3) \
     and ($6 = '' or $6 like '%,' || j.stage || ',%') \
     order by j.updated_ms desc, j.id desc limit $4"
);

pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    filter: &Filter,
) -> Result<Page, StorageError> {
    let limit = if filter.limit == 0 { JOBS_LISTED } else { filter.limit.min(JOBS_LISTED_MAX) };
    // One more than is shown tells whether there is a next page.
    let ask = Ask { store, workshop, filter, rows: limit + 1 };
    let mut jobs = ask.jobs().await?;
    let more = jobs.len() > limit as usize;
    jobs.truncate(limit as usize);
    let next = jobs.last().filter(|_| more).map(mark);
    Ok(Page { jobs, next })
}

struct Ask<'a> {
    store: &'a Store,
    workshop: WorkshopId,
    filter: &'a Filter,
    rows: u32,
}

impl Ask<'_> {
    async fn jobs(&self) -> Result<Vec<JobRow>, StorageError> {
        if let Some(technician) = self.filter.technician {
            let stages = &self.filter.stages;
            let set =
                if stages.is_empty() { String::new() } else { format!(",{},", stages.join(",")) };
            let query = self.query(SQL_LIST_TECHNICIAN).bind(technician.0).bind(set);
            return read(&query.fetch_all(self.store.readers()).await?);
        }
        read(&self.query(SQL_LIST_ALL).fetch_all(self.store.readers()).await?)
    }

    fn query(
        &self,
        sql: &'static str,
    ) -> sqlx::query::Query<'static, sqlx::Sqlite, sqlx::sqlite::SqliteArguments> {
        let first = PageMark { updated: Moment(i64::MAX), id: JobId(Uuid::max()) };
        let before = self.filter.before.unwrap_or(first);
        sqlx::query(sql)
            .bind(self.workshop.0)
            .bind(before.updated.0)
            .bind(before.id.0)
            .bind(self.rows)
    }
}

fn mark(job: &JobRow) -> PageMark {
    PageMark { updated: job.updated, id: job.id }
}

fn read(rows: &[SqliteRow]) -> Result<Vec<JobRow>, StorageError> {
    rows.iter().map(job).collect()
}
