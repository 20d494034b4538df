//! Taking entries in: what a phone or a form brings is checked, appended, and answered one by one.

use super::job::{JobFile, load, refresh};
use super::{ActError, By};
use crate::domain::entry::{BODY_VERSION, Body, Payload};
use crate::domain::ids::{EntryId, JobId};
use crate::domain::release::may_submit;
use crate::storage::Store;
use crate::storage::entries::{self, Appended, NewEntries, NewEntry};
use crate::world::random;

/// Entries that one call may bring (`trust.md` 5.4).
pub const BATCH_ENTRIES_MAX: usize = 64;

/// What became of each entry of a batch, in its order.
pub type Answers = Vec<Result<Appended, ActError>>;

/// Takes what a technician recorded, as the exact bytes that were written on the device.
///
/// A refused entry never keeps the others out. The same entry again changes nothing and gets the
/// same answer.
pub async fn record(
    store: &Store,
    by: &By,
    job: JobId,
    bodies: Vec<Vec<u8>>,
) -> Result<(Answers, JobFile), ActError> {
    if bodies.len() > BATCH_ENTRIES_MAX {
        return Err(ActError::Rule(format!("Send at most {BATCH_ENTRIES_MAX} entries at once.")));
    }
    let mut answers = Vec::with_capacity(bodies.len());
    for bytes in bodies {
        answers.push(take(store, by, job, bytes).await);
    }
    let file = load(store, by.workshop(), job).await?;
    refresh(store, &file).await?;
    Ok((answers, file))
}

async fn take(store: &Store, by: &By, job: JobId, bytes: Vec<u8>) -> Result<Appended, ActError> {
    let body = Body::read(&bytes)?;
    if body.job != job {
        return Err(ActError::Rule("This entry belongs to another job.".to_owned()));
    }
    if body.payload.is_managers() {
        return Err(ActError::Rule(
            "Decisions about a job are made on its review page, not recorded on a phone."
                .to_owned(),
        ));
    }
    let expect_count = match body.payload {
        Payload::Submit { .. } => expected_at_submit(store, by, &body).await?,
        _ => None,
    };
    append(store, by, expect_count, bytes, body).await
}

/// A submit stands for what was there when it was signed: nothing may slip in between.
async fn expected_at_submit(store: &Store, by: &By, body: &Body) -> Result<Option<u64>, ActError> {
    if entries::find(store, by.workshop(), body.id).await?.is_some() {
        // A repeat: the record answers it as before.
        return Ok(None);
    }
    let file = load(store, by.workshop(), body.job).await?;
    may_submit(&file.state)?;
    Ok(Some(file.state.entry_count))
}

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
