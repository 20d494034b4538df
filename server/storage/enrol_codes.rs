//! Codes that enrol a phone: good once, for minutes, and for a few tries.

use sqlx::SqliteConnection;

use crate::domain::ids::{Moment, PersonId, WorkshopId};

use super::{StorageError, Store};

/// A code dies after so long …
pub const LIFE_MS: i64 = 10 * 60_000;
/// … or after so many tries that were wrong.
pub const TRIES_MAX: u32 = 5;

/// What is kept of a code: digests.
#[derive(Debug, Clone, Copy)]
pub struct NewCode {
    pub workshop: WorkshopId,
    pub made_by: PersonId,
    pub link_sha256: [u8; 32],
    pub typed_sha256: [u8; 32],
    pub made: Moment,
}

/// Keeps a code. The one that the same person made before dies.
pub async fn append(store: &Store, new: NewCode) -> Result<(), StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "insert into enrol_code (workshop_id, made_by, link_sha256, typed_sha256, \
                     expires_ms, tries) values ($1, $2, $3, $4, $5, 0) \
                     on conflict (workshop_id, made_by) do update set link_sha256 = $3, \
                     typed_sha256 = $4, expires_ms = $5, tries = 0",
                )
                .bind(new.workshop.0)
                .bind(new.made_by.0)
                .bind(new.link_sha256.as_slice())
                .bind(new.typed_sha256.as_slice())
                .bind(new.made.0 + LIFE_MS)
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

/// A code as a phone gives it, as digest.
#[derive(Debug, Clone, Copy)]
pub enum Given {
    /// 128 bits from the link: nobody guesses them, so a wrong one counts against nothing.
    Link([u8; 32]),
    /// Typed. A wrong one counts against every code there is, since nobody knows which was meant; the
    /// links of those that die of it go on.
    Typed([u8; 32]),
}

/// Uses a code up. `false` if there is none like it, or none any more.
pub(super) async fn spend(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    given: Given,
    now: Moment,
) -> Result<bool, StorageError> {
    let (link, typed) = match given {
        Given::Link(sha256) => (Some(sha256), None),
        Given::Typed(sha256) => (None, Some(sha256)),
    };
    let spent = sqlx::query(
        "delete from enrol_code where workshop_id = $1 and expires_ms > $2 \
         and (link_sha256 = $3 or (typed_sha256 = $4 and tries < $5))",
    )
    .bind(workshop.0)
    .bind(now.0)
    .bind(link.map(Vec::from))
    .bind(typed.map(Vec::from))
    .bind(TRIES_MAX)
    .execute(&mut *db)
    .await?;
    let found = spent.rows_affected() > 0;
    if typed.is_some() && !found {
        sqlx::query(
            "update enrol_code set tries = tries + 1 \
             where workshop_id = $1 and expires_ms > $2 and tries < $3",
        )
        .bind(workshop.0)
        .bind(now.0)
        .bind(TRIES_MAX)
        .execute(db)
        .await?;
    }
    Ok(found)
}

/// Ends the code that somebody made.
pub(super) async fn delete_of(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<(), StorageError> {
    let gone = sqlx::query("delete from enrol_code where workshop_id = $1 and made_by = $2");
    gone.bind(workshop.0).bind(person.0).execute(db).await?;
    Ok(())
}
