//! The handover of a released job: what the customer keeps in the vehicle, made on request from the
//! same record as the certificate, in words for whoever stands beside the vehicle.

mod care;
mod fuses;
mod plain;
mod safe;

use super::ActError;
use super::certificate::{check_address, erased};
use super::job::{JobFile, SavedPlan, load};
use super::paper::{self, parts, results};
use crate::documents::certificate::PHOTOS_MAX;
use crate::documents::drawing::wiring_on_paper;
use crate::documents::handover::{HandoverPaper, handover};
use crate::documents::paper::{FindingLine, FindingOutcome, Logo};
use crate::documents::voice::Voice;
use crate::domain::certificate::{PaperSize, on_paper};
use crate::domain::entry::Digest;
use crate::domain::ids::{JobId, WorkshopId};
use crate::domain::wiring::{Wiring, wiring};
use crate::storage::certificates::{self, CertificateRow};
use crate::storage::customers::{self, Customer};
use crate::storage::{Store, photos};

/// A handover that was made, and the number of its certificate.
#[derive(Debug, Clone)]
pub struct Handover {
    pub number: String,
    pub pdf: Vec<u8>,
}

/// What a handover says, before it is set in type or shown as a page.
#[derive(Debug, Clone)]
pub struct Content {
    /// The certificate that it belongs to.
    pub certificate: CertificateRow,
    pub paper: HandoverPaper,
    /// How it says things.
    pub voice: Voice,
    /// The photos that are here, by caption and digest: read by whoever prints or shows them.
    pub photos: Vec<(String, Digest)>,
}

/// Makes the handover of a released job that has its certificate; on the workshop's paper, unless another
/// size is asked for.
pub async fn make(
    store: &Store,
    origin: &str,
    (workshop, job): (WorkshopId, JobId),
    size: Option<PaperSize>,
) -> Result<Handover, ActError> {
    let Content { certificate, mut paper, photos, .. } =
        content(store, origin, (workshop, job)).await?;
    let photos = paper::read_photos(store, workshop, photos).await?;
    paper.size = size.unwrap_or(paper.size);
    let pdf =
        tokio::task::spawn_blocking(move || handover(&paper, &photos).map_err(ActError::ours));
    Ok(Handover { number: certificate.number, pdf: pdf.await.map_err(ActError::ours)?? })
}

/// What the handover of a released job says.
pub async fn content(
    store: &Store,
    origin: &str,
    (workshop, job): (WorkshopId, JobId),
) -> Result<Content, ActError> {
    let file = load(store, workshop, job).await?;
    let row = certificates::list(store, workshop, job).await?.pop();
    let (Some(row), Some(saved)) = (row, file.plan.as_ref()) else {
        return Err(ActError::TooEarly(
            "The handover is made from the certificate. Release the job first, then ask for it again.",
        ));
    };
    if row.withdrawn.is_some() {
        return Err(ActError::TooEarly(
            "The certificate of this job is withdrawn. Issue a new one first: the handover is made from it.",
        ));
    }
    let customer = customers::load(store, workshop, file.row.customer).await?;
    let shown = shown_photos(store, workshop, &file).await?;
    let facts = Facts {
        file: &file,
        saved,
        row: &row,
        customer: customer.unwrap_or_else(|| erased(&file)),
        logo: paper::logo(store, workshop).await?,
        address: check_address(origin, &row.number, &row.code),
        photos_left_out: shown.left_out,
        finished_photo: shown.finished,
    };
    let paper = of(&facts);
    Ok(Content { certificate: row, paper, voice: file.voice(), photos: shown.photos })
}

/// Whether a photo is one of those that the job's handover can show.
pub async fn shows_photo(
    store: &Store,
    (workshop, job): (WorkshopId, JobId),
    photo: &Digest,
) -> Result<bool, ActError> {
    let file = load(store, workshop, job).await?;
    Ok(paper::photos(&file).iter().take(PHOTOS_MAX).any(|(_, digest)| digest == photo))
}

struct Facts<'a> {
    file: &'a JobFile,
    saved: &'a SavedPlan,
    row: &'a CertificateRow,
    customer: Customer,
    logo: Option<Logo>,
    address: String,
    photos_left_out: Option<String>,
    finished_photo: Option<usize>,
}

struct Shown {
    photos: Vec<(String, Digest)>,
    /// Which of them shows the finished work: gear, fuse and isolation point.
    finished: Option<usize>,
    left_out: Option<String>,
}

/// The photos that are here: one that is gone keeps no customer from their papers.
async fn shown_photos(
    store: &Store,
    workshop: WorkshopId,
    file: &JobFile,
) -> Result<Shown, ActError> {
    let mut shown: Vec<(String, Digest)> = paper::photos(file);
    let all = shown.len();
    shown.truncate(PHOTOS_MAX);
    let digests: Vec<Digest> = shown.iter().map(|(_, digest)| digest.clone()).collect();
    let missing = photos::find_missing(store, workshop, &digests).await?;
    shown.retain(|(_, digest)| !missing.contains(digest));
    let finished = file.state.step("hand_over.finished").and_then(|step| step.photos().next());
    let place = shown.iter().position(|(_, digest)| Some(digest) == finished);
    let left_out = (shown.len() < all).then(|| {
        let args = [("shown", &*shown.len().to_string()), ("all", &all.to_string())];
        file.voice().with("photos-left-out", &args)
    });
    Ok(Shown { photos: shown, finished: place, left_out })
}

fn of(facts: &Facts<'_>) -> HandoverPaper {
    let (file, plan) = (facts.file, &facts.saved.plan);
    let wired = wiring(&file.kit, plan, &file.state);
    let voice = &file.voice();
    HandoverPaper {
        size: file.workshop.paper,
        told: voice.told(),
        title: voice.say("title-handover"),
        number: on_paper(&facts.row.number),
        job: file.row.number.to_string(),
        issued: voice.day(&facts.row.issued.date()),
        issued_at: facts.row.issued.utc(),
        workshop: paper::workshop(file),
        logo: facts.logo.clone(),
        call: file.workshop.call(),
        customer: paper::customer(&facts.customer),
        vehicle: paper::vehicle(file, plan),
        fitted: paper::fitted(file),
        supply: parts::supply(file, plan),
        summary: summary(file, &wired, voice),
        fuses: fuses::rows(&wired, voice),
        finished_photo: facts.finished_photo,
        unfused: fuses::without(&wired, voice),
        safe: safe::steps(file, &wired, voice),
        wiring: wiring_on_paper(&wired.circuits, voice),
        circuits: parts::circuits(&wired, voice),
        terminals: parts::terminals(file, &wired),
        watch: care::watch(&wired, voice),
        care: care::schedule(facts.row.issued, file.row.again.is_some(), voice),
        next_inspection: paper::next_inspection(facts.row.issued, voice),
        results: plain::results(file),
        again: paper::again::paper(file),
        cautions: cautions(file, facts.saved),
        concessions: results::concessions(file),
        photos_left_out: facts.photos_left_out.clone(),
        address: facts.address.clone(),
    }
}

/// The counts that page one names in words.
fn summary(file: &JobFile, wired: &Wiring<'_>, voice: &Voice) -> Vec<String> {
    let fuses = wired.circuits.iter().filter(|circuit| circuit.fuse.is_some()).count();
    let measured = file.state.steps.iter().filter(|step| step.step.kind.is_measurement()).count();
    let counted = |id: &str, count| voice.words.counted(id, count);
    let (circuits, fuses) =
        (counted("circuits-count", wired.circuits.len()), counted("fuses-count", fuses));
    vec![
        match file.again_words() {
            Some(words) => {
                voice.with("summary-again", &[("kit", &file.kit.title), ("words", &words)])
            }
            None => voice.with("summary-fitted", &[("kit", &file.kit.title)]),
        },
        voice.with("summary-has", &[("circuits", &circuits), ("fuses", &fuses)]),
        counted("summary-passed", measured),
    ]
}

/// What was accepted in writing, with the reason.
fn cautions(file: &JobFile, saved: &SavedPlan) -> Vec<FindingLine> {
    let all = parts::findings(file, saved);
    all.into_iter().filter(|line| line.outcome == FindingOutcome::Caution).collect()
}
