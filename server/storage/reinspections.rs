//! Which jobs measure again what an earlier one fitted, and the lines that they form.

use sqlx::SqliteConnection;

use crate::domain::ids::{JobId, WorkshopId};

use super::certificates::CertificateRow;
use super::columns::Columns as _;
use super::jobs::{NewJob, insert_next, number_of};
use super::{Conflict, StorageError, Store, certificates};

/// Re-inspections that follow on one another from one job, at one a year and more: a line is walked no
/// further.
const LINE_JOBS_MAX: u32 = 200;

/// What a job measures again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reinspection {
    pub earlier: JobId,
    /// The number of the certificate that it starts from.
    pub certificate: String,
    /// The job that the line began with.
    pub first: JobId,
}

/// Opens a job that measures again what `earlier` fitted; again with the same id: the same number.
///
/// Of one line at most one re-inspection is under way, and it starts from the newest certificate in force:
/// both are looked at in the change itself.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    (new, earlier): (NewJob, JobId),
) -> Result<u64, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                if let Some(number) = number_of(&mut *db, workshop, new.id).await? {
                    return Ok(number);
                }
                let first = first_of(&mut *db, workshop, earlier).await?;
                if under_way(&mut *db, workshop, first).await?.is_some() {
                    return Err(Conflict::ReinspectionUnderWay.into());
                }
                let certificate = newest_in_force(&mut *db, workshop, first).await?;
                let Some((_, certificate)) = certificate.filter(|(job, _)| *job == earlier) else {
                    return Err(Conflict::CertificateNotInForce.into());
                };
                let job = new.id;
                let number = insert_next(&mut *db, workshop, new).await?;
                sqlx::query(
                    "insert into reinspection (workshop_id, job_id, earlier_job_id, certificate, \
                     first_job_id) values ($1, $2, $3, $4, $5)",
                )
                .bind(workshop.0)
                .bind(job.0)
                .bind(earlier.0)
                .bind(certificate)
                .bind(first.0)
                .execute(db)
                .await?;
                Ok(number)
            })
        })
        .await
}

async fn first_of(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    job: JobId,
) -> Result<JobId, StorageError> {
    let first = "select first_job_id from reinspection where workshop_id = $1 and job_id = $2";
    let first: Option<uuid::Uuid> =
        sqlx::query_scalar(first).bind(workshop.0).bind(job.0).fetch_optional(db).await?;
    Ok(first.map_or(job, JobId))
}

/// The re-inspection of a line that has no certificate yet.
async fn under_way(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    first: JobId,
) -> Result<Option<JobId>, StorageError> {
    let open: Option<uuid::Uuid> =
        sqlx::query_scalar(UNDER_WAY).bind(workshop.0).bind(first.0).fetch_optional(db).await?;
    Ok(open.map(JobId))
}

const UNDER_WAY: &str = "select r.job_id from reinspection r \
    where r.workshop_id = $1 and r.first_job_id = $2 and not exists (select 1 from certificate c \
    where c.workshop_id = r.workshop_id and c.job_id = r.job_id) limit 1";

/// The newest certificate of a line that stands, and its job.
async fn newest_in_force(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    first: JobId,
) -> Result<Option<(JobId, String)>, StorageError> {
    let row = sqlx::query(
        "select c.job_id, c.number from certificate c where c.workshop_id = $1 \
         and (c.job_id = $2 or c.job_id in (select r.job_id from reinspection r \
         where r.workshop_id = $1 and r.first_job_id = $2)) \
         and not exists (select 1 from certificate n where n.workshop_id = c.workshop_id \
         and n.job_id = c.job_id and n.version = c.version + 1) \
         and not exists (select 1 from withdrawal w where w.workshop_id = c.workshop_id \
         and w.number = c.number) \
         order by c.issued_ms desc, c.register_idx desc limit 1",
    )
    .bind(workshop.0)
    .bind(first.0)
    .fetch_optional(db)
    .await?;
    row.map(|row| Ok((JobId(row.uuid("job_id")?), row.text("number")?))).transpose()
}

/// Where the line of a job stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// The re-inspection that is under way, if one is.
    pub under_way: Option<JobId>,
    /// The job of the newest certificate in force, with its number.
    pub in_force: Option<(JobId, String)>,
}

/// Where the line stands that a job belongs to.
pub async fn standing(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Standing, StorageError> {
    // One transaction: a certificate that is issued meanwhile is not half seen.
    let mut view = store.readers().begin().await?;
    let first = first_of(&mut view, workshop, job).await?;
    let under_way = under_way(&mut view, workshop, first).await?;
    let in_force = newest_in_force(&mut view, workshop, first).await?;
    Ok(Standing { under_way, in_force })
}

/// The certificates that a re-inspection is held against: the oldest of its line, and the one it starts
/// from where that is another.
pub async fn earlier_certificates(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<CertificateRow>, StorageError> {
    let line: Vec<String> = sqlx::query_scalar(
        "with recursive line (earlier, certificate, back) as ( \
         select earlier_job_id, certificate, 0 from reinspection \
         where workshop_id = $1 and job_id = $2 \
         union all select r.earlier_job_id, r.certificate, l.back + 1 from line l \
         join reinspection r on r.workshop_id = $1 and r.job_id = l.earlier where l.back < $3) \
         select certificate from line order by back desc",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(LINE_JOBS_MAX)
    .fetch_all(store.readers())
    .await?;
    let mut ends: Vec<&String> = line.first().into_iter().chain(line.last()).collect();
    ends.dedup();
    let mut rows = Vec::new();
    for number in ends {
        rows.extend(certificates::load(store, workshop, number).await?);
    }
    Ok(rows)
}
