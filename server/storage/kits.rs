//! Kit editions, byte for byte as they were imported.

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::ids::{KitId, Moment, PersonId, WorkshopId};
use crate::domain::seal::sha256;

use super::columns::Columns as _;
use super::error::one_row;
use super::{Conflict, StorageError, Store};

/// Editions of one kit that are listed, the newest.
const EDITIONS_LISTED_MAX: u32 = 200;

#[derive(Debug, Clone)]
pub struct NewKit {
    pub id: KitId,
    pub code: String,
    pub edition: u32,
    pub title: String,
    /// The file, byte for byte.
    pub source: Vec<u8>,
    pub imported: Moment,
    pub imported_by: PersonId,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitRow {
    pub id: KitId,
    pub code: String,
    pub edition: u32,
    pub title: String,
    pub sha256: [u8; 32],
    pub imported: Moment,
    pub imported_by: PersonId,
    /// Some job names it, so it stays.
    pub in_use: bool,
}

macro_rules! select {
    ($columns:literal, $rest:literal) => {
        concat!(
            "select k.id, k.code, k.edition, k.title, k.sha256, k.imported_ms, k.imported_by, \
             exists (select 1 from job j where j.workshop_id = k.workshop_id and j.kit_id = k.id) \
             as in_use",
            $columns,
            " from kit k where k.workshop_id = $1 ",
            $rest
        )
    };
}

const BY_EDITION: &str = select!("", "and k.code = $2 and k.edition = $3");

/// The same edition with the same bytes again changes nothing and answers what is there.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    new: NewKit,
) -> Result<KitRow, StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let sha256 = sha256(&new.source);
                let (code, edition) = (new.code.clone(), new.edition);
                insert(&mut *db, workshop, new, &sha256).await?;
                let row = sqlx::query(BY_EDITION)
                    .bind(workshop.0)
                    .bind(code)
                    .bind(edition)
                    .fetch_one(db)
                    .await?;
                let kit = kit(&row)?;
                if kit.sha256 == sha256 { Ok(kit) } else { Err(Conflict::KitEditionTaken.into()) }
            })
        })
        .await
}

pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: NewKit,
    sha256: &[u8; 32],
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into kit (workshop_id, id, code, edition, title, source, sha256, imported_ms, \
         imported_by) values ($1, $2, $3, $4, $5, $6, $7, $8, $9) \
         on conflict (workshop_id, code, edition) do nothing",
    )
    .bind(workshop.0)
    .bind(new.id.0)
    .bind(new.code)
    .bind(new.edition)
    .bind(new.title)
    .bind(new.source)
    .bind(sha256.as_slice())
    .bind(new.imported.0)
    .bind(new.imported_by.0)
    .execute(db)
    .await?;
    Ok(())
}

/// A kit with its file.
pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    id: KitId,
) -> Result<Option<(KitRow, Vec<u8>)>, StorageError> {
    let row = sqlx::query(select!(", k.source", "and k.id = $2"))
        .bind(workshop.0)
        .bind(id.0)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| Ok((kit(&row)?, row.bytes("source")?))).transpose()
}

pub async fn find(
    store: &Store,
    workshop: WorkshopId,
    code: &str,
    edition: u32,
) -> Result<Option<KitRow>, StorageError> {
    let row = sqlx::query(BY_EDITION)
        .bind(workshop.0)
        .bind(code)
        .bind(edition)
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| kit(&row)).transpose()
}

/// By code, the newest edition first.
pub async fn list(store: &Store, workshop: WorkshopId) -> Result<Vec<KitRow>, StorageError> {
    let rows = sqlx::query(select!("", "order by k.code, k.edition desc"))
        .bind(workshop.0)
        .fetch_all(store.readers())
        .await?;
    rows.iter().map(kit).collect()
}

/// Editions of one kit with how many jobs were opened with each, the newest first.
pub async fn list_editions(
    store: &Store,
    workshop: WorkshopId,
    code: &str,
) -> Result<Vec<(KitRow, u64)>, StorageError> {
    let rows = sqlx::query(select!(
        ", (select count(*) from job j where j.workshop_id = k.workshop_id and j.kit_id = k.id) \
         as jobs",
        "and k.code = $2 order by k.edition desc limit $3"
    ))
    .bind(workshop.0)
    .bind(code)
    .bind(EDITIONS_LISTED_MAX)
    .fetch_all(store.readers())
    .await?;
    rows.iter().map(|row| Ok((kit(row)?, row.number("jobs")?))).collect()
}

/// Removes an edition that no job uses.
pub async fn remove(store: &Store, workshop: WorkshopId, id: KitId) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                let removed = sqlx::query("delete from kit where workshop_id = $1 and id = $2")
                    .bind(workshop.0)
                    .bind(id.0)
                    .execute(db)
                    .await
                    .map_err(|error| match StorageError::from(error) {
                        // Only jobs refer to kits.
                        StorageError::Conflict(Conflict::NotThere) => Conflict::KitInUse.into(),
                        other => other,
                    })?;
                one_row(&removed)
            })
        })
        .await
}

fn kit(row: &SqliteRow) -> Result<KitRow, StorageError> {
    Ok(KitRow {
        id: KitId(row.uuid("id")?),
        code: row.text("code")?,
        edition: row.number("edition")?,
        title: row.text("title")?,
        sha256: row.array("sha256")?,
        imported: row.moment("imported_ms")?,
        imported_by: PersonId(row.uuid("imported_by")?),
        in_use: row.flag("in_use")?,
    })
}
