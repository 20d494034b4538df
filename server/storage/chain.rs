//! The two chains as they stand in the database, recomputed. Pure: rows in, faults out.

use crate::domain::chain::{FoundEntry, check_entry, check_register_line};
use crate::domain::entry::Body;
use crate::domain::ids::{JobId, WorkshopId};
use crate::domain::seal::{Link, RegisterLine, entry_hash, job_genesis, register_hash};

use super::certificates::Line;
use super::entries::RawEntry;

/// What the register's first line follows on.
pub(super) const REGISTER_GENESIS: [u8; 32] = [0; 32];

/// The hash that an entry's row should carry, from its other columns.
pub(super) fn recomputed(job: JobId, raw: &RawEntry) -> [u8; 32] {
    entry_hash(&link(job, raw))
}

fn link(job: JobId, raw: &RawEntry) -> Link<'_> {
    Link {
        job,
        seq: raw.seq,
        prev: &raw.prev,
        entry: raw.id,
        device: raw.device,
        person: raw.person,
        received: raw.received,
        commitment: &raw.commitment,
    }
}

/// Walks along a job's chain.
pub(super) struct Walk {
    job: JobId,
    seq: u64,
    prev: [u8; 32],
}

impl Walk {
    pub(super) fn start(workshop: WorkshopId, job: JobId) -> Self {
        Self { job, seq: 0, prev: job_genesis(job, workshop) }
    }

    /// Entries seen so far.
    pub(super) fn count(&self) -> u64 {
        self.seq
    }

    /// Checks the next entry and gives back its body.
    pub(super) fn step(&mut self, raw: &RawEntry) -> Result<Body, &'static str> {
        let (expected, prev) = (self.seq, self.prev);
        // Also after a fault, so that one broken link is not reported as many.
        self.seq = raw.seq + 1;
        self.prev = raw.hash;
        let found = FoundEntry {
            link: link(self.job, raw),
            salt: &raw.salt,
            body: &raw.body,
            hash: &raw.hash,
        };
        let body = check_entry(&found, (expected, &prev))?;
        if self.columns_agree(raw, &body) {
            Ok(body)
        } else {
            Err("the columns beside the body say something else than the body")
        }
    }

    fn columns_agree(&self, raw: &RawEntry, body: &Body) -> bool {
        body.id == raw.id
            && body.job == self.job
            && body.sheet == raw.sheet
            && body.step == raw.step
            && body.payload.word() == raw.kind
            && body.recorded() == raw.recorded
    }
}

/// Checks a line of the register against the one before it.
pub(super) fn check_line(line: &Line, index: u64, prev: &[u8; 32]) -> Result<(), &'static str> {
    check_register_line(&hashed(line), &line.hash, (index, prev))
}

pub(super) fn line_hash(line: &Line) -> [u8; 32] {
    register_hash(&hashed(line))
}

fn hashed(line: &Line) -> RegisterLine<'_> {
    RegisterLine {
        index: line.index,
        prev: &line.prev,
        kind: &line.kind,
        number: &line.number,
        record_sha256: &line.record_sha256,
        pdf_sha256: &line.pdf_sha256,
        at: line.at,
    }
}
