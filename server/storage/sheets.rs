//! Sheet editions of a job, kept as they were made.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{JobId, Moment, WorkshopId};
use crate::domain::sheet::Sheet;

use super::columns::Columns as _;
use super::{Conflict, StorageError, Store};

#[derive(Debug, Clone)]
pub struct NewSheet {
    pub job: JobId,
    pub sheet: Sheet,
    pub made: Moment,
}

/// Adds an edition; editions are only added. The same one with the same bytes again changes nothing.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    new: NewSheet,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let (job, edition, body) = (new.job, new.sheet.edition, new.sheet.text());
                let text = SheetText { edition, text: body.clone(), made: new.made };
                insert(&mut *db, workshop, job, text).await?;
                let stored: String = sqlx::query_scalar(BY_EDITION)
                    .bind(workshop.0)
                    .bind(job.0)
                    .bind(edition)
                    .fetch_one(db)
                    .await?;
                if stored == body { Ok(()) } else { Err(Conflict::AlreadyThere.into()) }
            })
        })
        .await
}

/// One that is there already stays as it is.
pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    job: JobId,
    sheet: SheetText,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into sheet (workshop_id, job_id, edition, body, made_ms) \
         values ($1, $2, $3, $4, $5) on conflict (workshop_id, job_id, edition) do nothing",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(sheet.edition)
    .bind(sheet.text)
    .bind(sheet.made.0)
    .execute(db)
    .await?;
    Ok(())
}

const BY_EDITION: &str =
    "select body from sheet where workshop_id = $1 and job_id = $2 and edition = $3";

/// All editions, oldest first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<Sheet>, StorageError> {
    let query = "select body from sheet where workshop_id = $1 and job_id = $2 order by edition";
    let rows = sqlx::query(query).bind(workshop.0).bind(job.0).fetch_all(store.readers()).await?;
    rows.iter().map(sheet).collect()
}

/// An edition as it is kept: the exact text that the job's chain commits to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetText {
    pub edition: u32,
    pub text: String,
    pub made: Moment,
}

/// All editions as they are kept, oldest first.
pub async fn list_texts(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<SheetText>, StorageError> {
    let query = "select edition, body, made_ms from sheet \
                 where workshop_id = $1 and job_id = $2 order by edition";
    let rows = sqlx::query(query).bind(workshop.0).bind(job.0).fetch_all(store.readers()).await?;
    let text = |row: &SqliteRow| {
        Ok(SheetText {
            edition: row.number("edition")?,
            text: row.text("body")?,
            made: row.moment("made_ms")?,
        })
    };
    rows.iter().map(text).collect()
}

fn sheet(row: &SqliteRow) -> Result<Sheet, StorageError> {
    let body = row.text("body")?;
    serde_json::from_str(&body)
        .map_err(|error| StorageError::Unreadable { what: "sheet", why: error.to_string() })
}
