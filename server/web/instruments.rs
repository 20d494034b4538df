//! `/instruments`: what is measured with, how well, and until when it is in calibration.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault, day_words, id};
use super::page::{Done, Frame, page};
use super::session::Who;
use crate::acts::recall::note_calibration;
use crate::domain::ids::{CalibrationId, InstrumentId, Moment};
use crate::domain::instrument::standing::{Standing, WARN_DAYS};
use crate::domain::instrument::{Instrument, Range};
use crate::storage::instruments;

mod doubt;
mod form;
mod papers;
mod recall;
mod show;
mod upload;

pub(super) use doubt::{csv_file, show as show_recall};
pub(super) use papers::{attach, file};
pub(super) use recall::recall;
pub(super) use show::show;
pub(super) use upload::REQUEST_KIB_MAX;

use form::{checked_calibration, checked_instrument, preset_choices, row_fields};
use show::PAPER_HINT;
use upload::{PAPER, WithPaper};

/// What the page says after a change.
const DONE: [(&str, &str); 3] = [
    ("added", "Added. It can be chosen on every sheet now."),
    ("calibrated", "The calibration is noted."),
    ("retired", "Retired. Readings made with it stay as they are."),
];

struct InstrumentRow {
    label: String,
    kind: String,
    serial: String,
    ranges: Vec<String>,
    due: String,
    state: &'static str,
    word: String,
    /// Of what a manager can do about it, and of its own page.
    care: Option<String>,
    href: Option<String>,
}

/// What a manager can do about one instrument.
struct Care {
    id: String,
    label: String,
    calibrate: String,
    retire: String,
    done_on: Field,
    due_on: Field,
    certificate: Field,
    paper: Field,
    /// The attribute, where the form came back.
    open: Option<&'static str>,
}

/// One row for a range in the form.
struct RangeFields {
    title: String,
    unit: Field,
    units: Vec<Choice>,
    figures: [Field; 5],
}

/// The form for a new instrument.
struct NewFields {
    label: Field,
    kind: Field,
    serial: Field,
    preset: Field,
    presets: Vec<Choice>,
    first: RangeFields,
    more: Vec<RangeFields>,
    more_open: Option<&'static str>,
    days: [Field; 2],
    certificate: Field,
}

#[derive(Template)]
#[template(path = "pages/instruments.html")]
struct InstrumentsPage {
    frame: Frame,
    instruments: Vec<InstrumentRow>,
    cares: Vec<Care>,
    empty: Option<()>,
    warning: Option<String>,
    new: Option<NewFields>,
    faults: Vec<FormFault>,
}

/// GET /instruments
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    done: Done,
) -> Result<Response, WebError> {
    let shown = instruments_page(&app, &who, Sent::Nothing).await?;
    let frame = done.noted(shown.frame, &DONE);
    Ok(page(&InstrumentsPage { frame, ..shown }))
}

/// A form that comes back with the page.
enum Sent {
    Nothing,
    Instrument(Filled),
    Calibration(InstrumentId, Filled),
}

async fn instruments_page(app: &App, who: &Who, sent: Sent) -> Result<InstrumentsPage, WebError> {
    let all = instruments::list(app.store(), who.workshop()).await?;
    let (mut new, mut calibration) = match sent {
        Sent::Nothing => (Filled::default(), None),
        Sent::Instrument(filled) => (filled, None),
        Sent::Calibration(id, filled) => (Filled::default(), Some((id, filled))),
    };
    let may_care = |instrument: &&Instrument| who.is_manager() && !instrument.retired;
    let cares = all.iter().filter(may_care).map(|one| care(one, calibration.as_mut())).collect();
    let rows = all.iter().map(|instrument| InstrumentRow {
        care: may_care(&instrument).then(|| care_id(instrument)),
        href: who.is_manager().then(|| show::href(instrument.id)),
        ..row(instrument, app.now())
    });
    Ok(InstrumentsPage {
        frame: Frame::new("Instruments", who, "/instruments"),
        empty: all.is_empty().then_some(()),
        warning: warning(&all, app.now()),
        instruments: rows.collect(),
        cares,
        new: who.is_manager().then(|| new_fields(&mut new)),
        faults: calibration.map_or(new, |(_, filled)| filled).into_faults(),
    })
}

fn care_id(instrument: &Instrument) -> String {
    format!("c-{}", instrument.id)
}

fn row(instrument: &Instrument, now: Moment) -> InstrumentRow {
    let newest = instrument.newest_calibration(now);
    let standing = instrument.standing(now);
    InstrumentRow {
        label: instrument.label.clone(),
        kind: instrument.kind.clone(),
        serial: instrument.serial.clone(),
        ranges: instrument.ranges.iter().map(range_words).collect(),
        due: match (standing, newest) {
            (Standing::Recalled, _) => "not until it is calibrated".to_owned(),
            (_, Some(newest)) => day_words(&newest.due_on),
            (_, None) => "never calibrated".to_owned(),
        },
        state: shape(standing),
        word: standing.words(),
        care: None,
        href: None,
    }
}

fn shape(standing: Standing) -> &'static str {
    match standing {
        Standing::Retired => "uncounted",
        Standing::Recalled | Standing::NeverCalibrated | Standing::Lapsed => "stop",
        Standing::Ends { .. } => "caution",
        Standing::InDate => "pass",
    }
}

/// What to see to, in one sentence; nothing where all are in date.
fn warning(all: &[Instrument], now: Moment) -> Option<String> {
    let standings: Vec<Standing> = all.iter().map(|one| one.standing(now)).collect();
    let count = |wanted: fn(Standing) -> bool| standings.iter().filter(|s| wanted(**s)).count();
    let due = format!("due within {WARN_DAYS} days");
    let parts = [
        (count(|s| s == Standing::Recalled), "recalled"),
        (
            count(|s| matches!(s, Standing::Lapsed | Standing::NeverCalibrated)),
            "without a valid calibration",
        ),
        (count(|s| matches!(s, Standing::Ends { .. })), due.as_str()),
    ];
    let told = parts.iter().filter(|(count, _)| *count > 0);
    let told: Vec<String> = told.map(|(count, words)| format!("{count} {words}")).collect();
    (!told.is_empty()).then(|| format!("To see to: {}.", told.join(", ")))
}

/// `0 to 60 V, ±(0.5 % + 3 × 0.01 V)`
fn range_words(range: &Range) -> String {
    let Range { unit, from, to, resolution, percent, digits } = range;
    let accuracy = match (percent.is_zero(), *digits) {
        (_, 0) => format!("±{percent} %"),
        (true, digits) => format!("±{digits} × {resolution} {unit}"),
        (false, digits) => format!("±({percent} % + {digits} × {resolution} {unit})"),
    };
    format!("{from} to {to} {unit}, {accuracy}")
}

fn care(instrument: &Instrument, sent: Option<&mut (InstrumentId, Filled)>) -> Care {
    let id = instrument.id;
    let mut none = Filled::default().about(id);
    let sent = sent.filter(|(sent, _)| *sent == id).map(|(_, filled)| filled);
    let open = sent.is_some().then_some("open");
    let filled = sent.unwrap_or(&mut none);
    Care {
        id: care_id(instrument),
        label: instrument.label.clone(),
        calibrate: format!("/instruments/{id}/calibrations"),
        retire: format!("/instruments/{id}/retire"),
        done_on: filled.field("done_on", "Calibrated on"),
        due_on: filled.field("due_on", "In date to"),
        certificate: filled.field("certificate", "Number of the calibration paper"),
        paper: filled.field(PAPER, "The paper itself").optional().hint(PAPER_HINT),
        open,
    }
}

fn new_fields(filled: &mut Filled) -> NewFields {
    let mut rows = row_fields(filled);
    let more = rows.split_off(1);
    let has_fault = |row: &RangeFields| row.figures.iter().any(|field| field.error.is_some());
    let more_open = more.iter().any(has_fault).then_some("open");
    NewFields {
        label: filled.field("label", "Name on its label").hint("As people call it: Wrench 07."),
        kind: filled.field("kind", "What it is").hint("Such as: Torque wrench, 3 to 15 N·m."),
        serial: filled.field("serial", "Serial number").hint("As on its plate."),
        preset: filled.field("preset", "Accuracy"),
        presets: preset_choices(filled),
        first: rows.swap_remove(0),
        more,
        more_open,
        days: [filled.field("done_on", "Calibrated on"), filled.field("due_on", "In date to")],
        certificate: filled.field("certificate", "Number of the calibration paper"),
    }
}

/// POST /instruments
pub(super) async fn append(
    State(app): State<App>,
    who: Who,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let ids = (InstrumentId(app.new_id()?), CalibrationId(app.new_id()?));
    let Some(instrument) = checked_instrument(&mut filled, ids, app.now()) else {
        return refused(&app, &who, Sent::Instrument(filled)).await;
    };
    instruments::append(app.store(), who.workshop(), instrument, app.now()).await?;
    Ok(Redirect::to("/instruments?done=added").into_response())
}

/// POST /instruments/{instrument}/calibrations
pub(super) async fn calibrate(
    State(app): State<App>,
    who: Who,
    Path(instrument): Path<String>,
    mut sent: WithPaper,
) -> Result<Response, WebError> {
    let instrument = in_use(&app, &who, &instrument).await?;
    let id = CalibrationId(app.new_id()?);
    let paper = sent.paper();
    let Some(calibration) = checked_calibration(&mut sent.filled, id, app.now()) else {
        let sent = Sent::Calibration(instrument, sent.filled.about(instrument));
        return refused(&app, &who, sent).await;
    };
    note_calibration(app.store(), who.workshop(), instrument, calibration).await?;
    if let Some(paper) = paper {
        papers::keep(&app, &who, (instrument, id), paper).await?;
    }
    Ok(Redirect::to("/instruments?done=calibrated").into_response())
}

/// POST /instruments/{instrument}/retire
pub(super) async fn retire(
    State(app): State<App>,
    who: Who,
    Path(instrument): Path<String>,
) -> Result<Redirect, WebError> {
    let instrument = in_use(&app, &who, &instrument).await?;
    instruments::retire(app.store(), who.workshop(), instrument, app.now()).await?;
    Ok(Redirect::to("/instruments?done=retired"))
}

async fn in_use(app: &App, who: &Who, instrument: &str) -> Result<InstrumentId, WebError> {
    let found = instruments::load(app.store(), who.workshop(), id(instrument)?).await?;
    let in_use = found.filter(|instrument| !instrument.retired).ok_or(WebError::NotFound)?;
    Ok(in_use.id)
}

async fn refused(app: &App, who: &Who, sent: Sent) -> Result<Response, WebError> {
    let again = page(&instruments_page(app, who, sent).await?);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}
