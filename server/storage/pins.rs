//! PINs of technicians, for phones that they share.

use sqlx::SqliteConnection;

use crate::domain::ids::{Moment, PersonId, WorkshopId};
use crate::domain::person::{Person, Role};

use super::columns::Columns as _;
use super::error::one_row;
use super::pin_tries::{self, Attempt};
use super::{StorageError, Store, people, sessions};

#[derive(Debug, Clone)]
pub struct NewPin {
    pub workshop: WorkshopId,
    pub person: PersonId,
    pub hash: String,
    pub issued: Moment,
    pub issued_by: PersonId,
}

/// Somebody who takes over a phone by PIN.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holder {
    pub person: Person,
    pub issued: Moment,
}

/// Gives a technician a PIN in place of the one before: wrong tries are forgotten, and what was begun
/// on shared phones ends. Nobody else takes one.
pub async fn append(store: &Store, new: NewPin) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                take_from(&mut *db, new.workshop, new.person).await?;
                sessions::revoke_on_phones(&mut *db, (new.workshop, new.person), new.issued)
                    .await?;
                let added = sqlx::query(
                    "insert into pin (workshop_id, person_id, hash, issued_ms, issued_by) \
                     select workshop_id, id, $3, $4, $5 from person where workshop_id = $1 \
                     and id = $2 and role = $6 and disabled_ms is null",
                )
                .bind(new.workshop.0)
                .bind(new.person.0)
                .bind(new.hash)
                .bind(new.issued.0)
                .bind(new.issued_by.0)
                .bind(Role::Technician.word())
                .execute(db)
                .await?;
                one_row(&added)
            })
        })
        .await
}

/// Takes a PIN away, if there is one, and ends what was begun with it.
pub async fn take(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
    now: Moment,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                take_from(&mut *db, workshop, person).await?;
                sessions::revoke_on_phones(db, (workshop, person), now).await
            })
        })
        .await
}

/// The PIN and the wrong tries at it.
pub(super) async fn take_from(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<(), StorageError> {
    sqlx::query("delete from pin where workshop_id = $1 and person_id = $2")
        .bind(workshop.0)
        .bind(person.0)
        .execute(&mut *db)
        .await?;
    pin_tries::forget_person(db, workshop, person).await
}

/// Takes every PIN away: what they were made with is lost.
pub async fn take_all(store: &Store) -> Result<(), StorageError> {
    store
        .write(|db| {
            Box::pin(async move {
                sqlx::query("delete from pin").execute(db).await?;
                Ok(())
            })
        })
        .await
}

const HOLDS: &str = "select p.*, pin.issued_ms from pin join person p \
    on p.workshop_id = pin.workshop_id and p.id = pin.person_id where pin.workshop_id = $1";

/// By name.
pub async fn list(store: &Store, workshop: WorkshopId) -> Result<Vec<Holder>, StorageError> {
    let rows = sqlx::query(HOLDS).bind(workshop.0).fetch_all(store.readers()).await?;
    let holders = rows
        .iter()
        .map(|row| Ok(Holder { person: people::person(row)?, issued: row.moment("issued_ms")? }));
    let mut holders: Vec<Holder> = holders.collect::<Result<_, StorageError>>()?;
    holders.sort_by(|one, other| one.person.name.cmp(&other.person.name));
    Ok(holders)
}

/// Somebody with the hash of their PIN.
pub async fn find(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<Option<(Person, String)>, StorageError> {
    let row = sqlx::query(
        "select p.*, pin.hash from pin join person p on p.workshop_id = pin.workshop_id \
         and p.id = pin.person_id where pin.workshop_id = $1 and pin.person_id = $2",
    )
    .bind(workshop.0)
    .bind(person.0)
    .fetch_optional(store.readers())
    .await?;
    row.map(|row| Ok((people::person(&row)?, row.text("hash")?))).transpose()
}

/// After a good PIN: forgets the wrong ones before it, and gives the phone this attempt back. `false`
/// if the PIN was replaced or taken away, or the phone revoked, while it was being compared.
pub async fn accept(store: &Store, attempt: Attempt, hash: String) -> Result<bool, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let holds: i64 = sqlx::query_scalar(
                    "select count(*) from pin join device d on d.workshop_id = pin.workshop_id \
                     where pin.workshop_id = $1 and pin.person_id = $2 and pin.hash = $3 \
                     and d.id = $4 and d.secret_sha256 is not null and d.revoked_ms is null",
                )
                .bind(attempt.workshop.0)
                .bind(attempt.person.0)
                .bind(hash)
                .bind(attempt.device.0)
                .fetch_one(&mut *db)
                .await?;
                if holds == 1 {
                    pin_tries::clear(db, &attempt).await?;
                }
                Ok(holds == 1)
            })
        })
        .await
}
