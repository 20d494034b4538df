//! People of a workshop, and how they prove who they are.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{Moment, PersonId, WorkshopId};
use crate::domain::person::{Person, Role};

use super::columns::Columns as _;
use super::error::{one_row, taken};
use super::sessions::{self, TokenSha256};
use super::{
    Conflict, StorageError, Store, calendar_tokens, enrol_codes, invitations, pins, sign_ins,
};

#[derive(Debug, Clone)]
pub struct NewPerson {
    pub person: Person,
    pub password_hash: String,
    pub created: Moment,
}

pub async fn append(store: &Store, new: NewPerson) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(insert(db, new))).await
}

pub(super) async fn insert(db: &mut SqliteConnection, new: NewPerson) -> Result<(), StorageError> {
    sqlx::query(
        "insert into person (workshop_id, id, name, sign_in, role, password_hash, created_ms, \
         disabled_ms) values ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(new.person.workshop.0)
    .bind(new.person.id.0)
    .bind(new.person.name)
    .bind(new.person.sign_in)
    .bind(new.person.role.word())
    .bind(new.password_hash)
    .bind(new.created.0)
    .bind(new.person.disabled.then_some(new.created.0))
    .execute(db)
    .await
    .map_err(taken(Conflict::SignInTaken))?;
    Ok(())
}

/// Whether anybody of the workshop may sign in. Nobody may where a job came from elsewhere and no owner was
/// made yet.
pub async fn anybody_may_enter(store: &Store, workshop: WorkshopId) -> Result<bool, StorageError> {
    Ok(list(store, workshop).await?.iter().any(|person| !person.disabled))
}

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    id: PersonId,
) -> Result<Option<Person>, StorageError> {
    let row = sqlx::query("select * from person where workshop_id = $1 and id = $2")
        .bind(workshop.0)
        .bind(id.0)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| person(&row)).transpose()
}

/// By name, those who may no longer sign in last.
pub async fn list(store: &Store, workshop: WorkshopId) -> Result<Vec<Person>, StorageError> {
    let rows = sqlx::query(
        "select * from person where workshop_id = $1 order by disabled_ms is not null, name, id",
    )
    .bind(workshop.0)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(person).collect()
}

/// Who signs in with a name, and the hash of their password.
pub async fn find(
    store: &Store,
    workshop: WorkshopId,
    sign_in: &str,
) -> Result<Option<(Person, String)>, StorageError> {
    let row = sqlx::query("select * from person where workshop_id = $1 and sign_in = $2")
        .bind(workshop.0)
        .bind(sign_in)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| Ok((person(&row)?, row.text("password_hash")?))).transpose()
}

/// Takes away the right to sign in, by PIN too, ends every session at once, and takes out of use what others
/// could come in by: invitations, codes that enrol phones, the address of a calendar.
pub async fn disable(
    store: &Store,
    workshop: WorkshopId,
    id: PersonId,
    now: Moment,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                set_disabled(&mut *db, workshop, id, Some(now)).await?;
                take_back(db, (workshop, id), now).await
            })
        })
        .await
}

/// What rests on being who they were: PIN, sessions, and whatever they gave out that opens something.
async fn take_back(
    db: &mut SqliteConnection,
    (workshop, id): (WorkshopId, PersonId),
    now: Moment,
) -> Result<(), StorageError> {
    pins::take_from(&mut *db, workshop, id).await?;
    invitations::revoke_all_of(&mut *db, (workshop, id), now).await?;
    enrol_codes::delete_of(&mut *db, workshop, id).await?;
    calendar_tokens::delete_of(&mut *db, workshop, id).await?;
    sessions::revoke_all_of(db, workshop, id, now).await
}

pub async fn enable(store: &Store, workshop: WorkshopId, id: PersonId) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(set_disabled(db, workshop, id, None))).await
}

async fn set_disabled(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    id: PersonId,
    since: Option<Moment>,
) -> Result<(), StorageError> {
    let changed =
        sqlx::query("update person set disabled_ms = $3 where workshop_id = $1 and id = $2")
            .bind(workshop.0)
            .bind(id.0)
            .bind(since.map(|since| since.0))
            .execute(db)
            .await?;
    one_row(&changed)
}

/// A new password, and what it ends.
#[derive(Debug, Clone)]
pub struct NewPassword {
    pub hash: String,
    pub now: Moment,
    /// The one session that goes on.
    pub keep: Option<TokenSha256>,
}

/// Sets a password, ends the sessions that were started with the old one, and forgets the guesses
/// that were counted against it: nobody stays locked out by tries at a password that is gone.
pub async fn change_password(
    store: &Store,
    workshop: WorkshopId,
    id: PersonId,
    new: NewPassword,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update person set password_hash = $3 where workshop_id = $1 and id = $2",
                )
                .bind(workshop.0)
                .bind(id.0)
                .bind(new.hash)
                .execute(&mut *db)
                .await?;
                one_row(&changed)?;
                sessions::revoke_others_of(&mut *db, (workshop, id), new.keep, new.now).await?;
                sign_ins::forget_person(db, workshop, id).await
            })
        })
        .await
}

/// Gives somebody another role and ends every session: the next one begins with the new rights. A PIN
/// is gone with the role, whichever way it changed, and so is what they gave out that opens something.
pub async fn change_role(
    store: &Store,
    workshop: WorkshopId,
    id: PersonId,
    role: Role,
    now: Moment,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let changed =
                    sqlx::query("update person set role = $3 where workshop_id = $1 and id = $2")
                        .bind(workshop.0)
                        .bind(id.0)
                        .bind(role.word())
                        .execute(&mut *db)
                        .await?;
                one_row(&changed)?;
                take_back(db, (workshop, id), now).await
            })
        })
        .await
}

/// From a row that carries the columns of `person` under their own names.
pub(super) fn person(row: &SqliteRow) -> Result<Person, StorageError> {
    let word = row.text("role")?;
    Ok(Person {
        id: PersonId(row.uuid("id")?),
        workshop: WorkshopId(row.uuid("workshop_id")?),
        name: row.text("name")?,
        sign_in: row.text("sign_in")?,
        role: Role::parse(&word).ok_or_else(|| StorageError::unreadable("role", word))?,
        disabled: !row.is_null("disabled_ms")?,
    })
}
