//! Defects: opened by a manager beside those that failing results open, given to somebody, reworked, and
//! confirmed where no re-test can close them.

use super::decide::decide;
use super::job::{JobFile, load};
use super::record::{compose, record};
use super::{ActError, By};
use crate::domain::entry::{Digest, Payload};
use crate::domain::ids::{EntryId, JobId, PersonId};
use crate::domain::job::{Defect, Wants};
use crate::domain::release::Refusal;
use crate::storage::Store;
use crate::storage::defects::{self, Assignment};
use crate::storage::people;

/// What a manager saw, and where: a step, or the job as a whole.
#[derive(Debug, Clone, Default)]
pub struct Seen {
    /// Empty for the job as a whole.
    pub step: String,
    pub text: String,
    /// Stored already.
    pub photos: Vec<Digest>,
}

/// What is written about a defect.
#[derive(Debug, Clone)]
pub struct Word {
    /// Of the entry, made with the form, so that sending it twice adds one.
    pub id: EntryId,
    pub defect: EntryId,
    pub text: String,
}

/// Opens a defect at a step or at the job as a whole.
pub async fn open(store: &Store, by: &By, job: JobId, seen: Seen) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    if file.state.released.is_some() {
        return Err(Refusal::Released.into());
    }
    if !seen.step.is_empty() && file.state.step(&seen.step).is_none() {
        return Err(Refusal::NoStep.into());
    }
    let payload = Payload::Defect { text: seen.text, photos: seen.photos };
    decide(store, by, &file, &seen.step, payload).await
}

/// Notes what was done about a defect.
pub async fn rework(store: &Store, by: &By, job: JobId, word: Word) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    let defect = find(&file, word.defect)?;
    let is_repeat = defect.reworks.iter().any(|words| words.act.entry == word.id);
    if !is_repeat && defect.closed().is_some() {
        return Err(rule("This defect is closed already."));
    }
    let step = defect.step.map(|step| step.key).unwrap_or_default();
    let payload = Payload::Rework { defect: word.defect, text: word.text };
    let body = compose(by, word.id, &file, &step, payload);
    let (answers, file) = record(store, by, job, vec![body.write()?]).await?;
    answers.into_iter().collect::<Result<Vec<_>, _>>()?;
    Ok(file)
}

/// Confirms that a defect is put right. Whoever did the rework does not, unless the workshop lets one person
/// do both: where there is nobody else, it could never be closed.
pub async fn confirm(
    store: &Store,
    by: &By,
    job: JobId,
    defect: EntryId,
    text: String,
) -> Result<JobFile, ActError> {
    let file = load(store, by.workshop(), job).await?;
    let found = find(&file, defect)?;
    may_confirm(&file, &found, by.person.id)?;
    let step = found.step.map(|step| step.key).unwrap_or_default();
    decide(store, by, &file, &step, Payload::DefectClosed { defect, text }).await
}

/// Whether this person may confirm it now, as far as the defect itself says.
pub fn may_confirm(file: &JobFile, defect: &Defect, person: PersonId) -> Result<(), ActError> {
    match defect.wants() {
        Wants::Nothing => Err(rule("This defect is closed already.")),
        Wants::Retest => Err(rule(
            "A passing result of its step closes this defect, and nobody's word. Measure again.",
        )),
        Wants::Rework => Err(rule("Nobody noted what was done yet. That comes first.")),
        Wants::Confirmation => {
            let did_it = defect.reworks.iter().any(|words| words.act.person == person);
            if did_it && !file.workshop.one_person_release {
                return Err(rule(
                    "Whoever did the rework does not confirm it. Ask another manager of the workshop.",
                ));
            }
            Ok(())
        }
    }
}

/// Gives a defect to somebody of the workshop.
pub async fn assign(
    store: &Store,
    by: &By,
    job: JobId,
    (defect, person): (EntryId, PersonId),
) -> Result<(), ActError> {
    let file = load(store, by.workshop(), job).await?;
    find(&file, defect)?;
    let found = people::load(store, by.workshop(), person).await?;
    if found.is_none_or(|person| person.disabled) {
        return Err(rule("Choose somebody who works here."));
    }
    let new = Assignment { defect, person, by: by.person.id, at: by.now };
    Ok(defects::assign(store, by.workshop(), new).await?)
}

fn find(file: &JobFile, id: EntryId) -> Result<Defect, ActError> {
    if file.state.released.is_some() {
        return Err(Refusal::Released.into());
    }
    file.state.defect(id).ok_or_else(|| rule("The job has no such defect. Look at it again."))
}

fn rule(sentence: &str) -> ActError {
    ActError::Rule(sentence.to_owned())
}
