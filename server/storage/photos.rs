//! Photos: files under the digest of what is kept, rows under the digest of what was sent.

use std::path::{Path, PathBuf};

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::entry::Digest;
use crate::domain::ids::{Moment, PersonId, WorkshopId};
use crate::domain::seal::hex;

use super::columns::Columns as _;
use super::files::{self, Aside};
use super::open::below;
use super::picture::Picture;
use super::retention::{self, Deletion};
use super::{Conflict, StorageError, Store};

pub(super) const FOLDER: &str = "photos";
/// Digests that one question may name.
pub const ASKED_MAX: usize = 500;

#[derive(Debug, Clone)]
pub struct NewPhoto {
    /// Of the bytes that were sent: the name that entries use.
    pub sha256: Digest,
    pub picture: Picture,
    pub received: Moment,
    pub received_by: PersonId,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoRow {
    pub sha256: Digest,
    /// Of the JPEG that is kept; its file is named by it.
    pub stored_sha256: Digest,
    pub bytes: u64,
    pub width: u32,
    pub height: u32,
    pub received: Moment,
    pub received_by: PersonId,
}

/// Keeps a photo: first the files, durable; then the row that names them. Sent again, it changes
/// nothing and answers what is there.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    new: NewPhoto,
) -> Result<PhotoRow, StorageError> {
    if let Some(there) = load(store, workshop, &new.sha256).await? {
        return Ok(there);
    }
    let NewPhoto { sha256, picture, received, received_by } = new;
    let row = PhotoRow {
        sha256,
        stored_sha256: Digest::of(&picture.jpeg),
        bytes: picture.jpeg.len() as u64,
        width: picture.width,
        height: picture.height,
        received,
        received_by,
    };
    keep_files(store, picture.clone()).await?;
    let row = store.write(move |db| Box::pin(insert(db, workshop, row))).await?;
    // The same photo of a forgotten job may have gone between the file and the row.
    let path = path(store, &row.stored_sha256, "jpg");
    if !files::blocking(move || Ok(path.exists())).await? {
        keep_files(store, picture).await?;
    }
    Ok(row)
}

/// Lets photos go and writes it down in the same act. A file goes once no row names it any more.
pub async fn delete(
    store: &Store,
    workshop: WorkshopId,
    photos: Vec<Digest>,
    line: Deletion,
) -> Result<(), StorageError> {
    let mut stored = Vec::new();
    for photo in &photos {
        stored.extend(load(store, workshop, photo).await?.map(|row| row.stored_sha256));
    }
    store
        .write(move |db| {
            Box::pin(async move {
                for photo in &photos {
                    let gone = "delete from photo where workshop_id = $1 and sha256 = $2";
                    sqlx::query(gone).bind(workshop.0).bind(raw(photo)).execute(&mut *db).await?;
                }
                retention::note(db, workshop, line).await
            })
        })
        .await?;
    for name in stored {
        delete_file(store, name).await?;
    }
    Ok(())
}

/// In the writer's turn, so that no row that names the file is added meanwhile.
async fn delete_file(store: &Store, name: Digest) -> Result<(), StorageError> {
    let paths = ["jpg", "thumb.jpg"].map(|ending| path(store, &name, ending));
    store
        .write(move |db| {
            Box::pin(async move {
                let named = "select 1 from photo where stored_sha256 = $1 limit 1";
                let named: Option<i64> =
                    sqlx::query_scalar(named).bind(raw(&name)).fetch_optional(db).await?;
                if named.is_none() {
                    files::blocking(move || files::remove(&paths)).await?;
                }
                Ok(())
            })
        })
        .await
}

/// The files alone, under the digest of the photo as it is kept: nothing names them yet.
pub async fn keep_files(store: &Store, picture: Picture) -> Result<(), StorageError> {
    let folder = store.folder().to_owned();
    let name = Digest::of(&picture.jpeg);
    store.write_files(move || write(&folder, &name, &picture)).await
}

fn write(folder: &Path, name: &Digest, picture: &Picture) -> Result<(), files::FileFault> {
    let (first, second) = shelf(name);
    let shelf = files::make_folders(&folder.join(FOLDER), &[first, second])?;
    Aside::write(folder, &picture.thumb)?.keep_as(&shelf.join(format!("{name}.thumb.jpg")))?;
    Aside::write(folder, &picture.jpeg)?.keep_as(&shelf.join(format!("{name}.jpg")))
}

pub(super) async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    row: PhotoRow,
) -> Result<PhotoRow, StorageError> {
    sqlx::query(
        "insert into photo (workshop_id, sha256, stored_sha256, bytes, width, height, \
         received_ms, received_by) values ($1, $2, $3, $4, $5, $6, $7, $8) \
         on conflict (workshop_id, sha256) do nothing",
    )
    .bind(workshop.0)
    .bind(raw(&row.sha256))
    .bind(raw(&row.stored_sha256))
    .bind(i64::try_from(row.bytes).map_err(|_| Conflict::Rule)?)
    .bind(row.width)
    .bind(row.height)
    .bind(row.received.0)
    .bind(row.received_by.0)
    .execute(&mut *db)
    .await?;
    let stored =
        sqlx::query(BY_DIGEST).bind(workshop.0).bind(raw(&row.sha256)).fetch_one(db).await?;
    photo(&stored)
}

const BY_DIGEST: &str = "select * from photo where workshop_id = $1 and sha256 = $2";

pub async fn load(
    store: &Store,
    workshop: WorkshopId,
    sha256: &Digest,
) -> Result<Option<PhotoRow>, StorageError> {
    let row = sqlx::query(BY_DIGEST)
        .bind(workshop.0)
        .bind(raw(sha256))
        .fetch_optional(store.readers())
        .await?;
    row.map(|row| photo(&row)).transpose()
}

/// Those of `wanted` that are not here, in the same order. At most [`ASKED_MAX`] are looked at.
pub async fn find_missing(
    store: &Store,
    workshop: WorkshopId,
    wanted: &[Digest],
) -> Result<Vec<Digest>, StorageError> {
    let mut missing = Vec::new();
    for digest in wanted.iter().take(ASKED_MAX) {
        if load(store, workshop, digest).await?.is_none() {
            missing.push(digest.clone());
        }
    }
    Ok(missing)
}

/// Those of `named` that were received before a moment. At most [`ASKED_MAX`] are looked at.
pub async fn list_before(
    store: &Store,
    workshop: WorkshopId,
    named: Vec<Digest>,
    moment: Moment,
) -> Result<Vec<Digest>, StorageError> {
    if named.is_empty() {
        return Ok(Vec::new());
    }
    let named: Vec<&str> = named.iter().take(ASKED_MAX).map(Digest::as_str).collect();
    let named =
        serde_json::to_string(&named).map_err(|why| StorageError::unreadable("digests", why))?;
    let rows = sqlx::query(
        "select sha256 from photo where workshop_id = $1 and received_ms < $2 \
         and sha256 in (select unhex(value) from json_each($3)) order by sha256",
    );
    let rows = rows.bind(workshop.0).bind(moment.0).bind(named).fetch_all(store.readers()).await?;
    rows.iter().map(|row| digest(&row.array("sha256")?)).collect()
}

/// The photo as it is kept. `None` where it was never received.
pub async fn jpeg(
    store: &Store,
    workshop: WorkshopId,
    sha256: &Digest,
) -> Result<Option<Vec<u8>>, StorageError> {
    read(store, workshop, sha256, "jpg").await
}

/// The photo as lists show it.
pub async fn thumb(
    store: &Store,
    workshop: WorkshopId,
    sha256: &Digest,
) -> Result<Option<Vec<u8>>, StorageError> {
    read(store, workshop, sha256, "thumb.jpg").await
}

/// The file of that digest, as far as a photo of this workshop is kept in it.
pub async fn kept_file(
    store: &Store,
    workshop: WorkshopId,
    stored_sha256: &Digest,
) -> Result<Option<Vec<u8>>, StorageError> {
    let of_workshop = "select 1 from photo where workshop_id = $1 and stored_sha256 = $2 limit 1";
    let found: Option<i64> = sqlx::query_scalar(of_workshop)
        .bind(workshop.0)
        .bind(raw(stored_sha256))
        .fetch_optional(store.readers())
        .await?;
    if found.is_none() {
        return Ok(None);
    }
    let path = path(store, stored_sha256, "jpg");
    Ok(files::blocking(move || files::read(&path)).await?)
}

async fn read(
    store: &Store,
    workshop: WorkshopId,
    sha256: &Digest,
    ending: &str,
) -> Result<Option<Vec<u8>>, StorageError> {
    let Some(photo) = load(store, workshop, sha256).await? else { return Ok(None) };
    let path = path(store, &photo.stored_sha256, ending);
    Ok(files::blocking(move || files::read(&path)).await?)
}

pub(super) fn path(store: &Store, stored_sha256: &Digest, ending: &str) -> PathBuf {
    let (first, second) = shelf(stored_sha256);
    below(store, FOLDER).join(first).join(second).join(format!("{stored_sha256}.{ending}"))
}

/// Two levels of folders, so that none grows beyond what a file system lists quickly.
pub(super) fn shelf(digest: &Digest) -> (&str, &str) {
    let digits = digest.as_str();
    // A digest has 64 digits, all of one byte.
    (digits.get(..2).unwrap_or_default(), digits.get(2..4).unwrap_or_default())
}

/// The 32 bytes that a digest spells.
pub(super) fn raw(digest: &Digest) -> Vec<u8> {
    let digits = digest.as_str().as_bytes();
    digits
        .chunks_exact(2)
        .map(|pair| pair.iter().fold(0, |byte, d| byte << 4 | value(*d)))
        .collect()
}

fn value(digit: u8) -> u8 {
    match digit {
        b'a'..=b'f' => digit - b'a' + 10,
        _ => digit - b'0',
    }
}

pub(super) fn digest(bytes: &[u8; 32]) -> Result<Digest, StorageError> {
    Digest::try_from(hex(bytes)).map_err(|error| StorageError::unreadable("digest", error))
}

pub(super) fn photo(row: &SqliteRow) -> Result<PhotoRow, StorageError> {
    Ok(PhotoRow {
        sha256: digest(&row.array("sha256")?)?,
        stored_sha256: digest(&row.array("stored_sha256")?)?,
        bytes: row.number("bytes")?,
        width: row.number("width")?,
        height: row.number("height")?,
        received: row.moment("received_ms")?,
        received_by: PersonId(row.uuid("received_by")?),
    })
}
