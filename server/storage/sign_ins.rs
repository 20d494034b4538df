//! Attempts to sign in, counted by name and by address until one succeeds or time has passed.

use sqlx::SqliteConnection;

use crate::domain::ids::{DeviceId, Moment, PersonId, WorkshopId};

use super::columns::Columns as _;
use super::{StorageError, Store};

/// Attempts for one name in a window.
pub const BY_SIGN_IN_MAX: u32 = 10;
/// Attempts from one address in a window.
pub const BY_ADDRESS_MAX: u32 = 30;
/// Failures for one name without a success between them.
pub const IN_A_ROW_MAX: u32 = 100;
/// Length of a window.
pub const WINDOW_MS: i64 = 15 * 60_000;
/// Counters that nobody raised for so long are forgotten, unless a person has that name.
const KEPT_DAYS: i64 = 1;
/// Characters of a typed name or an address that are looked at.
const SUBJECT_CHARS_MAX: usize = 200;

/// Somebody types a password.
#[derive(Debug, Clone)]
pub struct Attempt {
    pub workshop: WorkshopId,
    pub sign_in: String,
    pub address: String,
    pub at: Moment,
}

/// Attempts so far, this one among them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counted {
    pub by_sign_in: u32,
    pub by_address: u32,
    pub in_a_row: u32,
    /// When the longer of the two windows ends.
    pub window_ends: Moment,
}

impl Counted {
    pub fn is_allowed(&self) -> bool {
        self.by_sign_in <= BY_SIGN_IN_MAX
            && self.by_address <= BY_ADDRESS_MAX
            && self.in_a_row <= IN_A_ROW_MAX
    }
}

/// Counts an attempt. To be called before the password is hashed, so that attempts made at once
/// all count.
pub async fn append(store: &Store, attempt: Attempt) -> Result<Counted, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                forget_old(&mut *db, &attempt).await?;
                let by_sign_in = raise(&mut *db, &attempt, SIGN_IN, &attempt.sign_in).await?;
                let by_address = raise(db, &attempt, ADDRESS, &attempt.address).await?;
                let window = by_sign_in.window.max(by_address.window);
                Ok(Counted {
                    by_sign_in: by_sign_in.in_window,
                    by_address: by_address.in_window,
                    in_a_row: by_sign_in.in_a_row,
                    window_ends: Moment(window.0 + WINDOW_MS),
                })
            })
        })
        .await
}

/// After a success: the name starts anew, and the address gets this attempt back.
pub async fn clear(store: &Store, attempt: Attempt) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                sqlx::query(
                    "delete from sign_in_failure \
                     where workshop_id = $1 and kind = 'sign_in' and subject = $2",
                )
                .bind(attempt.workshop.0)
                .bind(shortened(&attempt.sign_in))
                .execute(&mut *db)
                .await?;
                sqlx::query(
                    "update sign_in_failure set in_window = in_window - 1, in_a_row = 0 \
                     where workshop_id = $1 and kind = 'address' and subject = $2 \
                     and in_window > 0",
                )
                .bind(attempt.workshop.0)
                .bind(shortened(&attempt.address))
                .execute(db)
                .await?;
                Ok(())
            })
        })
        .await
}

/// What is counted for a name on a device that was signed in before. No name holds a space.
pub fn on_device(sign_in: &str, device: DeviceId) -> String {
    format!("{sign_in} on {device}")
}

/// Forgets what was counted for a person's name, wherever it was typed.
pub(super) async fn forget_person(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    person: PersonId,
) -> Result<(), StorageError> {
    sqlx::query(
        "delete from sign_in_failure where workshop_id = $1 and kind = 'sign_in' \
         and exists (select 1 from person p where p.workshop_id = $1 and p.id = $2 \
         and (subject = p.sign_in \
         or substr(subject, 1, length(p.sign_in) + 4) = p.sign_in || ' on '))",
    )
    .bind(workshop.0)
    .bind(person.0)
    .execute(db)
    .await?;
    Ok(())
}

const SIGN_IN: &str = "sign_in";
const ADDRESS: &str = "address";

struct Counter {
    window: Moment,
    in_window: u32,
    in_a_row: u32,
}

async fn raise(
    db: &mut SqliteConnection,
    attempt: &Attempt,
    kind: &str,
    subject: &str,
) -> Result<Counter, StorageError> {
    let row = sqlx::query(
        "insert into sign_in_failure (workshop_id, kind, subject, window_ms, in_window, in_a_row) \
         values ($1, $2, $3, $4, 1, 1) on conflict (workshop_id, kind, subject) do update set \
         in_window = case when sign_in_failure.window_ms <= $4 - $5 then 1 \
         else sign_in_failure.in_window + 1 end, \
         window_ms = case when sign_in_failure.window_ms <= $4 - $5 then $4 \
         else sign_in_failure.window_ms end, \
         in_a_row = sign_in_failure.in_a_row + 1 \
         returning window_ms, in_window, in_a_row",
    )
    .bind(attempt.workshop.0)
    .bind(kind)
    .bind(shortened(subject))
    .bind(attempt.at.0)
    .bind(WINDOW_MS)
    .fetch_one(db)
    .await?;
    Ok(Counter {
        window: row.moment("window_ms")?,
        in_window: row.number("in_window")?,
        in_a_row: row.number("in_a_row")?,
    })
}

/// Names that nobody has and addresses would otherwise pile up without end.
async fn forget_old(db: &mut SqliteConnection, attempt: &Attempt) -> Result<(), StorageError> {
    sqlx::query(
        "delete from sign_in_failure where workshop_id = $1 and window_ms < $2 \
         and (kind = 'address' or not exists (select 1 from person p \
         where p.workshop_id = sign_in_failure.workshop_id \
         and p.sign_in = sign_in_failure.subject))",
    )
    .bind(attempt.workshop.0)
    .bind(attempt.at.plus_days(-KEPT_DAYS).0)
    .execute(db)
    .await?;
    Ok(())
}

fn shortened(subject: &str) -> String {
    subject.chars().take(SUBJECT_CHARS_MAX).collect()
}
