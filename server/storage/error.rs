//! What can go wrong in storage, each with a sentence that says what to do.

use std::path::PathBuf;

use crate::domain::ids::JobId;

use super::files::FileFault;

/// Why the data folder could not be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    #[error(
        "The data folder {folder} cannot be written to ({source}). Give the server's account \
         write access to it, or name another folder"
    )]
    Unwritable { folder: PathBuf, source: std::io::Error },
    #[error(
        "Another server is using the data folder {folder}. Stop that one first, or name another folder"
    )]
    Locked { folder: PathBuf },
    #[error(
        "The file {file} is not a database, or it is damaged at its beginning. Move it away and \
         restore a backup"
    )]
    NotADatabase { file: PathBuf },
    #[error(
        "The file {file} is a database of another program. Name a folder that is empty or Fusewright's own"
    )]
    Foreign { file: PathBuf },
    #[error(
        "The database was written by a newer version of this program (schema {found}; this version \
         knows {known}). Install that version again, or restore a backup from before"
    )]
    Newer { found: i64, known: i64 },
    #[error(
        "A server of another version has this folder open (schema {found}; this program knows {known}). \
         Use the program of that server, or stop it first"
    )]
    OtherProgram { found: i64, known: i64 },
    #[error(
        "The program was built with SQLite {found}; it needs at least 3.51.3, because earlier ones can \
         damage a database in use"
    )]
    OldSqlite { found: String },
    #[error(
        "The copy {file} that is made before the database is changed could not be written ({why}). \
         Free some space and start again"
    )]
    Copy { file: PathBuf, why: String },
    #[error(
        "The database could not be brought up to date: {0}. Its copy from before lies beside it"
    )]
    Migration(#[from] sqlx::migrate::MigrateError),
    #[error("The database could not be opened: {0}")]
    Database(#[from] sqlx::Error),
}

/// Why something could not be stored or read.
#[derive(Debug, thiserror::Error)]
pub enum StorageError {
    #[error(transparent)]
    Conflict(#[from] Conflict),
    #[error("The chain of job {job} is broken at entry {seq}: {why}. Run `fusewright verify`")]
    ChainBroken { job: JobId, seq: u64, why: &'static str },
    #[error("The register is broken at line {index}: {why}. Run `fusewright verify`")]
    RegisterBroken { index: u64, why: &'static str },
    #[error("Stored {what} cannot be read: {why}")]
    Unreadable { what: &'static str, why: String },
    #[error("The change was not stored: {0}")]
    NotStored(String),
    #[error("The server has stopped storing, because its disk or database failed or it is ending")]
    Stopped,
    #[error(transparent)]
    File(#[from] FileFault),
    #[error("The database answered: {0}")]
    Database(sqlx::Error),
}

/// A rule that holds between requests and that the database kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Conflict {
    #[error("Somebody in this workshop already signs in with this name. Choose another one")]
    SignInTaken,
    #[error("Another workshop on this server uses this certificate prefix. Choose another one")]
    PrefixTaken,
    #[error(
        "This edition of the kit is already here with other content. Give the changed kit the next \
         edition number"
    )]
    KitEditionTaken,
    #[error("A job uses this kit edition, so it stays")]
    KitInUse,
    #[error(
        "Somebody saved a plan for this job in the meantime. Look at theirs, then save yours again"
    )]
    PlanEditionTaken,
    #[error("Another certificate was issued in the meantime. Release again")]
    RegisterMoved,
    #[error("This version of the job's certificate has been issued already")]
    VersionTaken,
    #[error("This certificate is withdrawn already. Load the page again to see it")]
    Withdrawn,
    #[error(
        "Somebody has asked for this withdrawal already. Load the page again: confirm theirs, or \
         leave the certificate in force and ask anew"
    )]
    WithdrawalAsked,
    #[error(
        "The request for this withdrawal was dropped or written anew in the meantime. Load the page \
         again and read the reason"
    )]
    WithdrawalMoved,
    #[error(
        "This job has ten links that can be opened. Revoke one that is no longer needed, then make \
         the new one"
    )]
    LinksFull,
    #[error(
        "A re-inspection of this is under way already. Go on with that job; the vehicle's page leads to it"
    )]
    ReinspectionUnderWay,
    #[error(
        "Only the newest certificate in force is inspected again. Open the vehicle's page and start from that"
    )]
    CertificateNotInForce,
    #[error(
        "This calibration has as many files as are kept. Note a new calibration for another paper"
    )]
    CalibrationFilesFull,
    #[error("Fifty invitations are open. Revoke one that nobody will use, then make the new one")]
    InvitationsFull,
    #[error("This instrument was recalled so often that no more is kept. Retire it")]
    RecallsFull,
    #[error("This was stored already. Load the page again to see it")]
    AlreadyThere,
    #[error("Something that this belongs to is no longer there. Load the page again")]
    NotThere,
    #[error("One of the values is missing, too long or outside what can be stored")]
    Rule,
}

impl StorageError {
    pub fn conflict(&self) -> Option<Conflict> {
        match self {
            Self::Conflict(conflict) => Some(*conflict),
            _ => None,
        }
    }

    /// Whether the disk or the database itself failed, so that nothing may be written any more.
    pub(super) fn is_fatal(&self) -> bool {
        match self {
            Self::Database(error) => is_fatal(error),
            Self::File(fault) => fault.is_lost_flush(),
            _ => false,
        }
    }

    pub(super) fn unreadable(what: &'static str, why: impl std::fmt::Display) -> Self {
        Self::Unreadable { what, why: why.to_string() }
    }
}

/// Constraint violations become conflicts, everything else stays what the database said.
impl From<sqlx::Error> for StorageError {
    fn from(error: sqlx::Error) -> Self {
        match extended_code(&error) {
            Some(UNIQUE | PRIMARY_KEY | ROWID) => Conflict::AlreadyThere.into(),
            Some(FOREIGN_KEY) => Conflict::NotThere.into(),
            Some(CHECK | NOT_NULL | DATATYPE | TRIGGER) => Conflict::Rule.into(),
            _ => Self::Database(error),
        }
    }
}

// Result codes of SQLite, https://www.sqlite.org/rescode.html. The low byte is the primary code.
const IO: i32 = 10;
const CORRUPT: i32 = 11;
const NOT_A_DATABASE: i32 = 26;
const CHECK: i32 = 275;
const FOREIGN_KEY: i32 = 787;
const NOT_NULL: i32 = 1299;
const PRIMARY_KEY: i32 = 1555;
const TRIGGER: i32 = 1811;
const UNIQUE: i32 = 2067;
const ROWID: i32 = 2579;
const DATATYPE: i32 = 3091;

fn extended_code(error: &sqlx::Error) -> Option<i32> {
    error.as_database_error()?.code()?.parse().ok()
}

fn primary_code(error: &sqlx::Error) -> Option<i32> {
    extended_code(error).map(|code| code & 0xff)
}

pub(super) fn is_fatal(error: &sqlx::Error) -> bool {
    matches!(primary_code(error), Some(IO | CORRUPT | NOT_A_DATABASE))
        || matches!(error, sqlx::Error::WorkerCrashed)
}

pub(super) fn is_not_a_database(error: &sqlx::Error) -> bool {
    primary_code(error) == Some(NOT_A_DATABASE)
}

/// For `map_err`: a name that must be unique was taken, so say which.
pub(super) fn taken(conflict: Conflict) -> impl FnOnce(sqlx::Error) -> StorageError {
    move |error| match extended_code(&error) {
        Some(UNIQUE) => conflict.into(),
        _ => error.into(),
    }
}

/// For changes to one row that must exist.
pub(super) fn one_row(result: &sqlx::sqlite::SqliteQueryResult) -> Result<(), StorageError> {
    if result.rows_affected() == 1 { Ok(()) } else { Err(Conflict::NotThere.into()) }
}
