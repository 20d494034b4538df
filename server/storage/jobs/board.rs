//! Days that jobs are planned for, and days that people are away.

use sqlx::sqlite::SqliteRow;
use sqlx::{Row as _, SqliteConnection};
use time::Date;
use time::macros::format_description;

use crate::domain::board::JOB_MINUTES;
use crate::domain::ids::{JobId, Moment, PersonId, WorkshopId};
use crate::domain::job::Stage;

use super::super::columns::Columns as _;
use super::super::{Conflict, StorageError, Store};
use super::{JobRow, WaitMark, job, select};

/// Jobs of one question at most.
pub const BOARD_JOBS_MAX: u32 = 500;
/// Stages of jobs that are still to be done.
const OPEN: [Stage; 4] = [Stage::Planning, Stage::Ready, Stage::Working, Stage::Returned];

/// A job with its place on the board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardJob {
    pub row: JobRow,
    pub day: Option<Date>,
    pub minutes: u32,
    /// How often it was moved; 0 where nobody planned it yet.
    pub version: u32,
}

/// Where a job goes, and what whoever moves it saw.
#[derive(Debug, Clone)]
pub struct Move {
    pub job: JobId,
    pub day: Option<Date>,
    pub minutes: u32,
    pub person: Option<PersonId>,
    pub seen: u32,
    pub seen_person: Option<PersonId>,
}

/// $1 workshop, $2 and $3 first and last day, $4 rows.
pub const SQL_OF_DAYS: &str = select!(
    ", d.day, d.minutes, d.version",
    "left join job_day d on d.workshop_id = j.workshop_id and d.job_id = j.id ",
    "j.id in (select o.job_id from job_day o where o.workshop_id = $1 and o.day >= $2 and o.day <= $3 \
     order by o.day limit $4) order by d.day"
);

/// $1 workshop, $2 stage, $3 day, $4 rows.
pub const SQL_BEFORE: &str = select!(
    ", d.day, d.minutes, d.version",
    "join job_day d on d.workshop_id = j.workshop_id and d.job_id = j.id ",
    "j.stage = $2 and d.day < $3 order by j.since_ms, j.id limit $4"
);

/// $1 workshop, $2 stage, $3 and $4 page mark, $5 rows.
pub const SQL_UNDATED: &str = select!(
    ", d.day, d.minutes, d.version",
    "left join job_day d on d.workshop_id = j.workshop_id and d.job_id = j.id ",
    "j.stage = $2 and d.day is null and (j.since_ms, j.id) > ($3, $4) \
     order by j.since_ms, j.id limit $5"
);

/// $1 workshop, $2 stage, $3 person, $4 rows.
pub const SQL_OPEN_OF: &str = select!(
    ", d.day, d.minutes, d.version",
    "left join job_day d on d.workshop_id = j.workshop_id and d.job_id = j.id ",
    "j.stage = $2 and j.technician_id = $3 order by j.since_ms, j.id limit $4"
);

/// Jobs that are planned from one day up to another, with both.
pub async fn of_days(
    store: &Store,
    workshop: WorkshopId,
    from: Date,
    to: Date,
) -> Result<Vec<BoardJob>, StorageError> {
    let query = sqlx::query(SQL_OF_DAYS).bind(workshop.0).bind(text(from)).bind(text(to));
    let rows = query.bind(BOARD_JOBS_MAX).fetch_all(store.readers()).await?;
    rows.iter().map(board_job).collect()
}

/// Jobs that are still to be done and were planned for an earlier day.
pub async fn planned_before(
    store: &Store,
    workshop: WorkshopId,
    day: Date,
) -> Result<Vec<BoardJob>, StorageError> {
    let mut found = Vec::new();
    for stage in OPEN {
        let query = sqlx::query(SQL_BEFORE).bind(workshop.0).bind(stage.word()).bind(text(day));
        let rows = query.bind(BOARD_JOBS_MAX).fetch_all(store.readers()).await?;
        found.extend(rows.iter().map(board_job).collect::<Result<Vec<_>, _>>()?);
    }
    found.sort_by_key(|job| (job.day, job.row.number));
    Ok(found)
}

/// Jobs that are still to be done and stand on no day, whoever waits longest first; and where the next page
/// begins.
pub async fn undated(
    store: &Store,
    workshop: WorkshopId,
    after: Option<WaitMark>,
    limit: u32,
) -> Result<(Vec<BoardJob>, Option<WaitMark>), StorageError> {
    let after = after.unwrap_or(WaitMark::FIRST);
    let mut found = Vec::new();
    for stage in OPEN {
        let query = sqlx::query(SQL_UNDATED).bind(workshop.0).bind(stage.word());
        let query = query.bind(after.since.0).bind(after.id.0).bind(limit + 1);
        let rows = query.fetch_all(store.readers()).await?;
        found.extend(rows.iter().map(board_job).collect::<Result<Vec<_>, _>>()?);
    }
    let mark = |job: &BoardJob| WaitMark { since: job.row.since, id: job.row.id };
    found.sort_by_key(mark);
    let more = found.len() > limit as usize;
    found.truncate(limit as usize);
    let next = found.last().filter(|_| more).map(mark);
    Ok((found, next))
}

/// What one person has to do: planned days first, in their order, then what waits longest.
pub async fn open_of(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
    limit: u32,
) -> Result<Vec<BoardJob>, StorageError> {
    let mut found = Vec::new();
    for stage in OPEN.into_iter().chain([Stage::Review]) {
        let query = sqlx::query(SQL_OPEN_OF).bind(workshop.0).bind(stage.word()).bind(person.0);
        let rows = query.bind(BOARD_JOBS_MAX).fetch_all(store.readers()).await?;
        found.extend(rows.iter().map(board_job).collect::<Result<Vec<_>, _>>()?);
    }
    found.sort_by_key(|job| (job.day.is_none(), job.day, job.row.since, job.row.id));
    found.truncate(limit as usize);
    Ok(found)
}

/// Moves a job to a day and a person, or takes it off the board.
///
/// # Errors
/// [`Conflict::BoardMoved`] where it stands elsewhere than was seen, or is released.
pub async fn move_job(
    store: &Store,
    workshop: WorkshopId,
    to: Move,
    now: Moment,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                set_person(db, workshop, &to, now).await?;
                set_day(db, workshop, &to).await
            })
        })
        .await
}

async fn set_person(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    to: &Move,
    now: Moment,
) -> Result<(), StorageError> {
    let moved = sqlx::query(
        "update job set technician_id = $3, updated_ms = max(updated_ms, $4) where workshop_id = $1 \
         and id = $2 and technician_id is $5 and stage <> 'released'",
    )
    .bind(workshop.0)
    .bind(to.job.0)
    .bind(to.person.map(|id| id.0))
    .bind(now.0)
    .bind(to.seen_person.map(|id| id.0))
    .execute(db)
    .await?;
    if moved.rows_affected() == 1 { Ok(()) } else { Err(Conflict::BoardMoved.into()) }
}

async fn set_day(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    to: &Move,
) -> Result<(), StorageError> {
    let sql = if to.seen == 0 {
        "insert into job_day (workshop_id, job_id, day, minutes, version) \
         values ($1, $2, $3, $4, $5 + 1) on conflict do nothing"
    } else {
        "update job_day set day = $3, minutes = $4, version = version + 1 \
         where workshop_id = $1 and job_id = $2 and version = $5"
    };
    let moved = sqlx::query(sql)
        .bind(workshop.0)
        .bind(to.job.0)
        .bind(to.day.map(text))
        .bind(to.minutes)
        .bind(to.seen)
        .execute(db)
        .await?;
    if moved.rows_affected() == 1 { Ok(()) } else { Err(Conflict::BoardMoved.into()) }
}

/// Who is away from one day up to another, with both.
pub async fn list_away(
    store: &Store,
    workshop: WorkshopId,
    from: Date,
    to: Date,
) -> Result<Vec<(PersonId, Date)>, StorageError> {
    let rows = sqlx::query(
        "select person_id, day from away where workshop_id = $1 and day >= $2 and day <= $3 \
         order by day, person_id",
    )
    .bind(workshop.0)
    .bind(text(from))
    .bind(text(to))
    .fetch_all(store.readers())
    .await?;
    let away = |row: &SqliteRow| Ok((PersonId(row.uuid("person_id")?), day(&row.text("day")?)?));
    rows.iter().map(away).collect()
}

/// Says that somebody is away on a day, or is there after all. Saying it twice changes nothing.
pub async fn set_away(
    store: &Store,
    workshop: WorkshopId,
    (person, on): (PersonId, Date),
    is_away: bool,
) -> Result<(), StorageError> {
    let sql = if is_away {
        "insert into away (workshop_id, day, person_id) values ($1, $2, $3) on conflict do nothing"
    } else {
        "delete from away where workshop_id = $1 and day = $2 and person_id = $3"
    };
    store
        .write_one(move |db| {
            Box::pin(async move {
                let query = sqlx::query(sql).bind(workshop.0).bind(text(on)).bind(person.0);
                query.execute(db).await?;
                Ok(())
            })
        })
        .await
}

fn board_job(row: &SqliteRow) -> Result<BoardJob, StorageError> {
    let planned = row.try_get::<Option<u32>, _>("minutes")?;
    Ok(BoardJob {
        row: job(row)?,
        day: row.text_or_none("day")?.map(|text| day(&text)).transpose()?,
        minutes: planned.unwrap_or(JOB_MINUTES),
        version: row.try_get::<Option<u32>, _>("version")?.unwrap_or(0),
    })
}

fn text(day: Date) -> String {
    Moment::start_of(day).date()
}

fn day(text: &str) -> Result<Date, StorageError> {
    Date::parse(text, format_description!("[year]-[month]-[day]"))
        .map_err(|why| StorageError::unreadable("day", why))
}
