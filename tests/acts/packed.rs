//! Archives of the demo's jobs, unpacked to be changed and packed again as somebody would who knows how.

use std::fmt::Write as _;
use std::io::{Cursor, Read as _, Write as _};
use std::sync::OnceLock;

use fusewright::acts::archive::{Report, Unreadable, check};
use fusewright::domain::archive::{EntryLine, Hex, RegisterText, read_lines, write_lines};
use fusewright::domain::entry::Digest;
use fusewright::domain::ids::{JobId, WorkshopId};
use fusewright::domain::seal::{
    Link, RegisterLine, body_commitment, entry_hash, job_genesis, register_hash,
};
use serde_json::Value;
use tempfile::TempDir;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::cli::demo::copy_of_the_demo;
use crate::cli::program::{ask, text};

/// The archive of a released job of the demo, 1 or 2.
pub(crate) fn archive_of(job: usize) -> &'static [u8] {
    static MADE: [OnceLock<Vec<u8>>; 2] = [const { OnceLock::new() }; 2];
    MADE[job - 1].get_or_init(|| exported(job, &[]))
}

pub(crate) fn exported(job: usize, options: &[&str]) -> Vec<u8> {
    let (demo, place) = (copy_of_the_demo(), TempDir::new().unwrap());
    let out = place.path().join("job.zip");
    let number = job.to_string();
    let mut arguments = vec!["export", &number, "--data", text(demo.path()), "--out", text(&out)];
    arguments.extend(options);
    let said = ask(&arguments);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
    std::fs::read(&out).unwrap()
}

/// The files of an archive in their order.
#[derive(Clone)]
pub(crate) struct Packed {
    pub(crate) files: Vec<(String, Vec<u8>)>,
}

impl Packed {
    pub(crate) fn of(job: usize) -> Self {
        Self::open(archive_of(job))
    }

    pub(crate) fn open(bytes: &[u8]) -> Self {
        let mut zip = ZipArchive::new(Cursor::new(bytes)).unwrap();
        let files = (0..zip.len()).map(|at| {
            let mut file = zip.by_index(at).unwrap();
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes).unwrap();
            (file.name().unwrap().into_owned(), bytes)
        });
        Self { files: files.collect() }
    }

    pub(crate) fn names(&self) -> Vec<String> {
        self.files.iter().map(|(name, _)| name.clone()).collect()
    }

    /// The one file whose name begins so.
    pub(crate) fn name(&self, begins: &str) -> String {
        self.names().into_iter().find(|name| name.starts_with(begins)).unwrap()
    }

    pub(crate) fn file(&self, name: &str) -> &[u8] {
        &self.files.iter().find(|(found, _)| found == name).unwrap().1
    }

    pub(crate) fn set(&mut self, name: &str, bytes: Vec<u8>) {
        match self.files.iter_mut().find(|(found, _)| found == name) {
            Some((_, there)) => *there = bytes,
            None => self.files.push((name.to_owned(), bytes)),
        }
    }

    pub(crate) fn remove(&mut self, name: &str) {
        self.files.retain(|(found, _)| found != name);
    }

    pub(crate) fn job(&self) -> Value {
        serde_json::from_slice(self.file("job.json")).unwrap()
    }

    pub(crate) fn change_job(&mut self, change: impl FnOnce(&mut Value)) {
        let mut job = self.job();
        change(&mut job);
        self.set("job.json", serde_json::to_vec_pretty(&job).unwrap());
    }

    pub(crate) fn entries(&self) -> Vec<EntryLine> {
        read_lines("entries.jsonl", self.file("entries.jsonl"), 2_000).unwrap()
    }

    pub(crate) fn register(&self) -> Vec<RegisterText> {
        read_lines("register.jsonl", self.file("register.jsonl"), 2_000).unwrap()
    }

    /// Puts entries in with every hash made anew, as whoever knows the formulas would.
    pub(crate) fn rechain(&mut self, mut entries: Vec<EntryLine>) {
        let job = self.job();
        let id = |part: &str| job[part]["id"].as_str().unwrap().to_owned();
        let (job, workshop): (JobId, WorkshopId) =
            (id("job").parse().unwrap(), id("workshop").parse().unwrap());
        let mut prev = job_genesis(job, workshop);
        for (seq, line) in (0..).zip(&mut entries) {
            (line.seq, line.prev) = (seq, Hex(prev));
            line.commitment = Hex(body_commitment(&line.salt.0, line.body.as_bytes()));
            prev = entry_hash(&Link {
                job,
                seq,
                prev: &prev,
                entry: line.entry,
                device: line.device,
                person: line.person,
                received: line.received_ms,
                commitment: &line.commitment.0,
            });
            line.hash = Hex(prev);
        }
        self.set("entries.jsonl", write_lines(&entries));
    }

    /// The same for the register.
    pub(crate) fn relink(&mut self, mut lines: Vec<RegisterText>) {
        let mut prev = [0; 32];
        for (index, line) in (0..).zip(&mut lines) {
            (line.index, line.prev) = (index, Hex(prev));
            prev = register_hash(&RegisterLine {
                index,
                prev: &prev,
                kind: &line.kind,
                number: &line.number,
                record_sha256: &line.record_sha256.0,
                pdf_sha256: &line.pdf_sha256.0,
                at: line.time_ms,
            });
            line.hash = Hex(prev);
        }
        self.set("register.jsonl", write_lines(&lines));
    }

    /// Makes `SHA256SUMS` anew, so that it says what is there.
    pub(crate) fn resum(&mut self) {
        let mut sums = String::new();
        for (name, bytes) in self.files.iter().filter(|(name, _)| name != "SHA256SUMS") {
            let _ = writeln!(sums, "{}  {name}", Digest::of(bytes));
        }
        self.set("SHA256SUMS", sums.into_bytes());
    }

    pub(crate) fn pack(&self) -> Vec<u8> {
        let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
        let plain = SimpleFileOptions::DEFAULT.compression_method(CompressionMethod::Stored);
        for (name, bytes) in &self.files {
            zip.start_file(name, plain).unwrap();
            zip.write_all(bytes).unwrap();
        }
        zip.finish().unwrap().into_inner()
    }

    /// What the check says of it as it is.
    pub(crate) fn looked_at(&self) -> Result<Report, Unreadable> {
        looked_at(&self.pack())
    }

    /// Everything that is wrong with it, with the sums made right.
    pub(crate) fn faults(mut self) -> String {
        self.resum();
        match self.looked_at() {
            Ok(report) => report.faults.join("\n"),
            Err(why) => why.to_string(),
        }
    }
}

pub(crate) fn looked_at(bytes: &[u8]) -> Result<Report, Unreadable> {
    check(Cursor::new(bytes)).map(|(_, report)| report)
}
