//! On which day jobs are planned, for whom, and who is away.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;
use time::Date;
use time::macros::format_description;

use crate::domain::board::{SPAN_DAYS_MAX, Span, plus};
use crate::domain::ids::{JobId, Moment, PersonId, WorkshopId};
use crate::domain::job::Stage;

use super::columns::{Columns as _, stored};
use super::{StorageError, Store, defects};

/// Jobs of one week at most.
pub const WEEK_JOBS_MAX: u32 = 500;
/// Jobs without a day on one page.
pub const UNDATED_LISTED: u32 = 50;
/// Jobs that nobody has begun, the longest ago first.
pub const LATE_LISTED: u32 = 50;
/// Jobs of one person that their list shows at most.
pub const PERSON_JOBS_MAX: u32 = 100;
/// Earlier jobs of a kit that tell how long one takes.
const EARLIER_JOBS: u32 = 20;

/// A job as the board shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardJob {
    pub id: JobId,
    pub number: u64,
    pub vehicle: String,
    pub registration: String,
    pub plate: String,
    pub kit_code: String,
    pub kit_title: String,
    pub technician: Option<PersonId>,
    pub stage: Stage,
    pub planned: Planned,
}

/// What is planned for a job. Nothing was, where the version is 0.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Planned {
    pub day: Option<Date>,
    /// Where it was planned before, and lost its day.
    pub days: Option<u8>,
    pub minutes: Option<u32>,
    pub version: u64,
}

impl Planned {
    pub fn span(&self) -> Option<Span> {
        Some(Span { first: self.day?, days: self.days?, minutes: self.minutes? })
    }
}

/// A move, and what whoever moves saw.
#[derive(Debug, Clone, Copy)]
pub struct Move {
    pub job: JobId,
    pub technician: Option<PersonId>,
    pub day: Option<Date>,
    pub days: u8,
    pub minutes: u32,
    pub saw: Saw,
}

/// The version and the person that a job had on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Saw {
    pub version: u64,
    pub technician: Option<PersonId>,
}

macro_rules! select {
    ($from:literal, $rest:literal) => {
        concat!(
            "select j.id, j.number, j.vehicle, j.registration, j.plate, j.technician_id, j.stage, \
             k.code, k.title, p.day, p.days, p.minutes, p.version from ",
            $from,
            " cross join kit k on k.workshop_id = j.workshop_id and k.id = j.kit_id ",
            $rest
        )
    };
}

/// $1 workshop, $2 and $3 days, $4 rows.
pub const SQL_WEEK: &str = select!(
    "planned_day p cross join job j on j.workshop_id = p.workshop_id and j.id = p.job_id",
    "where p.workshop_id = $1 and p.day >= $2 and p.day <= $3 order by p.day, j.number limit $4"
);
/// $1 workshop, $2 day, $3 rows. Open jobs are few, days that are past are many.
pub const SQL_PAST: &str = select!(
    "job j indexed by job_by_wait cross join planned_day p on p.workshop_id = j.workshop_id \
     and p.job_id = j.id",
    "where j.workshop_id = $1 and j.stage in ('planning', 'ready') and p.day < $2 \
     order by p.day, j.number limit $3"
);
/// $1 workshop, $2 number to go on behind, $3 rows.
pub const SQL_UNDATED: &str = select!(
    "job j indexed by job_by_wait left join planned_day p on p.workshop_id = j.workshop_id \
     and p.job_id = j.id",
    "where j.workshop_id = $1 and j.stage in ('planning', 'ready', 'working', 'returned') \
     and p.day is null and j.number > $2 order by j.number limit $3"
);
/// $1 workshop, $2 person, $3 rows.
pub const SQL_OF_PERSON: &str = select!(
    "job j indexed by job_by_wait left join planned_day p \
     on p.workshop_id = j.workshop_id and p.job_id = j.id",
    "where j.workshop_id = $1 and j.technician_id = $2 \
     and j.stage in ('planning', 'ready', 'working', 'returned') \
     order by p.day is null, p.day, j.number limit $3"
);
const SQL_ONE: &str = select!(
    "job j left join planned_day p on p.workshop_id = j.workshop_id and p.job_id = j.id",
    "where j.workshop_id = $1 and j.id = $2"
);

/// Jobs with a day between two, or that may still run on the first of them.
pub async fn list_week(
    store: &Store,
    workshop: WorkshopId,
    (from, to): (Date, Date),
) -> Result<Vec<BoardJob>, StorageError> {
    let asked = sqlx::query(SQL_WEEK)
        .bind(workshop.0)
        .bind(plus(from, -SPAN_DAYS_MAX).to_string())
        .bind(to.to_string())
        .bind(WEEK_JOBS_MAX);
    read(&asked.fetch_all(store.readers()).await?)
}

/// Jobs that nobody has begun and that were planned to begin before a day, the longest ago first.
pub async fn list_past(
    store: &Store,
    workshop: WorkshopId,
    day: Date,
) -> Result<Vec<BoardJob>, StorageError> {
    let asked = sqlx::query(SQL_PAST).bind(workshop.0).bind(day.to_string()).bind(LATE_LISTED);
    read(&asked.fetch_all(store.readers()).await?)
}

/// Open jobs without a day, by number; and whether there are more.
pub async fn list_undated(
    store: &Store,
    workshop: WorkshopId,
    after: u64,
) -> Result<(Vec<BoardJob>, bool), StorageError> {
    let asked =
        sqlx::query(SQL_UNDATED).bind(workshop.0).bind(stored(after)).bind(UNDATED_LISTED + 1);
    let mut jobs = read(&asked.fetch_all(store.readers()).await?)?;
    let more = jobs.len() > UNDATED_LISTED as usize;
    jobs.truncate(UNDATED_LISTED as usize);
    Ok((jobs, more))
}

/// What one person has to do, by day, what has no day last.
pub async fn list_of_person(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<Vec<BoardJob>, StorageError> {
    let asked = sqlx::query(SQL_OF_PERSON).bind(workshop.0).bind(person.0).bind(PERSON_JOBS_MAX);
    read(&asked.fetch_all(store.readers()).await?)
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Option<BoardJob>, StorageError> {
    let row = sqlx::query(SQL_ONE).bind(workshop.0).bind(job.0);
    row.fetch_optional(store.readers()).await?.map(|row| board_job(&row)).transpose()
}

/// The middle one of what was planned for the last jobs of a kit.
pub async fn usual_minutes(
    store: &Store,
    workshop: WorkshopId,
    kit_code: &str,
) -> Result<Option<u32>, StorageError> {
    let rows = sqlx::query(
        "select p.minutes from kit k cross join job j on j.workshop_id = k.workshop_id and j.kit_id = k.id \
         join planned_day p on p.workshop_id = j.workshop_id and p.job_id = j.id \
         where k.workshop_id = $1 and k.code = $2 order by j.number desc limit $3",
    )
    .bind(workshop.0)
    .bind(kit_code)
    .bind(EARLIER_JOBS)
    .fetch_all(store.readers())
    .await?;
    let minutes: Result<Vec<u32>, _> = rows.iter().map(|row| row.number("minutes")).collect();
    let mut minutes = minutes?;
    minutes.sort_unstable();
    Ok(minutes.get(minutes.len() / 2).copied())
}

/// Moves a job to a day and a person. `false` where it is not any more as it was seen, and nothing is changed.
pub async fn append_move(
    store: &Store,
    workshop: WorkshopId,
    new: Move,
    now: Moment,
) -> Result<bool, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let row = sqlx::query(SQL_ONE).bind(workshop.0).bind(new.job.0);
                let Some(row) = row.fetch_optional(&mut *db).await? else { return Ok(false) };
                let there = board_job(&row)?;
                let version = there.planned.version;
                if new.saw != (Saw { version, technician: there.technician }) {
                    return Ok(false);
                }
                put_day(&mut *db, workshop, new).await?;
                if there.technician != new.technician {
                    give(db, workshop, (new.job, new.technician), now).await?;
                }
                Ok(true)
            })
        })
        .await
}

async fn put_day(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: Move,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into planned_day (workshop_id, job_id, day, days, minutes, version) \
         values ($1, $2, $3, $4, $5, 1) on conflict (workshop_id, job_id) do update \
         set day = excluded.day, days = excluded.days, minutes = excluded.minutes, \
         version = planned_day.version + 1",
    )
    .bind(workshop.0)
    .bind(new.job.0)
    .bind(new.day.map(|day| day.to_string()))
    .bind(new.days)
    .bind(new.minutes)
    .execute(db)
    .await?;
    Ok(())
}

async fn give(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    (job, technician): (JobId, Option<PersonId>),
    now: Moment,
) -> Result<(), StorageError> {
    sqlx::query(
        "update job set technician_id = $3, updated_ms = max(updated_ms, $4) \
         where workshop_id = $1 and id = $2",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(technician.map(|id| id.0))
    .bind(now.0)
    .execute(&mut *db)
    .await?;
    defects::follow_job(db, (workshop, job), technician).await
}

/// Who is away on which of these days.
pub async fn list_away(
    store: &Store,
    workshop: WorkshopId,
    (from, to): (Date, Date),
) -> Result<Vec<(PersonId, Date)>, StorageError> {
    let rows = sqlx::query(
        "select person_id, day from away where workshop_id = $1 and day >= $2 and day <= $3 \
         order by day, person_id",
    )
    .bind(workshop.0)
    .bind(from.to_string())
    .bind(to.to_string())
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(|row| Ok((PersonId(row.uuid("person_id")?), day(&row.text("day")?)?))).collect()
}

/// Notes that somebody is away on these days. Days that are noted already stay.
pub async fn append_away(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
    days: Vec<Date>,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                for day in days {
                    sqlx::query(
                        "insert into away (workshop_id, person_id, day) values ($1, $2, $3) \
                         on conflict do nothing",
                    )
                    .bind(workshop.0)
                    .bind(person.0)
                    .bind(day.to_string())
                    .execute(&mut *db)
                    .await?;
                }
                Ok(())
            })
        })
        .await
}

/// Somebody is there after all.
pub async fn take_away_back(
    store: &Store,
    workshop: WorkshopId,
    (person, day): (PersonId, Date),
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "delete from away where workshop_id = $1 and person_id = $2 and day = $3",
                )
                .bind(workshop.0)
                .bind(person.0)
                .bind(day.to_string())
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

fn read(rows: &[SqliteRow]) -> Result<Vec<BoardJob>, StorageError> {
    rows.iter().map(board_job).collect()
}

fn board_job(row: &SqliteRow) -> Result<BoardJob, StorageError> {
    let stage = row.text("stage")?;
    Ok(BoardJob {
        id: JobId(row.uuid("id")?),
        number: row.number("number")?,
        vehicle: row.text("vehicle")?,
        registration: row.text("registration")?,
        plate: row.text("plate")?,
        kit_code: row.text("code")?,
        kit_title: row.text("title")?,
        technician: row.uuid_or_none("technician_id")?.map(PersonId),
        stage: Stage::parse(&stage).ok_or_else(|| StorageError::unreadable("stage", stage))?,
        planned: planned(row)?,
    })
}

fn planned(row: &SqliteRow) -> Result<Planned, StorageError> {
    if row.is_null("version")? {
        return Ok(Planned::default());
    }
    Ok(Planned {
        day: row.text_or_none("day")?.map(|text| day(&text)).transpose()?,
        days: Some(row.number("days")?),
        minutes: Some(row.number("minutes")?),
        version: row.number("version")?,
    })
}

fn day(text: &str) -> Result<Date, StorageError> {
    let form = format_description!("[year]-[month]-[day]");
    Date::parse(text, form).map_err(|why| StorageError::unreadable("day", why))
}
