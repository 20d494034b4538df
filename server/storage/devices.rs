//! Phones, tablets and desktop browsers that entries are made on.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{DeviceId, Moment, WorkshopId};

use super::columns::Columns as _;
use super::error::one_row;
use super::{StorageError, Store};

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    pub id: DeviceId,
    pub first_seen: Moment,
    /// What people call it.
    pub label: String,
}

/// What a phone says about itself when it sends its entries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Heard {
    pub at: Moment,
    /// Entries that it still keeps.
    pub waiting: u32,
    /// How far its clock is ahead of the server's.
    pub clock_off_ms: Option<i64>,
}

/// Notes a device when it is first seen; one that is known already stays as it is.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    device: Device,
) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(insert(db, workshop, device))).await
}

pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    device: Device,
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into device (workshop_id, id, first_seen_ms, label) \
         values ($1, $2, $3, $4) on conflict (workshop_id, id) do nothing",
    )
    .bind(workshop.0)
    .bind(device.id.0)
    .bind(device.first_seen.0)
    .bind(device.label)
    .execute(db)
    .await?;
    Ok(())
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    id: DeviceId,
) -> Result<Option<Device>, StorageError> {
    let row = sqlx::query("select * from device where workshop_id = $1 and id = $2")
        .bind(workshop.0)
        .bind(id.0)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| device(&row)).transpose()
}

/// In the order they were first seen.
pub async fn list(store: &Store, workshop: WorkshopId) -> Result<Vec<Device>, StorageError> {
    let rows =
        sqlx::query("select * from device where workshop_id = $1 order by first_seen_ms, id")
            .bind(workshop.0)
            .fetch_all(store.readers())
            .await?;
    rows.iter().map(device).collect()
}

pub(super) fn device(row: &SqliteRow) -> Result<Device, StorageError> {
    Ok(Device {
        id: DeviceId(row.uuid("id")?),
        first_seen: row.moment("first_seen_ms")?,
        label: row.text("label")?,
    })
}

/// Keeps what a phone said last, in place of what it said before.
pub async fn heard(
    store: &Store,
    workshop: WorkshopId,
    id: DeviceId,
    heard: Heard,
) -> Result<(), StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update device set heard_ms = $3, waiting = $4, clock_off_ms = $5 \
                     where workshop_id = $1 and id = $2",
                )
                .bind(workshop.0)
                .bind(id.0)
                .bind(heard.at.0)
                .bind(heard.waiting)
                .bind(heard.clock_off_ms)
                .execute(db)
                .await?;
                one_row(&changed)
            })
        })
        .await
}

/// From a row that carries the columns of `device` under their own names.
pub(super) fn last_heard(row: &SqliteRow) -> Result<Option<Heard>, StorageError> {
    if row.is_null("heard_ms")? {
        return Ok(None);
    }
    let off = (!row.is_null("clock_off_ms")?).then(|| row.number("clock_off_ms")).transpose()?;
    Ok(Some(Heard {
        at: row.moment("heard_ms")?,
        waiting: row.number("waiting")?,
        clock_off_ms: off,
    }))
}
