//! What may go after a time, and what went: never entries, register, certificates or their photos.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::entry::Digest;
use crate::domain::ids::{JobId, Moment, WorkshopId};

use super::columns::Columns as _;
use super::{StorageError, Store};

/// Jobs that one day looks at; what is left waits for the next.
pub const JOBS_A_DAY_MAX: u32 = 20;
/// Lines of what went that one page shows.
pub const DELETIONS_LISTED_MAX: u32 = 100;

/// Months after which something goes; nothing where it is kept for good.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Retention {
    pub photos_months: Option<u32>,
    pub links_months: Option<u32>,
    pub sessions_months: Option<u32>,
}

/// A line about what went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Deletion {
    pub at: Moment,
    /// `photos`, `links` or `sessions`.
    pub kind: String,
    pub job_number: Option<u64>,
    pub count: u64,
    pub names: String,
}

/// Rows that end by themselves, of which the old ones may go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    Links,
    Sessions,
}

impl Ended {
    fn kind(self) -> &'static str {
        match self {
            Self::Links => "links",
            Self::Sessions => "sessions",
        }
    }

    fn count_sql(self) -> &'static str {
        match self {
            Self::Links => {
                "select count(*) from customer_link where workshop_id = $1 \
                 and min(expires_ms, coalesce(revoked_ms, expires_ms)) < $2"
            }
            Self::Sessions => {
                "select count(*) from session where workshop_id = $1 \
                 and min(expires_ms, coalesce(revoked_ms, expires_ms)) < $2"
            }
        }
    }

    fn delete_sql(self) -> &'static str {
        match self {
            Self::Links => {
                "delete from customer_link where workshop_id = $1 \
                 and min(expires_ms, coalesce(revoked_ms, expires_ms)) < $2"
            }
            Self::Sessions => {
                "delete from session where workshop_id = $1 \
                 and min(expires_ms, coalesce(revoked_ms, expires_ms)) < $2"
            }
        }
    }
}

pub async fn load(store: &Store, workshop: WorkshopId) -> Result<Retention, StorageError> {
    let row = sqlx::query("select * from retention where workshop_id = $1").bind(workshop.0);
    let row = row.fetch_optional(store.readers()).await?;
    Ok(row.map(|row| retention(&row)).transpose()?.unwrap_or_default())
}

fn retention(row: &SqliteRow) -> Result<Retention, StorageError> {
    use sqlx::Row as _;
    Ok(Retention {
        photos_months: row.try_get("photos_months")?,
        links_months: row.try_get("links_months")?,
        sessions_months: row.try_get("sessions_months")?,
    })
}

pub async fn change(
    store: &Store,
    workshop: WorkshopId,
    new: Retention,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "insert into retention (workshop_id, photos_months, links_months, \
                     sessions_months) values ($1, $2, $3, $4) on conflict (workshop_id) do update \
                     set photos_months = $2, links_months = $3, sessions_months = $4",
                )
                .bind(workshop.0)
                .bind(new.photos_months)
                .bind(new.links_months)
                .bind(new.sessions_months)
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

/// How many of them ended before that moment.
pub async fn count_ended(
    store: &Store,
    workshop: WorkshopId,
    what: Ended,
    before: Moment,
) -> Result<u64, StorageError> {
    let count: i64 = sqlx::query_scalar(what.count_sql())
        .bind(workshop.0)
        .bind(before.0)
        .fetch_one(store.readers())
        .await?;
    Ok(count.unsigned_abs())
}

/// Deletes them and writes down how many went.
pub async fn delete_ended(
    store: &Store,
    workshop: WorkshopId,
    what: Ended,
    (before, now): (Moment, Moment),
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let gone = sqlx::query(what.delete_sql()).bind(workshop.0).bind(before.0);
                let count = gone.execute(&mut *db).await?.rows_affected();
                let line = Deletion {
                    at: now,
                    kind: what.kind().to_owned(),
                    job_number: None,
                    count,
                    names: String::new(),
                };
                if count > 0 { note(db, workshop, line).await } else { Ok(()) }
            })
        })
        .await
}

/// Jobs without release or certificate whose last entry is older, the oldest first.
pub async fn forgotten_jobs(
    store: &Store,
    workshop: WorkshopId,
    before: Moment,
) -> Result<Vec<(JobId, u64)>, StorageError> {
    let rows = sqlx::query(
        "select id, number from job j where workshop_id = $1 and updated_ms < $2 \
         and not exists (select 1 from entry e where e.workshop_id = j.workshop_id \
             and e.job_id = j.id and e.kind = 'release') \
         and not exists (select 1 from certificate c where c.workshop_id = j.workshop_id \
             and c.job_id = j.id) \
         and exists (select 1 from entry e join photo p on p.workshop_id = e.workshop_id \
             and instr(cast(e.body as text), lower(hex(p.sha256))) > 0 \
             where e.workshop_id = j.workshop_id and e.job_id = j.id) \
         order by updated_ms limit $3",
    );
    let rows = rows.bind(workshop.0).bind(before.0).bind(JOBS_A_DAY_MAX);
    let rows = rows.fetch_all(store.readers()).await?;
    rows.iter().map(|row| Ok((JobId(row.uuid("id")?), row.number("number")?))).collect()
}

/// Whether an entry of another job names this photo too.
pub async fn is_named_elsewhere(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
    photo: &Digest,
) -> Result<bool, StorageError> {
    let found: Option<i64> = sqlx::query_scalar(
        "select 1 from entry where workshop_id = $1 and job_id <> $2 \
         and instr(cast(body as text), $3) > 0 limit 1",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(photo.to_string())
    .fetch_optional(store.readers())
    .await?;
    Ok(found.is_some())
}

/// Writes a line down, in the same act as what it is about.
pub(super) async fn note(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    line: Deletion,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into deletion (workshop_id, number, at_ms, kind, job_number, count, names) \
         values ($1, (select coalesce(max(number), 0) + 1 from deletion where workshop_id = $1), \
         $2, $3, $4, $5, $6)",
    )
    .bind(workshop.0)
    .bind(line.at.0)
    .bind(line.kind)
    .bind(line.job_number.and_then(|number| i64::try_from(number).ok()))
    .bind(i64::try_from(line.count).unwrap_or(i64::MAX))
    .bind(line.names)
    .execute(db)
    .await?;
    Ok(())
}

/// The newest first.
pub async fn deletions(store: &Store, workshop: WorkshopId) -> Result<Vec<Deletion>, StorageError> {
    let rows =
        sqlx::query("select * from deletion where workshop_id = $1 order by number desc limit $2");
    let rows = rows.bind(workshop.0).bind(DELETIONS_LISTED_MAX).fetch_all(store.readers()).await?;
    rows.iter().map(deletion).collect()
}

fn deletion(row: &SqliteRow) -> Result<Deletion, StorageError> {
    use sqlx::Row as _;
    let job: Option<i64> = row.try_get("job_number")?;
    Ok(Deletion {
        at: row.moment("at_ms")?,
        kind: row.text("kind")?,
        job_number: job.map(i64::unsigned_abs),
        count: row.number("count")?,
        names: row.text("names")?,
    })
}
