//! Everything that was promised never to change, recomputed from what is stored.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::path::PathBuf;

use sqlx::sqlite::SqliteRow;
use sqlx::{Sqlite, Transaction};

use crate::domain::entry::Digest;
use crate::domain::ids::{JobId, KitId, WorkshopId};
use crate::domain::seal::sha256;

use super::certificates::{self, Line};
use super::chain::{REGISTER_GENESIS, Walk, check_line};
use super::columns::Columns as _;
use super::entries::{BY_JOB, raw_entry};
use super::imports::{self, is_link_only};
use super::withdrawals::{WITHDRAW, withdrawal};
use super::{StorageError, Store, calibration_files, files, photos, seal_changes};

/// How much was looked at, and what was wrong with it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Report {
    pub jobs: u64,
    pub entries: u64,
    pub plans: u64,
    pub kits: u64,
    pub photos: u64,
    pub calibration_files: u64,
    pub certificates: u64,
    pub register_lines: u64,
    pub faults: Vec<Fault>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    Entry { job: JobId, seq: u64, what: &'static str },
    Plan { job: JobId, edition: u32 },
    Kit { id: KitId },
    Photo { sha256: Digest, what: &'static str },
    CalibrationFile { sha256: Digest, what: &'static str },
    Certificate { number: String, what: &'static str },
    Register { index: u64, what: &'static str },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Entry { job, seq, what } => write!(f, "Job {job}, entry {seq}: {what}"),
            Self::Plan { job, edition } => {
                write!(f, "Job {job}, plan edition {edition}: its text was changed")
            }
            Self::Kit { id } => write!(f, "Kit {id}: its text was changed"),
            Self::Photo { sha256, what } => write!(f, "Photo {sha256}: {what}"),
            Self::CalibrationFile { sha256, what } => {
                write!(f, "File of a calibration {sha256}: {what}")
            }
            Self::Certificate { number, what } => write!(f, "Certificate {number}: {what}"),
            Self::Register { index, what } => write!(f, "Register, line {index}: {what}"),
        }
    }
}

/// Recomputes every chain, the register and every digest of a workshop, in one moment's view.
pub async fn verify(store: &Store, workshop: WorkshopId) -> Result<Report, StorageError> {
    let view = store.readers().begin().await?;
    let mut check = Check { store, workshop, view, report: Report::default() };
    check.jobs().await?;
    check.plans().await?;
    check.kits().await?;
    check.photos().await?;
    check.calibration_files().await?;
    let lines = check.register().await?;
    check.certificates(&lines).await?;
    check.withdrawals(&lines).await?;
    check.seal_changes(&lines).await?;
    Ok(check.report)
}

struct Check<'s> {
    store: &'s Store,
    workshop: WorkshopId,
    /// One transaction: what is stored meanwhile is not half seen.
    view: Transaction<'static, Sqlite>,
    report: Report,
}

impl Check<'_> {
    async fn rows(&mut self, sql: &'static str) -> Result<Vec<SqliteRow>, StorageError> {
        Ok(sqlx::query(sql).bind(self.workshop.0).fetch_all(&mut *self.view).await?)
    }

    async fn jobs(&mut self) -> Result<(), StorageError> {
        for row in self.rows("select id, entry_count from job where workshop_id = $1").await? {
            self.report.jobs += 1;
            self.chain(JobId(row.uuid("id")?), row.number("entry_count")?).await?;
        }
        Ok(())
    }

    async fn chain(&mut self, job: JobId, derived_from: u64) -> Result<(), StorageError> {
        let rows = sqlx::query(BY_JOB).bind(self.workshop.0).bind(job.0);
        let mut walk = Walk::start(self.workshop, job);
        for row in rows.fetch_all(&mut *self.view).await? {
            let raw = raw_entry(&row)?;
            self.report.entries += 1;
            if let Err(what) = walk.step(&raw) {
                self.report.faults.push(Fault::Entry { job, seq: raw.seq, what });
            }
        }
        if walk.count() < derived_from {
            let what = "it and those after it were there and are gone";
            self.report.faults.push(Fault::Entry { job, seq: walk.count(), what });
        }
        Ok(())
    }

    async fn plans(&mut self) -> Result<(), StorageError> {
        let all = "select job_id, edition, source, sha256 from plan where workshop_id = $1";
        for row in self.rows(all).await? {
            self.report.plans += 1;
            if sha256(&row.bytes("source")?) != row.array("sha256")? {
                let (job, edition) = (JobId(row.uuid("job_id")?), row.number("edition")?);
                self.report.faults.push(Fault::Plan { job, edition });
            }
        }
        Ok(())
    }

    async fn kits(&mut self) -> Result<(), StorageError> {
        for row in self.rows("select id, source, sha256 from kit where workshop_id = $1").await? {
            self.report.kits += 1;
            if sha256(&row.bytes("source")?) != row.array("sha256")? {
                self.report.faults.push(Fault::Kit { id: KitId(row.uuid("id")?) });
            }
        }
        Ok(())
    }

    async fn photos(&mut self) -> Result<(), StorageError> {
        for row in self.rows("select * from photo where workshop_id = $1").await? {
            let photo = photos::photo(&row)?;
            self.report.photos += 1;
            let what =
                match self.file(photos::path(self.store, &photo.stored_sha256, "jpg")).await? {
                    None => "its file is gone",
                    Some(digest) if digest != photo.stored_sha256 => "its file was changed",
                    Some(_) => continue,
                };
            self.report.faults.push(Fault::Photo { sha256: photo.sha256, what });
        }
        Ok(())
    }

    async fn calibration_files(&mut self) -> Result<(), StorageError> {
        for row in self.rows("select * from calibration_file where workshop_id = $1").await? {
            let sha256 = calibration_files::file_row(&row)?.sha256;
            self.report.calibration_files += 1;
            let what = match self.file(calibration_files::path(self.store, &sha256)).await? {
                None => "it is gone",
                Some(digest) if digest != sha256 => "it was changed",
                Some(_) => continue,
            };
            self.report.faults.push(Fault::CalibrationFile { sha256, what });
        }
        Ok(())
    }

    /// The digest of a file, or `None` where it is gone.
    async fn file(&self, path: PathBuf) -> Result<Option<Digest>, StorageError> {
        let bytes = files::blocking(move || files::read(&path)).await?;
        Ok(bytes.map(|bytes| Digest::of(&bytes)))
    }

    async fn register(&mut self) -> Result<BTreeMap<u64, Line>, StorageError> {
        let mut lines = BTreeMap::new();
        let (mut index, mut prev) = (0, REGISTER_GENESIS);
        for row in self.rows(certificates::REGISTER).await? {
            let line = certificates::line(&row)?;
            self.report.register_lines += 1;
            if let Err(what) = check_line(&line, index, &prev) {
                self.report.faults.push(Fault::Register { index: line.index, what });
            }
            (index, prev) = (line.index + 1, line.hash);
            lines.insert(line.index, line);
        }
        Ok(lines)
    }

    async fn certificates(&mut self, lines: &BTreeMap<u64, Line>) -> Result<(), StorageError> {
        let all = "select number, record, pdf_sha256, register_idx from certificate \
                   where workshop_id = $1 order by register_idx";
        for row in self.rows(all).await? {
            self.report.certificates += 1;
            if let Some(what) = self.certificate(&row, lines).await? {
                let number = row.text("number")?;
                self.report.faults.push(Fault::Certificate { number, what });
            }
        }
        Ok(())
    }

    async fn certificate(
        &self,
        row: &SqliteRow,
        lines: &BTreeMap<u64, Line>,
    ) -> Result<Option<&'static str>, StorageError> {
        let number = row.text("number")?;
        let Some(line) = lines.get(&row.number("register_idx")?) else {
            return Ok(Some("it has no line in the register"));
        };
        let pdf_sha256: [u8; 32] = row.array("pdf_sha256")?;
        if line.number != number || line.pdf_sha256 != pdf_sha256 {
            return Ok(Some("its line in the register says something else"));
        }
        if line.record_sha256 != sha256(&row.bytes("record")?) {
            return Ok(Some("its record was changed"));
        }
        let path = certificates::path(self.store, &number);
        let bytes = files::blocking(move || files::read(&path)).await?;
        Ok(match bytes {
            None => Some("its file is gone"),
            Some(bytes) if sha256(&bytes) != pdf_sha256 => Some("its file was changed"),
            Some(_) => None,
        })
    }

    /// Each withdrawal has its line, and each such line its withdrawal: one that is taken away would
    /// put the certificate back in force.
    async fn withdrawals(&mut self, lines: &BTreeMap<u64, Line>) -> Result<(), StorageError> {
        let mut told = BTreeSet::new();
        for row in self.rows("select * from withdrawal where workshop_id = $1").await? {
            let withdrawal = withdrawal(&row)?;
            let line = lines.get(&withdrawal.index).filter(|line| {
                (line.kind.as_str(), &line.number, line.at)
                    == (WITHDRAW, &withdrawal.number, withdrawal.at)
            });
            if line.is_none() {
                let what = "its withdrawal has no line in the register";
                self.report.faults.push(Fault::Certificate { number: withdrawal.number, what });
            }
            told.insert(withdrawal.index);
        }
        let imported = imports::look(&mut self.view, self.workshop).await?;
        let numbers = self.rows("select number from certificate where workshop_id = $1").await?;
        let here: BTreeSet<String> =
            numbers.iter().map(|row| row.text("number")).collect::<Result<_, _>>()?;
        let lost = |line: &&Line| {
            line.kind == WITHDRAW
                && !told.contains(&line.index)
                && !is_link_only(imported, line, &here)
        };
        for line in lines.values().filter(lost) {
            // A line that was changed is named once.
            if !self.is_named(line.index) {
                let what = "the withdrawal that it stands for is gone";
                self.report.faults.push(Fault::Register { index: line.index, what });
            }
        }
        Ok(())
    }

    async fn seal_changes(&mut self, lines: &BTreeMap<u64, Line>) -> Result<(), StorageError> {
        let rows = self.rows(seal_changes::ALL).await?;
        let imported = imports::look(&mut self.view, self.workshop).await?;
        let own = imported.map_or(0, |imported| imported.register_lines);
        for (index, what) in seal_changes::faults(&rows, lines, own)? {
            // A line that was changed is named once.
            if !self.is_named(index) {
                self.report.faults.push(Fault::Register { index, what });
            }
        }
        Ok(())
    }

    fn is_named(&self, line: u64) -> bool {
        let names =
            |fault: &Fault| matches!(fault, Fault::Register { index, .. } if *index == line);
        self.report.faults.iter().any(names)
    }
}
