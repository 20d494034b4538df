//! A job with everything that belongs to it, read from the record and folded.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::ActError;
use crate::documents::voice::Voice;
use crate::domain::entry::{Digest, Entry, Payload};
use crate::domain::finding::Finding;
use crate::domain::findings::findings;
use crate::domain::ids::{JobId, PersonId, WorkshopId};
use crate::domain::instrument::Instrument;
use crate::domain::job::{JobState, Known, Signed, StepState, fold, notices_text};
use crate::domain::kit::Kit;
use crate::domain::kit_check::read_kit;
use crate::domain::parts::fitted_parts;
use crate::domain::plan::Plan;
use crate::domain::plan_file::read_plan;
use crate::domain::reinspection::{Comparison, EarlierRecord, compare, compare_step};
use crate::domain::sheet::Sheet;
use crate::domain::trends::counted_results;
use crate::domain::verdict::{Judgement, Verdict};
use crate::storage::defects::DefectRow;
use crate::storage::jobs::{self, Derived, JobRow};
use crate::storage::kits::KitRow;
use crate::storage::plans::PlanRow;
use crate::storage::results::Results;
use crate::storage::workshops::Workshop;
use crate::storage::{
    Store, entries, instruments, kits, people, photos, plans, reinspections, sheets, workshops,
};

/// A plan edition as it was saved, and read again.
#[derive(Debug, Clone)]
pub struct SavedPlan {
    pub row: PlanRow,
    pub plan: Plan,
    /// Worked out when somebody asks: most pages of a job never do.
    findings: OnceLock<Vec<Finding>>,
}

/// Everything about one job.
#[derive(Debug, Clone)]
pub struct JobFile {
    pub row: JobRow,
    pub workshop: Workshop,
    pub kit: Kit,
    pub kit_row: KitRow,
    /// The newest edition.
    pub plan: Option<SavedPlan>,
    pub sheets: Vec<Sheet>,
    pub instruments: Vec<Instrument>,
    /// Of a re-inspection: what it is held against, the oldest first.
    pub earlier: Vec<EarlierRecord>,
    names: BTreeMap<PersonId, String>,
    pub state: JobState,
}

/// Loads and folds a job; the chain is verified on the way.
pub async fn load(store: &Store, workshop: WorkshopId, id: JobId) -> Result<JobFile, ActError> {
    let row = jobs::load(store, workshop, id).await?.ok_or(ActError::NoJob)?;
    let (kit_row, source) = kits::load(store, workshop, row.kit)
        .await?
        .ok_or(ActError::ours("a job without its kit"))?;
    let kit = read_text(&source).and_then(|text| read_kit(text).map_err(ActError::Document))?;
    let plan = match plans::find_latest(store, workshop, id).await? {
        Some(row) => Some(saved_plan(row, &kit)?),
        None => None,
    };
    let sheets = sheets::list(store, workshop, id).await?;
    let instruments = instruments::list(store, workshop).await?;
    let entries = entries::list(store, workshop, id).await?;
    let early = early_photos(store, workshop, (&row, &entries)).await?;
    let known = Known { sheets: &sheets, instruments: &instruments, early_photos: &early };
    let state = fold(&entries, known);
    let people = people::list(store, workshop).await?;
    let earlier = earlier_records(store, workshop, &row).await?;
    let language = jobs::language(store, workshop, id).await?;
    let mut workshop =
        workshops::load(store, workshop).await?.ok_or(ActError::ours("a job without workshop"))?;
    let style = &mut workshop.papers.style;
    style.language = language.unwrap_or(style.language);
    let names = people.into_iter().map(|person| (person.id, person.name)).collect();
    Ok(JobFile { row, workshop, kit, kit_row, plan, sheets, instruments, earlier, names, state })
}

/// Those that the entries name and that were received before the job was opened.
async fn early_photos(
    store: &Store,
    workshop: WorkshopId,
    (row, entries): (&JobRow, &[Entry]),
) -> Result<Vec<Digest>, ActError> {
    let named = entries.iter().flat_map(|entry| entry.body.payload.photos()).cloned().collect();
    Ok(photos::list_before(store, workshop, named, row.opened).await?)
}

/// What stands in the sealed records that a re-inspection is held against.
async fn earlier_records(
    store: &Store,
    workshop: WorkshopId,
    row: &JobRow,
) -> Result<Vec<EarlierRecord>, ActError> {
    if row.again.is_none() {
        return Ok(Vec::new());
    }
    let rows = reinspections::earlier_certificates(store, workshop, row.id).await?;
    rows.iter().map(|row| EarlierRecord::read(&row.record).map_err(ActError::ours)).collect()
}

fn read_text(bytes: &[u8]) -> Result<&str, ActError> {
    std::str::from_utf8(bytes).map_err(ActError::ours)
}

fn saved_plan(row: PlanRow, kit: &Kit) -> Result<SavedPlan, ActError> {
    let plan = read_plan(read_text(&row.source)?, kit).map_err(ActError::Document)?;
    Ok(SavedPlan { row, plan, findings: OnceLock::new() })
}

impl JobFile {
    /// What an entry came to as a result of a step: the verdict, or why it is kept and not counted.
    pub fn judged(&self, seq: u64) -> Option<Result<&Judgement, String>> {
        let results = self.state.steps.iter().flat_map(|step| &step.history);
        if let Some(result) = results.into_iter().find(|result| result.act.seq == seq) {
            return Some(result.judged.as_ref().map_err(|why| why.0.clone()));
        }
        let aside = self.state.aside().into_iter().find(|aside| aside.act.seq == seq)?;
        aside.body.payload.is_result().then_some(Err(aside.why))
    }

    /// Of a re-inspection: every measurement beside what it was before.
    pub fn comparisons(&self) -> Vec<Comparison> {
        if self.row.again.is_none() {
            return Vec::new();
        }
        compare(&self.state.steps, &self.earlier)
    }

    /// The same for one step; nothing on other jobs.
    pub fn comparison(&self, step: &StepState) -> Option<Comparison> {
        self.row.again.as_ref().and_then(|_| compare_step(step, &self.earlier))
    }

    /// How this job's papers say things.
    pub fn voice(&self) -> Voice {
        Voice::new(self.workshop.papers.style.clone())
    }

    pub fn name_of(&self, person: PersonId) -> String {
        self.names.get(&person).cloned().unwrap_or_else(|| "somebody who left".to_owned())
    }

    /// What people call the instruments that an entry was made with.
    pub fn instrument_labels(&self, payload: &Payload) -> Vec<&str> {
        let known = |id| self.instruments.iter().find(|known| known.id == id);
        payload
            .instruments()
            .into_iter()
            .filter_map(known)
            .map(|instrument| instrument.label.as_str())
            .collect()
    }

    /// What the newest plan comes to, worst first; nothing without a plan.
    pub fn findings(&self) -> &[Finding] {
        let of = |saved: &SavedPlan| findings(&self.kit, &saved.plan);
        self.plan.as_ref().map_or(&[], |saved| saved.findings.get_or_init(|| of(saved)))
    }

    /// Who accepted a caution of the newest plan in writing, when and why.
    pub fn accepted_words(&self, finding: &Finding) -> Option<String> {
        let edition = self.plan.as_ref()?.row.edition;
        let accepted = self.state.acknowledged(edition, &finding.id)?;
        let (name, at) = (self.name_of(accepted.act.person), accepted.act.received);
        Some(format!("Accepted by {name}, {}: {}", at.date_and_minute(), accepted.reason))
    }

    /// Cautions of the newest plan that nobody accepted in writing yet.
    pub fn open_cautions(&self) -> Vec<&Finding> {
        use crate::domain::finding::Outcome;
        let edition = self.plan.as_ref().map_or(0, |saved| saved.row.edition);
        let open = |finding: &&Finding| {
            finding.outcome == Outcome::Caution
                && self.state.acknowledged(edition, &finding.id).is_none()
        };
        self.findings().iter().filter(open).collect()
    }

    /// What lists show of this job.
    fn derived(&self) -> Derived {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Derived {
            stage: self.state.stage().word().to_owned(),
            steps_total: count(self.state.steps.len()),
            steps_done: count(self.state.recorded_count()),
            flags: tape_text(&self.state),
            entry_count: self.state.entry_count,
            updated: self.state.last_received.unwrap_or(self.row.updated),
            notices: notices_text(&self.state),
            vin: self
                .plan
                .as_ref()
                .map_or_else(String::new, |saved| jobs::plain_mark(&saved.plan.vehicle.vin_tail)),
            results: self.results(),
        }
    }

    /// What trends are drawn from, and where a recall looks.
    fn results(&self) -> Results {
        let signed = |signed: &Option<Signed>| signed.as_ref().map(|signed| signed.act.received);
        Results {
            kit_code: self.row.kit_code.clone(),
            counted: counted_results(&self.state),
            submitted: signed(&self.state.submitted),
            released: signed(&self.state.released),
            parts: fitted_parts(&self.state, &self.kit),
            defects: self.state.defects().iter().map(DefectRow::of).collect(),
        }
    }
}

/// Brings the lists up to the record. A later state is never overwritten by an earlier one.
pub(super) async fn refresh(store: &Store, file: &JobFile) -> Result<(), ActError> {
    jobs::refresh(store, file.workshop.id, file.row.id, file.derived()).await?;
    Ok(())
}

/// The tape of a job as lists keep it: one letter a step, `|` between phases.
/// `d` done, `f` fail, `i` inconclusive, `c` clash, `t` to do.
pub fn tape_text(state: &JobState) -> String {
    let mut text = String::with_capacity(state.steps.len() + 8);
    let mut phase = None;
    for step in &state.steps {
        if phase.is_some_and(|phase| phase != step.step.phase) {
            text.push('|');
        }
        phase = Some(step.step.phase);
        text.push(tape_letter(step));
    }
    text
}

fn tape_letter(step: &StepState) -> char {
    if step.is_clash() {
        return 'c';
    }
    match step.verdict() {
        None => 't',
        Some(Verdict::Fail) => 'f',
        Some(Verdict::Inconclusive | Verdict::Unable) => 'i',
        Some(Verdict::Done | Verdict::Pass) => 'd',
    }
}
