//! Photos that arrive in pieces: what has come so far, as files that nothing names yet.
//!
//! A piece is acknowledged by how much is there, not as durable: whoever sends asks again and goes on
//! from there. The last piece is never written here, so no file is ever whole and yet not taken in.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use crate::domain::entry::Digest;
use crate::domain::ids::{Moment, PersonId, WorkshopId};

use super::files::{self, FileFault};
use super::open::below;
use super::picture::UPLOAD_BYTES_MAX;
use super::{StorageError, Store};

pub(super) const FOLDER: &str = "incoming";
/// Photos that one person may have half sent: a phone sends one after the other.
pub const UNFINISHED_MAX: usize = 16;
/// The largest piece.
pub const PIECE_KIB_MAX: usize = 1024;
/// One that nobody went on with for so long is given up.
pub const KEPT_DAYS: i64 = 7;

/// Whoever looks how much is there and adds to it holds this meanwhile: two tabs never mix.
#[derive(Debug, Clone, Default)]
pub(super) struct Shelf {
    lock: Arc<Mutex<()>>,
}

impl Shelf {
    fn hold(&self) -> MutexGuard<'_, ()> {
        // Whoever broke off while holding it left a file of some length, which is all that counts.
        self.lock.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Whoever sends: their pieces are never mixed with somebody else's, and keep nobody else's out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sender {
    pub workshop: WorkshopId,
    pub person: PersonId,
}

/// The next part of a photo.
#[derive(Debug, Clone)]
pub struct Piece {
    /// Of the whole photo.
    pub sha256: Digest,
    pub offset: u64,
    /// Of the whole photo.
    pub length: u64,
    pub bytes: Vec<u8>,
    pub now: Moment,
}

/// What became of a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taken {
    /// So many bytes are there, and more are wanted.
    Part(u64),
    /// All bytes, those of the last piece included; [`remove`] once they are kept or refused.
    Whole(Vec<u8>),
}

/// Why a piece was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PieceRefused {
    #[error("{received} bytes of this photo are here. Go on from there")]
    Offset { received: u64 },
    #[error("A piece holds at least one byte and at most {PIECE_KIB_MAX} KiB. Send other pieces")]
    Size,
    #[error(
        "The piece reaches beyond the length of the photo. Send the length of the whole photo with each \
         piece"
    )]
    Beyond,
    #[error("The photo is larger than 8 MB. Make it smaller before it is sent")]
    TooLong,
    #[error(
        "{UNFINISHED_MAX} of your photos are half sent, and more are not begun. Let one be finished first"
    )]
    TooMany,
}

/// How much of a photo has come.
pub async fn received(store: &Store, sender: Sender, sha256: &Digest) -> Result<u64, StorageError> {
    let path = folder(store, sender).join(name(sender, sha256));
    Ok(files::blocking(move || length(&path)).await?)
}

/// Adds a piece where it follows on what is there.
pub async fn append(
    store: &Store,
    sender: Sender,
    piece: Piece,
) -> Result<Result<Taken, PieceRefused>, StorageError> {
    if let Err(refused) = check(&piece) {
        return Ok(Err(refused));
    }
    let (folder, shelf) = (folder(store, sender), store.inner.incoming.clone());
    Ok(files::blocking(move || {
        let _held = shelf.hold();
        take(&folder, sender, &piece)
    })
    .await?)
}

/// Forgets what has come of a photo.
pub async fn remove(store: &Store, sender: Sender, sha256: &Digest) -> Result<(), StorageError> {
    let path = folder(store, sender).join(name(sender, sha256));
    let shelf = store.inner.incoming.clone();
    Ok(files::blocking(move || {
        let _held = shelf.hold();
        forget(&path)
    })
    .await?)
}

/// Gives up what nobody went on with, phones' files that were only looked at among it, in all workshops:
/// at each start.
pub async fn sweep(store: &Store, now: Moment) -> Result<(), StorageError> {
    let folders = [below(store, FOLDER), below(store, super::outbox_files::FOLDER)];
    let shelf = store.inner.incoming.clone();
    Ok(files::blocking(move || {
        let _held = shelf.hold();
        for folder in &folders {
            list(folder)?.iter().try_for_each(|workshop| give_up(workshop, now))?;
        }
        Ok(())
    })
    .await?)
}

fn folder(store: &Store, sender: Sender) -> PathBuf {
    below(store, FOLDER).join(sender.workshop.to_string())
}

fn name(sender: Sender, sha256: &Digest) -> String {
    format!("{}{}", prefix(sender), sha256.as_str())
}

/// What the names of all of somebody's files begin with.
fn prefix(sender: Sender) -> String {
    format!("{}-", sender.person)
}

fn check(piece: &Piece) -> Result<(), PieceRefused> {
    let size = piece.bytes.len();
    if size == 0 || size > PIECE_KIB_MAX * 1024 {
        return Err(PieceRefused::Size);
    }
    if piece.length > UPLOAD_BYTES_MAX as u64 {
        return Err(PieceRefused::TooLong);
    }
    let end = piece.offset.checked_add(size as u64);
    if end.is_some_and(|end| end <= piece.length) { Ok(()) } else { Err(PieceRefused::Beyond) }
}

fn take(
    folder: &Path,
    sender: Sender,
    piece: &Piece,
) -> Result<Result<Taken, PieceRefused>, FileFault> {
    let path = folder.join(name(sender, &piece.sha256));
    let received = length(&path)?;
    if piece.offset != received {
        return Ok(Err(PieceRefused::Offset { received }));
    }
    let end = received + piece.bytes.len() as u64;
    if end == piece.length {
        let mut whole = files::read(&path)?.unwrap_or_default();
        whole.extend(&piece.bytes);
        return Ok(Ok(Taken::Whole(whole)));
    }
    if received == 0 {
        fs::create_dir_all(folder).map_err(files::fault(folder, "made"))?;
        give_up(folder, piece.now)?;
        if begun_by(folder, sender)? >= UNFINISHED_MAX {
            return Ok(Err(PieceRefused::TooMany));
        }
    }
    add(&path, piece).map_err(files::fault(&path, "written"))?;
    Ok(Ok(Taken::Part(end)))
}

fn begun_by(folder: &Path, sender: Sender) -> Result<usize, FileFault> {
    let prefix = prefix(sender);
    let is_theirs = |path: &PathBuf| {
        path.file_name().is_some_and(|name| name.to_string_lossy().starts_with(&prefix))
    };
    Ok(list(folder)?.iter().filter(|path| is_theirs(path)).count())
}

fn add(path: &Path, piece: &Piece) -> io::Result<()> {
    let mut file = OpenOptions::new().create(true).append(true).open(path)?;
    let written = file.write_all(&piece.bytes);
    if written.is_err() {
        // A full disk may have taken a part; without it the next try begins where this one did.
        let _ = file.set_len(piece.offset);
    }
    written?;
    file.set_modified(moment(piece.now))
}

fn length(path: &Path) -> Result<u64, FileFault> {
    match fs::metadata(path) {
        Ok(found) => Ok(found.len()),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(0),
        Err(error) => Err(files::fault(path, "read")(error)),
    }
}

pub(super) fn forget(path: &Path) -> Result<(), FileFault> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => {
            Err(files::fault(path, "removed")(error))
        }
        _ => Ok(()),
    }
}

pub(super) fn give_up(folder: &Path, now: Moment) -> Result<(), FileFault> {
    let oldest = moment(now.plus_days(-KEPT_DAYS));
    for path in list(folder)? {
        let touched = File::open(&path).and_then(|file| file.metadata()?.modified());
        if touched.map_err(files::fault(&path, "read"))? < oldest {
            forget(&path)?;
        }
    }
    Ok(())
}

/// What lies in a folder; nothing where there is none.
pub(super) fn list(folder: &Path) -> Result<Vec<PathBuf>, FileFault> {
    let found = match fs::read_dir(folder) {
        Ok(found) => found,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(files::fault(folder, "read")(error)),
    };
    let paths: io::Result<Vec<PathBuf>> = found.map(|one| Ok(one?.path())).collect();
    paths.map_err(files::fault(folder, "read"))
}

pub(super) fn moment(at: Moment) -> SystemTime {
    UNIX_EPOCH + Duration::from_millis(u64::try_from(at.0).unwrap_or(0))
}
