//! The two chains of an archive, recomputed from what stands in their lines and from nothing else.

use super::super::chain::{FoundEntry, check_entry, check_register_line};
use super::super::entry::Entry;
use super::super::ids::{JobId, WorkshopId};
use super::super::seal::{Link, RegisterLine, job_genesis};
use super::{EntryLine, Hex, RegisterText};

/// The entries of a job, each checked against the one before.
pub fn entries(
    workshop: WorkshopId,
    job: JobId,
    lines: &[EntryLine],
) -> Result<Vec<Entry>, String> {
    let mut prev = Hex(job_genesis(job, workshop));
    let mut entries = Vec::with_capacity(lines.len());
    for (seq, line) in (0..).zip(lines) {
        let entry = entry(job, line, (seq, prev));
        entries.push(entry.map_err(|why| format!("Entry {}: {why}.", line.seq))?);
        prev = line.hash;
    }
    Ok(entries)
}

fn entry(job: JobId, line: &EntryLine, (seq, prev): (u64, Hex<32>)) -> Result<Entry, &'static str> {
    let hashed = Link {
        job,
        seq: line.seq,
        prev: &line.prev.0,
        entry: line.entry,
        device: line.device,
        person: line.person,
        received: line.received_ms,
        commitment: &line.commitment.0,
    };
    let (salt, body, hash) = (&line.salt.0, line.body.as_bytes(), &line.hash.0);
    let body = check_entry(&FoundEntry { link: hashed, salt, body, hash }, (seq, &prev.0))?;
    if body.id != line.entry || body.job != job {
        return Err("its body names another entry or job");
    }
    Ok(Entry {
        seq,
        device: line.device,
        person: line.person,
        received: line.received_ms,
        clock_ahead_ms: line.clock_ahead_ms,
        body,
        hash: line.hash.0,
    })
}

/// The register from its first line on.
pub fn register(lines: &[RegisterText]) -> Result<(), String> {
    let mut prev = Hex([0; 32]);
    for (index, line) in (0..).zip(lines) {
        check(line, (index, prev))
            .map_err(|why| format!("Register, line {}: {why}.", line.index))?;
        prev = line.hash;
    }
    Ok(())
}

fn check(line: &RegisterText, (index, prev): (u64, Hex<32>)) -> Result<(), &'static str> {
    let hashed = RegisterLine {
        index: line.index,
        prev: &line.prev.0,
        kind: &line.kind,
        number: &line.number,
        record_sha256: &line.record_sha256.0,
        pdf_sha256: &line.pdf_sha256.0,
        at: line.time_ms,
    };
    check_register_line(&hashed, &line.hash.0, (index, &prev.0))
}
