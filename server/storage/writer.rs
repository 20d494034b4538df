//! The one that writes: takes waiting changes together, commits once, then answers each.
//!
//! Each change runs in a savepoint of its own, so that one that is refused takes no other with it;
//! a change of a single statement needs none, because a statement that fails leaves nothing.
//! Where the disk or the database itself fails, it stops for good: after that nobody can say what
//! is stored, and a promise kept by luck is none.

use std::fs::File;
use std::pin::Pin;

use sqlx::{Connection as _, SqliteConnection};
use tokio::sync::{Mutex, mpsc, oneshot, watch};
use tokio::task::JoinHandle;

use super::StorageError;
use super::error::is_fatal;

/// Changes committed together at most.
pub(super) const GROUP_MAX: usize = 64;
/// Changes that may wait; further callers wait to get in.
const WAITING_MAX: usize = 1_024;

pub(super) type Act<'c, T> = Pin<Box<dyn Future<Output = Result<T, StorageError>> + Send + 'c>>;

/// How a change is undone where it is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Undo {
    Savepoint,
    /// The change makes at most one statement that writes.
    Statement,
}

/// A waiting change with its answer's way back, whatever its type.
trait Command: Send {
    fn undo(&self) -> Undo;

    fn run<'c>(
        &'c mut self,
        db: &'c mut SqliteConnection,
    ) -> Pin<Box<dyn Future<Output = Outcome> + Send + 'c>>;

    /// `lost` says why the whole group was not committed.
    fn answer(self: Box<Self>, lost: Option<&str>);
}

enum Outcome {
    Done,
    /// A rule was broken.
    Refused,
    /// The database failed in a way that may have ended the transaction, as a full disk does.
    Failed(String),
    Fatal(String),
}

struct Waiting<T, F> {
    act: Option<F>,
    undo: Undo,
    outcome: Option<Result<T, StorageError>>,
    reply: oneshot::Sender<Result<T, StorageError>>,
}

impl<T, F> Command for Waiting<T, F>
where
    T: Send,
    F: for<'c> FnOnce(&'c mut SqliteConnection) -> Act<'c, T> + Send,
{
    fn undo(&self) -> Undo {
        self.undo
    }

    fn run<'c>(
        &'c mut self,
        db: &'c mut SqliteConnection,
    ) -> Pin<Box<dyn Future<Output = Outcome> + Send + 'c>> {
        Box::pin(async move {
            let Some(act) = self.act.take() else { return Outcome::Refused };
            let outcome = act(db).await;
            let told = match &outcome {
                Ok(_) => Outcome::Done,
                Err(error) if error.is_fatal() => Outcome::Fatal(error.to_string()),
                Err(StorageError::Database(error)) => Outcome::Failed(error.to_string()),
                Err(_) => Outcome::Refused,
            };
            self.outcome = Some(outcome);
            told
        })
    }

    fn answer(self: Box<Self>, lost: Option<&str>) {
        let answer = match (lost, self.outcome) {
            (None, Some(outcome)) | (_, Some(outcome @ Err(_))) => outcome,
            (why, _) => Err(StorageError::NotStored(why.unwrap_or("it was not tried").to_owned())),
        };
        // Whoever asked may have gone; what is stored stays stored.
        let _ = self.reply.send(answer);
    }
}

/// The callers' side.
pub(super) struct Writer {
    waiting: Mutex<Option<mpsc::Sender<Box<dyn Command>>>>,
    running: Mutex<Option<JoinHandle<()>>>,
    halted: watch::Sender<Option<String>>,
}

impl Writer {
    /// Takes over the connection that writes, and the lock on the folder of whoever has it alone.
    pub(super) fn start(db: SqliteConnection, lock: Option<File>) -> Self {
        let (sender, commands) = mpsc::channel(WAITING_MAX);
        let halted = watch::Sender::new(None);
        let desk = Desk { commands, halted: halted.clone(), orderly: false };
        let running = tokio::spawn(desk.serve(db, lock));
        Self { waiting: Mutex::new(Some(sender)), running: Mutex::new(Some(running)), halted }
    }

    pub(super) async fn write<T, F>(&self, undo: Undo, act: F) -> Result<T, StorageError>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut SqliteConnection) -> Act<'c, T> + Send + 'static,
    {
        let sender = self.waiting.lock().await.clone().ok_or(StorageError::Stopped)?;
        let (reply, answer) = oneshot::channel();
        let command = Waiting { act: Some(act), undo, outcome: None, reply };
        sender.send(Box::new(command)).await.map_err(|_| StorageError::Stopped)?;
        answer.await.map_err(|_| StorageError::Stopped)?
    }

    pub(super) fn halt(&self, why: &str) {
        self.halted.send_if_modified(|halted| first_reason(halted, why));
    }

    pub(super) async fn failed(&self) -> String {
        let mut halted = self.halted.subscribe();
        let why = halted.wait_for(Option::is_some).await.ok().and_then(|why| why.clone());
        match why {
            Some(why) => why,
            // Cannot be: `self` holds the sending side.
            None => std::future::pending().await,
        }
    }

    pub(super) async fn close(&self) {
        // The desk ends once the last sender is gone and the queue is empty.
        self.waiting.lock().await.take();
        if let Some(running) = self.running.lock().await.take() {
            // A desk that broke off has said so through `halted`.
            let _ = running.await;
        }
    }
}

fn first_reason(halted: &mut Option<String>, why: &str) -> bool {
    let is_first = halted.is_none();
    if is_first {
        tracing::error!(why, "storing has stopped");
        *halted = Some(why.to_owned());
    }
    is_first
}

/// The writing side.
struct Desk {
    commands: mpsc::Receiver<Box<dyn Command>>,
    halted: watch::Sender<Option<String>>,
    orderly: bool,
}

impl Desk {
    async fn serve(mut self, mut db: SqliteConnection, lock: Option<File>) {
        let mut group = Vec::with_capacity(GROUP_MAX);
        while self.commands.recv_many(&mut group, GROUP_MAX).await > 0 {
            if self.halted.borrow().is_some() {
                return;
            }
            let lost = commit(&mut db, &mut group).await.err();
            for command in group.drain(..) {
                command.answer(lost.as_ref().map(|lost| lost.why.as_str()));
            }
            if let Some(lost) = lost
                && lost.is_fatal
            {
                self.halted.send_if_modified(|halted| first_reason(halted, &lost.why));
                return;
            }
        }
        self.orderly = true;
        if lock.is_some() {
            fold_log(&mut db).await;
        }
        let _ = db.close().await;
        drop(lock);
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        if !self.orderly {
            let why = "the writer broke off";
            self.halted.send_if_modified(|halted| first_reason(halted, why));
        }
    }
}

/// Why a whole group was not committed.
struct Lost {
    why: String,
    is_fatal: bool,
}

impl From<sqlx::Error> for Lost {
    fn from(error: sqlx::Error) -> Self {
        Self { why: error.to_string(), is_fatal: is_fatal(&error) }
    }
}

async fn commit(db: &mut SqliteConnection, group: &mut [Box<dyn Command>]) -> Result<(), Lost> {
    // Immediate: a transaction that reads first and then wants to write fails at once when
    // somebody else wrote in between, whatever the timeout is.
    say(db, "begin immediate").await?;
    let outcome = run_all(db, group).await;
    let outcome = match outcome {
        Ok(()) => say(db, "commit").await,
        Err(lost) => Err(lost),
    };
    if outcome.is_err() {
        // SQLite may have rolled back by itself, and then there is nothing to roll back.
        let _ = say(db, "rollback").await;
    }
    outcome
}

async fn run_all(db: &mut SqliteConnection, group: &mut [Box<dyn Command>]) -> Result<(), Lost> {
    for command in group {
        match command.undo() {
            Undo::Savepoint => run_in_savepoint(db, command.as_mut()).await?,
            Undo::Statement => match command.run(db).await {
                Outcome::Done | Outcome::Refused => {}
                Outcome::Failed(why) => return Err(Lost { why, is_fatal: false }),
                Outcome::Fatal(why) => return Err(Lost { why, is_fatal: true }),
            },
        }
    }
    Ok(())
}

async fn run_in_savepoint(
    db: &mut SqliteConnection,
    command: &mut dyn Command,
) -> Result<(), Lost> {
    say(db, "savepoint change").await?;
    match command.run(db).await {
        Outcome::Done => {}
        // Fails in its turn where the transaction is no more, and then the whole group is lost.
        Outcome::Refused | Outcome::Failed(_) => say(db, "rollback to change").await?,
        Outcome::Fatal(why) => return Err(Lost { why, is_fatal: true }),
    }
    say(db, "release change").await
}

async fn say(db: &mut SqliteConnection, statement: &'static str) -> Result<(), Lost> {
    sqlx::query(statement).execute(db).await?;
    Ok(())
}

async fn fold_log(db: &mut SqliteConnection) {
    // Without it the next start reads the log again, which costs time and nothing else.
    let _ = say(db, "pragma wal_checkpoint(truncate)").await;
}
