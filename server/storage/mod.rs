//! What is kept: SQL and files. Free functions by noun: load, list, append, find.
//!
//! All reading goes through a small pool of read-only connections; all writing goes through one
//! writer, which commits many waiting changes at once and answers none before the commit is
//! durable. Ids, moments and salts come in as arguments: nothing here reads a clock or draws lots.

pub mod audit;
pub mod board;
pub mod calendar_tokens;
pub mod calibration_files;
pub mod certificates;
mod chain;
mod columns;
pub mod customers;
pub mod defects;
pub mod devices;
pub mod due;
pub mod enrol_codes;
pub mod entries;
pub mod epochs;
mod error;
mod files;
pub mod imports;
pub mod incoming;
pub mod instrument_use;
pub mod instruments;
pub mod invitations;
pub mod jobs;
pub mod kit_drafts;
pub mod kits;
pub mod limit_choices;
pub mod links;
mod open;
pub mod outbox_files;
pub mod parts;
pub mod people;
pub mod pepper;
pub mod phones;
pub mod photos;
pub mod picture;
pub mod pin_tries;
pub mod pins;
pub mod plans;
pub mod recalls;
pub mod reinspections;
pub mod results;
pub mod retention;
pub mod scratch;
pub mod seal_changes;
pub mod sessions;
pub mod sheets;
pub mod sign_ins;
pub mod verify;
pub mod withdrawals;
pub mod workshops;
mod writer;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use sqlx::{SqliteConnection, SqlitePool};

pub use error::{Conflict, OpenError, StorageError};
pub use open::{MIGRATIONS, sqlite_is_new_enough};
use writer::{Act, Undo, Writer};

/// The open data folder. Cheap to clone.
#[derive(Clone)]
pub struct Store {
    inner: Arc<Inner>,
}

struct Inner {
    folder: PathBuf,
    readers: SqlitePool,
    writer: Writer,
    incoming: incoming::Shelf,
}

/// What the readiness probe and the log at the start show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Health {
    /// The newest migration that was applied.
    pub schema: i64,
    /// Version of the database engine.
    pub sqlite: String,
    /// Settings of the connection that writes, as the engine reports them.
    pub settings: Vec<(&'static str, String)>,
}

impl Store {
    /// Opens the data folder, making it where it does not exist, and brings its schema up to date.
    pub async fn open(folder: &Path) -> Result<Self, OpenError> {
        open::open(folder).await
    }

    /// Opens a folder that a server may have open at the same time, to read or add a little.
    pub async fn open_beside(folder: &Path) -> Result<Self, OpenError> {
        open::open_beside(folder).await
    }

    pub fn folder(&self) -> &Path {
        &self.inner.folder
    }

    /// Resolves with the reason once writing has stopped for good: the disk failed, or the database
    /// is damaged. The program should then end; starting it again shows what is left.
    pub async fn failed(&self) -> String {
        self.inner.writer.failed().await
    }

    /// Lets waiting changes finish, folds the log into the database and frees the folder.
    pub async fn close(&self) {
        self.inner.readers.close().await;
        self.inner.writer.close().await;
    }

    /// A round trip through the writer.
    pub async fn health(&self) -> Result<Health, StorageError> {
        self.write(|db| Box::pin(open::health(db))).await
    }

    fn readers(&self) -> &SqlitePool {
        &self.inner.readers
    }

    /// Runs a change on the one connection that writes; it is durable once this returns `Ok`.
    /// What an `Err` leaves behind is rolled back.
    async fn write<T, F>(&self, act: F) -> Result<T, StorageError>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut SqliteConnection) -> Act<'c, T> + Send + 'static,
    {
        self.inner.writer.write(Undo::Savepoint, act).await
    }

    /// The same for a change that makes at most one statement that writes, and is cheaper for it.
    async fn write_one<T, F>(&self, act: F) -> Result<T, StorageError>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut SqliteConnection) -> Act<'c, T> + Send + 'static,
    {
        self.inner.writer.write(Undo::Statement, act).await
    }

    /// Writes to files, off the threads that serve. A disk that cannot keep what it took stops all
    /// writing: after a failed flush nobody knows what is on it.
    async fn write_files<T, F>(&self, act: F) -> Result<T, StorageError>
    where
        T: Send + 'static,
        F: FnOnce() -> Result<T, files::FileFault> + Send + 'static,
    {
        let outcome = files::blocking(act).await;
        if let Err(fault) = &outcome
            && fault.is_lost_flush()
        {
            self.inner.writer.halt(&fault.to_string());
        }
        Ok(outcome?)
    }
}
