//! Lines that say nothing but that the register is looked after: they keep the status list young where
//! nothing else happens.

use sqlx::SqliteConnection;

use crate::domain::ids::{Moment, WorkshopId};

use super::certificates::{LAST_LINE, Line, end, insert_line, line};
use super::{StorageError, Store};

/// The kind of its line.
const EPOCH: &str = "epoch";

/// Adds a line unless the register had one after `since`; a register without any is as old as its workshop.
/// Gives whether there is a new one.
pub async fn append(
    store: &Store,
    (workshop, created): (WorkshopId, Moment),
    since: Moment,
    at: Moment,
) -> Result<bool, StorageError> {
    store.write(move |db| Box::pin(insert(db, (workshop, created), since, at))).await
}

async fn insert(
    db: &mut SqliteConnection,
    (workshop, created): (WorkshopId, Moment),
    since: Moment,
    at: Moment,
) -> Result<bool, StorageError> {
    let last = sqlx::query(LAST_LINE).bind(workshop.0).fetch_optional(&mut *db).await?;
    let changed = last.as_ref().map_or(Ok(created), |row| line(row).map(|line| line.at))?;
    if changed > since {
        return Ok(false);
    }
    let (index, prev) = end(last.as_ref())?;
    let line = Line {
        index,
        prev,
        kind: EPOCH.to_owned(),
        number: String::new(),
        record_sha256: [0; 32],
        pdf_sha256: [0; 32],
        at,
        hash: [0; 32],
    };
    insert_line(db, workshop, line).await?;
    Ok(true)
}
