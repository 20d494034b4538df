//! Opening the data folder: lock, settings, version gates, copy, migrations.

use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{ConnectOptions as _, SqliteConnection, SqlitePool};

use super::error::is_not_a_database;
use super::files::{self, ASIDE};
use super::incoming::Shelf;
use super::writer::Writer;
use super::{Health, Inner, OpenError, StorageError, Store};

/// Every schema this program knows, in order.
pub static MIGRATIONS: Migrator = sqlx::migrate!();

const DATABASE: &str = "fusewright.db";
const LOCK: &str = "lock";
const READERS: u32 = 4;
const BUSY_TIMEOUT: Duration = Duration::from_secs(5);
/// Earlier versions could damage a database whose log was folded in while two connections wrote.
const SQLITE_LEAST: [u32; 3] = [3, 51, 3];
/// Folders below the data folder.
const FOLDERS: [&str; 6] = [
    ASIDE,
    super::photos::FOLDER,
    super::incoming::FOLDER,
    super::outbox_files::FOLDER,
    super::certificates::FOLDER,
    super::calibration_files::FOLDER,
];

pub(super) async fn open(folder: &Path) -> Result<Store, OpenError> {
    let unwritable = |source| OpenError::Unwritable { folder: folder.to_owned(), source };
    make_private_folder(folder).map_err(unwritable)?;
    let lock = lock(folder)?;
    prepare_folders(folder).map_err(unwritable)?;
    let file = folder.join(DATABASE);
    let mut db = connect(settings(&file).create_if_missing(true)).await?;
    let found: String = sqlx::query_scalar("select sqlite_version()").fetch_one(&mut db).await?;
    if !sqlite_is_new_enough(&found) {
        return Err(OpenError::OldSqlite { found });
    }
    migrate(&mut db, folder, &file).await?;
    let readers = readers(&file).await?;
    Ok(store(folder, readers, Writer::start(db, Some(lock))))
}

/// Beside a server that has the folder open, for a command that adds or reads a little. The engine
/// lets two write in turn; what belongs to the one server (left-over files, migrations, folding the
/// log) is not touched. Without a server it is opened as by one.
pub(super) async fn open_beside(folder: &Path) -> Result<Store, OpenError> {
    match open(folder).await {
        Err(OpenError::Locked { .. }) => {}
        alone => return alone,
    }
    let file = folder.join(DATABASE);
    let mut db = connect(settings(&file)).await?;
    let known = newest_known();
    match applied(&mut db, &file).await? {
        Some(found) if found == known => {}
        found => return Err(OpenError::OtherProgram { found: found.unwrap_or(0), known }),
    }
    let readers = readers(&file).await?;
    Ok(store(folder, readers, Writer::start(db, None)))
}

fn store(folder: &Path, readers: SqlitePool, writer: Writer) -> Store {
    let (folder, incoming) = (folder.to_owned(), Shelf::default());
    Store { inner: Arc::new(Inner { folder, readers, writer, incoming }) }
}

fn make_private_folder(folder: &Path) -> std::io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

fn lock(folder: &Path) -> Result<File, OpenError> {
    let unwritable = |source| OpenError::Unwritable { folder: folder.to_owned(), source };
    let file = File::create(folder.join(LOCK)).map_err(unwritable)?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(OpenError::Locked { folder: folder.to_owned() }),
        Err(TryLockError::Error(source)) => Err(unwritable(source)),
    }
}

/// Files that were written aside and never got their name belong to nothing.
fn prepare_folders(folder: &Path) -> std::io::Result<()> {
    for name in FOLDERS {
        std::fs::create_dir_all(folder.join(name))?;
    }
    for left_over in std::fs::read_dir(folder.join(ASIDE))? {
        std::fs::remove_file(left_over?.path())?;
    }
    File::open(folder)?.sync_all()
}

/// Settings of every connection.
fn settings(file: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(file)
        .busy_timeout(BUSY_TIMEOUT)
        .foreign_keys(true)
        .pragma("trusted_schema", "OFF")
        .pragma("cell_size_check", "ON")
        .pragma("mmap_size", "0")
        .pragma("secure_delete", "ON")
}

/// The connection that writes.
async fn connect(options: SqliteConnectOptions) -> Result<SqliteConnection, OpenError> {
    let file = options.get_filename().to_owned();
    let options = options
        .journal_mode(SqliteJournalMode::Wal)
        // What was acknowledged must outlast a power cut; anything less may lose the last commits.
        .synchronous(SqliteSynchronous::Full)
        // Shrinks a log that once grew large; it is folded in every thousand pages anyway.
        .pragma("journal_size_limit", "16777216");
    options.connect().await.map_err(|error| {
        if is_not_a_database(&error) { OpenError::NotADatabase { file } } else { error.into() }
    })
}

async fn readers(file: &Path) -> Result<SqlitePool, OpenError> {
    let pool = SqlitePoolOptions::new()
        .max_connections(READERS)
        .idle_timeout(None)
        .max_lifetime(None)
        .test_before_acquire(false)
        .connect_with(settings(file).read_only(true));
    Ok(pool.await?)
}

/// Whether a version like `3.51.3` is one that this program may run on.
pub fn sqlite_is_new_enough(version: &str) -> bool {
    let parts: Option<Vec<u32>> = version.split('.').map(|part| part.parse().ok()).collect();
    parts.is_some_and(|parts| parts.as_slice() >= SQLITE_LEAST.as_slice())
}

fn newest_known() -> i64 {
    MIGRATIONS.iter().map(|migration| migration.version).max().unwrap_or(0)
}

async fn migrate(db: &mut SqliteConnection, folder: &Path, file: &Path) -> Result<(), OpenError> {
    let known = newest_known();
    match applied(db, file).await? {
        Some(found) if found > known => return Err(OpenError::Newer { found, known }),
        Some(found) if found < known => copy(db, folder, found).await?,
        _ => {}
    }
    // Flushed once and not after every migration: the first change that is acknowledged flushes the
    // log from its beginning, and until then a power cut leaves an older schema, never a torn one.
    sqlx::query("pragma synchronous = normal").execute(&mut *db).await?;
    MIGRATIONS.run_direct(None, db, false).await?;
    sqlx::query("pragma synchronous = full").execute(db).await?;
    Ok(())
}

/// The newest migration that the database has; `None` where it is empty.
async fn applied(db: &mut SqliteConnection, file: &Path) -> Result<Option<i64>, OpenError> {
    let tables: Vec<String> =
        sqlx::query_scalar("select name from sqlite_schema where type = 'table'")
            .fetch_all(&mut *db)
            .await?;
    if tables.is_empty() {
        return Ok(None);
    }
    if !tables.iter().any(|name| name == "_sqlx_migrations") {
        return Err(OpenError::Foreign { file: file.to_owned() });
    }
    Ok(sqlx::query_scalar("select max(version) from _sqlx_migrations").fetch_one(db).await?)
}

/// A copy of the whole database as it was before it is changed.
async fn copy(db: &mut SqliteConnection, folder: &Path, schema: i64) -> Result<(), OpenError> {
    let file = folder.join(format!("fusewright-schema-{schema:04}.db"));
    let aside = folder.join(ASIDE).join("copy");
    let failed = |why: String| OpenError::Copy { file: file.clone(), why };
    let target = aside.to_str().ok_or_else(|| failed("its path is not Unicode".to_owned()))?;
    sqlx::query("vacuum into $1")
        .bind(target)
        .execute(db)
        .await
        .map_err(|error| failed(error.to_string()))?;
    let keep = |from: &Path, to: &Path| -> Result<(), String> {
        files::flush(from).map_err(|error| error.to_string())?;
        std::fs::rename(from, to).map_err(|error| error.to_string())?;
        files::flush_folder(folder).map_err(|error| error.to_string())
    };
    keep(&aside, &file).map_err(failed)
}

pub(super) async fn health(db: &mut SqliteConnection) -> Result<Health, StorageError> {
    let schema = sqlx::query_scalar("select max(version) from _sqlx_migrations");
    let schema = schema.fetch_one(&mut *db).await?;
    let sqlite = sqlx::query_scalar("select sqlite_version()").fetch_one(&mut *db).await?;
    let mut settings = vec![("journal_mode", text(db, "pragma journal_mode").await?)];
    for (name, question) in [
        ("synchronous", "pragma synchronous"),
        ("busy_timeout", "pragma busy_timeout"),
        ("foreign_keys", "pragma foreign_keys"),
        ("trusted_schema", "pragma trusted_schema"),
        ("cell_size_check", "pragma cell_size_check"),
        ("mmap_size", "pragma mmap_size"),
        ("secure_delete", "pragma secure_delete"),
    ] {
        let value: i64 = sqlx::query_scalar(question).fetch_one(&mut *db).await?;
        settings.push((name, value.to_string()));
    }
    Ok(Health { schema, sqlite, settings })
}

async fn text(db: &mut SqliteConnection, question: &'static str) -> Result<String, StorageError> {
    Ok(sqlx::query_scalar(question).fetch_one(db).await?)
}

/// A path below the data folder.
pub(super) fn below(store: &Store, folder: &str) -> PathBuf {
    store.folder().join(folder)
}
