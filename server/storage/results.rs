//! Counted results of all jobs and the course of each job, derived from entries for questions about many
//! jobs at once. Written where a job's other derived columns are; never a source of truth.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{InstrumentId, JobId, Moment, PersonId, WorkshopId};
use crate::domain::number::Decimal;
use crate::domain::parts::FittedPart;
use crate::domain::step::Unit;
use crate::domain::trends::{CountedResult, Course, JobResult};
use crate::domain::verdict::Verdict;

use super::columns::Columns as _;
use super::defects::{self, DefectRow};
use super::{StorageError, Store, parts};

/// Rows that one question reads at most, the newest first.
pub const RESULTS_MAX: usize = 40_000;
/// Released jobs of one question at most, the newest first.
pub const COURSES_MAX: u32 = 10_000;
/// Jobs that are filled in one go.
pub const UNREAD_LISTED: u32 = 100;

/// What one job comes to.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Results {
    pub kit_code: String,
    pub counted: Vec<CountedResult>,
    pub submitted: Option<Moment>,
    pub released: Option<Moment>,
    pub parts: Vec<FittedPart>,
    pub defects: Vec<DefectRow>,
}

/// From the first moment on, up to before the second, of one kit where one is named.
#[derive(Debug, Clone)]
pub struct Window {
    pub from: Moment,
    pub until: Moment,
    pub kit: Option<String>,
}

/// Puts a job's rows in the place of those that are there: what was counted may count no more, by a new
/// sheet or a result that arrived late. Only what differs is written: this follows on every entry, and
/// there is one writer.
pub(super) async fn replace(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    results: &Results,
) -> Result<(), StorageError> {
    let there = stored(&mut *db, (workshop, job)).await?;
    let mut old: BTreeMap<(&str, u32), _> =
        there.iter().map(|row| ((row.1.step.as_str(), row.1.nth), row)).collect();
    let mut new = Vec::new();
    for counted in &results.counted {
        let key = (counted.step.as_str(), counted.nth);
        match old.get(&key) {
            Some((kit, same)) if *kit == results.kit_code && same == counted => {
                old.remove(&key);
            }
            _ => new.push(counted),
        }
    }
    for key in old.into_keys() {
        delete(&mut *db, (workshop, job), key).await?;
    }
    for counted in new {
        insert(&mut *db, (workshop, job), &results.kit_code, counted).await?;
    }
    parts::replace(&mut *db, (workshop, job), &results.parts).await?;
    defects::replace(&mut *db, (workshop, job), &results.kit_code, &results.defects).await?;
    sqlx::query(
        "insert into job_course (workshop_id, job_id, submitted_ms, released_ms) \
         values ($1, $2, $3, $4) on conflict (workshop_id, job_id) do update \
         set submitted_ms = excluded.submitted_ms, released_ms = excluded.released_ms",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(results.submitted.map(|at| at.0))
    .bind(results.released.map(|at| at.0))
    .execute(&mut *db)
    .await?;
    let done = "delete from result_due where workshop_id = $1 and job_id = $2";
    sqlx::query(done).bind(workshop.0).bind(job.0).execute(db).await?;
    Ok(())
}

/// The rows of one job that are there, each with its kit.
async fn stored(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
) -> Result<Vec<(String, CountedResult)>, StorageError> {
    let rows = sqlx::query("select * from result where workshop_id = $1 and job_id = $2");
    let rows = rows.bind(workshop.0).bind(job.0).fetch_all(db).await?;
    rows.iter().map(|row| Ok((row.text("kit_code")?, counted(row)?))).collect()
}

async fn delete(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    (step, nth): (&str, u32),
) -> Result<(), StorageError> {
    let one =
        "delete from result where workshop_id = $1 and job_id = $2 and step = $3 and nth = $4";
    sqlx::query(one).bind(workshop.0).bind(job.0).bind(step).bind(nth).execute(db).await?;
    Ok(())
}

async fn insert(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    kit_code: &str,
    counted: &CountedResult,
) -> Result<(), StorageError> {
    let instrument = |at: usize| counted.instruments.get(at).map(|id| id.0);
    sqlx::query(
        "insert into result (workshop_id, job_id, step, nth, kit_code, title, circuit, kind, figure, \
         unit, planned, verdict, person_id, instrument_id, other_instrument_id, recorded_ms) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(&counted.step)
    .bind(counted.nth)
    .bind(kit_code)
    .bind(&counted.title)
    .bind(&counted.circuit)
    .bind(&counted.kind)
    .bind(counted.figure.map(|(figure, _)| figure.to_string()))
    .bind(counted.figure.map(|(_, unit)| unit.symbol()))
    .bind(counted.planned.map(|planned| planned.to_string()))
    .bind(counted.verdict.word())
    .bind(counted.person.0)
    .bind(instrument(0))
    .bind(instrument(1))
    .bind(counted.recorded.0)
    .execute(db)
    .await?;
    Ok(())
}

/// $1 workshop, $2 and $3 window, $4 rows. Steps without a measurement have nothing to pass, and a
/// re-inspection measures other people's work once more: both are left out.
pub const SQL_IN_WINDOW: &str = "select r.*, j.number as job_number from result r \
    cross join job j on j.workshop_id = r.workshop_id and j.id = r.job_id \
    where r.workshop_id = $1 and r.recorded_ms >= $2 and r.recorded_ms < $3 \
    and r.verdict in ('Pass', 'Fail', 'Inconclusive') \
    and not exists (select 1 from reinspection x where x.workshop_id = r.workshop_id \
    and x.job_id = r.job_id) order by r.recorded_ms desc, r.job_id, r.step, r.nth limit $4";

/// The same of the kit $5. The index is named, since the engine takes the one of all kits otherwise.
pub const SQL_OF_KIT: &str = "select r.*, j.number as job_number \
    from result r indexed by result_by_kit \
    cross join job j on j.workshop_id = r.workshop_id and j.id = r.job_id \
    where r.workshop_id = $1 and r.kit_code = $5 and r.recorded_ms >= $2 and r.recorded_ms < $3 \
    and r.verdict in ('Pass', 'Fail', 'Inconclusive') \
    and not exists (select 1 from reinspection x where x.workshop_id = r.workshop_id \
    and x.job_id = r.job_id) order by r.recorded_ms desc, r.job_id, r.step, r.nth limit $4";

/// Measured results within a window, the newest first, at most [`RESULTS_MAX`]; and whether there are more.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    window: &Window,
) -> Result<(Vec<JobResult>, bool), StorageError> {
    let question = if window.kit.is_some() { SQL_OF_KIT } else { SQL_IN_WINDOW };
    let limit = i64::try_from(RESULTS_MAX).unwrap_or(i64::MAX) + 1;
    let mut asked =
        sqlx::query(question).bind(workshop.0).bind(window.from.0).bind(window.until.0).bind(limit);
    if let Some(kit) = &window.kit {
        asked = asked.bind(kit);
    }
    let rows = asked.fetch_all(store.readers()).await?;
    let found: Result<Vec<JobResult>, _> = rows.iter().take(RESULTS_MAX).map(job_result).collect();
    Ok((found?, rows.len() > RESULTS_MAX))
}

/// The courses of jobs that were released within a window, the newest first; re-inspections are left out.
pub async fn list_courses(
    store: &Store,
    workshop: WorkshopId,
    window: &Window,
) -> Result<Vec<Course>, StorageError> {
    let rows = sqlx::query(
        "select c.job_id, j.number, j.opened_ms, c.submitted_ms, c.released_ms from job_course c \
         cross join job j on j.workshop_id = c.workshop_id and j.id = c.job_id \
         cross join kit k on k.workshop_id = j.workshop_id and k.id = j.kit_id \
         where c.workshop_id = $1 and c.released_ms >= $2 and c.released_ms < $3 \
         and c.submitted_ms is not null and ($4 is null or k.code = $4) \
         and not exists (select 1 from reinspection x where x.workshop_id = c.workshop_id \
         and x.job_id = c.job_id) order by c.released_ms desc, j.number limit $5",
    )
    .bind(workshop.0)
    .bind(window.from.0)
    .bind(window.until.0)
    .bind(&window.kit)
    .bind(COURSES_MAX)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(course).collect()
}

/// Jobs whose results are to be derived anew, behind `after` in the order of their ids.
pub async fn list_unread(
    store: &Store,
    workshop: WorkshopId,
    after: Option<JobId>,
) -> Result<Vec<JobId>, StorageError> {
    let rows = sqlx::query(
        "select job_id from result_due where workshop_id = $1 and ($2 is null or job_id > $2) \
         order by job_id limit $3",
    )
    .bind(workshop.0)
    .bind(after.map(|job| job.0))
    .bind(UNREAD_LISTED)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(|row| Ok(JobId(row.uuid("job_id")?))).collect()
}

fn job_result(row: &SqliteRow) -> Result<JobResult, StorageError> {
    Ok(JobResult {
        job: JobId(row.uuid("job_id")?),
        job_number: row.number("job_number")?,
        kit: row.text("kit_code")?,
        counted: counted(row)?,
    })
}

fn counted(row: &SqliteRow) -> Result<CountedResult, StorageError> {
    let unit = row.text_or_none("unit")?.as_deref().and_then(Unit::parse);
    let ids = [row.uuid_or_none("instrument_id")?, row.uuid_or_none("other_instrument_id")?];
    Ok(CountedResult {
        step: row.text("step")?,
        title: row.text("title")?,
        nth: row.number("nth")?,
        circuit: row.text_or_none("circuit")?,
        kind: row.text("kind")?,
        figure: decimal(row, "figure")?.zip(unit),
        planned: decimal(row, "planned")?,
        verdict: verdict(&row.text("verdict")?)?,
        person: PersonId(row.uuid("person_id")?),
        instruments: ids.into_iter().flatten().map(InstrumentId).collect(),
        recorded: row.moment("recorded_ms")?,
    })
}

fn decimal(row: &SqliteRow, name: &'static str) -> Result<Option<Decimal>, StorageError> {
    let text = row.text_or_none(name)?;
    text.map(|text| text.parse().map_err(|why| StorageError::unreadable(name, why))).transpose()
}

fn verdict(word: &str) -> Result<Verdict, StorageError> {
    let all = [Verdict::Done, Verdict::Unable, Verdict::Pass, Verdict::Fail, Verdict::Inconclusive];
    let found = all.into_iter().find(|verdict| verdict.word() == word);
    found.ok_or_else(|| StorageError::unreadable("verdict", word))
}

fn course(row: &SqliteRow) -> Result<Course, StorageError> {
    Ok(Course {
        job: JobId(row.uuid("job_id")?),
        job_number: row.number("number")?,
        opened: row.moment("opened_ms")?,
        submitted: row.moment("submitted_ms")?,
        released: row.moment("released_ms")?,
    })
}
