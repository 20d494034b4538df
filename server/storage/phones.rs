//! Enrolled phones: devices that proved themselves by a secret, and what is known of each.

use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{DeviceId, Moment, WorkshopId};

use super::columns::Columns as _;
use super::devices::{self, Device, Heard};
use super::enrol_codes::{self, Given};
use super::error::one_row;
use super::{StorageError, Store, sessions};

/// A phone, as people look after it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Phone {
    pub device: Device,
    pub enrolled: Moment,
    /// Since when it is out of use, if it is.
    pub revoked: Option<Moment>,
    /// What it last said about itself.
    pub heard: Option<Heard>,
    /// When somebody last used it, and who, as far as sessions are kept.
    pub seen: Option<(Moment, String)>,
}

/// A phone on its way in.
#[derive(Debug, Clone)]
pub struct NewPhone {
    pub workshop: WorkshopId,
    /// As it is to be called. One that was here before keeps its id and when it was first seen.
    pub device: Device,
    pub secret_sha256: [u8; 32],
    pub given: Given,
    pub at: Moment,
}

/// Enrols a phone for a code, which is used up by it. `false` if the code is not good: then nothing but
/// the count of tries has changed.
pub async fn append(store: &Store, new: NewPhone) -> Result<bool, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                if !enrol_codes::spend(&mut *db, new.workshop, new.given, new.at).await? {
                    return Ok(false);
                }
                let kept = sqlx::query(
                    "insert into device (workshop_id, id, first_seen_ms, label, secret_sha256, \
                     enrolled_ms) values ($1, $2, $3, $4, $5, $6) \
                     on conflict (workshop_id, id) do update set label = $4, secret_sha256 = $5, \
                     enrolled_ms = $6 where device.revoked_ms is null",
                )
                .bind(new.workshop.0)
                .bind(new.device.id.0)
                .bind(new.device.first_seen.0)
                .bind(new.device.label)
                .bind(new.secret_sha256.as_slice())
                .bind(new.at.0)
                .execute(db)
                .await?;
                one_row(&kept)?;
                Ok(true)
            })
        })
        .await
}

/// What a device has to show to be believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Proof {
    /// Digest of its secret; none while it is not enrolled.
    pub secret_sha256: Option<[u8; 32]>,
    pub revoked: bool,
}

pub async fn find(
    store: &Store,
    workshop: WorkshopId,
    id: DeviceId,
) -> Result<Option<Proof>, StorageError> {
    let row = sqlx::query(
        "select secret_sha256, secret_sha256 is not null as enrolled, revoked_ms from device \
         where workshop_id = $1 and id = $2",
    )
    .bind(workshop.0)
    .bind(id.0)
    .fetch_optional(store.readers())
    .await?;
    row.map(|row| {
        let enrolled = row.flag("enrolled")?;
        let secret_sha256 = enrolled.then(|| row.array("secret_sha256")).transpose()?;
        Ok(Proof { secret_sha256, revoked: !row.is_null("revoked_ms")? })
    })
    .transpose()
}

/// By label, those out of use last.
pub async fn list(store: &Store, workshop: WorkshopId) -> Result<Vec<Phone>, StorageError> {
    let rows = sqlx::query(
        "select d.*, s.seen_ms, p.name as last_person from device d \
         left join session s on s.token_sha256 = (select token_sha256 from session \
         where workshop_id = d.workshop_id and device_id = d.id \
         order by seen_ms desc, token_sha256 limit 1) \
         left join person p on p.workshop_id = s.workshop_id and p.id = s.person_id \
         where d.workshop_id = $1 and d.secret_sha256 is not null \
         order by d.revoked_ms is not null, d.label, d.id",
    )
    .bind(workshop.0)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(phone).collect()
}

fn phone(row: &SqliteRow) -> Result<Phone, StorageError> {
    let moment = |name| Ok::<_, StorageError>((!row.is_null(name)?).then(|| row.moment(name)));
    let seen = moment("seen_ms")?.transpose()?;
    Ok(Phone {
        device: devices::device(row)?,
        enrolled: row.moment("enrolled_ms")?,
        revoked: moment("revoked_ms")?.transpose()?,
        heard: devices::last_heard(row)?,
        seen: seen.zip(row.text_or_none("last_person")?),
    })
}

/// Calls a phone otherwise.
pub async fn rename(
    store: &Store,
    workshop: WorkshopId,
    id: DeviceId,
    label: String,
) -> Result<(), StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update device set label = $3 where workshop_id = $1 and id = $2 \
                     and secret_sha256 is not null and revoked_ms is null",
                )
                .bind(workshop.0)
                .bind(id.0)
                .bind(label)
                .execute(db)
                .await?;
                one_row(&changed)
            })
        })
        .await
}

/// Takes a phone out of use: every session on it ends at once, and its secret counts no more. One that
/// is out of use already stays so.
pub async fn revoke(
    store: &Store,
    workshop: WorkshopId,
    id: DeviceId,
    now: Moment,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let changed = sqlx::query(
                    "update device set revoked_ms = coalesce(revoked_ms, $3) \
                     where workshop_id = $1 and id = $2 and secret_sha256 is not null",
                )
                .bind(workshop.0)
                .bind(id.0)
                .bind(now.0)
                .execute(&mut *db)
                .await?;
                one_row(&changed)?;
                sessions::revoke_all_on(db, workshop, id, now).await
            })
        })
        .await
}
