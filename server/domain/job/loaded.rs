//! What a manager loaded from a phone's file, and what follows for who may release.

use super::{Act, JobState};
use crate::domain::entry::{Digest, Entry};
use crate::domain::ids::{EntryId, PersonId};

/// Entries that a manager loaded from a phone's file, and answers for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loaded {
    pub act: Act,
    /// Whose they are, as the file says.
    pub person: PersonId,
    pub file_sha256: Digest,
    pub entries: Vec<EntryId>,
}

impl JobState {
    /// Whoever brings a file could have written it, and counts among those who did the work.
    pub(super) fn load(&mut self, entry: &Entry, person: PersonId, what: (&Digest, &[EntryId])) {
        self.workers.insert(entry.person);
        let (act, file_sha256, entries) = (Act::of(entry), what.0.clone(), what.1.to_vec());
        self.loaded.push(Loaded { act, person, file_sha256, entries });
    }

    /// Who loaded an entry, where it came by a file.
    pub(super) fn loaded_by(&self, id: EntryId) -> Option<PersonId> {
        let named = self.loaded.iter().find(|loaded| loaded.entries.contains(&id));
        named.map(|loaded| loaded.act.person)
    }
}
