//! Taking entries in: what a phone or a form brings is checked, appended, and answered one by one.

use super::job::{JobFile, load, refresh};
use super::{ActError, By};
use crate::domain::entry::{BODY_VERSION, Body, Payload};
use crate::domain::ids::{EntryId, JobId};
use crate::domain::release::may_submit;
use crate::storage::entries::{self, AppendRefused, Appended, NewEntries, NewEntry};
use crate::storage::{Store, photos};
use crate::world::random;

/// Entries that one call may bring (`trust.md` 5.4).
pub const BATCH_ENTRIES_MAX: usize = 64;

/// What became of each entry of a batch, in its order.
pub type Answers = Vec<Result<Appended, ActError>>;

/// What came at once, as the exact bytes that were written on the device.
#[derive(Debug, Clone, Default)]
pub struct Sent {
    pub bodies: Vec<Vec<u8>>,
    /// How far the phone's clock was ahead when it sent, where it said so.
    pub clock_ahead_ms: Option<i64>,
}

/// Takes what a technician recorded here, at the server's own clock.
pub async fn record(
    store: &Store,
    by: &By,
    job: JobId,
    bodies: Vec<Vec<u8>>,
) -> Result<(Answers, JobFile), ActError> {
    record_sent(store, by, job, Sent { bodies, clock_ahead_ms: None }).await
}

/// Takes what a technician recorded.
///
/// A refused entry never keeps the others out. The same entry again changes nothing and gets the
/// same answer. What needs no look at the record is appended together, durable at once.
pub async fn record_sent(
    store: &Store,
    by: &By,
    job: JobId,
    sent: Sent,
) -> Result<(Answers, JobFile), ActError> {
    if sent.bodies.len() > BATCH_ENTRIES_MAX {
        return Err(ActError::Rule(format!("Send at most {BATCH_ENTRIES_MAX} entries at once.")));
    }
    let clock_ahead_ms = sent.clock_ahead_ms;
    let mut taking =
        Taking { store, by, job, clock_ahead_ms, answers: Vec::new(), run: Vec::new() };
    for bytes in sent.bodies {
        let slot = taking.take(bytes).await?;
        taking.answers.push(slot);
    }
    taking.append_run().await?;
    let answers = taking.answers.into_iter().map(Slot::answered).collect();
    let file = load(store, by.workshop(), job).await?;
    refresh(store, &file).await?;
    Ok((answers, file))
}

/// The answer to one entry, or its place until the run is appended.
enum Slot {
    Told(Result<Appended, ActError>),
    Open,
}

impl Slot {
    fn answered(self) -> Result<Appended, ActError> {
        match self {
            Self::Told(answer) => answer,
            Self::Open => Err(ActError::ours("the record did not answer")),
        }
    }

    fn waits(&self) -> bool {
        matches!(self, Self::Told(Err(ActError::Waits(_))))
    }
}

/// A batch on its way into the record.
struct Taking<'a> {
    store: &'a Store,
    by: &'a By,
    job: JobId,
    clock_ahead_ms: Option<i64>,
    answers: Vec<Slot>,
    /// Checked and not appended yet; their answers are open.
    run: Vec<NewEntry>,
}

impl Taking<'_> {
    async fn take(&mut self, bytes: Vec<u8>) -> Result<Slot, ActError> {
        let body = match self.read(&bytes) {
            Ok(body) => body,
            Err(refused) => return Ok(Slot::Told(Err(refused))),
        };
        if self.lacks_photo(&body).await? {
            return Ok(Slot::Told(Err(ActError::Waits("Its photo has not arrived."))));
        }
        let is_submit = matches!(body.payload, Payload::Submit { .. });
        let entry = NewEntry { bytes, body, salt: random()? };
        if is_submit {
            self.append_run().await?;
            return Ok(Slot::Told(self.submit(entry).await?));
        }
        self.run.push(entry);
        Ok(Slot::Open)
    }

    fn read(&self, bytes: &[u8]) -> Result<Body, ActError> {
        let body = Body::read(bytes)?;
        if body.job != self.job {
            return Err(ActError::Rule("This entry belongs to another job.".to_owned()));
        }
        if body.payload.is_managers() {
            return Err(ActError::Rule(
                "Decisions about a job are made on its review page, not recorded on a phone."
                    .to_owned(),
            ));
        }
        Ok(body)
    }

    /// No entry is taken before the photos that it names. One that is here already is answered as before.
    async fn lacks_photo(&self, body: &Body) -> Result<bool, ActError> {
        let (workshop, named) = (self.by.workshop(), body.payload.photos());
        if named.is_empty() || photos::find_missing(self.store, workshop, named).await?.is_empty() {
            return Ok(false);
        }
        Ok(!self.is_repeat(body).await?)
    }

    /// Appends what waits in one durable change, and fills its answers in.
    async fn append_run(&mut self) -> Result<(), ActError> {
        if self.run.is_empty() {
            return Ok(());
        }
        let run = std::mem::take(&mut self.run);
        let mut answers = self.append(None, run).await?.into_iter();
        for slot in self.answers.iter_mut().filter(|slot| matches!(slot, Slot::Open)) {
            if let Some(answer) = answers.next() {
                *slot = Slot::Told(answer.map_err(ActError::from));
            }
        }
        Ok(())
    }

    async fn append(
        &self,
        expect_count: Option<u64>,
        entries: Vec<NewEntry>,
    ) -> Result<Vec<Result<Appended, AppendRefused>>, ActError> {
        let new = NewEntries {
            device: self.by.device,
            person: self.by.person.id,
            received: self.by.now,
            clock_ahead_ms: self.clock_ahead_ms,
            expect_count,
            entries,
        };
        Ok(entries::append(self.store, self.by.workshop(), self.job, new).await?)
    }

    /// A submit stands for what was there when it was signed: nothing may slip in between, and what came
    /// with it and waits for its photo holds it up.
    async fn submit(&self, entry: NewEntry) -> Result<Result<Appended, ActError>, ActError> {
        let expect_count = if self.is_repeat(&entry.body).await? {
            None
        } else if self.answers.iter().any(Slot::waits) {
            return Ok(Err(ActError::Waits("An entry before it waits for its photo.")));
        } else {
            let file = load(self.store, self.by.workshop(), self.job).await?;
            if let Err(refusal) = may_submit(&file.state) {
                return Ok(Err(refusal.into()));
            }
            Some(file.state.entry_count)
        };
        let answer = self.append(expect_count, vec![entry]).await?.pop();
        Ok(answer.ok_or_else(|| ActError::ours("the record did not answer"))?.map_err(Into::into))
    }

    /// The record answers a repeat as before.
    async fn is_repeat(&self, body: &Body) -> Result<bool, ActError> {
        Ok(entries::find(self.store, self.by.workshop(), body.id).await?.is_some())
    }
}

/// One entry of a manager, to the state that was looked at.
pub(super) async fn append(
    store: &Store,
    by: &By,
    expect_count: Option<u64>,
    bytes: Vec<u8>,
    body: Body,
) -> Result<Appended, ActError> {
    let job = body.job;
    let entry = NewEntry { bytes, body, salt: random()? };
    let new = NewEntries {
        device: by.device,
        person: by.person.id,
        received: by.now,
        clock_ahead_ms: None,
        expect_count,
        entries: vec![entry],
    };
    let answer = entries::append(store, by.workshop(), job, new).await?.pop();
    Ok(answer.ok_or_else(|| ActError::ours("the record did not answer"))??)
}

/// An entry that a form asks for, written here because the browser runs no script.
pub fn compose(by: &By, id: EntryId, file: &JobFile, step: &str, payload: Payload) -> Body {
    let supersedes = file.state.step(step).map(crate::domain::job::StepState::supersedes);
    Body {
        v: BODY_VERSION,
        id,
        job: file.row.id,
        sheet: file.state.sheet.as_ref().map_or(0, |sheet| sheet.edition),
        step: step.to_owned(),
        at: by.now.rfc3339(),
        supersedes: if payload.is_result() { supersedes.unwrap_or_default() } else { Vec::new() },
        improbable: false,
        payload,
    }
}
