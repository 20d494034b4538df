//! Invitations: links by which somebody becomes one of the workshop's people, once.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{InvitationId, Moment, PersonId, WorkshopId};
use crate::domain::person::Role;

use super::columns::Columns as _;
use super::error::one_row;
use super::people::{self, NewPerson};
use super::{Conflict, StorageError, Store};

/// Invitations of one workshop that can be used at the same time.
pub const LIVE_MAX: u32 = 50;
/// One ends after so many forms that could not be taken: each may ask whether a name is taken.
pub const TRIES_MAX: u32 = 20;

/// An invitation as it is kept: of its secret only the digest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewInvitation {
    pub id: InvitationId,
    pub name: String,
    pub role: Role,
    pub token_sha256: [u8; 32],
    pub made_by: PersonId,
    pub made: Moment,
    pub expires: Moment,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invitation {
    pub workshop: WorkshopId,
    pub id: InvitationId,
    pub name: String,
    pub role: Role,
    pub made_by: PersonId,
    pub expires: Moment,
}

pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    new: NewInvitation,
) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(insert(db, workshop, new))).await
}

async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: NewInvitation,
) -> Result<(), StorageError> {
    let live = sqlx::query(
        "select count(*) as live from invitation where workshop_id = $1 and expires_ms > $2 \
         and revoked_ms is null and used_ms is null and tries < $3",
    );
    let live = live.bind(workshop.0).bind(new.made.0).bind(TRIES_MAX).fetch_one(&mut *db).await?;
    if live.number::<u32>("live")? >= LIVE_MAX {
        return Err(Conflict::InvitationsFull.into());
    }
    sqlx::query(
        "insert into invitation (workshop_id, id, name, role, token_sha256, made_by, made_ms, \
         expires_ms) values ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(workshop.0)
    .bind(new.id.0)
    .bind(new.name)
    .bind(new.role.word())
    .bind(new.token_sha256.as_slice())
    .bind(new.made_by.0)
    .bind(new.made.0)
    .bind(new.expires.0)
    .execute(db)
    .await?;
    Ok(())
}

/// Those that can be used now, the first to end first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    now: Moment,
) -> Result<Vec<Invitation>, StorageError> {
    let rows = sqlx::query(
        "select * from invitation where workshop_id = $1 and expires_ms > $2 \
         and revoked_ms is null and used_ms is null and tries < $3 order by expires_ms, id",
    );
    let rows = rows.bind(workshop.0).bind(now.0).bind(TRIES_MAX).fetch_all(store.readers()).await?;
    rows.iter().map(invitation).collect()
}

/// $1 digest, $2 now, $3 tries. Whoever invited must still be allowed to.
const USABLE: &str = "select i.* from invitation i join person p \
     on p.workshop_id = i.workshop_id and p.id = i.made_by where i.token_sha256 = $1 \
     and i.expires_ms > $2 and i.revoked_ms is null and i.used_ms is null and i.tries < $3 \
     and p.disabled_ms is null";

/// The invitation that this secret opens now. Whoever invited is still among those who may sign in.
pub async fn find(
    store: &Store,
    token_sha256: [u8; 32],
    now: Moment,
) -> Result<Option<Invitation>, StorageError> {
    let row = sqlx::query(USABLE).bind(token_sha256.as_slice()).bind(now.0).bind(TRIES_MAX);
    row.fetch_optional(store.readers()).await?.map(|row| invitation(&row)).transpose()
}

/// Counts a form that came with it and could not be taken.
pub async fn count_try(
    store: &Store,
    workshop: WorkshopId,
    id: InvitationId,
) -> Result<(), StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                let counted = sqlx::query(
                    "update invitation set tries = tries + 1 where workshop_id = $1 and id = $2",
                );
                counted.bind(workshop.0).bind(id.0).execute(db).await?;
                Ok(())
            })
        })
        .await
}

/// Uses an invitation up and adds the person, both or neither. `false` where it cannot be used any more.
pub async fn spend(
    store: &Store,
    token_sha256: [u8; 32],
    new: NewPerson,
) -> Result<bool, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let now = new.created;
                let row = sqlx::query(USABLE).bind(token_sha256.as_slice()).bind(now.0);
                let row = row.bind(TRIES_MAX).fetch_optional(&mut *db).await?;
                let Some(row) = row else { return Ok(false) };
                let found = invitation(&row)?;
                let (id, role) = (new.person.id, new.person.role);
                if (found.workshop, found.role) != (new.person.workshop, role) {
                    return Ok(false);
                }
                people::insert(&mut *db, new).await?;
                mark_used(db, &found, (id, now)).await?;
                Ok(true)
            })
        })
        .await
}

async fn mark_used(
    db: &mut SqliteConnection,
    found: &Invitation,
    (by, now): (PersonId, Moment),
) -> Result<(), StorageError> {
    let used = sqlx::query(
        "update invitation set used_ms = $3, used_by = $4 where workshop_id = $1 and id = $2",
    );
    let used = used.bind(found.workshop.0).bind(found.id.0).bind(now.0).bind(by.0);
    one_row(&used.execute(db).await?)
}

/// Takes one out of use; one that was used or revoked is not there any more.
pub async fn revoke(
    store: &Store,
    workshop: WorkshopId,
    id: InvitationId,
    now: Moment,
) -> Result<(), StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                let revoked = sqlx::query(
                    "update invitation set revoked_ms = $3 where workshop_id = $1 and id = $2 \
                     and revoked_ms is null and used_ms is null",
                );
                let revoked = revoked.bind(workshop.0).bind(id.0).bind(now.0).execute(db).await?;
                one_row(&revoked)
            })
        })
        .await
}

/// Takes out of use all that somebody made.
pub(super) async fn revoke_all_of(
    db: &mut SqliteConnection,
    (workshop, person): (WorkshopId, PersonId),
    now: Moment,
) -> Result<(), StorageError> {
    let revoked = sqlx::query(
        "update invitation set revoked_ms = $3 where workshop_id = $1 and made_by = $2 \
         and revoked_ms is null and used_ms is null",
    );
    revoked.bind(workshop.0).bind(person.0).bind(now.0).execute(db).await?;
    Ok(())
}

fn invitation(row: &SqliteRow) -> Result<Invitation, StorageError> {
    let word = row.text("role")?;
    Ok(Invitation {
        workshop: WorkshopId(row.uuid("workshop_id")?),
        id: InvitationId(row.uuid("id")?),
        name: row.text("name")?,
        role: Role::parse(&word).ok_or_else(|| StorageError::unreadable("role", word))?,
        made_by: PersonId(row.uuid("made_by")?),
        expires: row.moment("expires_ms")?,
    })
}
