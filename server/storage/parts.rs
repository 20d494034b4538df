//! Batch and serial numbers of fitted parts, over all jobs. Derived from entries, as results are; never a
//! source of truth.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{JobId, Moment, WorkshopId};
use crate::domain::kit::PartMark;
use crate::domain::parts::{Carried, FittedPart};

use super::columns::{Columns as _, stored};
use super::jobs::plain_mark;
use super::{StorageError, Store};

/// Rows that one question reads at most.
pub const FOUND_MAX: u32 = 10_000;
/// Parts that are offered to choose from.
const KNOWN_MAX: u32 = 200;

/// What is asked for; what is empty is not asked. Compared by letters and digits alone.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Recall {
    /// A piece of the part's name or number.
    pub part: String,
    /// A piece of a batch or serial number: somebody may have typed a word before it.
    pub value: String,
    /// The batch or serial number is this and nothing more.
    pub exact: bool,
    pub before: Option<PartPage>,
    pub limit: u32,
}

/// Where a page of the list ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PartPage {
    pub recorded: Moment,
    pub job: JobId,
    pub seq: u64,
}

/// A part that was found, with the job that it was written down in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundPart {
    pub job: JobId,
    pub job_number: u64,
    pub registration: String,
    pub vehicle: String,
    pub customer: String,
    pub stage: String,
    pub part: FittedPart,
}

impl FoundPart {
    pub fn page(&self) -> PartPage {
        PartPage { recorded: self.part.recorded, job: self.job, seq: self.part.seq }
    }
}

/// Puts a job's rows in the place of those that are there, if they differ.
pub(super) async fn replace(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    parts: &[FittedPart],
) -> Result<(), StorageError> {
    let there = "select * from fitted_part where workshop_id = $1 and job_id = $2 order by seq";
    let rows = sqlx::query(there).bind(workshop.0).bind(job.0).fetch_all(&mut *db).await?;
    let there: Vec<FittedPart> = rows.iter().map(fitted).collect::<Result<_, _>>()?;
    if there == parts {
        return Ok(());
    }
    let clear = "delete from fitted_part where workshop_id = $1 and job_id = $2";
    sqlx::query(clear).bind(workshop.0).bind(job.0).execute(&mut *db).await?;
    for part in parts {
        insert(&mut *db, (workshop, job), part).await?;
    }
    Ok(())
}

async fn insert(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    part: &FittedPart,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into fitted_part (workshop_id, job_id, seq, name, number, mark, value, carried, \
         recorded_ms, plain_name, plain_number, plain_value) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(stored(part.seq))
    .bind(&part.name)
    .bind(&part.number)
    .bind(part.mark.word())
    .bind(&part.value)
    .bind(part.carried.word())
    .bind(part.recorded.0)
    .bind(plain_mark(&part.name))
    .bind(plain_mark(&part.number))
    .bind(plain_mark(&part.value))
    .execute(db)
    .await?;
    Ok(())
}

const SQL_FIND: &str = "select f.*, j.number as job_number, j.registration, j.vehicle, j.stage, \
    c.name as customer from fitted_part f \
    join job j on j.workshop_id = f.workshop_id and j.id = f.job_id \
    join customer c on c.workshop_id = j.workshop_id and c.id = j.customer_id \
    where f.workshop_id = $1 ";

const SQL_OF_PART: &str = "and (instr(f.plain_number, $2) > 0 or instr(f.plain_name, $2) > 0) ";
const SQL_EXACTLY: &str = "and f.plain_value = $3 ";
const SQL_WITHIN: &str = "and instr(f.plain_value, $3) > 0 ";
const SQL_PAGE: &str = "and ($4 is null or (f.recorded_ms, f.job_id, f.seq) < ($4, $5, $6)) \
    order by f.recorded_ms desc, f.job_id desc, f.seq desc limit $7";

/// Parts that were asked for, the newest first.
pub async fn find(
    store: &Store,
    workshop: WorkshopId,
    recall: &Recall,
) -> Result<Vec<FoundPart>, StorageError> {
    let (part, value) = (plain_mark(&recall.part), plain_mark(&recall.value));
    let of_part = if part.is_empty() { "" } else { SQL_OF_PART };
    let of_value = match (value.is_empty(), recall.exact) {
        (true, _) => "",
        (false, true) => SQL_EXACTLY,
        (false, false) => SQL_WITHIN,
    };
    let question = format!("{SQL_FIND}{of_part}{of_value}{SQL_PAGE}");
    let rows = sqlx::query(sqlx::AssertSqlSafe(question))
        .bind(workshop.0)
        .bind(&part)
        .bind(&value)
        .bind(recall.before.map(|page| page.recorded.0))
        .bind(recall.before.map(|page| page.job.0))
        .bind(recall.before.map(|page| stored(page.seq)))
        .bind(recall.limit.min(FOUND_MAX))
        .fetch_all(store.readers())
        .await?;
    rows.iter().map(found).collect()
}

/// Names and numbers of parts that were written down, to choose from.
pub async fn known(
    store: &Store,
    workshop: WorkshopId,
) -> Result<Vec<(String, String)>, StorageError> {
    let rows = sqlx::query(
        "select distinct number, name from fitted_part where workshop_id = $1 \
         order by name, number limit $2",
    )
    .bind(workshop.0)
    .bind(KNOWN_MAX)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(|row| Ok((row.text("number")?, row.text("name")?))).collect()
}

fn found(row: &SqliteRow) -> Result<FoundPart, StorageError> {
    Ok(FoundPart {
        job: JobId(row.uuid("job_id")?),
        job_number: row.number("job_number")?,
        registration: row.text("registration")?,
        vehicle: row.text("vehicle")?,
        customer: row.text("customer")?,
        stage: row.text("stage")?,
        part: fitted(row)?,
    })
}

fn fitted(row: &SqliteRow) -> Result<FittedPart, StorageError> {
    let (mark, carried) = (row.text("mark")?, row.text("carried")?);
    Ok(FittedPart {
        seq: row.number("seq")?,
        name: row.text("name")?,
        number: row.text("number")?,
        mark: PartMark::parse(&mark).ok_or_else(|| StorageError::unreadable("mark", &mark))?,
        value: row.text("value")?,
        carried: Carried::parse(&carried)
            .ok_or_else(|| StorageError::unreadable("carried", &carried))?,
        recorded: row.moment("recorded_ms")?,
    })
}
