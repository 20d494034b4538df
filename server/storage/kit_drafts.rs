//! Kit files that somebody is writing: one for each person and edition that it began as.

use uuid::Uuid;

use crate::domain::ids::{KitId, Moment, PersonId, WorkshopId};

use super::columns::Columns as _;
use super::{StorageError, Store};

/// Drafts that a person has at most; the one touched longest ago makes room.
pub const DRAFTS_MAX: u32 = 50;

/// Whose draft, and of which edition; nothing for a new kit.
pub type DraftKey = (WorkshopId, PersonId, Option<KitId>);

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitDraft {
    pub text: String,
    pub kept: Moment,
}

fn about(kit: Option<KitId>) -> Uuid {
    kit.map_or(Uuid::nil(), |kit| kit.0)
}

/// Keeps a draft in place of the one before.
pub async fn keep(store: &Store, key: DraftKey, draft: KitDraft) -> Result<(), StorageError> {
    let (workshop, person, kit) = key;
    store
        .write(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "insert into kit_draft (workshop_id, person_id, about, text, kept_ms) \
                     values ($1, $2, $3, $4, $5) on conflict (workshop_id, person_id, about) \
                     do update set text = $4, kept_ms = $5",
                )
                .bind(workshop.0)
                .bind(person.0)
                .bind(about(kit))
                .bind(draft.text)
                .bind(draft.kept.0)
                .execute(&mut *db)
                .await?;
                sqlx::query(
                    "delete from kit_draft where workshop_id = $1 and person_id = $2 \
                     and about in (select about from kit_draft where workshop_id = $1 \
                     and person_id = $2 order by kept_ms desc, about limit -1 offset $3)",
                )
                .bind(workshop.0)
                .bind(person.0)
                .bind(DRAFTS_MAX)
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

/// Throws a draft away, if there is one.
pub async fn remove(store: &Store, key: DraftKey) -> Result<(), StorageError> {
    let (workshop, person, kit) = key;
    store
        .write(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "delete from kit_draft where workshop_id = $1 and person_id = $2 and about = $3",
                )
                .bind(workshop.0)
                .bind(person.0)
                .bind(about(kit))
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

pub async fn find(store: &Store, key: DraftKey) -> Result<Option<KitDraft>, StorageError> {
    let (workshop, person, kit) = key;
    let row = sqlx::query(
        "select text, kept_ms from kit_draft \
         where workshop_id = $1 and person_id = $2 and about = $3",
    )
    .bind(workshop.0)
    .bind(person.0)
    .bind(about(kit))
    .fetch_optional(store.readers())
    .await?;
    row.map(|row| Ok(KitDraft { text: row.text("text")?, kept: row.moment("kept_ms")? }))
        .transpose()
}
