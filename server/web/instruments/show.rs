//! `/instruments/{instrument}`: one instrument with its calibrations, and every job that rests on it, for the
//! day when it turns out to have read wrongly.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use super::recall::{RecallForm, form};
use super::upload::PAPER;
use super::{InstrumentRow, row};
use crate::acts::job::{JobFile, load};
use crate::domain::calibration_paper::PAPER_MIB_MAX;
use crate::domain::certificate::on_paper;
use crate::domain::ids::{CalibrationId, InstrumentId, Moment};
use crate::domain::instrument::{Calibration, Instrument, Recall};
use crate::domain::job::{Recorded, StepState};
use crate::storage::calibration_files::{self, FileRow};
use crate::storage::certificates::{self, CertificateRow};
use crate::storage::instrument_use::{self, Span, UsedIn};
use crate::storage::instruments;
use crate::storage::jobs::PageMark;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Field, Filled, FormFault, day, day_words, id};
use crate::web::page::{Done, Frame, page};
use crate::web::session::Who;
use crate::web::views::Mark;

/// Jobs on one page: each is read as a whole.
const LISTED: u32 = 20;
/// Below the field of a paper.
pub(super) const PAPER_HINT: &str = "PDF, PNG or JPEG, up to 10 MiB. It is kept as it is.";
const _: () = assert!(PAPER_MIB_MAX == 10, "the hint names another size");

/// What the address may say.
#[derive(Debug, Default, Deserialize)]
pub(in crate::web) struct ShowQuery {
    #[serde(default)]
    since: String,
    #[serde(default)]
    before: String,
}

struct UseRow {
    href: String,
    number: u64,
    vehicle: String,
    /// Step, title, value and verdict of each reading that counts.
    readings: Vec<(String, String, Mark)>,
    /// Readings that later ones replaced.
    replaced: Option<String>,
    last: String,
    state: String,
}

struct FileView {
    href: String,
    words: String,
    sha256: String,
}

struct CalibrationView {
    done_on: String,
    due_on: String,
    certificate: String,
    files: Vec<FileView>,
    /// The form that attaches a file; nothing on an instrument out of use.
    attach: Option<AttachForm>,
}

struct AttachForm {
    action: String,
    paper: Field,
    /// The attribute, where the form came back.
    open: Option<&'static str>,
}

struct RecallView {
    href: String,
    from: String,
    reason: String,
    ended: String,
}

#[derive(Template)]
#[template(path = "pages/instrument.html")]
struct InstrumentPage {
    frame: Frame,
    instrument: InstrumentRow,
    calibrations: Vec<CalibrationView>,
    recalls: Vec<RecallView>,
    /// Nothing on an instrument out of use.
    recall: Option<RecallForm>,
    faults: Vec<FormFault>,
    since: Field,
    action: String,
    counted: String,
    jobs: Vec<UseRow>,
    later: Option<String>,
}

/// What the page says after a change.
const DONE: [(&str, &str); 1] = [("attached", "The file is kept with its calibration.")];

/// A form that comes back with the page.
pub(super) enum Sent {
    Nothing,
    Recall(Filled),
    File(CalibrationId, Filled),
}

/// GET /instruments/{instrument}
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    Path(instrument): Path<String>,
    Query(query): Query<ShowQuery>,
    done: Done,
) -> Result<Response, WebError> {
    let found = instruments::load(app.store(), who.workshop(), id(&instrument)?).await?;
    let instrument = found.ok_or(WebError::NotFound)?;
    let shown = instrument_page(&app, &who, (&instrument, &query), Sent::Nothing).await?;
    let frame = done.noted(shown.frame, &DONE);
    Ok(page(&InstrumentPage { frame, ..shown }))
}

/// The page with a form that could not be taken.
pub(super) async fn refused(
    app: &App,
    who: &Who,
    instrument: &Instrument,
    sent: Sent,
) -> Result<Response, WebError> {
    let about = (instrument, &ShowQuery::default());
    let again = page(&instrument_page(app, who, about, sent).await?);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}

async fn instrument_page(
    app: &App,
    who: &Who,
    (instrument, query): (&Instrument, &ShowQuery),
    sent: Sent,
) -> Result<InstrumentPage, WebError> {
    let (mut recall_sent, mut file_sent) = match sent {
        Sent::Nothing => (None, None),
        Sent::Recall(filled) => (Some(filled), None),
        Sent::File(of, filled) => (None, Some((of, filled.about(of)))),
    };
    let (span, since) = since(instrument, &query.since);
    let before = query.before.parse::<PageMark>().ok();
    let of = (who.workshop(), instrument.id);
    let used = instrument_use::list(app.store(), of, span, before, LISTED).await?;
    let (jobs, readings) = instrument_use::count(app.store(), of, span).await?;
    let action = href(instrument.id);
    let goes_on = used.last().filter(|_| used.len() == LISTED as usize);
    let later = goes_on.map(|last| {
        let mark = PageMark { updated: last.last, id: last.job };
        format!("{action}?since={}&before={mark}", since.value)
    });
    let mut rows = Vec::new();
    for one in &used {
        rows.push(use_row(app, who, instrument, one, span.from).await?);
    }
    let files = calibration_files::list(app.store(), who.workshop(), instrument.id).await?;
    let recall = (!instrument.retired).then(|| form(instrument, app.now(), recall_sent.as_mut()));
    let calibrations = calibrations(instrument, &files, file_sent.as_mut());
    let faults = recall_sent.or(file_sent.map(|(_, filled)| filled));
    Ok(InstrumentPage {
        frame: Frame::new(instrument.label.clone(), who, "/instruments"),
        calibrations,
        recalls: instrument.recalls.iter().rev().map(|one| recall_view(instrument, one)).collect(),
        recall,
        faults: faults.map_or_else(Vec::new, Filled::into_faults),
        instrument: row(instrument, app.now()),
        since,
        action,
        counted: counted(jobs, readings),
        jobs: rows,
        later,
    })
}

/// The newest first, each with its files.
fn calibrations(
    instrument: &Instrument,
    files: &[FileRow],
    mut sent: Option<&mut (CalibrationId, Filled)>,
) -> Vec<CalibrationView> {
    let mut newest_first: Vec<&Calibration> = instrument.calibrations.iter().collect();
    newest_first.sort_by(|one, other| other.done_on.cmp(&one.done_on));
    let view = |one: &Calibration| {
        let here = format!("{}/calibrations/{}/files", href(instrument.id), one.id);
        let mut none = Filled::default().about(one.id);
        let sent = sent.as_mut().filter(|(of, _)| *of == one.id).map(|(_, filled)| filled);
        let open = sent.is_some().then_some("open");
        let paper = sent.unwrap_or(&mut none).field(PAPER, "Its paper, as a file");
        let attach = AttachForm { action: here.clone(), paper: paper.hint(PAPER_HINT), open };
        let of_this = files.iter().filter(|file| file.calibration == one.id);
        CalibrationView {
            done_on: one.done_on.clone(),
            due_on: one.due_on.clone(),
            certificate: one.certificate.clone(),
            files: of_this.map(|file| file_view(&here, file)).collect(),
            attach: (!instrument.retired).then_some(attach),
        }
    };
    newest_first.into_iter().map(view).collect()
}

fn file_view(here: &str, file: &FileRow) -> FileView {
    let kind = file.kind.ending().to_uppercase();
    FileView {
        href: format!("{here}/{}", file.sha256),
        words: format!("{kind}, {} kB, {}", file.bytes.div_ceil(1000), file.received.date()),
        sha256: file.sha256.to_string(),
    }
}

fn recall_view(instrument: &Instrument, recall: &Recall) -> RecallView {
    RecallView {
        href: format!("{}/recalls/{}", href(instrument.id), recall.id),
        from: day_words(&recall.from),
        reason: recall.reason.clone(),
        ended: instrument
            .ended_on(recall)
            .map_or_else(|| "no calibration yet".to_owned(), day_words),
    }
}

/// From which day on readings are asked about: the one typed, or that of the calibration before the newest,
/// since which nobody has found the instrument to be right.
fn since(instrument: &Instrument, typed: &str) -> (Span, Field) {
    let mut done: Vec<&str> = instrument.calibrations.iter().map(|c| c.done_on.as_str()).collect();
    done.sort_unstable();
    let before_newest = done.iter().rev().nth(1).or(done.first());
    let mut filled = Filled::with([("since", typed)]);
    if typed.is_empty() {
        filled.suggest("since", before_newest.copied().unwrap_or_default());
    } else if day(typed).is_none() {
        filled.fault("since", "Choose a day.");
    }
    let from = day(filled.text("since")).map_or(Moment(0), Moment::start_of);
    let field = filled.field("since", "Readings since").hint(
        "Found off at a calibration? Everything since the calibration before it is in doubt.",
    );
    (Span::since(from), field)
}

pub(super) fn counted(jobs: u64, readings: u64) -> String {
    match (jobs, readings) {
        (0, _) => "No reading was taken with it since then.".to_owned(),
        (1, 1) => "One reading of one job rests on it.".to_owned(),
        (1, _) => format!("{readings} readings of one job rest on it."),
        _ => format!("{readings} readings of {jobs} jobs rest on it."),
    }
}

async fn use_row(
    app: &App,
    who: &Who,
    instrument: &Instrument,
    used: &UsedIn,
    since: Moment,
) -> Result<UseRow, WebError> {
    let file = load(app.store(), who.workshop(), used.job).await?;
    let newest = certificates::list(app.store(), who.workshop(), used.job).await?.pop();
    let with_it = |result: &&Recorded| {
        result.act.recorded >= since && result.body.payload.instruments().contains(&instrument.id)
    };
    let all: usize =
        file.state.steps.iter().map(|s| s.history.iter().filter(with_it).count()).sum();
    let readings: Vec<_> = file
        .state
        .steps
        .iter()
        .filter_map(|step| Some((step, step.result().filter(with_it)?)))
        .map(|(step, result)| reading(step, result))
        .collect();
    Ok(UseRow {
        href: format!("/jobs/{}", used.job),
        number: file.row.number,
        vehicle: format!("{}, {}", file.row.vehicle, file.row.registration),
        replaced: (all > readings.len())
            .then(|| format!("and {} that others replaced", all - readings.len())),
        readings,
        last: day_words(&used.last.date()),
        state: state_words(&file, newest.as_ref()),
    })
}

fn reading(step: &StepState, result: &Recorded) -> (String, String, Mark) {
    let value = match &result.judged {
        Ok(judged) => judged.value.clone(),
        Err(_) => result.body.payload.value_words(),
    };
    (format!("{}. {}", step.number, step.step.title), value, Mark::of_step(step))
}

/// What is to be done about it depends on whether somebody relies on it already.
fn state_words(file: &JobFile, certificate: Option<&CertificateRow>) -> String {
    match certificate {
        Some(row) if row.withdrawn.is_some() => {
            format!("Certificate {} is withdrawn", on_paper(&row.number))
        }
        Some(row) => format!("Certificate {} rests on it: inspect again", on_paper(&row.number)),
        None => format!("{}: send these steps back", file.state.stage().title()),
    }
}

/// An address of the page, for links.
pub(super) fn href(instrument: InstrumentId) -> String {
    format!("/instruments/{instrument}")
}
