//! Plan editions of a job, byte for byte as they were saved.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{JobId, Moment, PersonId, WorkshopId};
use crate::domain::seal::sha256;

use super::columns::Columns as _;
use super::{Conflict, StorageError, Store};

#[derive(Debug, Clone)]
pub struct NewPlan {
    pub job: JobId,
    /// One more than the last one's; from 1.
    pub edition: u32,
    /// The file, byte for byte.
    pub source: Vec<u8>,
    pub saved: Moment,
    pub saved_by: PersonId,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanRow {
    pub job: JobId,
    pub edition: u32,
    pub source: Vec<u8>,
    pub sha256: [u8; 32],
    pub saved: Moment,
    pub saved_by: PersonId,
}

/// Saves the next edition. The same edition with the same bytes again answers what is there.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    new: NewPlan,
) -> Result<PlanRow, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                if let Some(there) = stored(&mut *db, workshop, new.job, new.edition).await? {
                    let same = there.source == new.source;
                    return if same { Ok(there) } else { Err(Conflict::PlanEditionTaken.into()) };
                }
                let last = "select coalesce(max(edition), 0) from plan \
                            where workshop_id = $1 and job_id = $2";
                let last: u32 = sqlx::query_scalar(last)
                    .bind(workshop.0)
                    .bind(new.job.0)
                    .fetch_one(&mut *db)
                    .await?;
                if new.edition != last + 1 {
                    return Err(Conflict::PlanEditionTaken.into());
                }
                insert(db, workshop, new).await
            })
        })
        .await
}

pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: NewPlan,
) -> Result<PlanRow, StorageError> {
    let sha256 = sha256(&new.source);
    sqlx::query(
        "insert into plan (workshop_id, job_id, edition, source, sha256, saved_ms, saved_by) \
         values ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(workshop.0)
    .bind(new.job.0)
    .bind(new.edition)
    .bind(&new.source)
    .bind(sha256.as_slice())
    .bind(new.saved.0)
    .bind(new.saved_by.0)
    .execute(db)
    .await?;
    let NewPlan { job, edition, source, saved, saved_by } = new;
    Ok(PlanRow { job, edition, source, sha256, saved, saved_by })
}

const BY_EDITION: &str =
    "select * from plan where workshop_id = $1 and job_id = $2 and edition = $3";

async fn stored(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    job: JobId,
    edition: u32,
) -> Result<Option<PlanRow>, StorageError> {
    let row = sqlx::query(BY_EDITION)
        .bind(workshop.0)
        .bind(job.0)
        .bind(edition)
        .fetch_optional(db)
        .await?;
    row.map(|row| plan(&row)).transpose()
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
    edition: u32,
) -> Result<Option<PlanRow>, StorageError> {
    let row = sqlx::query(BY_EDITION)
        .bind(workshop.0)
        .bind(job.0)
        .bind(edition)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| plan(&row)).transpose()
}

pub async fn find_latest(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Option<PlanRow>, StorageError> {
    let row = sqlx::query(
        "select * from plan where workshop_id = $1 and job_id = $2 order by edition desc limit 1",
    )
    .bind(workshop.0)
    .bind(job.0)
    .fetch_optional(store.readers())
    .await?;
    row.map(|row| plan(&row)).transpose()
}

/// The newest plan of a job whose kit has this code, with the number of the job.
pub async fn find_of_kit(
    store: &Store,
    workshop: WorkshopId,
    code: &str,
) -> Result<Option<(u64, PlanRow)>, StorageError> {
    let row = sqlx::query(
        "select p.*, j.number as job_number from kit k \
         join job j on j.workshop_id = k.workshop_id and j.kit_id = k.id \
         join plan p on p.workshop_id = j.workshop_id and p.job_id = j.id \
         where k.workshop_id = $1 and k.code = $2 \
         order by p.saved_ms desc, p.job_id desc, p.edition desc limit 1",
    )
    .bind(workshop.0)
    .bind(code)
    .fetch_optional(store.readers())
    .await?;
    row.map(|row| Ok((row.number("job_number")?, plan(&row)?))).transpose()
}

/// From the first edition on.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<PlanRow>, StorageError> {
    let rows =
        sqlx::query("select * from plan where workshop_id = $1 and job_id = $2 order by edition")
            .bind(workshop.0)
            .bind(job.0)
            .fetch_all(store.readers())
            .await?;
    rows.iter().map(plan).collect()
}

fn plan(row: &SqliteRow) -> Result<PlanRow, StorageError> {
    Ok(PlanRow {
        job: JobId(row.uuid("job_id")?),
        edition: row.number("edition")?,
        source: row.bytes("source")?,
        sha256: row.array("sha256")?,
        saved: row.moment("saved_ms")?,
        saved_by: PersonId(row.uuid("saved_by")?),
    })
}
