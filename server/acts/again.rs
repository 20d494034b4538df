//! Inspecting again: a job that measures what an earlier one fitted, with its plan and its limits.

use super::job::{JobFile, load};
use super::{ActError, By, plan};
use crate::domain::certificate::on_paper;
use crate::domain::finding::{Finding, Outcome};
use crate::domain::findings::worst;
use crate::domain::ids::{JobId, PersonId};
use crate::domain::sheet::Sheet;
use crate::domain::sheet::again::{Again, make_again};
use crate::storage::jobs::NewJob;
use crate::storage::reinspections::{self, Reinspection, Standing};
use crate::storage::{Store, plans};

/// Whether a job can be inspected again, and where to go instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MayInspect {
    /// Its certificate, as stored, is the newest of its line that stands.
    Yes {
        certificate: String,
    },
    UnderWay(JobId),
    /// A later certificate of the line is in force.
    Newer(JobId),
    /// No certificate of the line is in force.
    NoCertificate,
}

/// What a job of this line can be asked.
pub fn may_inspect(job: JobId, standing: Standing) -> MayInspect {
    match (standing.under_way, standing.in_force) {
        (Some(open), _) => MayInspect::UnderWay(open),
        (None, None) => MayInspect::NoCertificate,
        (None, Some((newest, certificate))) if newest == job => MayInspect::Yes { certificate },
        (None, Some((newest, _))) => MayInspect::Newer(newest),
    }
}

/// What opening it would carry over, for whoever decides.
#[derive(Debug, Clone)]
pub struct Offer {
    pub file: JobFile,
    pub certificate: String,
    /// Cautions that were accepted with the certificate, and are taken over with their reasons.
    pub accepted: usize,
    /// Cautions that nobody accepted: later rules make them.
    pub open: usize,
}

/// Looks at what is inspected again, and refuses where it cannot be.
pub async fn offer(store: &Store, by: &By, earlier: JobId) -> Result<Offer, ActError> {
    let file = load(store, by.workshop(), earlier).await?;
    let standing = reinspections::standing(store, by.workshop(), earlier).await?;
    let certificate = match may_inspect(earlier, standing) {
        MayInspect::Yes { certificate } => certificate,
        MayInspect::UnderWay(_) => return Err(rule(UNDER_WAY)),
        MayInspect::Newer(_) => return Err(rule(NEWER)),
        MayInspect::NoCertificate => return Err(rule(NO_CERTIFICATE)),
    };
    if worst(file.findings()) == Outcome::Stop {
        return Err(rule(STOP));
    }
    let open = file.open_cautions().len();
    let cautions = file.findings().iter().filter(|f| f.outcome == Outcome::Caution).count();
    Ok(Offer { accepted: cautions - open, open, file, certificate })
}

const UNDER_WAY: &str =
    "A re-inspection of this is under way already. Open the vehicle's page and go on with it.";
const NEWER: &str = "A later certificate of this vehicle is in force. Open the vehicle's page and start from \
    that one.";
const NO_CERTIFICATE: &str = "Only what has a certificate in force is inspected again. Release the job, or \
    issue its certificate anew.";
const STOP: &str = "By the rules as they are now a finding of this plan says stop: it cannot be certified again \
    as it is. Open a new job for the vehicle and plan the change.";
const OTHER_PLAN: &str = "This job measures again what was fitted by the plan of its certificate, so that plan \
    stays. Where the installation was changed, open a new job and plan it.";

fn rule(words: &str) -> ActError {
    ActError::Rule(words.to_owned())
}

/// What opens a re-inspection.
#[derive(Debug, Clone, Copy)]
pub struct Opening {
    /// Made with the form, so that the same form sent twice opens one job.
    pub id: JobId,
    pub earlier: JobId,
    pub technician: Option<PersonId>,
}

/// Opens the job, takes plan and acceptances over and makes the sheet. Each step changes nothing where it
/// was done before, so that the same form goes on where an earlier try broke off.
pub async fn open(store: &Store, by: &By, opening: Opening) -> Result<JobFile, ActError> {
    let begun = crate::storage::jobs::load(store, by.workshop(), opening.id).await?;
    let earlier = match begun {
        Some(row) if row.again.as_ref().is_some_and(|of| of.earlier == opening.earlier) => {
            load(store, by.workshop(), opening.earlier).await?
        }
        Some(_) => return Err(rule("The form is not good any more. Load the page again.")),
        None => begin(store, by, opening).await?,
    };
    let saved =
        earlier.plan.as_ref().ok_or_else(|| ActError::ours("a certificate without plan"))?;
    let text = String::from_utf8(saved.row.source.clone()).map_err(ActError::ours)?;
    let mut file = plan::save(store, by, opening.id, &text).await?;
    let open: Vec<String> = file.open_cautions().iter().map(|f: &&Finding| f.id.clone()).collect();
    for finding in open {
        if let Some(reason) = accepted_then(&earlier, saved.row.edition, &finding) {
            file = plan::acknowledge(store, by, opening.id, &finding, &reason).await?;
        }
    }
    if file.open_cautions().is_empty() {
        file = plan::make(store, by, opening.id).await?;
    }
    Ok(file)
}

async fn begin(store: &Store, by: &By, opening: Opening) -> Result<JobFile, ActError> {
    let earlier = offer(store, by, opening.earlier).await?.file;
    let new = NewJob {
        id: opening.id,
        customer: earlier.row.customer,
        kit: earlier.row.kit,
        vehicle: earlier.row.vehicle.clone(),
        registration: earlier.row.registration.clone(),
        technician: opening.technician,
        opened: by.now,
        opened_by: by.person.id,
    };
    reinspections::append(store, by.workshop(), (new, opening.earlier)).await?;
    Ok(earlier)
}

/// Who accepted a caution then, and why. A reason that was taken over before is taken over as it stands.
fn accepted_then(earlier: &JobFile, edition: u32, finding: &str) -> Option<String> {
    let accepted = earlier.state.acknowledged(edition, finding)?;
    if earlier.row.again.is_some() && accepted.reason.starts_with(AS_BEFORE) {
        return Some(accepted.reason.clone());
    }
    let by = earlier.name_of(accepted.act.person);
    let reason = format!(
        "{AS_BEFORE} job {} by {by} on {}: {}",
        earlier.row.number,
        accepted.act.received.date(),
        accepted.reason
    );
    Some(reason.chars().take(crate::domain::entry::TEXT_CHARS_MAX).collect())
}

const AS_BEFORE: &str = "As accepted in";

/// A re-inspection keeps to the plan that it was opened with.
pub(super) async fn keep_to_plan(
    store: &Store,
    by: &By,
    file: &JobFile,
    text: &str,
) -> Result<(), ActError> {
    let Some(of) = &file.row.again else { return Ok(()) };
    let planned = plans::find_latest(store, by.workshop(), of.earlier).await?;
    if planned.is_some_and(|row| row.source == text.as_bytes()) {
        return Ok(());
    }
    Err(rule(OTHER_PLAN))
}

/// The sheet of a re-inspection, from the sheet that is measured again.
pub(super) async fn sheet(
    store: &Store,
    by: &By,
    of: &Reinspection,
    editions: (u32, u32),
) -> Result<Sheet, ActError> {
    let earlier = load(store, by.workshop(), of.earlier).await?;
    let before =
        earlier.state.sheet.ok_or_else(|| ActError::ours("a certificate without sheet"))?;
    let again = Again {
        certificate: of.certificate.clone(),
        job: of.earlier,
        sheet_sha256: before.digest(),
    };
    Ok(make_again(&before, again, editions))
}

impl JobFile {
    /// `Re-inspection of certificate AB-26-00012-X`; nothing on other jobs.
    pub fn again_words(&self) -> Option<String> {
        let of = self.row.again.as_ref()?;
        Some(self.voice().with("again-of", &[("number", &on_paper(&of.certificate))]))
    }
}
