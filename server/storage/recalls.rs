//! Recalls of instruments: rows that are only added.

use std::collections::BTreeMap;

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{InstrumentId, Moment, PersonId, RecallId, WorkshopId};
use crate::domain::instrument::Recall;
use crate::domain::instrument::as_found::FoundOff;

use super::columns::Columns as _;
use super::{Conflict, StorageError, Store};

/// Recalls of one instrument that are kept.
pub const RECALLS_MAX: u32 = 200;

pub(super) type Recalls = BTreeMap<InstrumentId, Vec<Recall>>;

/// Notes a recall, and gives the moment under which it stands: later than every release that was decided
/// without it, so that none of them is undone.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    instrument: InstrumentId,
    (recall, by): (Recall, PersonId),
) -> Result<Moment, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let noted = after_releases(&mut *db, (workshop, instrument), recall.noted).await?;
                let recall = Recall { noted, ..recall };
                insert(db, (workshop, instrument), &recall, Some(by)).await?;
                Ok(noted)
            })
        })
        .await
}

async fn after_releases(
    db: &mut SqliteConnection,
    (workshop, instrument): (WorkshopId, InstrumentId),
    noted: Moment,
) -> Result<Moment, StorageError> {
    let row = sqlx::query(
        "select (select count(*) from instrument_recall where workshop_id = $1 \
         and instrument_id = $2) as recalls, coalesce((select max(e.received_ms) from entry e \
         where e.workshop_id = $1 and e.kind = 'release' and e.job_id in (select u.job_id \
         from entry_instrument u where u.workshop_id = $1 and u.instrument_id = $2)), 0) as released",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .fetch_one(db)
    .await?;
    if row.number::<u32>("recalls")? >= RECALLS_MAX {
        return Err(Conflict::RecallsFull.into());
    }
    Ok(noted.max(row.moment("released")?))
}

pub(super) async fn insert(
    db: &mut SqliteConnection,
    (workshop, instrument): (WorkshopId, InstrumentId),
    recall: &Recall,
    by: Option<PersonId>,
) -> Result<(), StorageError> {
    let doubted = serde_json::to_string(&recall.doubted)
        .map_err(|why| StorageError::unreadable("doubted", why))?;
    sqlx::query(
        "insert into instrument_recall (workshop_id, instrument_id, id, from_day, found_on, doubted, \
         reason, off_percent, off_digits, noted_ms, noted_by) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
    )
    .bind(workshop.0)
    .bind(instrument.0)
    .bind(recall.id.0)
    .bind(&recall.from)
    .bind(&recall.found_on)
    .bind(doubted)
    .bind(&recall.reason)
    .bind(recall.found_off.map(|off| off.percent.to_string()))
    .bind(recall.found_off.map(|off| off.digits))
    .bind(recall.noted.0)
    .bind(by.map(|by| by.0))
    .execute(db)
    .await?;
    Ok(())
}

/// In the order they were noted; of one instrument, or of all.
pub(super) async fn list(
    store: &Store,
    workshop: WorkshopId,
    instrument: Option<InstrumentId>,
) -> Result<Recalls, StorageError> {
    let rows = sqlx::query(
        "select * from instrument_recall where workshop_id = $1 \
         and ($2 is null or instrument_id = $2) order by instrument_id, noted_ms, id",
    )
    .bind(workshop.0)
    .bind(instrument.map(|id| id.0))
    .fetch_all(store.readers())
    .await?;
    let mut all = Recalls::new();
    for row in &rows {
        let of = InstrumentId(row.uuid("instrument_id")?);
        all.entry(of).or_default().push(recall(row)?);
    }
    Ok(all)
}

fn recall(row: &SqliteRow) -> Result<Recall, StorageError> {
    Ok(Recall {
        id: RecallId(row.uuid("id")?),
        from: row.text("from_day")?,
        found_on: row.text("found_on")?,
        doubted: serde_json::from_str(&row.text("doubted")?)
            .map_err(|why| StorageError::unreadable("doubted", why))?,
        reason: row.text("reason")?,
        found_off: found_off(row)?,
        noted: row.moment("noted_ms")?,
    })
}

fn found_off(row: &SqliteRow) -> Result<Option<FoundOff>, StorageError> {
    let Some(percent) = row.text_or_none("off_percent")? else { return Ok(None) };
    let percent = percent.parse().map_err(|why| StorageError::unreadable("off_percent", why))?;
    Ok(Some(FoundOff { percent, digits: row.number("off_digits")? }))
}
