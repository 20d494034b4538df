//! The two chains of an archive, recomputed from what stands in their lines and from nothing else.

use super::super::entry::{Body, Entry};
use super::super::ids::{JobId, WorkshopId};
use super::super::seal::{
    Link, RegisterLine, body_commitment, entry_hash, job_genesis, register_hash,
};
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
    if line.seq != seq {
        return Err("an entry is missing before it");
    }
    if line.prev != prev {
        return Err("it does not follow on the entry before it");
    }
    if line.commitment.0 != body_commitment(&line.salt.0, line.body.as_bytes()) {
        return Err("its body or salt was changed");
    }
    let hashed = Link {
        job,
        seq,
        prev: &prev.0,
        entry: line.entry,
        device: line.device,
        person: line.person,
        received: line.received_ms,
        commitment: &line.commitment.0,
    };
    if line.hash.0 != entry_hash(&hashed) {
        return Err("its hash does not fit what stands beside it");
    }
    let body = Body::read(line.body.as_bytes()).map_err(|_| "its body cannot be read")?;
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
    if line.index != index {
        return Err("a line is missing before it");
    }
    if line.prev != prev {
        return Err("it does not follow on the line before it");
    }
    let hashed = RegisterLine {
        index,
        prev: &prev.0,
        kind: &line.kind,
        number: &line.number,
        record_sha256: &line.record_sha256.0,
        pdf_sha256: &line.pdf_sha256.0,
        at: line.time_ms,
    };
    let fits = line.hash.0 == register_hash(&hashed);
    fits.then_some(()).ok_or("its hash does not fit what stands beside it")
}
