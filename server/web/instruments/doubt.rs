//! `/instruments/{instrument}/recalls/{recall}`: what an instrument that read wrongly leaves in doubt, by job
//! and reading by reading.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::recall::{found_off, off_fields};
use super::show::href;
use crate::acts::recall::{Doubt, DoubtedJob, DoubtedReading};
use crate::documents::table_file::csv;
use crate::domain::certificate::on_paper;
use crate::domain::ids::{InstrumentId, Moment, RecallId};
use crate::domain::instrument::as_found::{FoundOff, Survives};
use crate::domain::instrument::{Instrument, Recall};
use crate::storage::instrument_use::{self, ReadingMark, UsedIn};
use crate::storage::instruments;
use crate::storage::jobs::PageMark;
use crate::web::app::App;
use crate::web::error::{WebError, encode};
use crate::web::form::{Field, Filled, Pairs, day_words, id};
use crate::web::page::{Done, Frame, page};
use crate::web::session::Who;
use crate::web::shield::FILES;
use crate::web::views::Mark;

/// Jobs of one list on one page: each is read twice as a whole.
const JOBS_LISTED: u32 = 20;
const READINGS_LISTED: u32 = 50;
const DONE: [(&str, &str); 1] = [(
    "recalled",
    "Recalled. What was not released yet does not count any more; certificates stay as they are.",
)];

struct JobRow {
    href: String,
    number: u64,
    vehicle: String,
    /// How many readings, and what the error found leaves of them.
    readings: String,
    state: String,
    /// What can be done about it, and in which words.
    act: Option<(String, &'static str)>,
}

struct JobsView {
    word: &'static str,
    title: &'static str,
    lede: &'static str,
    jobs: Vec<JobRow>,
    later: Option<String>,
}

struct ReadingRow {
    at: String,
    href: String,
    number: u64,
    step: String,
    value: String,
    limit: String,
    margin: String,
    mark: Mark,
    survives: Option<(&'static str, &'static str)>,
}

#[derive(Template)]
#[template(path = "pages/recall.html")]
struct RecallPage {
    frame: Frame,
    label: String,
    instrument_href: String,
    lede: String,
    reason: String,
    action: String,
    percent: Field,
    digits: Field,
    groups: Vec<JobsView>,
    readings: Vec<ReadingRow>,
    counted: String,
    csv_href: String,
    later: Option<String>,
}

/// GET /instruments/{instrument}/recalls/{recall}
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    Path((instrument, recall)): Path<(String, String)>,
    Query(pairs): Query<Pairs>,
    done: Done,
) -> Result<Response, WebError> {
    let (instrument, recall) = found(&app, &who, (&instrument, &recall)).await?;
    let mut asked = Asked::read(pairs, &recall);
    let doubt = Doubt { instrument: &instrument, recall: &recall, off: asked.off };
    let action = format!("{}/recalls/{}", href(instrument.id), recall.id);
    let (readings, later) = readings(&app, &who, &doubt, &asked).await?;
    let groups = [
        group(&app, &who, &doubt, (false, &asked)).await?,
        group(&app, &who, &doubt, (true, &asked)).await?,
    ];
    let of = (who.workshop(), instrument.id);
    let (jobs, count) = instrument_use::count(app.store(), of, doubt.span(None)).await?;
    let (percent, digits) = off_fields(&mut asked.filled);
    let frame = Frame::new(format!("Recall of {}", instrument.label), &who, "/instruments");
    Ok(page(&RecallPage {
        frame: done.noted(frame, &DONE),
        lede: lede(&instrument, &recall),
        label: instrument.label.clone(),
        instrument_href: href(instrument.id),
        reason: recall.reason.clone(),
        csv_href: format!("{action}/readings.csv?{}", asked.off_query()),
        later: later.map(|mark| format!("{action}?{}readings={mark}", asked.off_query())),
        action,
        percent,
        digits,
        groups: groups.into(),
        readings,
        counted: super::show::counted(jobs, count),
    }))
}

/// GET /instruments/{instrument}/recalls/{recall}/readings.csv
pub(in crate::web) async fn csv_file(
    State(app): State<App>,
    who: Who,
    Path((instrument, recall)): Path<(String, String)>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let (instrument, recall) = found(&app, &who, (&instrument, &recall)).await?;
    let asked = Asked::read(pairs, &recall);
    let doubt = Doubt { instrument: &instrument, recall: &recall, off: asked.off };
    let table = doubt.table(app.store(), who.workshop()).await?;
    let text = app.heavy(move || csv(&table)).await?;
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8; header=present"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"readings-in-doubt.csv\""),
        (header::CONTENT_SECURITY_POLICY, FILES),
    ];
    Ok((headers, text).into_response())
}

async fn found(
    app: &App,
    who: &Who,
    (instrument, recall): (&str, &str),
) -> Result<(Instrument, Recall), WebError> {
    let instrument: InstrumentId = id(instrument)?;
    let recall: RecallId = id(recall)?;
    let found = instruments::load(app.store(), who.workshop(), instrument).await?;
    let instrument = found.ok_or(WebError::NotFound)?;
    let recall = instrument.recalls.iter().find(|one| one.id == recall).cloned();
    Ok((instrument, recall.ok_or(WebError::NotFound)?))
}

/// What the address asks: how far it was off, and where each list goes on.
struct Asked {
    filled: Filled,
    off: Option<FoundOff>,
}

impl Asked {
    /// What was noted with the recall holds until something else is typed.
    fn read(pairs: Pairs, recall: &Recall) -> Self {
        let mut filled = Filled::with(pairs);
        let is_typed = ["percent", "digits"].iter().any(|name| filled.is_ticked(name));
        if let (Some(off), false) = (recall.found_off, is_typed) {
            filled.suggest("percent", off.percent.to_string());
            filled.suggest("digits", off.digits.to_string());
        }
        let off = found_off(&mut filled);
        Self { filled, off }
    }

    fn off_query(&self) -> String {
        let pair = |name: &str| format!("{name}={}&", encode(self.filled.text(name)));
        ["percent", "digits"].map(pair).concat()
    }
}

fn lede(instrument: &Instrument, recall: &Recall) -> String {
    let days = format!(
        "Out of tolerance since {}, found on {}.",
        day_words(&recall.from),
        day_words(&recall.found_on)
    );
    match instrument.ended_on(recall) {
        Some(day) => format!("{days} Calibrated on {}: later readings count.", day_words(day)),
        None => format!("{days} Nothing taken with it counts until it is calibrated."),
    }
}

async fn group(
    app: &App,
    who: &Who,
    doubt: &Doubt<'_>,
    (released, asked): (bool, &Asked),
) -> Result<JobsView, WebError> {
    let (word, title, lede) = if released {
        (
            "released",
            "Released already",
            "The certificate stands as it was issued. Inspect again where the margin may be gone.",
        )
    } else {
        (
            "open",
            "Not released yet",
            "These results do not count any more; the steps are due again.",
        )
    };
    let before = asked.filled.text(word).parse::<PageMark>().ok();
    let of = (who.workshop(), doubt.instrument.id);
    let span = doubt.span(Some(released));
    let used = instrument_use::list(app.store(), of, span, before, JOBS_LISTED).await?;
    let last = used.last().filter(|_| used.len() == JOBS_LISTED as usize);
    let later = last.map(|last: &UsedIn| {
        let mark = PageMark { updated: last.last, id: last.job };
        format!("?{}{word}={mark}#{word}", asked.off_query())
    });
    let mut jobs = Vec::new();
    for one in &used {
        let job = doubt.job(app.store(), who.workshop(), one.job).await?;
        jobs.push(job_row(&job, &doubt.readings_of(&job), doubt.recall));
    }
    Ok(JobsView { word, title, lede, jobs, later })
}

fn job_row(job: &DoubtedJob, readings: &[DoubtedReading], recall: &Recall) -> JobRow {
    let row = &job.file.row;
    let here = format!("/jobs/{}", row.id);
    let released = job.file.state.released.as_ref().map(|signed| signed.act.received);
    let certificate = job.certificate.as_ref();
    let named = certificate.map(|row| {
        let number = on_paper(&row.number);
        if row.withdrawn.is_some() { format!("{number}, withdrawn") } else { number }
    });
    let customer = &row.customer_name;
    let (state, act) = match released {
        None => (
            job.file.state.stage().title().to_owned(),
            Some((format!("{here}/review"), "Open the review")),
        ),
        Some(at) if at > recall.noted => {
            (format!("Tested again and released since, for {customer}"), None)
        }
        Some(_) => (
            format!("Certificate {}, {customer}", named.unwrap_or_else(|| "not made".to_owned())),
            Some((format!("{here}/again"), "Inspect again")),
        ),
    };
    JobRow {
        href: here,
        number: row.number,
        vehicle: format!("{}, {}", row.vehicle, row.registration),
        readings: readings_words(readings),
        state,
        act,
    }
}

/// `3 results: 2 still pass, 1 with its margin used up`
fn readings_words(readings: &[DoubtedReading]) -> String {
    let results: Vec<_> = readings.iter().filter(|reading| reading.is_result).collect();
    let replaced = readings.len() - results.len();
    let mut words = match results.len() {
        0 => "No result that counted".to_owned(),
        1 => "1 result".to_owned(),
        count => format!("{count} results"),
    };
    let count = |wanted| results.iter().filter(|r| r.survives == Some(wanted)).count();
    let told = [
        (count(Survives::Yes), "would still pass"),
        (count(Survives::No), "with the margin used up"),
        (count(Survives::CannotBeTold), "of which it cannot be told"),
    ];
    let told: Vec<String> = told
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, words)| format!("{count} {words}"))
        .collect();
    if !told.is_empty() {
        words = format!("{words}: {}", told.join(", "));
    }
    if replaced > 0 { format!("{words}; {replaced} that others replaced") } else { words }
}

async fn readings(
    app: &App,
    who: &Who,
    doubt: &Doubt<'_>,
    asked: &Asked,
) -> Result<(Vec<ReadingRow>, Option<String>), WebError> {
    let before = parse_mark(asked.filled.text("readings"));
    let page = (before, READINGS_LISTED);
    let found = doubt.readings(app.store(), who.workshop(), page).await?;
    let last = found.last().filter(|_| found.len() == READINGS_LISTED as usize);
    let later = last.map(|(mark, ..)| format!("{}_{}_{}", mark.recorded.0, mark.job, mark.seq));
    let row = |(mark, number, _, reading): (ReadingMark, u64, String, DoubtedReading)| ReadingRow {
        at: reading.recorded.date_and_minute(),
        href: format!("/jobs/{}", mark.job),
        number,
        mark: mark_of(&reading),
        survives: reading.survives.map(survives_mark),
        step: reading.step,
        value: reading.value,
        limit: reading.limit,
        margin: reading.margin,
    };
    Ok((found.into_iter().map(row).collect(), later))
}

fn mark_of(reading: &DoubtedReading) -> Mark {
    match reading.verdict {
        Some(_) if !reading.is_result => Mark { kind: "uncounted", word: "Replaced" },
        Some(verdict) => Mark::of(verdict),
        None => Mark { kind: "uncounted", word: "Not counted" },
    }
}

fn survives_mark(survives: Survives) -> (&'static str, &'static str) {
    let kind = match survives {
        Survives::Yes => "pass",
        Survives::No => "fail",
        Survives::CannotBeTold => "inconclusive",
    };
    (kind, survives.words())
}

fn parse_mark(text: &str) -> Option<ReadingMark> {
    let mut parts = text.split('_');
    let recorded = Moment(parts.next()?.parse().ok()?);
    let (job, seq) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
    Some(ReadingMark { recorded, job, seq })
}
