//! What the fold reads besides the entries, and which of it was known when a job was released.

use super::{JobState, fold_known};
use crate::domain::entry::{Digest, Entry, Payload};
use crate::domain::instrument::Instrument;
use crate::domain::sheet::Sheet;

#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// All sheet editions, oldest first.
    pub sheets: &'a [Sheet],
    pub instruments: &'a [Instrument],
    /// Photos that were in the workshop before the job was opened.
    pub early_photos: &'a [Digest],
}

/// Folds a job's entries, in the order of the chain.
///
/// A recall of an instrument takes readings back as long as the job is not released. What was released
/// before the recall was noted stays as it was decided and certified; its page says what was found.
pub fn fold(entries: &[Entry], known: Known<'_>) -> JobState {
    let is_release = |entry: &&Entry| matches!(entry.body.payload, Payload::Release { .. });
    let any_recalled = known.instruments.iter().any(|instrument| !instrument.recalls.is_empty());
    if any_recalled && let Some(release) = entries.iter().rev().find(is_release) {
        let before = |instrument: &Instrument| instrument.as_known_before(release.received);
        let instruments: Vec<Instrument> = known.instruments.iter().map(before).collect();
        let state = fold_known(entries, Known { instruments: &instruments, ..known });
        if state.released.is_some() {
            return state;
        }
    }
    fold_known(entries, known)
}
