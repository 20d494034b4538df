//! Links that show a customer the handover of a job: they expire, can be revoked, and are counted.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{JobId, LinkId, Moment, PersonId, WorkshopId};

use super::columns::Columns as _;
use super::{Conflict, StorageError, Store};

/// Links of one job that can be opened at once.
pub const LIVE_MAX: u32 = 10;
/// The newest ones that a list shows.
pub const LISTED_MAX: u32 = 50;

/// A link as it is kept: of its secret only the digest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NewLink {
    pub id: LinkId,
    pub job: JobId,
    pub token_sha256: [u8; 32],
    pub made_by: PersonId,
    pub made: Moment,
    pub expires: Moment,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    pub workshop: WorkshopId,
    pub id: LinkId,
    pub job: JobId,
    pub made_by: PersonId,
    pub made: Moment,
    pub expires: Moment,
    pub revoked: Option<Moment>,
    /// How often it was opened. Programs that look ahead at links in messages count as well.
    pub opened: u64,
    pub last_opened: Option<Moment>,
}

impl Link {
    pub fn is_live(&self, now: Moment) -> bool {
        self.revoked.is_none() && now < self.expires
    }
}

/// Keeps a new link, unless the job has [`LIVE_MAX`] already.
pub async fn append(store: &Store, workshop: WorkshopId, new: NewLink) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(insert(db, workshop, new))).await
}

async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: NewLink,
) -> Result<(), StorageError> {
    let live = sqlx::query(
        "select count(*) as live from customer_link where workshop_id = $1 and job_id = $2 \
         and revoked_ms is null and expires_ms > $3",
    )
    .bind(workshop.0)
    .bind(new.job.0)
    .bind(new.made.0)
    .fetch_one(&mut *db)
    .await?;
    if live.number::<u32>("live")? >= LIVE_MAX {
        return Err(Conflict::LinksFull.into());
    }
    sqlx::query(
        "insert into customer_link (workshop_id, id, job_id, token_sha256, made_by, made_ms, \
         expires_ms) values ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(workshop.0)
    .bind(new.id.0)
    .bind(new.job.0)
    .bind(new.token_sha256.as_slice())
    .bind(new.made_by.0)
    .bind(new.made.0)
    .bind(new.expires.0)
    .execute(db)
    .await?;
    Ok(())
}

/// A job's links, the newest first.
pub async fn list(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Vec<Link>, StorageError> {
    let rows = sqlx::query(
        "select * from customer_link where workshop_id = $1 and job_id = $2 \
         order by made_ms desc, id desc limit $3",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(LISTED_MAX)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(link).collect()
}

/// The link that can be opened with this secret now, for whoever holds nothing else.
pub async fn find(
    store: &Store,
    token_sha256: [u8; 32],
    now: Moment,
) -> Result<Option<Link>, StorageError> {
    let row = sqlx::query("select * from customer_link where token_sha256 = $1")
        .bind(token_sha256.as_slice())
        .fetch_optional(store.readers())
        .await?;
    let found = row.as_ref().map(link).transpose()?;
    Ok(found.filter(|link| link.is_live(now)))
}

/// Counts an opening. `false` where there is no such link, or none any more.
pub async fn count_opening(
    store: &Store,
    token_sha256: [u8; 32],
    now: Moment,
) -> Result<bool, StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                let counted = sqlx::query(
                    "update customer_link set opened = opened + 1, opened_ms = $2 \
                     where token_sha256 = $1 and revoked_ms is null and expires_ms > $2",
                )
                .bind(token_sha256.as_slice())
                .bind(now.0)
                .execute(db)
                .await?;
                Ok(counted.rows_affected() > 0)
            })
        })
        .await
}

/// Revokes a link of this job; revoked already is revoked. `false` where there is none.
pub async fn revoke(
    store: &Store,
    (workshop, job): (WorkshopId, JobId),
    id: LinkId,
    by: PersonId,
    now: Moment,
) -> Result<bool, StorageError> {
    store
        .write_one(move |db| {
            Box::pin(async move {
                let revoked = sqlx::query(
                    "update customer_link set revoked_ms = coalesce(revoked_ms, $4), \
                     revoked_by = coalesce(revoked_by, $5) \
                     where workshop_id = $1 and job_id = $2 and id = $3",
                )
                .bind(workshop.0)
                .bind(job.0)
                .bind(id.0)
                .bind(now.0)
                .bind(by.0)
                .execute(db)
                .await?;
                Ok(revoked.rows_affected() > 0)
            })
        })
        .await
}

fn link(row: &SqliteRow) -> Result<Link, StorageError> {
    Ok(Link {
        workshop: WorkshopId(row.uuid("workshop_id")?),
        id: LinkId(row.uuid("id")?),
        job: JobId(row.uuid("job_id")?),
        made_by: PersonId(row.uuid("made_by")?),
        made: row.moment("made_ms")?,
        expires: row.moment("expires_ms")?,
        revoked: row.signed_or_none("revoked_ms")?.map(Moment),
        opened: row.number("opened")?,
        last_opened: row.signed_or_none("opened_ms")?.map(Moment),
    })
}
