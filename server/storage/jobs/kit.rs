//! Jobs that were opened with one edition of a kit.

use super::{JobRow, job, select};
use crate::domain::ids::{JobId, KitId, WorkshopId};
use crate::storage::{StorageError, Store};

/// The newest first; a page goes on after the last job of the one before.
pub async fn of_kit(
    store: &Store,
    (workshop, kit): (WorkshopId, KitId),
    before: Option<JobId>,
    limit: u32,
) -> Result<Vec<JobRow>, StorageError> {
    let question =
        select!("j.kit_id = $2 and ($3 is null or j.id < $3) order by j.id desc limit $4");
    let rows = sqlx::query(question)
        .bind(workshop.0)
        .bind(kit.0)
        .bind(before.map(|job| job.0))
        .bind(limit)
        .fetch_all(store.readers())
        .await?;
    rows.iter().map(job).collect()
}
