//! Defects of all jobs, derived from entries for lists, and who looks after them.

use std::fmt;
use std::str::FromStr;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;
use uuid::Uuid;

use crate::domain::ids::{EntryId, JobId, Moment, PersonId, WorkshopId};
use crate::domain::job::{Defect, Wants};

use super::columns::Columns as _;
use super::jobs::NoPageMark;
use super::{Conflict, StorageError, Store};

/// Rows that one page lists at most.
pub const DEFECTS_LISTED_MAX: u32 = 100;

/// One defect as lists know it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DefectRow {
    pub id: EntryId,
    /// Empty, and number 0, where it is about the job as a whole.
    pub step: String,
    pub step_number: u32,
    pub title: String,
    pub wrong: String,
    pub is_raised: bool,
    pub wants: Wants,
    pub opened: Moment,
    pub opened_by: PersonId,
    pub closed: Option<Moment>,
}

/// The same with its job, its people and its kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedDefect {
    pub row: DefectRow,
    pub job: JobId,
    pub job_number: u64,
    pub vehicle: String,
    pub registration: String,
    pub kit_code: String,
    pub opened_by: String,
    pub person: Option<String>,
}

/// Which defects. What is nothing does not narrow.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    pub is_closed: bool,
    pub person: Option<PersonId>,
    pub kit: Option<String>,
    /// Where the page before ended.
    pub before: Option<Mark>,
    /// At most [`DEFECTS_LISTED_MAX`].
    pub limit: u32,
}

/// Where a page of the list ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mark {
    pub opened: Moment,
    pub id: EntryId,
}

#[derive(Debug, Clone)]
pub struct Page {
    pub defects: Vec<ListedDefect>,
    pub next: Option<Mark>,
}

impl fmt::Display for Mark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.opened.0, self.id)
    }
}

impl FromStr for Mark {
    type Err = NoPageMark;

    fn from_str(text: &str) -> Result<Self, NoPageMark> {
        let (opened, id) = text.split_once('-').ok_or(NoPageMark)?;
        Ok(Self {
            opened: Moment(opened.parse().map_err(|_| NoPageMark)?),
            id: id.parse().map_err(|_| NoPageMark)?,
        })
    }
}

impl DefectRow {
    /// What the fold gives, as a row.
    pub fn of(defect: &Defect) -> Self {
        let step = defect.step.clone();
        let number = step.as_ref().map_or(0, |step| step.number);
        let (step, title) = step.map(|step| (step.key, step.title)).unwrap_or_default();
        Self {
            id: defect.id,
            step,
            step_number: u32::try_from(number).unwrap_or(u32::MAX),
            title,
            wrong: defect.wrong.clone(),
            is_raised: defect.is_raised,
            wants: defect.wants(),
            opened: defect.opened.received,
            opened_by: defect.opened.person,
            closed: defect.closed(),
        }
    }
}

/// Puts a job's defects in the place of those that are there; only what differs is written.
pub(super) async fn replace(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    kit_code: &str,
    defects: &[DefectRow],
) -> Result<(), StorageError> {
    let rows = sqlx::query("select * from defect where workshop_id = $1 and job_id = $2");
    let rows = rows.bind(workshop.0).bind(job.0).fetch_all(&mut *db).await?;
    let there: Vec<DefectRow> = rows.iter().map(defect_row).collect::<Result<_, _>>()?;
    for old in there.iter().filter(|old| !defects.contains(old)) {
        let one = sqlx::query("delete from defect where workshop_id = $1 and id = $2");
        one.bind(workshop.0).bind(old.id.0).execute(&mut *db).await?;
    }
    for new in defects.iter().filter(|new| !there.contains(new)) {
        insert(&mut *db, (workshop, job), kit_code, new).await?;
    }
    Ok(())
}

async fn insert(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    kit_code: &str,
    new: &DefectRow,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into defect (workshop_id, id, job_id, kit_code, step, step_number, title, wrong, \
         is_raised, wants, opened_ms, opened_by, closed_ms, is_open, person_id) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $13 is null, \
         coalesce((select a.person_id from defect_assignment a where a.workshop_id = $1 \
         and a.defect_id = $2), (select j.technician_id from job j where j.workshop_id = $1 \
         and j.id = $3)))",
    )
    .bind(workshop.0)
    .bind(new.id.0)
    .bind(job.0)
    .bind(kit_code)
    .bind(&new.step)
    .bind(new.step_number)
    .bind(&new.title)
    .bind(&new.wrong)
    .bind(new.is_raised)
    .bind(new.wants.word())
    .bind(new.opened.0)
    .bind(new.opened_by.0)
    .bind(new.closed.map(|at| at.0))
    .execute(db)
    .await?;
    Ok(())
}

/// The job was given to somebody, and with it what is wrong there and not assigned otherwise.
pub(super) async fn follow_job(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    technician: Option<PersonId>,
) -> Result<(), StorageError> {
    sqlx::query(
        "update defect set person_id = $3 where workshop_id = $1 and job_id = $2 and not exists \
         (select 1 from defect_assignment a where a.workshop_id = defect.workshop_id \
         and a.defect_id = defect.id)",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(technician.map(|id| id.0))
    .execute(db)
    .await?;
    Ok(())
}

/// Whom a defect is given to, by whom and when.
#[derive(Debug, Clone, Copy)]
pub struct Assignment {
    pub defect: EntryId,
    pub person: PersonId,
    pub by: PersonId,
    pub at: Moment,
}

/// Gives a defect to somebody. One that no list knows is refused.
pub async fn assign(
    store: &Store,
    workshop: WorkshopId,
    new: Assignment,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update defect set person_id = $3 where workshop_id = $1 and id = $2",
                );
                let changed = changed.bind(workshop.0).bind(new.defect.0).bind(new.person.0);
                if changed.execute(&mut *db).await?.rows_affected() == 0 {
                    return Err(Conflict::NotThere.into());
                }
                sqlx::query(
                    "insert into defect_assignment (workshop_id, defect_id, person_id, assigned_ms, \
                     assigned_by) values ($1, $2, $3, $4, $5) on conflict (workshop_id, defect_id) \
                     do update set person_id = excluded.person_id, \
                     assigned_ms = excluded.assigned_ms, assigned_by = excluded.assigned_by",
                )
                .bind(workshop.0)
                .bind(new.defect.0)
                .bind(new.person.0)
                .bind(new.at.0)
                .bind(new.by.0)
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

/// Who looks after a defect.
pub async fn find_person(
    store: &Store,
    workshop: WorkshopId,
    defect: EntryId,
) -> Result<Option<PersonId>, StorageError> {
    let row = sqlx::query("select person_id from defect where workshop_id = $1 and id = $2")
        .bind(workshop.0)
        .bind(defect.0)
        .fetch_optional(store.readers())
        .await?;
    Ok(row.map(|row| row.uuid_or_none("person_id")).transpose()?.flatten().map(PersonId))
}

macro_rules! select {
    ($index:literal, $which:literal) => {
        concat!(
            "select d.*, j.number as job_number, j.vehicle, j.registration, o.name as opener, \
             p.name as person from defect d indexed by ",
            $index,
            " join job j on j.workshop_id = d.workshop_id and j.id = d.job_id \
             join person o on o.workshop_id = d.workshop_id and o.id = d.opened_by \
             left join person p on p.workshop_id = d.workshop_id and p.id = d.person_id \
             where d.workshop_id = $1 and d.is_open = $2 and (d.opened_ms, d.id) < ($3, $4) ",
            $which,
            " order by d.opened_ms desc, d.id desc limit $5"
        )
    };
}

/// $1 workshop, $2 open, $3 and $4 mark, $5 rows.
pub const SQL_ALL: &str = select!("defect_by_time", "");
/// The same; $6 kit.
pub const SQL_OF_KIT: &str = select!("defect_by_kit", "and d.kit_code = $6");
/// The same; $6 kit or nothing, $7 person.
pub const SQL_OF_PERSON: &str =
    select!("defect_by_person", "and d.person_id = $7 and ($6 is null or d.kit_code = $6)");

/// The newest first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    filter: &Filter,
) -> Result<Page, StorageError> {
    let limit = filter.limit.clamp(1, DEFECTS_LISTED_MAX);
    let question = match (filter.person, &filter.kit) {
        (Some(_), _) => SQL_OF_PERSON,
        (None, Some(_)) => SQL_OF_KIT,
        (None, None) => SQL_ALL,
    };
    let first = Mark { opened: Moment(i64::MAX), id: EntryId(Uuid::max()) };
    let before = filter.before.unwrap_or(first);
    let mut asked = sqlx::query(question)
        .bind(workshop.0)
        .bind(!filter.is_closed)
        .bind(before.opened.0)
        .bind(before.id.0)
        .bind(limit + 1);
    if question != SQL_ALL {
        asked = asked.bind(&filter.kit);
    }
    if let Some(person) = filter.person {
        asked = asked.bind(person.0);
    }
    let rows = asked.fetch_all(store.readers()).await?;
    let mut defects: Vec<ListedDefect> = rows.iter().map(listed).collect::<Result<_, _>>()?;
    let more = defects.len() > limit as usize;
    defects.truncate(limit as usize);
    let mark = |last: &ListedDefect| Mark { opened: last.row.opened, id: last.row.id };
    let next = defects.last().filter(|_| more).map(mark);
    Ok(Page { defects, next })
}

fn listed(row: &SqliteRow) -> Result<ListedDefect, StorageError> {
    Ok(ListedDefect {
        row: defect_row(row)?,
        job: JobId(row.uuid("job_id")?),
        job_number: row.number("job_number")?,
        vehicle: row.text("vehicle")?,
        registration: row.text("registration")?,
        kit_code: row.text("kit_code")?,
        opened_by: row.text("opener")?,
        person: row.text_or_none("person")?,
    })
}

fn defect_row(row: &SqliteRow) -> Result<DefectRow, StorageError> {
    let wants = row.text("wants")?;
    Ok(DefectRow {
        id: EntryId(row.uuid("id")?),
        step: row.text("step")?,
        step_number: row.number("step_number")?,
        title: row.text("title")?,
        wrong: row.text("wrong")?,
        is_raised: row.flag("is_raised")?,
        wants: Wants::parse(&wants).ok_or_else(|| StorageError::unreadable("wants", wants))?,
        opened: row.moment("opened_ms")?,
        opened_by: PersonId(row.uuid("opened_by")?),
        closed: row.signed_or_none("closed_ms")?.map(Moment),
    })
}
