//! Secret addresses of calendars: one for each manager, kept as a digest.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteQueryResult;

use crate::domain::ids::{Moment, PersonId, WorkshopId};

use super::columns::Columns as _;
use super::error::one_row;
use super::{StorageError, Store, people};

/// Keeps an address. The one that the same person had before dies.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    (person, secret_sha256, made): (PersonId, [u8; 32], Moment),
) -> Result<(), StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "insert into calendar_token (workshop_id, person_id, secret_sha256, made_ms) \
                     values ($1, $2, $3, $4) on conflict (workshop_id, person_id) \
                     do update set secret_sha256 = $3, made_ms = $4",
                )
                .bind(workshop.0)
                .bind(person.0)
                .bind(secret_sha256.as_slice())
                .bind(made.0)
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

/// Takes the address of a person out of use.
pub async fn revoke(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<(), StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move { one_row(&delete_of(db, workshop, person).await?) })
        })
        .await
}

pub(super) async fn delete_of(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<SqliteQueryResult, StorageError> {
    let gone = sqlx::query("delete from calendar_token where workshop_id = $1 and person_id = $2");
    Ok(gone.bind(workshop.0).bind(person.0).execute(db).await?)
}

/// When the address was made that a person has, if they have one.
pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<Option<Moment>, StorageError> {
    let made: Option<i64> = sqlx::query_scalar(
        "select made_ms from calendar_token where workshop_id = $1 and person_id = $2",
    )
    .bind(workshop.0)
    .bind(person.0)
    .fetch_optional(store.readers())
    .await?;
    Ok(made.map(Moment))
}

/// Whose address this is. Nobody's, once its person may not sign in any more.
pub async fn find(
    store: &Store,
    secret_sha256: [u8; 32],
) -> Result<Option<crate::domain::person::Person>, StorageError> {
    let row =
        sqlx::query("select workshop_id, person_id from calendar_token where secret_sha256 = $1")
            .bind(secret_sha256.as_slice())
            .fetch_optional(store.readers())
            .await?;
    let Some(row) = row else { return Ok(None) };
    let (workshop, person) =
        (WorkshopId(row.uuid("workshop_id")?), PersonId(row.uuid("person_id")?));
    Ok(people::load(store, workshop, person).await?.filter(|person| !person.disabled))
}
