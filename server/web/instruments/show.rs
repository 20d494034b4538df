//! `/instruments/{instrument}`: one instrument with its calibrations, and every job that rests on it, for the
//! day when it turns out to have read wrongly.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;

use super::{InstrumentRow, row};
use crate::acts::job::{JobFile, load};
use crate::domain::certificate::on_paper;
use crate::domain::ids::{InstrumentId, Moment};
use crate::domain::instrument::{Calibration, Instrument};
use crate::domain::job::{Recorded, StepState};
use crate::storage::certificates::{self, CertificateRow};
use crate::storage::instrument_use::{self, UsedIn};
use crate::storage::instruments;
use crate::storage::jobs::PageMark;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Field, Filled, day, day_words, id};
use crate::web::page::{Frame, page};
use crate::web::session::Who;
use crate::web::views::Mark;

/// Jobs on one page: each is read as a whole.
const LISTED: u32 = 20;

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

#[derive(Template)]
#[template(path = "pages/instrument.html")]
struct InstrumentPage {
    frame: Frame,
    instrument: InstrumentRow,
    calibrations: Vec<Calibration>,
    since: Field,
    action: String,
    counted: String,
    jobs: Vec<UseRow>,
    later: Option<String>,
}

/// GET /instruments/{instrument}
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    Path(instrument): Path<String>,
    Query(query): Query<ShowQuery>,
) -> Result<Response, WebError> {
    let found = instruments::load(app.store(), who.workshop(), id(&instrument)?).await?;
    let instrument = found.ok_or(WebError::NotFound)?;
    let (moment, since) = since(&instrument, &query.since);
    let before = query.before.parse::<PageMark>().ok();
    let of = (who.workshop(), instrument.id);
    let used = instrument_use::list(app.store(), of, moment, before, LISTED).await?;
    let (jobs, readings) = instrument_use::count(app.store(), of, moment).await?;
    let action = format!("/instruments/{}", instrument.id);
    let goes_on = used.last().filter(|_| used.len() == LISTED as usize);
    let later = goes_on.map(|last| {
        let mark = PageMark { updated: last.last, id: last.job };
        format!("{action}?since={}&before={mark}", since.value)
    });
    let mut rows = Vec::new();
    for one in &used {
        rows.push(use_row(&app, &who, &instrument, one, moment).await?);
    }
    Ok(page(&InstrumentPage {
        frame: Frame::new(instrument.label.clone(), &who, "/instruments"),
        calibrations: newest_first(&instrument),
        instrument: row(&instrument, app.now()),
        since,
        action,
        counted: counted(jobs, readings),
        jobs: rows,
        later,
    }))
}

fn newest_first(instrument: &Instrument) -> Vec<Calibration> {
    let mut calibrations = instrument.calibrations.clone();
    calibrations.sort_by(|one, other| other.done_on.cmp(&one.done_on));
    calibrations
}

/// From which day on readings are asked about: the one typed, or that of the calibration before the newest,
/// since which nobody has found the instrument to be right.
fn since(instrument: &Instrument, typed: &str) -> (Moment, Field) {
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
    (from, field)
}

fn counted(jobs: u64, readings: u64) -> String {
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
