//! What a workshop chose for its limits, one edition after the other, for good.

use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{Moment, PersonId, WorkshopId};
use crate::domain::limit_choice::{Chosen, WorkshopLimits};
use crate::domain::number::Decimal;

use super::columns::Columns as _;
use super::{StorageError, Store};

/// Editions that one page shows.
pub const CHOICES_LISTED_MAX: u32 = 50;

pub struct NewChoice {
    pub limits: WorkshopLimits,
    pub reason: String,
    pub by: PersonId,
    pub at: Moment,
}

const SELECT: &str = "select c.*, p.name as by_name from limit_choice c \
    join person p on p.workshop_id = c.workshop_id and p.id = c.chosen_by \
    where c.workshop_id = $1 order by c.edition desc limit $2";

/// The newest first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
) -> Result<Vec<WorkshopLimits>, StorageError> {
    newest(store, workshop, CHOICES_LISTED_MAX).await
}

/// The one that holds now.
pub async fn latest(
    store: &Store,
    workshop: WorkshopId,
) -> Result<Option<WorkshopLimits>, StorageError> {
    Ok(newest(store, workshop, 1).await?.pop())
}

async fn newest(
    store: &Store,
    workshop: WorkshopId,
    limit: u32,
) -> Result<Vec<WorkshopLimits>, StorageError> {
    let rows = sqlx::query(SELECT).bind(workshop.0).bind(limit).fetch_all(store.readers()).await?;
    rows.iter().map(row).collect()
}

fn row(row: &SqliteRow) -> Result<WorkshopLimits, StorageError> {
    let figure = |name: &'static str| {
        let text = row.text(name)?;
        Decimal::from_str_exact(&text).map_err(|error| StorageError::unreadable(name, error))
    };
    Ok(WorkshopLimits {
        insulation_least_megohm: figure("insulation_megohm")?,
        path_margin_percent: figure("path_margin_percent")?,
        terminal_rise_most_k: figure("terminal_rise_k")?,
        string_tolerance_percent: figure("string_tolerance_percent")?,
        chosen: Some(Chosen {
            day: row.moment("chosen_ms")?.date(),
            by: row.text("by_name")?,
            reason: row.text("reason")?,
        }),
    })
}

/// Keeps a choice as the next edition. The workshop's row follows, since archives name its insulation.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    new: NewChoice,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let limits = new.limits;
                let insulation = limits.insulation_least_megohm.to_string();
                sqlx::query(
                    "insert into limit_choice (workshop_id, edition, insulation_megohm, \
                     path_margin_percent, terminal_rise_k, string_tolerance_percent, reason, \
                     chosen_by, chosen_ms) values ($1, (select coalesce(max(edition), 0) + 1 from \
                     limit_choice where workshop_id = $1), $2, $3, $4, $5, $6, $7, $8)",
                )
                .bind(workshop.0)
                .bind(&insulation)
                .bind(limits.path_margin_percent.to_string())
                .bind(limits.terminal_rise_most_k.to_string())
                .bind(limits.string_tolerance_percent.to_string())
                .bind(new.reason)
                .bind(new.by.0)
                .bind(new.at.0)
                .execute(&mut *db)
                .await?;
                let follow = "update workshop set insulation_least_megohm = $2 where id = $1";
                sqlx::query(follow).bind(workshop.0).bind(insulation).execute(db).await?;
                Ok(())
            })
        })
        .await
}
