//! Who is signed in, and where.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{DeviceId, Moment, PersonId, WorkshopId};
use crate::domain::person::Person;

use super::columns::Columns as _;
use super::error::one_row;
use super::{StorageError, Store, people};

/// Sessions one person may have; a further one ends the oldest.
pub const SESSIONS_MAX: i64 = 5;
/// `seen` moves in steps of this, so that not every request writes.
pub const SEEN_STEP_MS: i64 = 60_000;
/// Ended sessions are kept this long.
const KEPT_DAYS: i64 = 90;

/// SHA-256 of the token in the cookie; the token itself is stored nowhere.
pub type TokenSha256 = [u8; 32];

#[derive(Debug, Clone, Copy)]
pub struct NewSession {
    pub token: TokenSha256,
    pub workshop: WorkshopId,
    pub person: PersonId,
    pub device: DeviceId,
    pub created: Moment,
    pub expires: Moment,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    pub token: TokenSha256,
    /// Names the workshop, too.
    pub person: Person,
    pub device: DeviceId,
    pub created: Moment,
    pub seen: Moment,
    pub expires: Moment,
}

macro_rules! select {
    ($rest:literal) => {
        concat!(
            "select s.token_sha256, s.device_id, s.created_ms, s.seen_ms, s.expires_ms, \
             p.workshop_id, p.id, p.name, p.sign_in, p.role, p.disabled_ms from session s \
             join person p on p.workshop_id = s.workshop_id and p.id = s.person_id ",
            $rest
        )
    };
}

pub async fn append(store: &Store, new: NewSession) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                // A phone that was revoked a moment ago begins none.
                let added = sqlx::query(
                    "insert into session (token_sha256, workshop_id, person_id, device_id, \
                     created_ms, seen_ms, expires_ms) \
                     select $1, workshop_id, $3, id, $5, $5, $6 from device \
                     where workshop_id = $2 and id = $4 and revoked_ms is null",
                )
                .bind(new.token.as_slice())
                .bind(new.workshop.0)
                .bind(new.person.0)
                .bind(new.device.0)
                .bind(new.created.0)
                .bind(new.expires.0)
                .execute(&mut *db)
                .await?;
                one_row(&added)?;
                end_oldest(&mut *db, &new).await?;
                forget_ended(db, &new).await
            })
        })
        .await
}

async fn end_oldest(db: &mut SqliteConnection, new: &NewSession) -> Result<(), StorageError> {
    sqlx::query(
        "update session set revoked_ms = $3 where token_sha256 in (\
         select token_sha256 from session where workshop_id = $1 and person_id = $2 \
         and revoked_ms is null and expires_ms > $3 and token_sha256 <> $4 \
         order by created_ms desc limit 1000 offset $5)",
    )
    .bind(new.workshop.0)
    .bind(new.person.0)
    .bind(new.created.0)
    .bind(new.token.as_slice())
    .bind(SESSIONS_MAX - 1)
    .execute(db)
    .await?;
    Ok(())
}

async fn forget_ended(db: &mut SqliteConnection, new: &NewSession) -> Result<(), StorageError> {
    sqlx::query(
        "delete from session where workshop_id = $1 and person_id = $2 and expires_ms < $3",
    )
    .bind(new.workshop.0)
    .bind(new.person.0)
    .bind(new.created.plus_days(-KEPT_DAYS).0)
    .execute(db)
    .await?;
    Ok(())
}

/// The session of a token, unless it is unknown, revoked or expired, or its person is disabled.
/// Whether it was idle for too long is for the caller to say, by `seen`.
pub async fn find(
    store: &Store,
    token: TokenSha256,
    now: Moment,
) -> Result<Option<Session>, StorageError> {
    let row = sqlx::query(select!(
        "where s.token_sha256 = $1 and s.revoked_ms is null and s.expires_ms > $2 \
         and p.disabled_ms is null"
    ))
    .bind(token.as_slice())
    .bind(now.0)
    .fetch_optional(store.readers())
    .await?;
    row.map(|row| session(&row)).transpose()
}

/// Those that hold, the newest first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
    now: Moment,
) -> Result<Vec<Session>, StorageError> {
    let rows = sqlx::query(select!(
        "where s.workshop_id = $1 and s.person_id = $2 and s.revoked_ms is null \
         and s.expires_ms > $3 order by s.created_ms desc, s.token_sha256"
    ))
    .bind(workshop.0)
    .bind(person.0)
    .bind(now.0)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(session).collect()
}

/// Moves `seen`, once a step has passed.
pub async fn refresh(store: &Store, session: &Session, now: Moment) -> Result<(), StorageError> {
    if now.0 - session.seen.0 < SEEN_STEP_MS {
        return Ok(());
    }
    let token = session.token;
    store
        .write(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "update session set seen_ms = $2 where token_sha256 = $1 and seen_ms < $2",
                )
                .bind(token.as_slice())
                .bind(now.0)
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

/// Ends one session; one that is over stays so.
pub async fn revoke(store: &Store, token: TokenSha256, now: Moment) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "update session set revoked_ms = $2 \
                     where token_sha256 = $1 and revoked_ms is null",
                )
                .bind(token.as_slice())
                .bind(now.0)
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

pub async fn revoke_person(
    store: &Store,
    workshop: WorkshopId,
    person: PersonId,
    now: Moment,
) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(revoke_all_of(db, workshop, person, now))).await
}

pub(super) async fn revoke_all_of(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    person: PersonId,
    now: Moment,
) -> Result<(), StorageError> {
    revoke_others_of(db, (workshop, person), None, now).await
}

/// Ends a person's sessions but for one.
pub(super) async fn revoke_others_of(
    db: &mut SqliteConnection,
    (workshop, person): (WorkshopId, PersonId),
    keep: Option<TokenSha256>,
    now: Moment,
) -> Result<(), StorageError> {
    sqlx::query(
        "update session set revoked_ms = $3 where workshop_id = $1 and person_id = $2 \
         and revoked_ms is null and ($4 is null or token_sha256 <> $4)",
    )
    .bind(workshop.0)
    .bind(person.0)
    .bind(now.0)
    .bind(keep.map(Vec::from))
    .execute(db)
    .await?;
    Ok(())
}

/// Ends what somebody has begun on phones that are shared.
pub(super) async fn revoke_on_phones(
    db: &mut SqliteConnection,
    (workshop, person): (WorkshopId, PersonId),
    now: Moment,
) -> Result<(), StorageError> {
    sqlx::query(
        "update session set revoked_ms = $3 where workshop_id = $1 and person_id = $2 \
         and revoked_ms is null and exists (select 1 from device d where d.workshop_id = $1 \
         and d.id = session.device_id and d.secret_sha256 is not null)",
    )
    .bind(workshop.0)
    .bind(person.0)
    .bind(now.0)
    .execute(db)
    .await?;
    Ok(())
}

pub async fn revoke_device(
    store: &Store,
    workshop: WorkshopId,
    device: DeviceId,
    now: Moment,
) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(revoke_all_on(db, workshop, device, now))).await
}

/// Ends every session on a device.
pub(super) async fn revoke_all_on(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    device: DeviceId,
    now: Moment,
) -> Result<(), StorageError> {
    sqlx::query(
        "update session set revoked_ms = $3 \
         where workshop_id = $1 and device_id = $2 and revoked_ms is null",
    )
    .bind(workshop.0)
    .bind(device.0)
    .bind(now.0)
    .execute(db)
    .await?;
    Ok(())
}

fn session(row: &SqliteRow) -> Result<Session, StorageError> {
    Ok(Session {
        token: row.array("token_sha256")?,
        person: people::person(row)?,
        device: DeviceId(row.uuid("device_id")?),
        created: row.moment("created_ms")?,
        seen: row.moment("seen_ms")?,
        expires: row.moment("expires_ms")?,
    })
}
