//! Jobs: what they were opened with, and the columns derived from their entries for lists.

mod kit;
mod language;
mod list;
mod search;
mod vehicle;
mod waiting;

use std::fmt;
use std::str::FromStr;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{CustomerId, JobId, KitId, Moment, PersonId, WorkshopId};

use super::columns::{Columns as _, stored};
use super::defects;
use super::error::one_row;
use super::reinspections::Reinspection;
use super::results::{self, Results};
use super::{Conflict, StorageError, Store};

pub use kit::of_kit;
pub use language::{change_language, language};
pub use list::{Filter, Page, SQL_LIST_ALL, list};
pub use search::{Found, SQL_SEARCH, Search, WORDS_MAX, drop_old_words, search};
pub use vehicle::{OfVehicle, VEHICLE_JOBS_MAX, of_vehicle, plain_mark, with_same_vin};
pub use waiting::{
    COUNTED_MAX, SQL_CAME_LAST, SQL_COUNT_STAGE, SQL_OPEN_OF, SQL_UNOPENED, SQL_WAITING, WaitMark,
    WaitPage, came_last, count_waiting, open_of, unopened, waiting,
};

/// Jobs that one page of a list shows at most.
pub const JOBS_LISTED_MAX: u32 = 200;
/// Jobs that one page shows where nothing else was asked for.
pub const JOBS_LISTED: u32 = 50;
/// The stage of a job that has no entries.
pub const STAGE_FIRST: &str = "planning";

#[derive(Debug, Clone)]
pub struct NewJob {
    pub id: JobId,
    pub customer: CustomerId,
    pub kit: KitId,
    /// As lists show it: make, model, year.
    pub vehicle: String,
    pub registration: String,
    pub technician: Option<PersonId>,
    pub opened: Moment,
    pub opened_by: PersonId,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobRow {
    pub id: JobId,
    pub number: u64,
    pub customer: CustomerId,
    pub customer_name: String,
    pub kit: KitId,
    pub kit_code: String,
    pub kit_edition: u32,
    pub kit_title: String,
    pub vehicle: String,
    pub registration: String,
    pub technician: Option<PersonId>,
    pub technician_name: Option<String>,
    pub opened: Moment,
    pub opened_by: PersonId,
    pub stage: String,
    pub steps_total: u32,
    pub steps_done: u32,
    /// JSON.
    pub flags: String,
    pub entry_count: u64,
    pub updated: Moment,
    /// When it came to its stage.
    pub since: Moment,
    /// What a manager should look at twice, as [`Derived::notices`].
    pub notices: String,
    /// Of a re-inspection: what it measures again.
    pub again: Option<Reinspection>,
}

/// What the entries of a job come to, as far as lists show it.
#[derive(Debug, Clone)]
pub struct Derived {
    pub stage: String,
    pub steps_total: u32,
    pub steps_done: u32,
    /// JSON.
    pub flags: String,
    /// Entries that this was derived from.
    pub entry_count: u64,
    pub updated: Moment,
    /// The end of the vehicle's identification number, as planned; empty where nothing is.
    pub vin: String,
    pub results: Results,
    /// What a manager should look at twice: kinds with their counts, as `clock_off:2 improbable:1`.
    pub notices: String,
}

/// Where a page of a list ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PageMark {
    pub updated: Moment,
    pub id: JobId,
}

impl fmt::Display for PageMark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.updated.0, self.id)
    }
}

/// What was in the address is no page mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("The list cannot be continued from there. Start it anew")]
pub struct NoPageMark;

impl FromStr for PageMark {
    type Err = NoPageMark;

    fn from_str(text: &str) -> Result<Self, NoPageMark> {
        let (updated, id) = text.split_once('-').ok_or(NoPageMark)?;
        Ok(Self {
            updated: Moment(updated.parse().map_err(|_| NoPageMark)?),
            id: id.parse().map_err(|_| NoPageMark)?,
        })
    }
}

// Jobs come first whatever the engine counts: with few kits it would read all jobs kit by kit and sort them.
macro_rules! select {
    ($rest:literal) => {
        select!("", "", $rest)
    };
    // With more columns, and the joins that they come from.
    ($columns:literal, $joins:literal, $rest:literal) => {
        concat!(
            "select j.id, j.number, j.customer_id, c.name as customer_name, j.kit_id, \
             k.code as kit_code, k.edition as kit_edition, k.title as kit_title, j.vehicle, \
             j.registration, j.technician_id, p.name as technician_name, j.opened_ms, j.opened_by, \
             j.stage, j.steps_total, j.steps_done, j.flags, j.entry_count, j.updated_ms, \
             j.since_ms, j.notices, r.earlier_job_id, r.certificate as earlier_certificate, r.first_job_id",
            $columns,
            " from job j \
             cross join customer c on c.workshop_id = j.workshop_id and c.id = j.customer_id \
             cross join kit k on k.workshop_id = j.workshop_id and k.id = j.kit_id \
             left join person p on p.workshop_id = j.workshop_id and p.id = j.technician_id \
             left join reinspection r on r.workshop_id = j.workshop_id and r.job_id = j.id ",
            $joins,
            "where j.workshop_id = $1 and ",
            $rest
        )
    };
}
use select;

/// Opens a job and gives it the workshop's next number. Again with the same id: the same number.
pub async fn append(store: &Store, workshop: WorkshopId, new: NewJob) -> Result<u64, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                if let Some(number) = number_of(&mut *db, workshop, new.id).await? {
                    return Ok(number);
                }
                insert_next(db, workshop, new).await
            })
        })
        .await
}

/// Puts a job in under the workshop's next number.
pub(super) async fn insert_next(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: NewJob,
) -> Result<u64, StorageError> {
    // The only writer is here, so nobody else takes the number in between.
    let next = "select coalesce(max(number), 0) + 1 from job where workshop_id = $1";
    let number: i64 = sqlx::query_scalar(next).bind(workshop.0).fetch_one(&mut *db).await?;
    insert(db, workshop, new, number).await?;
    Ok(number.unsigned_abs())
}

pub(super) async fn number_of(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    id: JobId,
) -> Result<Option<u64>, StorageError> {
    let number: Option<i64> =
        sqlx::query_scalar("select number from job where workshop_id = $1 and id = $2")
            .bind(workshop.0)
            .bind(id.0)
            .fetch_optional(db)
            .await?;
    Ok(number.map(i64::unsigned_abs))
}

pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: NewJob,
    number: i64,
) -> Result<(), StorageError> {
    let plate = plain_mark(&new.registration);
    sqlx::query(
        "insert into job (workshop_id, id, number, customer_id, kit_id, vehicle, registration, \
         technician_id, opened_ms, opened_by, stage, updated_ms, plate) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $9, $12)",
    )
    .bind(workshop.0)
    .bind(new.id.0)
    .bind(number)
    .bind(new.customer.0)
    .bind(new.kit.0)
    .bind(new.vehicle)
    .bind(new.registration)
    .bind(new.technician.map(|id| id.0))
    .bind(new.opened.0)
    .bind(new.opened_by.0)
    .bind(STAGE_FIRST)
    .bind(plate)
    .execute(db)
    .await?;
    Ok(())
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    id: JobId,
) -> Result<Option<JobRow>, StorageError> {
    let row = sqlx::query(select!("j.id = $2"))
        .bind(workshop.0)
        .bind(id.0)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| job(&row)).transpose()
}

pub async fn find(
    store: &Store,
    workshop: WorkshopId,
    number: u64,
) -> Result<Option<JobRow>, StorageError> {
    let row = sqlx::query(select!("j.number = $2"))
        .bind(workshop.0)
        .bind(stored(number))
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| job(&row)).transpose()
}

/// Puts in what the entries come to. `false` where a state of more entries is there already: two
/// requests may derive at the same time and finish in the other order.
pub async fn refresh(
    store: &Store,
    workshop: WorkshopId,
    id: JobId,
    derived: Derived,
) -> Result<bool, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update job set stage = $3, steps_total = $4, steps_done = $5, flags = $6, \
                     entry_count = $7, updated_ms = case when updated_ms < $8 then $8 else updated_ms end, \
                     vin = $9, notices = $10 \
                     where workshop_id = $1 and id = $2 and entry_count <= $7",
                )
                .bind(workshop.0)
                .bind(id.0)
                .bind(derived.stage)
                .bind(derived.steps_total)
                .bind(derived.steps_done)
                .bind(derived.flags)
                .bind(stored(derived.entry_count))
                .bind(derived.updated.0)
                .bind(derived.vin)
                .bind(derived.notices)
                .execute(&mut *db)
                .await?;
                if changed.rows_affected() > 0 {
                    results::replace(db, (workshop, id), &derived.results).await?;
                } else if number_of(db, workshop, id).await?.is_none() {
                    return Err(Conflict::NotThere.into());
                }
                Ok(changed.rows_affected() > 0)
            })
        })
        .await
}

/// Gives the job to somebody, or to nobody.
pub async fn assign(
    store: &Store,
    workshop: WorkshopId,
    id: JobId,
    technician: Option<PersonId>,
    now: Moment,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update job set technician_id = $3, updated_ms = case when updated_ms < $4 then $4 else updated_ms end \
                     where workshop_id = $1 and id = $2",
                )
                .bind(workshop.0)
                .bind(id.0)
                .bind(technician.map(|id| id.0))
                .bind(now.0)
                .execute(&mut *db)
                .await?;
                one_row(&changed)?;
                defects::follow_job(db, (workshop, id), technician).await
            })
        })
        .await
}

fn job(row: &SqliteRow) -> Result<JobRow, StorageError> {
    Ok(JobRow {
        id: JobId(row.uuid("id")?),
        number: row.number("number")?,
        customer: CustomerId(row.uuid("customer_id")?),
        customer_name: row.text("customer_name")?,
        kit: KitId(row.uuid("kit_id")?),
        kit_code: row.text("kit_code")?,
        kit_edition: row.number("kit_edition")?,
        kit_title: row.text("kit_title")?,
        vehicle: row.text("vehicle")?,
        registration: row.text("registration")?,
        technician: row.uuid_or_none("technician_id")?.map(PersonId),
        technician_name: row.text_or_none("technician_name")?,
        opened: row.moment("opened_ms")?,
        opened_by: PersonId(row.uuid("opened_by")?),
        stage: row.text("stage")?,
        steps_total: row.number("steps_total")?,
        steps_done: row.number("steps_done")?,
        flags: row.text("flags")?,
        entry_count: row.number("entry_count")?,
        updated: row.moment("updated_ms")?,
        since: row.moment("since_ms")?,
        notices: row.text("notices")?,
        again: again(row)?,
    })
}

fn again(row: &SqliteRow) -> Result<Option<Reinspection>, StorageError> {
    let ends = row.uuid_or_none("earlier_job_id")?.zip(row.uuid_or_none("first_job_id")?);
    let certificate = row.text_or_none("earlier_certificate")?;
    Ok(ends.zip(certificate).map(|((earlier, first), certificate)| Reinspection {
        earlier: JobId(earlier),
        certificate,
        first: JobId(first),
    }))
}
