//! Appending to a job's chain.

use sqlx::SqliteConnection;

use crate::domain::entry::{BODY_BYTES_MAX, JOB_ENTRIES_MAX};
use crate::domain::ids::{JobId, PersonId, WorkshopId};
use crate::domain::seal::{body_commitment, job_genesis};

use super::super::chain::recomputed;
use super::super::columns::{Columns as _, stored};
use super::super::{StorageError, Store};
use super::{Head, NewEntries, NewEntry, RawEntry, raw_entry};

/// An entry stands in the chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Appended {
    pub seq: u64,
    pub hash: [u8; 32],
    /// It was there before: sent twice, stored once.
    pub already: bool,
}

/// Why an entry was not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AppendRefused {
    #[error("This job is not known here. Load the page again")]
    NoSuchJob,
    #[error("The entry names another job than the one it was sent for")]
    OtherJob,
    #[error("An entry with this id is here already and says something else. Record it anew")]
    IdReused,
    #[error(
        "The job has moved on to {count} entries since you looked at it. Look at what is new, then \
         decide again"
    )]
    HeadMoved { count: u64 },
    #[error(
        "The job has {JOB_ENTRIES_MAX} entries, and more are not taken. Open a new job for what is left"
    )]
    JobFull,
    #[error("The entry is longer than {BODY_BYTES_MAX} bytes. Shorten its text")]
    TooLong,
}

type Answer = Result<Appended, AppendRefused>;

/// Appends entries in order and answers each. A refused one leaves the others alone; where the
/// number of entries is not the expected one, none is new.
pub async fn append(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
    new: NewEntries,
) -> Result<Vec<Answer>, StorageError> {
    if new.entries.len() == 1 {
        return store.write_one(move |db| Box::pin(append_all(db, workshop, job, new))).await;
    }
    store.write(move |db| Box::pin(append_all(db, workshop, job, new))).await
}

async fn append_all(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    job: JobId,
    new: NewEntries,
) -> Result<Vec<Answer>, StorageError> {
    let Some(head) = load_head(&mut *db, workshop, job).await? else {
        return Ok(new.entries.iter().map(|_| Err(AppendRefused::NoSuchJob)).collect());
    };
    let may_add = new.expect_count.is_none_or(|expected| expected == head.count);
    let mut chain = Chain { db, workshop, job, head, may_add };
    let mut answers = Vec::with_capacity(new.entries.len());
    for entry in &new.entries {
        answers.push(chain.take(&new, entry).await?);
    }
    Ok(answers)
}

/// The chain's end, with its last row checked; `None` where there is no such job.
async fn load_head(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    job: JobId,
) -> Result<Option<Head>, StorageError> {
    let row = sqlx::query(
        "select e.* from job j left join entry e \
         on e.workshop_id = j.workshop_id and e.job_id = j.id \
         where j.workshop_id = $1 and j.id = $2 order by e.seq desc limit 1",
    )
    .bind(workshop.0)
    .bind(job.0)
    .fetch_optional(db)
    .await?;
    let Some(row) = row else { return Ok(None) };
    if row.is_null("seq")? {
        return Ok(Some(Head { count: 0, hash: job_genesis(job, workshop) }));
    }
    let last = raw_entry(&row)?;
    // Nothing is put on top of an entry that somebody changed behind the server's back.
    if last.hash != recomputed(job, &last) {
        let why = "its hash does not fit what stands beside it";
        return Err(StorageError::ChainBroken { job, seq: last.seq, why });
    }
    Ok(Some(Head { count: last.seq + 1, hash: last.hash }))
}

struct Chain<'c> {
    db: &'c mut SqliteConnection,
    workshop: WorkshopId,
    job: JobId,
    head: Head,
    may_add: bool,
}

impl Chain<'_> {
    async fn take(&mut self, new: &NewEntries, entry: &NewEntry) -> Result<Answer, StorageError> {
        if entry.body.job != self.job {
            return Ok(Err(AppendRefused::OtherJob));
        }
        if entry.bytes.len() > BODY_BYTES_MAX {
            return Ok(Err(AppendRefused::TooLong));
        }
        if self.may_add && self.head.count < JOB_ENTRIES_MAX {
            let raw = self.link(new, entry);
            if insert(&mut *self.db, (self.workshop, self.job), &raw).await? {
                self.head = Head { count: raw.seq + 1, hash: raw.hash };
                return Ok(Ok(Appended { seq: raw.seq, hash: raw.hash, already: false }));
            }
        }
        Ok(self.find(entry, new.person).await?.unwrap_or_else(|| Err(self.no_room())))
    }

    fn no_room(&self) -> AppendRefused {
        if self.may_add {
            AppendRefused::JobFull
        } else {
            AppendRefused::HeadMoved { count: self.head.count }
        }
    }

    /// The row that comes next.
    fn link(&self, new: &NewEntries, entry: &NewEntry) -> RawEntry {
        let body = &entry.body;
        let mut raw = RawEntry {
            seq: self.head.count,
            id: body.id,
            sheet: body.sheet,
            step: body.step.clone(),
            kind: body.payload.word().to_owned(),
            device: new.device,
            person: new.person,
            recorded: body.recorded(),
            received: new.received,
            clock_ahead_ms: new.clock_ahead_ms,
            salt: entry.salt,
            body: entry.bytes.clone(),
            commitment: body_commitment(&entry.salt, &entry.bytes),
            prev: self.head.hash,
            hash: [0; 32],
        };
        raw.hash = recomputed(self.job, &raw);
        raw
    }

    /// What was answered when this entry came for the first time.
    async fn find(
        &mut self,
        entry: &NewEntry,
        person: PersonId,
    ) -> Result<Option<Answer>, StorageError> {
        let row = sqlx::query(
            "select job_id, person_id, seq, body, hash from entry \
             where workshop_id = $1 and id = $2",
        )
        .bind(self.workshop.0)
        .bind(entry.body.id.0)
        .fetch_optional(&mut *self.db)
        .await?;
        let Some(row) = row else { return Ok(None) };
        let same = JobId(row.uuid("job_id")?) == self.job
            && PersonId(row.uuid("person_id")?) == person
            && row.bytes("body")? == entry.bytes;
        if !same {
            return Ok(Some(Err(AppendRefused::IdReused)));
        }
        let (seq, hash) = (row.number("seq")?, row.array("hash")?);
        Ok(Some(Ok(Appended { seq, hash, already: true })))
    }
}

/// `false` where the id is there already.
pub(in crate::storage) async fn insert(
    db: &mut SqliteConnection,
    (workshop, job): (WorkshopId, JobId),
    raw: &RawEntry,
) -> Result<bool, StorageError> {
    let inserted = sqlx::query(
        "insert into entry (workshop_id, job_id, seq, id, sheet, step, kind, device_id, person_id, \
         recorded_ms, received_ms, salt, body, commitment, prev, hash, clock_ahead_ms) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17) \
         on conflict (workshop_id, id) do nothing",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(stored(raw.seq))
    .bind(raw.id.0)
    .bind(raw.sheet)
    .bind(&raw.step)
    .bind(&raw.kind)
    .bind(raw.device.0)
    .bind(raw.person.0)
    .bind(raw.recorded.0)
    .bind(raw.received.0)
    .bind(raw.salt.as_slice())
    .bind(&raw.body)
    .bind(raw.commitment.as_slice())
    .bind(raw.prev.as_slice())
    .bind(raw.hash.as_slice())
    .bind(raw.clock_ahead_ms)
    .execute(db)
    .await?;
    Ok(inserted.rows_affected() == 1)
}
