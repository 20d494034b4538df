//! Changes of the seal: a line in the register of each workshop, with both certificates and both
//! signatures beside it.

use std::collections::{BTreeMap, BTreeSet};

use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteRow;

use crate::domain::certificate::{KEY, SealChange};
use crate::domain::ids::{Moment, WorkshopId};
use crate::domain::seal::sha256;

use super::certificates::{LAST_LINE, Line, end, insert_line};
use super::columns::{Columns as _, stored};
use super::{Conflict, StorageError, Store};

/// A change as it is stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredChange {
    /// Its line in the register, the value before it, and when it was made.
    pub index: u64,
    pub prev: [u8; 32],
    pub at: Moment,
    /// X.509, DER.
    pub old_certificate: Vec<u8>,
    pub new_certificate: Vec<u8>,
    /// Of the text of the change, each with the key of its certificate.
    pub old_signature: Vec<u8>,
    pub new_signature: Vec<u8>,
}

impl StoredChange {
    /// Fingerprint of the seal before.
    pub fn old_seal(&self) -> [u8; 32] {
        sha256(&self.old_certificate)
    }

    /// Fingerprint of the seal after.
    pub fn new_seal(&self) -> [u8; 32] {
        sha256(&self.new_certificate)
    }

    /// What was signed, for a workshop whose numbers begin with these letters.
    pub fn statement(&self, workshop: &str) -> SealChange {
        let (workshop, old, new) = (workshop.to_owned(), self.old_seal(), self.new_seal());
        SealChange { workshop, index: self.index, prev: self.prev, at: self.at, old, new }
    }
}

/// Where the register's next line goes, and the value before it.
pub async fn next_line(
    store: &Store,
    workshop: WorkshopId,
) -> Result<(u64, [u8; 32]), StorageError> {
    let last = sqlx::query(LAST_LINE).bind(workshop.0).fetch_optional(store.readers()).await?;
    end(last.as_ref())
}

/// Changes the seal of all these workshops, or of none.
pub async fn append(
    store: &Store,
    changes: Vec<(WorkshopId, StoredChange)>,
) -> Result<(), StorageError> {
    store
        .write(move |db| {
            Box::pin(async move {
                for (workshop, change) in changes {
                    insert(&mut *db, workshop, change).await?;
                }
                Ok(())
            })
        })
        .await
}

async fn insert(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    new: StoredChange,
) -> Result<(), StorageError> {
    let last = sqlx::query(LAST_LINE).bind(workshop.0).fetch_optional(&mut *db).await?;
    if end(last.as_ref())? != (new.index, new.prev) {
        return Err(Conflict::RegisterMoved.into());
    }
    insert_line(&mut *db, workshop, line(&new)).await?;
    sqlx::query(
        "insert into seal_change (workshop_id, register_idx, old_certificate, new_certificate, \
         old_signature, new_signature) values ($1, $2, $3, $4, $5, $6)",
    )
    .bind(workshop.0)
    .bind(stored(new.index))
    .bind(new.old_certificate)
    .bind(new.new_certificate)
    .bind(new.old_signature)
    .bind(new.new_signature)
    .execute(db)
    .await?;
    Ok(())
}

/// Its line in the register.
fn line(change: &StoredChange) -> Line {
    Line {
        index: change.index,
        prev: change.prev,
        kind: KEY.to_owned(),
        number: String::new(),
        record_sha256: change.old_seal(),
        pdf_sha256: change.new_seal(),
        at: change.at,
        hash: [0; 32],
    }
}

/// The changes of a workshop's seal, the first one first.
pub async fn list(store: &Store, workshop: WorkshopId) -> Result<Vec<StoredChange>, StorageError> {
    let rows = sqlx::query(ALL).bind(workshop.0).fetch_all(store.readers()).await?;
    rows.iter().map(change).collect()
}

pub(super) const ALL: &str = "select s.*, r.prev, r.at_ms from seal_change s \
    join register r on r.workshop_id = s.workshop_id and r.idx = s.register_idx \
    where s.workshop_id = $1 order by s.register_idx";

fn change(row: &SqliteRow) -> Result<StoredChange, StorageError> {
    Ok(StoredChange {
        index: row.number("register_idx")?,
        prev: row.array("prev")?,
        at: row.moment("at_ms")?,
        old_certificate: row.bytes("old_certificate")?,
        new_certificate: row.bytes("new_certificate")?,
        old_signature: row.bytes("old_signature")?,
        new_signature: row.bytes("new_signature")?,
    })
}

/// What does not fit between the lines of a register and the changes beside it: the line, and what is
/// wrong with it. Lines before `own` came along with an archive, and their changes stayed elsewhere. Whether
/// the signatures fit is asked elsewhere.
pub(super) fn faults(
    rows: &[SqliteRow],
    lines: &BTreeMap<u64, Line>,
    own: u64,
) -> Result<Vec<(u64, &'static str)>, StorageError> {
    let (mut found, mut told) = (Vec::new(), BTreeSet::new());
    let mut before: Option<[u8; 32]> = None;
    for row in rows {
        let change = change(row)?;
        told.insert(change.index);
        let beside = lines.get(&change.index).filter(|line| line.kind == KEY);
        let fits = beside.is_some_and(|line| {
            (line.record_sha256, line.pdf_sha256) == (change.old_seal(), change.new_seal())
        });
        if !fits {
            found.push((change.index, "the change of the seal beside it is another one"));
        }
        if before.is_some_and(|before| before != change.old_seal()) {
            found.push((change.index, "the seal that it takes out of use was not the one in use"));
        }
        before = Some(change.new_seal());
    }
    let lost = |line: &&Line| line.kind == KEY && !told.contains(&line.index);
    let lost = lines.range(own..).map(|(_, line)| line).filter(lost).map(|line| line.index);
    found.extend(lost.map(|index| (index, "the change of the seal that it stands for is gone")));
    Ok(found)
}
