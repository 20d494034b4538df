//! An instrument was found to have read wrongly: what that takes back, and what is to be tested again.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::job::{JobFile, load, refresh};
use super::{ActError, By};
use crate::documents::table_file::{Cell, Table};
use crate::domain::ids::{InstrumentId, JobId, Moment, WorkshopId};
use crate::domain::instrument::as_found::{FoundOff, Survives, survives};
use crate::domain::instrument::{Calibration, Instrument, Recall};
use crate::domain::job::{JobState, Known, Recorded, StepState, fold};
use crate::domain::person::Role;
use crate::domain::release::Refusal;
use crate::domain::verdict::Verdict;
use crate::storage::certificates::{self, CertificateRow};
use crate::storage::instrument_use::{self, ReadingMark, Span};
use crate::storage::{Store, entries, instruments, recalls};

/// Readings of one file at most, the newest first.
pub const FILE_READINGS_MAX: u32 = 5_000;

/// Notes a recall. What was not released yet is judged anew at once; certificates stay as they are.
pub async fn note(
    store: &Store,
    by: &By,
    instrument: InstrumentId,
    recall: Recall,
) -> Result<(), ActError> {
    if !by.person.role.covers(Role::Manager) {
        return Err(Refusal::NotManager.into());
    }
    recalls::append(store, by.workshop(), instrument, (recall, by.person.id)).await?;
    judge_anew(store, by.workshop(), instrument).await
}

/// Notes a calibration. Readings that did not count may count by it.
pub async fn note_calibration(
    store: &Store,
    workshop: WorkshopId,
    instrument: InstrumentId,
    calibration: Calibration,
) -> Result<(), ActError> {
    instruments::append_calibration(store, workshop, instrument, calibration).await?;
    judge_anew(store, workshop, instrument).await
}

/// Brings lists and trends up to what readings of an instrument come to now.
async fn judge_anew(
    store: &Store,
    workshop: WorkshopId,
    instrument: InstrumentId,
) -> Result<(), ActError> {
    for job in instrument_use::list_open(store, (workshop, instrument)).await? {
        refresh(store, &load(store, workshop, job).await?).await?;
    }
    Ok(())
}

/// What was found, after a job was released, about an instrument that results of it rest on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundLater {
    pub instrument: InstrumentId,
    pub label: String,
    pub recall: Recall,
    pub results: usize,
}

/// The newest first; nothing on a job that is not released, whose results are judged anew.
pub fn found_later(file: &JobFile) -> Vec<FoundLater> {
    let Some(released) = &file.state.released else { return Vec::new() };
    let mut found = Vec::new();
    for instrument in &file.instruments {
        for recall in instrument.recalls.iter().filter(|one| one.noted >= released.act.received) {
            let span = Doubt { instrument, recall, off: None }.span(None);
            let in_doubt = |result: &&Recorded| {
                span.holds(result.act.recorded)
                    && result.body.payload.instruments().contains(&instrument.id)
            };
            let results =
                file.state.steps.iter().filter_map(StepState::result).filter(in_doubt).count();
            if results > 0 {
                let (label, recall) = (instrument.label.clone(), recall.clone());
                found.push(FoundLater { instrument: instrument.id, label, recall, results });
            }
        }
    }
    found.sort_by_key(|one| std::cmp::Reverse(one.recall.noted));
    found
}

/// One recall with its instrument, and how far that was off.
pub struct Doubt<'a> {
    pub instrument: &'a Instrument,
    pub recall: &'a Recall,
    pub off: Option<FoundOff>,
}

/// One reading in doubt.
#[derive(Debug, Clone)]
pub struct DoubtedReading {
    pub recorded: Moment,
    /// Number and title of the step.
    pub step: String,
    pub value: String,
    pub limit: String,
    pub margin: String,
    /// What it came to before the recall; nothing where it did not count then either.
    pub verdict: Option<Verdict>,
    /// The result that counted, and not one that a later one replaced.
    pub is_result: bool,
    pub survives: Option<Survives>,
}

/// A job with readings in doubt.
pub struct DoubtedJob {
    pub file: JobFile,
    pub certificate: Option<CertificateRow>,
    /// What the entries came to before the recall.
    before: JobState,
}

impl Doubt<'_> {
    /// From the first day in doubt until the day of the calibration that ended it; the day it was found is
    /// in doubt as a whole.
    pub fn span(&self, released: Option<bool>) -> Span {
        let start = |text: &str| Moment::parse(&format!("{text}T00:00:00Z"));
        let from = start(&self.recall.from).unwrap_or(Moment(0));
        let day_after = start(&self.recall.found_on).map(|found| found.plus_days(1));
        let ended = self.instrument.ended_on(self.recall).and_then(start);
        let until = ended.map_or(Moment(i64::MAX), |ended| ended.max(day_after.unwrap_or(ended)));
        Span { from, until, released }
    }

    /// A job as it is, and as it was before the recall.
    pub async fn job(
        &self,
        store: &Store,
        workshop: WorkshopId,
        job: JobId,
    ) -> Result<DoubtedJob, ActError> {
        let file = load(store, workshop, job).await?;
        let entries = entries::list(store, workshop, job).await?;
        let without = |one: &Instrument| one.without_recall(self.recall.id);
        let instruments: Vec<Instrument> = file.instruments.iter().map(without).collect();
        let known = Known { sheets: &file.sheets, instruments: &instruments, early_photos: &[] };
        let before = fold(&entries, known);
        let certificate = certificates::list(store, workshop, job).await?.pop();
        Ok(DoubtedJob { file, certificate, before })
    }

    /// A page of single readings, the newest first.
    pub async fn readings(
        &self,
        store: &Store,
        workshop: WorkshopId,
        (before, limit): (Option<ReadingMark>, u32),
    ) -> Result<Vec<(ReadingMark, u64, String, DoubtedReading)>, ActError> {
        let of = (workshop, self.instrument.id);
        let marks =
            instrument_use::list_readings(store, of, self.span(None), before, limit).await?;
        let mut jobs: BTreeMap<JobId, DoubtedJob> = BTreeMap::new();
        let mut readings = Vec::new();
        for mark in marks {
            let job = match jobs.entry(mark.job) {
                Entry::Occupied(read) => read.into_mut(),
                Entry::Vacant(place) => place.insert(self.job(store, workshop, mark.job).await?),
            };
            let row = &job.file.row;
            let vehicle = format!("{}, {}", row.vehicle, row.registration);
            let found = self.reading(job, mark.seq).unwrap_or_else(|| unplaced(mark));
            readings.push((mark, row.number, vehicle, found));
        }
        Ok(readings)
    }

    /// Those of one job that lie in doubt, in the order of the sheet.
    pub fn readings_of(&self, job: &DoubtedJob) -> Vec<DoubtedReading> {
        let span = self.span(None);
        let in_doubt = |result: &&Recorded| {
            span.holds(result.act.recorded)
                && result.body.payload.instruments().contains(&self.instrument.id)
        };
        let of_step = |step| move |result| self.doubted(step, result);
        let steps = job.before.steps.iter().chain(&job.before.gone);
        steps.flat_map(|s| s.history.iter().filter(in_doubt).map(of_step(s))).collect()
    }

    fn reading(&self, job: &DoubtedJob, seq: u64) -> Option<DoubtedReading> {
        let steps = job.before.steps.iter().chain(&job.before.gone);
        let mut results = steps.flat_map(|step| step.history.iter().map(move |one| (step, one)));
        let (step, result) = results.find(|(_, result)| result.act.seq == seq)?;
        Some(self.doubted(step, result))
    }

    fn doubted(&self, step: &StepState, result: &Recorded) -> DoubtedReading {
        let payload = &result.body.payload;
        let judged = result.judged.as_ref().ok();
        let limit = judged.map(|judged| judged.limit_short(&step.step.kind));
        let margin = judged.and_then(|judged| judged.margin.zip(judged.figure));
        DoubtedReading {
            recorded: result.act.recorded,
            step: format!("{}. {}", step.number, step.step.title),
            value: judged.map_or_else(|| payload.value_words(), |judged| judged.value.clone()),
            limit: limit.unwrap_or_default(),
            margin: margin.map_or_else(String::new, |(margin, (_, unit))| {
                format!("{} {unit}", margin.normalize())
            }),
            verdict: judged.map(|judged| judged.verdict),
            is_result: step.result().is_some_and(|standing| standing.act.seq == result.act.seq),
            survives: judged
                .zip(self.off)
                .map(|(judged, off)| survives(payload, judged, (self.instrument, off))),
        }
    }

    /// Every reading in doubt as rows for other programs.
    pub async fn table(&self, store: &Store, workshop: WorkshopId) -> Result<Table, ActError> {
        let all = self.readings(store, workshop, (None, FILE_READINGS_MAX)).await?;
        Ok(Table {
            name: "Readings in doubt",
            head: vec![
                "Recorded (UTC)",
                "Job",
                "Vehicle",
                "Step",
                "Value",
                "Limit",
                "Margin",
                "Verdict before",
                "Counted result",
                "With the error found",
            ],
            rows: all.into_iter().map(row).collect(),
        })
    }
}

/// A reading of a step that no sheet has any more.
fn unplaced(mark: ReadingMark) -> DoubtedReading {
    DoubtedReading {
        recorded: mark.recorded,
        step: "A step that is on no sheet any more".to_owned(),
        value: String::new(),
        limit: String::new(),
        margin: String::new(),
        verdict: None,
        is_result: false,
        survives: None,
    }
}

fn row((_, number, vehicle, reading): (ReadingMark, u64, String, DoubtedReading)) -> Vec<Cell> {
    let text = |text: String| Cell::Text(text);
    vec![
        Cell::At(reading.recorded),
        Cell::Number(number.into()),
        text(vehicle),
        text(reading.step),
        text(reading.value),
        text(reading.limit),
        text(reading.margin),
        text(reading.verdict.map_or("Not counted", Verdict::word).to_owned()),
        text(if reading.is_result { "yes" } else { "no" }.to_owned()),
        reading.survives.map_or(Cell::Empty, |survives| text(survives.words().to_owned())),
    ]
}
