//! A job that comes from elsewhere: all of its rows in one transaction, into a folder without any workshop.

use std::collections::BTreeSet;

use sqlx::SqliteConnection;

use crate::domain::ids::{JobId, Moment, WorkshopId};
use crate::domain::instrument::Instrument;

use super::certificates::{CertificateRow, Line};
use super::columns::{Columns as _, stored};
use super::customers::Customer;
use super::devices::Device;
use super::entries::RawEntry;
use super::jobs::NewJob;
use super::kits::NewKit;
use super::people::NewPerson;
use super::photos::PhotoRow;
use super::plans::NewPlan;
use super::sheets::SheetText;
use super::withdrawals::Withdrawal;
use super::workshops::Workshop;
use super::{
    Conflict, StorageError, Store, certificates, customers, devices, entries, instruments, jobs,
    kits, people, photos, plans, sheets, withdrawals, workshops,
};

/// Everything of one job. Its files are kept already.
#[derive(Debug, Clone)]
pub struct Import {
    pub workshop: Workshop,
    pub people: Vec<NewPerson>,
    pub devices: Vec<Device>,
    pub customer: Customer,
    pub kit: NewKit,
    pub instruments: Vec<Instrument>,
    pub job: NewJob,
    pub number: u64,
    pub plans: Vec<NewPlan>,
    pub sheets: Vec<SheetText>,
    pub entries: Vec<RawEntry>,
    pub photos: Vec<PhotoRow>,
    pub register: Vec<Line>,
    pub certificates: Vec<CertificateRow>,
    pub withdrawals: Vec<Withdrawal>,
    pub at: Moment,
}

/// Stores all of it, or nothing. Refused where any workshop is there.
pub async fn append(store: &Store, import: Import) -> Result<(), StorageError> {
    store.write(move |db| Box::pin(insert(db, import))).await
}

async fn insert(db: &mut SqliteConnection, mut import: Import) -> Result<(), StorageError> {
    let workshops: i64 =
        sqlx::query_scalar("select count(*) from workshop").fetch_one(&mut *db).await?;
    if workshops > 0 {
        return Err(Conflict::AlreadyThere.into());
    }
    let (workshop, job, at) = (import.workshop.id, import.job.id, import.at);
    let papers = (
        std::mem::take(&mut import.register),
        std::mem::take(&mut import.certificates),
        std::mem::take(&mut import.withdrawals),
    );
    let lines = papers.0.len() as u64;
    let entries = std::mem::take(&mut import.entries);
    let photos = std::mem::take(&mut import.photos);
    insert_job(&mut *db, import).await?;
    for entry in entries {
        if !entries::insert(&mut *db, (workshop, job), &entry).await? {
            return Err(Conflict::AlreadyThere.into());
        }
    }
    for photo in photos {
        photos::insert(&mut *db, workshop, photo).await?;
    }
    insert_papers(&mut *db, workshop, papers).await?;
    note(db, workshop, job, (lines, at)).await
}

/// Whom and what the entries name, then the job with its texts.
async fn insert_job(db: &mut SqliteConnection, import: Import) -> Result<(), StorageError> {
    let (workshop, job, at) = (import.workshop.id, import.job.id, import.at);
    workshops::insert(&mut *db, import.workshop).await?;
    for person in import.people {
        people::insert(&mut *db, person).await?;
    }
    for device in import.devices {
        devices::insert(&mut *db, workshop, device).await?;
    }
    customers::insert(&mut *db, workshop, import.customer).await?;
    for instrument in import.instruments {
        instruments::insert_with_calibrations(&mut *db, workshop, instrument, at).await?;
    }
    let sha256 = crate::domain::seal::sha256(&import.kit.source);
    kits::insert(&mut *db, workshop, import.kit, &sha256).await?;
    let number = i64::try_from(import.number).map_err(|_| Conflict::Rule)?;
    jobs::insert(&mut *db, workshop, import.job, number).await?;
    for plan in import.plans {
        plans::insert(&mut *db, workshop, plan).await?;
    }
    for sheet in import.sheets {
        sheets::insert(&mut *db, workshop, job, sheet).await?;
    }
    Ok(())
}

async fn insert_papers(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    (lines, certificates, withdrawals): (Vec<Line>, Vec<CertificateRow>, Vec<Withdrawal>),
) -> Result<(), StorageError> {
    for line in lines {
        certificates::insert_line(&mut *db, workshop, line).await?;
    }
    for certificate in &certificates {
        certificates::insert(&mut *db, certificate).await?;
    }
    for withdrawal in &withdrawals {
        withdrawals::insert(&mut *db, workshop, withdrawal).await?;
    }
    Ok(())
}

async fn note(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
    job: JobId,
    (lines, at): (u64, Moment),
) -> Result<(), StorageError> {
    sqlx::query(
        "insert into archive_import (workshop_id, job_id, register_lines, imported_ms) \
         values ($1, $2, $3, $4)",
    )
    .bind(workshop.0)
    .bind(job.0)
    .bind(stored(lines))
    .bind(at.0)
    .execute(db)
    .await?;
    Ok(())
}

/// What came from elsewhere with a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Imported {
    pub job: JobId,
    /// Lines of the register that came along: all before the first that was written here.
    pub register_lines: u64,
    pub at: Moment,
}

/// The job of a workshop that came as an archive, if one did.
pub async fn find(store: &Store, workshop: WorkshopId) -> Result<Option<Imported>, StorageError> {
    look(&mut *store.readers().acquire().await?, workshop).await
}

pub(super) async fn look(
    db: &mut SqliteConnection,
    workshop: WorkshopId,
) -> Result<Option<Imported>, StorageError> {
    let row = sqlx::query("select * from archive_import where workshop_id = $1")
        .bind(workshop.0)
        .fetch_optional(db)
        .await?;
    row.map(|row| {
        Ok(Imported {
            job: JobId(row.uuid("job_id")?),
            register_lines: row.number("register_lines")?,
            at: row.moment("imported_ms")?,
        })
    })
    .transpose()
}

/// Whether a line of the register is a link only: it came along, and its certificate stayed elsewhere.
pub(super) fn is_link_only(
    imported: Option<Imported>,
    line: &Line,
    here: &BTreeSet<String>,
) -> bool {
    imported.is_some_and(|imported| line.index < imported.register_lines)
        && !here.contains(&line.number)
}
