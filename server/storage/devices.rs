//! Phones, tablets and desktop browsers that entries are made on.

use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{DeviceId, Moment, WorkshopId};

use super::columns::Columns as _;
use super::{StorageError, Store};

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    pub id: DeviceId,
    pub first_seen: Moment,
    /// What people call it.
    pub label: String,
}

/// Notes a device when it is first seen; one that is known already stays as it is.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    device: Device,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
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
            })
        })
        .await
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

fn device(row: &SqliteRow) -> Result<Device, StorageError> {
    Ok(Device {
        id: DeviceId(row.uuid("id")?),
        first_seen: row.moment("first_seen_ms")?,
        label: row.text("label")?,
    })
}
