//! A manager's decisions. Each rests on the state that was looked at: if the record has moved since,
//! nothing is appended and the manager looks again.

use super::job::{JobFile, load, refresh};
use super::record::{append, compose};
use super::{ActError, By};
use crate::domain::entry::{Payload, Signature};
use crate::domain::ids::{EntryId, JobId};
use crate::domain::person::Role;
use crate::domain::release::{Refusal, may_concede, may_release};
use crate::storage::Store;
use crate::world::new_id;

/// Appends a manager's entry to the state in `file`, and gives the job as it is then.
pub(super) async fn decide(
    store: &Store,
    by: &By,
    file: &JobFile,
    step: &str,
    payload: Payload,
) -> Result<JobFile, ActError> {
    if !by.person.role.covers(Role::Manager) {
        return Err(Refusal::NotManager.into());
    }
    let body = compose(by, EntryId(new_id(by.now)?), file, step, payload);
    let bytes = body.write()?;
    // What was composed must be what can be read, or it would never count.
    let body = crate::domain::entry::Body::read(&bytes)?;
    append(store, by, Some(file.state.entry_count), bytes, body).await?;
    let file = load(store, by.workshop(), file.row.id).await?;
    refresh(store, &file).await?;
    Ok(file)
}

/// Sends steps back with a remark; they are due again.
pub async fn send_back(
    store: &Store,
    by: &By,
    job: JobId,
    steps: Vec<String>,
    remark: &str,
) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    if file.state.released.is_some() {
        return Err(Refusal::Released.into());
    }
    if steps.is_empty() {
        return Err(ActError::Rule("Tick at least one step to send back.".to_owned()));
    }
    if steps.iter().any(|key| file.state.step(key).is_none()) {
        return Err(Refusal::NoStep.into());
    }
    decide(store, by, &file, "", Payload::Return { remark: remark.to_owned(), steps }).await
}

/// Accepts in writing that a step without a measurement was not done.
pub async fn concede(
    store: &Store,
    by: &By,
    job: JobId,
    step: &str,
    reason: &str,
) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    may_concede(&file.state, &by.person, step)?;
    let payload = Payload::Concession { reason: reason.to_owned() };
    decide(store, by, &file, step, payload).await
}

/// Decides that the vehicle may go.
pub async fn release(
    store: &Store,
    by: &By,
    job: JobId,
    signature: Signature,
) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    let same_person = may_release(&file.state, &by.person, file.workshop.one_person_release)?;
    decide(store, by, &file, "", Payload::Release { signature, same_person }).await
}
