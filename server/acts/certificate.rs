//! Issuing: the paper of a released job is made from stored entries, sealed, stored, registered.
//!
//! The order is `trust.md` 4.4: recompute every verdict, build the record, set the paper, seal it,
//! make the file durable, add the register line, and only then show it. Nothing of a request
//! reaches the paper.

use std::sync::Arc;

use super::job::{JobFile, load};
use super::paper::{self, Numbered};
use super::time_stamps::StampAuthority;
use super::{ActError, By};
use crate::documents::certificate::certificate;
use crate::documents::paper::{CertificatePaper, PaperPhoto};
use crate::documents::sign::{SealError, SealKey, SealNote, Sealing};
use crate::domain::certificate::{
    CertificateNumber, Facts, KitLine, Record, VehicleLine, check_code, on_paper,
};
use crate::domain::entry::Digest;
use crate::domain::ids::JobId;
use crate::domain::seal::hex;
use crate::storage::certificates::{self, CertificateRow, NewCertificate};
use crate::storage::customers::{self, Customer};
use crate::storage::{Conflict, Store, photos};

/// Name and version of the program, as certificates state it.
pub const PROGRAM: &str = concat!("Fusewright ", env!("CARGO_PKG_VERSION"));

/// Another certificate of the workshop may be issued in the same moment; then the number is taken
/// and the paper is made again with the next one.
const TRIES_MAX: u32 = 5;

/// What certificates are sealed with.
#[derive(Clone)]
pub struct Sealer {
    pub key: Arc<SealKey>,
    /// Who puts the time to it, if anybody.
    pub stamps: Option<StampAuthority>,
}

/// Issues the certificate of a released job. A job that has one in force keeps it: asked again, the
/// answer is the same certificate. Where the newest is withdrawn, another takes its place, made from the
/// record as it is now.
pub async fn issue(
    store: &Store,
    sealer: &Sealer,
    origin: &str,
    by: &By,
    job: JobId,
) -> Result<CertificateRow, ActError> {
    for _ in 0..TRIES_MAX {
        let newest = certificates::list(store, by.workshop(), job).await?.pop();
        if let Some(row) = newest.filter(CertificateRow::is_in_force) {
            return Ok(row);
        }
        let file = load(store, by.workshop(), job).await?;
        match issue_once(store, sealer, origin, by, &file).await {
            Err(ActError::Storage(error)) if error.conflict() == Some(Conflict::RegisterMoved) => {}
            done => return done,
        }
    }
    Err(ActError::Rule("The register is busy. Try again in a moment.".to_owned()))
}

async fn issue_once(
    store: &Store,
    sealer: &Sealer,
    origin: &str,
    by: &By,
    file: &JobFile,
) -> Result<CertificateRow, ActError> {
    let job = file.row.id;
    let next = certificates::next(store, by.workshop(), job).await?;
    let year = u16::try_from(by.now.utc().year()).unwrap_or(0);
    let number = CertificateNumber::new(&file.workshop.certificate_prefix, year, next.index + 1);
    let replaces = next.replaces.as_deref().map(on_paper);
    let facts = (&number, replaces.as_deref(), &next);
    let record = record(file, &sealer.key, by, facts).ok_or_else(not_released)?;
    let record_text = record.text();
    let code = check_code(&record_text);
    let customer = customers::load(store, by.workshop(), file.row.customer).await?;
    let photos = paper_photos(store, by, file).await?;
    let numbered = Numbered {
        file,
        record: &record,
        customer: customer.unwrap_or_else(|| erased(file)),
        logo: paper::logo(store, by.workshop()).await?,
        address: check_address(origin, &number.plain(), &code),
        issued: by.now,
        replaces: replaces.map(|before| file.voice().with("replaces", &[("number", &before)])),
    };
    let paper = paper::of(&numbered)?;
    let pdf = sealed(sealer, (paper, record_text.clone(), photos), note(file, by, &number)).await?;
    let new = NewCertificate {
        job,
        number: number.plain(),
        version: next.version,
        code,
        record: record_text,
        pdf,
        issued: by.now,
        expect_index: next.index,
    };
    Ok(certificates::append(store, by.workshop(), new).await?)
}

fn note(file: &JobFile, by: &By, number: &CertificateNumber) -> SealNote {
    SealNote {
        at: by.now.utc(),
        name: file.workshop.name.clone(),
        reason: format!("Certificate {number}, job {}", file.row.number),
    }
}

/// Sets the paper and seals it, off the request threads: some tenths of a second of work.
async fn sealed(
    sealer: &Sealer,
    (paper, record, photos): (CertificatePaper, Vec<u8>, Vec<PaperPhoto>),
    note: SealNote,
) -> Result<Vec<u8>, ActError> {
    let (key, is_stamped) = (Arc::clone(&sealer.key), sealer.stamps.is_some());
    let sealing = tokio::task::spawn_blocking(move || {
        let pdf = certificate(&paper, &record, &photos).map_err(ActError::ours)?;
        Sealing::begin(&pdf, &key, &note, is_stamped).map_err(not_sealed)
    })
    .await
    .map_err(ActError::ours)??;
    let stamp = match &sealer.stamps {
        Some(authority) => Some(authority.stamp(sealing.signature()).await?),
        None => None,
    };
    sealing.finish(stamp.as_deref()).map_err(not_sealed)
}

fn not_sealed(why: SealError) -> ActError {
    match why {
        SealError::Time => ActError::Rule(
            "The seal has ended, or the server's clock is wrong, so no certificate can be made. The release \
             stands. Whoever runs the server changes the seal with `fusewright seal renew`; then ask for the \
             certificate again."
                .to_owned(),
        ),
        other => ActError::ours(other),
    }
}

fn not_released() -> ActError {
    ActError::Rule(
        "No certificate can be made: the job is not released, or something in it is open."
            .to_owned(),
    )
}

/// The public page of a certificate, as papers and their codes name it.
pub(super) fn check_address(origin: &str, number: &str, code: &str) -> String {
    format!("{origin}/verify/{number}/{code}")
}

pub(super) fn erased(file: &JobFile) -> Customer {
    Customer {
        id: file.row.customer,
        name: file.voice().say("customer-erased"),
        contact: String::new(),
        address: String::new(),
    }
}

fn record(
    file: &JobFile,
    key: &SealKey,
    by: &By,
    (number, replaces, next): (&CertificateNumber, Option<&str>, &certificates::Next),
) -> Option<Record> {
    let saved = file.plan.as_ref()?;
    let reinspection_of = file.row.again.as_ref().map(|of| on_paper(&of.certificate));
    Record::of(
        &file.state,
        Facts {
            number: &number.to_string(),
            replaces,
            reinspection_of: reinspection_of.as_deref(),
            job: file.row.id,
            job_number: file.row.number,
            workshop: &file.workshop.name,
            kit: &KitLine::of(&file.kit, hex(&file.kit_row.sha256)),
            vehicle: &VehicleLine::of(&saved.plan, &file.state),
            plan_sha256: &hex(&saved.row.sha256),
            instruments: &file.instruments,
            name_of: &|person| file.name_of(person),
            issued: by.now,
            register_index: next.index,
            register_prev: &next.prev,
            seal_fingerprint: &key.fingerprint(),
            program: PROGRAM,
        },
    )
}

/// The photos of the steps, in their order; a photo that never arrived keeps the certificate back.
async fn paper_photos(store: &Store, by: &By, file: &JobFile) -> Result<Vec<PaperPhoto>, ActError> {
    let named: Vec<(String, Digest)> = paper::photos(file);
    let all: Vec<Digest> = named.iter().map(|(_, digest)| digest.clone()).collect();
    let missing = photos::find_missing(store, by.workshop(), &all).await?;
    if !missing.is_empty() {
        return Err(ActError::Rule(format!(
            "{} photos have not arrived yet. Open the sheet on the phone that took them.",
            missing.len()
        )));
    }
    paper::read_photos(store, by.workshop(), named).await
}
