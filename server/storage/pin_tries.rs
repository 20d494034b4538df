//! Tries at PINs, counted by phone and person and by phone alone (`trust.md` 5.4).

use sqlx::SqliteConnection;

use crate::domain::ids::{DeviceId, Moment, PersonId, WorkshopId};

use super::columns::Columns as _;
use super::{StorageError, Store};

/// Wrong PINs in a row, for one person on one phone, before there is a wait.
pub const FREE_MAX: u32 = 5;
/// Wrong PINs in a row before only a new PIN helps.
pub const IN_A_ROW_MAX: u32 = 10;
/// Wrong PINs on one phone in an hour, whoever they were typed for.
pub const BY_PHONE_MAX: u32 = 20;
pub const HOUR_MS: i64 = 3_600_000;
/// The first wait; each further one is twice as long …
pub const WAIT_MS_MIN: i64 = 60_000;
/// … up to this.
pub const WAIT_MS_MAX: i64 = 15 * 60_000;
/// Tries for ids that nobody has are forgotten after so many days.
const KEPT_DAYS: i64 = 1;

/// Somebody types a PIN on an enrolled phone.
#[derive(Debug, Clone, Copy)]
pub struct Attempt {
    pub workshop: WorkshopId,
    pub device: DeviceId,
    pub person: PersonId,
    pub at: Moment,
}

/// Whether a PIN may be looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// It may, and the attempt is counted.
    Taken,
    /// Not yet: too many wrong ones for this person on this phone.
    Wait { until: Moment },
    /// Not any more, until there is a new PIN.
    Locked,
    /// Not on this phone, for nobody.
    PhoneWaits { until: Moment },
}

/// How long nobody may try after so many wrong PINs in a row.
fn wait_ms(in_a_row: u32) -> i64 {
    match in_a_row.checked_sub(FREE_MAX) {
        None => 0,
        Some(doubled) => (WAIT_MS_MIN << doubled.min(16)).min(WAIT_MS_MAX),
    }
}

/// Counts an attempt, if it may be made. To be called before the PIN is hashed, so that attempts made at
/// once all count. One that may not be made is not counted: waiting in vain costs nothing.
pub async fn append(store: &Store, attempt: Attempt) -> Result<Turn, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                forget_old(&mut *db, &attempt).await?;
                let turn = turn(&mut *db, &attempt).await?;
                if turn == Turn::Taken {
                    raise(db, &attempt).await?;
                }
                Ok(turn)
            })
        })
        .await
}

async fn turn(db: &mut SqliteConnection, attempt: &Attempt) -> Result<Turn, StorageError> {
    let failed = sqlx::query(
        "select in_a_row, last_ms from pin_failure \
         where workshop_id = $1 and device_id = $2 and person_id = $3",
    )
    .bind(attempt.workshop.0)
    .bind(attempt.device.0)
    .bind(attempt.person.0)
    .fetch_optional(&mut *db)
    .await?;
    if let Some(row) = failed {
        let in_a_row = row.number("in_a_row")?;
        let until = Moment(row.moment("last_ms")?.0 + wait_ms(in_a_row));
        if in_a_row >= IN_A_ROW_MAX {
            return Ok(Turn::Locked);
        }
        if in_a_row >= FREE_MAX && attempt.at < until {
            return Ok(Turn::Wait { until });
        }
    }
    let hour = sqlx::query(
        "select begun_ms from pin_hour where workshop_id = $1 and device_id = $2 \
         and failures >= $3 and begun_ms > $4",
    )
    .bind(attempt.workshop.0)
    .bind(attempt.device.0)
    .bind(BY_PHONE_MAX)
    .bind(attempt.at.0 - HOUR_MS)
    .fetch_optional(db)
    .await?;
    hour.map_or(Ok(Turn::Taken), |row| {
        Ok(Turn::PhoneWaits { until: Moment(row.moment("begun_ms")?.0 + HOUR_MS) })
    })
}

async fn raise(db: &mut SqliteConnection, attempt: &Attempt) -> Result<(), StorageError> {
    sqlx::query(
        "insert into pin_failure (workshop_id, device_id, person_id, in_a_row, last_ms) \
         values ($1, $2, $3, 1, $4) on conflict (workshop_id, device_id, person_id) \
         do update set in_a_row = pin_failure.in_a_row + 1, last_ms = $4",
    )
    .bind(attempt.workshop.0)
    .bind(attempt.device.0)
    .bind(attempt.person.0)
    .bind(attempt.at.0)
    .execute(&mut *db)
    .await?;
    sqlx::query(
        "insert into pin_hour (workshop_id, device_id, begun_ms, failures) values ($1, $2, $3, 1) \
         on conflict (workshop_id, device_id) do update set \
         failures = case when pin_hour.begun_ms <= $4 then 1 else pin_hour.failures + 1 end, \
         begun_ms = case when pin_hour.begun_ms <= $4 then $3 else pin_hour.begun_ms end",
    )
    .bind(attempt.workshop.0)
    .bind(attempt.device.0)
    .bind(attempt.at.0)
    .bind(attempt.at.0 - HOUR_MS)
    .execute(db)
    .await?;
    Ok(())
}

/// After a good PIN: the person starts anew here, and the phone gets this attempt back.
pub(super) async fn clear(
    db: &mut SqliteConnection,
    attempt: &Attempt,
) -> Result<(), StorageError> {
    sqlx::query(
        "delete from pin_failure where workshop_id = $1 and device_id = $2 and person_id = $3",
    )
    .bind(attempt.workshop.0)
    .bind(attempt.device.0)
    .bind(attempt.person.0)
    .execute(&mut *db)
    .await?;
    sqlx::query(
        "update pin_hour set failures = failures - 1 \
         where workshop_id = $1 and device_id = $2 and failures > 0",
    )
    .bind(attempt.workshop.0)
    .bind(attempt.device.0)
    .execute(db)
    .await?;
    Ok(())
}

/// Forgets what was tried for a person, on every phone.
pub(super) async fn forget_person(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<(), StorageError> {
    sqlx::query("delete from pin_failure where workshop_id = $1 and person_id = $2")
        .bind(workshop.0)
        .bind(person.0)
        .execute(db)
        .await?;
    Ok(())
}

/// Tries for ids that nobody with a PIN has would otherwise pile up.
async fn forget_old(db: &mut SqliteConnection, attempt: &Attempt) -> Result<(), StorageError> {
    sqlx::query(
        "delete from pin_failure where workshop_id = $1 and last_ms < $2 and not exists \
         (select 1 from pin where pin.workshop_id = pin_failure.workshop_id \
         and pin.person_id = pin_failure.person_id)",
    )
    .bind(attempt.workshop.0)
    .bind(attempt.at.plus_days(-KEPT_DAYS).0)
    .execute(db)
    .await?;
    Ok(())
}
