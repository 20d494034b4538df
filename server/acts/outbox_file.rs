//! A phone's file loaded by a manager, where no signal comes any more: looked at first, then recorded.
//!
//! Every entry is checked as if the phone had sent it. In each job one entry of the manager stands before
//! the loaded ones and names them, so that a stranger sees which came by file and who answers for that.

use std::collections::{BTreeMap, BTreeSet};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::job::{JobFile, load};
use super::record::{BATCH_ENTRIES_MAX, Sent, append, compose, record_sent};
use super::{ActError, By};
use crate::domain::entry::{Body, Digest, LOADED_ENTRIES_MAX, Payload};
use crate::domain::ids::{EntryId, JobId, PersonId};
use crate::domain::outbox_file::{HeldEntry, HeldPhoto, OutboxFault, OutboxFile};
use crate::domain::person::{Person, Role};
use crate::domain::release::Refusal;
use crate::storage::entries::AppendRefused;
use crate::storage::photos::NewPhoto;
use crate::storage::picture::{Picture, as_it_came};
use crate::storage::{Store, entries, jobs, people, photos};
use crate::world::new_id;

/// A file that was read, with its photos looked at.
pub struct Checked {
    pub file: OutboxFile,
    photos: BTreeMap<Digest, Picture>,
    /// Photos that are not taken, with the reason.
    pub bad_photos: Vec<(Digest, String)>,
}

impl Checked {
    pub fn photo_count(&self) -> usize {
        self.photos.len()
    }
}

/// Reads a file and makes its photos safe. Takes a processor for some seconds where there are many.
pub fn read(bytes: &[u8]) -> Result<Checked, OutboxFault> {
    let mut file = OutboxFile::read(bytes)?;
    let (mut photos, mut bad_photos) = (BTreeMap::new(), Vec::new());
    for held in std::mem::take(&mut file.photos) {
        match picture(&held) {
            Ok(picture) => {
                photos.insert(held.sha256, picture);
            }
            Err(reason) => bad_photos.push((held.sha256, reason)),
        }
    }
    Ok(Checked { file, photos, bad_photos })
}

fn picture(held: &HeldPhoto) -> Result<Picture, String> {
    let bytes = STANDARD
        .decode(&held.base64)
        .map_err(|_| "The photo is not written as base 64.".to_owned())?;
    if Digest::of(&bytes) != held.sha256 {
        return Err("The photo is not what its name says.".to_owned());
    }
    as_it_came(&bytes).map_err(|fault| format!("{fault}."))
}

/// What is in a file, job by job.
pub struct Look {
    pub person: Person,
    pub jobs: Vec<JobLook>,
}

impl Look {
    /// Entries that a second press would record.
    pub fn fresh_count(&self) -> usize {
        self.jobs.iter().map(|job| job.fresh.len()).sum()
    }
}

/// What a file has for one job.
pub struct JobLook {
    pub id: JobId,
    /// Number and vehicle; nothing where this workshop has no such job.
    pub row: Option<jobs::JobRow>,
    fresh: Vec<(EntryId, Vec<u8>)>,
    pub already: usize,
    /// Reasons, each for one entry.
    pub refused: Vec<String>,
}

impl JobLook {
    pub fn fresh_count(&self) -> usize {
        self.fresh.len()
    }
}

/// What a second press did to one job.
pub struct JobLoaded {
    pub row: jobs::JobRow,
    pub recorded: usize,
    pub already: usize,
    pub refused: Vec<String>,
}

/// Looks at a file without changing anything.
pub async fn look(store: &Store, by: &By, checked: &Checked) -> Result<Look, ActError> {
    if !by.person.role.covers(Role::Manager) {
        return Err(Refusal::NotManager.into());
    }
    let people = people::list(store, by.workshop()).await?;
    let person = people.into_iter().find(|person| person.id == checked.file.person);
    let person = person.ok_or_else(|| {
        ActError::Rule(
            "The file is of somebody who is not among this workshop's people. Load it where they work."
                .to_owned(),
        )
    })?;
    let mut looks = Vec::new();
    for id in checked.file.jobs() {
        looks.push(look_at_job(store, by, checked, (id, person.id)).await?);
    }
    Ok(Look { person, jobs: looks })
}

async fn look_at_job(
    store: &Store,
    by: &By,
    checked: &Checked,
    (id, person): (JobId, PersonId),
) -> Result<JobLook, ActError> {
    let row = jobs::load(store, by.workshop(), id).await?;
    let there = entries::raw_list(store, by.workshop(), id).await?;
    let there = there.into_iter().map(|raw| (raw.id, (raw.person, raw.body))).collect();
    let mut looking = Looking { store, by, checked, id, person, there, seen: BTreeMap::new() };
    let mut look = JobLook { id, row, fresh: Vec::new(), already: 0, refused: Vec::new() };
    for held in checked.file.entries.iter().filter(|held| held.job == id) {
        let known = look.row.is_some();
        match looking.sort(held).await? {
            _ if !known => look.refused.push("This job is not known here.".to_owned()),
            Sorted::Fresh(..) if look.fresh.len() >= LOADED_ENTRIES_MAX => look.refused.push(format!(
                "At most {LOADED_ENTRIES_MAX} entries of a job are loaded at once. Load the file again \
                 for the rest."
            )),
            Sorted::Fresh(id, bytes) => look.fresh.push((id, bytes)),
            Sorted::Already => look.already += 1,
            Sorted::Refused(reason) => look.refused.push(reason),
        }
    }
    Ok(look)
}

enum Sorted {
    Fresh(EntryId, Vec<u8>),
    Already,
    Refused(String),
}

/// One job's entries, held against what is recorded.
struct Looking<'a> {
    store: &'a Store,
    by: &'a By,
    checked: &'a Checked,
    id: JobId,
    person: PersonId,
    there: BTreeMap<EntryId, (PersonId, Vec<u8>)>,
    /// Of this file.
    seen: BTreeMap<EntryId, Vec<u8>>,
}

impl Looking<'_> {
    async fn sort(&mut self, held: &HeldEntry) -> Result<Sorted, ActError> {
        let bytes = held.body.clone().into_bytes();
        let refused = |error: ActError| Ok(Sorted::Refused(error.to_string()));
        let body = match Body::read(&bytes) {
            Ok(body) => body,
            Err(fault) => return refused(fault.into()),
        };
        if body.job != self.id {
            return refused(AppendRefused::OtherJob.into());
        }
        if body.payload.is_managers() {
            return Ok(Sorted::Refused(
                "It is a manager's decision, and those are made on the review page.".to_owned(),
            ));
        }
        if let Some(sorted) = self.repeat(&body, &bytes).await? {
            return Ok(sorted);
        }
        if self.lacks_photo(&body).await? {
            return Ok(Sorted::Refused(
                "Its photo is neither here nor in this file, or is not taken.".to_owned(),
            ));
        }
        self.seen.insert(body.id, bytes.clone());
        Ok(Sorted::Fresh(body.id, bytes))
    }

    /// An entry that is here, or stood in this file before.
    async fn repeat(&self, body: &Body, bytes: &[u8]) -> Result<Option<Sorted>, ActError> {
        let same = match (self.there.get(&body.id), self.seen.get(&body.id)) {
            (Some((person, there)), _) => *person == self.person && there == bytes,
            (None, Some(seen)) => seen == bytes,
            // An id of another job.
            (None, None) => {
                let found = entries::find(self.store, self.by.workshop(), body.id).await?;
                if found.is_none() {
                    return Ok(None);
                }
                false
            }
        };
        Ok(Some(if same {
            Sorted::Already
        } else {
            Sorted::Refused(format!("{}.", AppendRefused::IdReused))
        }))
    }

    async fn lacks_photo(&self, body: &Body) -> Result<bool, ActError> {
        let missing =
            photos::find_missing(self.store, self.by.workshop(), body.payload.photos()).await?;
        Ok(missing.iter().any(|digest| !self.checked.photos.contains_key(digest)))
    }
}

/// Records what is new in a file. The same file again changes nothing.
pub async fn record(
    store: &Store,
    by: &By,
    mut checked: Checked,
) -> Result<(Person, Vec<JobLoaded>), ActError> {
    let look = look(store, by, &checked).await?;
    keep_photos(store, by, &mut checked, &look).await?;
    let mut done = Vec::new();
    for job in look.jobs {
        let Some(row) = job.row.clone() else { continue };
        done.push(load_job(store, (by, &look.person), &checked.file.sha256, (row, job)).await?);
    }
    Ok((look.person, done))
}

/// Keeps the photos that new entries name, before those entries.
async fn keep_photos(
    store: &Store,
    by: &By,
    checked: &mut Checked,
    look: &Look,
) -> Result<(), ActError> {
    let fresh = look.jobs.iter().flat_map(|job| &job.fresh);
    let bodies = fresh.filter_map(|(_, bytes)| Body::read(bytes).ok());
    let named: BTreeSet<Digest> = bodies.flat_map(|body| body.payload.photos().to_vec()).collect();
    for sha256 in named {
        if let Some(picture) = checked.photos.remove(&sha256) {
            let new = NewPhoto { sha256, picture, received: by.now, received_by: by.person.id };
            photos::append(store, by.workshop(), new).await?;
        }
    }
    Ok(())
}

async fn load_job(
    store: &Store,
    (by, person): (&By, &Person),
    file_sha256: &Digest,
    (row, look): (jobs::JobRow, JobLook),
) -> Result<JobLoaded, ActError> {
    let mut done =
        JobLoaded { row, recorded: 0, already: look.already, refused: look.refused.clone() };
    if look.fresh.is_empty() {
        return Ok(done);
    }
    answer_for(store, by, (person, file_sha256), &look).await?;
    let theirs = By { person: person.clone(), ..by.clone() };
    let bodies: Vec<Vec<u8>> = look.fresh.into_iter().map(|(_, bytes)| bytes).collect();
    for part in bodies.chunks(BATCH_ENTRIES_MAX) {
        let sent = Sent { bodies: part.to_vec(), clock_ahead_ms: None };
        let (answers, _) = record_sent(store, &theirs, look.id, sent).await?;
        for answer in answers {
            match answer {
                Ok(appended) if appended.already => done.already += 1,
                Ok(_) => done.recorded += 1,
                Err(refused) => done.refused.push(refused.to_string()),
            }
        }
    }
    Ok(done)
}

/// The manager's entry that names those to come, unless one of the same file does already.
async fn answer_for(
    store: &Store,
    by: &By,
    (person, file_sha256): (&Person, &Digest),
    look: &JobLook,
) -> Result<(), ActError> {
    let file: JobFile = load(store, by.workshop(), look.id).await?;
    let of_file = file.state.loaded.iter().filter(|loaded| loaded.file_sha256 == *file_sha256);
    let named: BTreeSet<EntryId> = of_file.flat_map(|loaded| loaded.entries.clone()).collect();
    let entries: Vec<EntryId> =
        look.fresh.iter().map(|(id, _)| *id).filter(|id| !named.contains(id)).collect();
    if entries.is_empty() {
        return Ok(());
    }
    let payload = Payload::Loaded { person: person.id, file_sha256: file_sha256.clone(), entries };
    let bytes = compose(by, EntryId(new_id(by.now)?), &file, "", payload).write()?;
    let body = Body::read(&bytes)?;
    append(store, by, Some(file.state.entry_count), bytes, body).await?;
    Ok(())
}
