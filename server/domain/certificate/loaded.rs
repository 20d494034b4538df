//! What came by a phone's file, as the record says it: whose it was, who loaded it, which file.

use serde::Serialize;

use super::super::ids::PersonId;
use super::super::job::{JobState, Loaded};

/// Entries that a manager loaded from a phone's file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LoadedLine {
    /// Whose entries they are, as the file says.
    pub person: String,
    pub loaded_by: String,
    pub at: String,
    /// Of the exact bytes of the file.
    pub file_sha256: String,
    /// How many entries of this job the file held.
    pub entries: usize,
    pub seq: u64,
}

pub(super) fn loaded_lines(
    state: &JobState,
    name_of: &dyn Fn(PersonId) -> String,
) -> Vec<LoadedLine> {
    let line = |loaded: &Loaded| LoadedLine {
        person: name_of(loaded.person),
        loaded_by: name_of(loaded.act.person),
        at: loaded.act.received.rfc3339(),
        file_sha256: loaded.file_sha256.to_string(),
        entries: loaded.entries.len(),
        seq: loaded.act.seq,
    };
    state.loaded.iter().map(line).collect()
}
