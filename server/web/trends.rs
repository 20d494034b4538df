//! `/trends`: what the results of many jobs say together, as a page, as CSV and as a spreadsheet.

mod view;

use askama::Template;
use axum::extract::{Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use time::{Date, Duration};

use self::view::Figures;
use super::app::App;
use super::error::{WebError, ours};
use super::form::{Choice, Field, Filled, Pairs};
use super::page::{Frame, page};
use super::session::Who;
use super::shield::FILES;
use crate::acts::trends::{Asked, Trends, tables, trends};
use crate::documents::table_file::{csv, spreadsheet};
use crate::domain::ids::{InstrumentId, PersonId};
use crate::domain::trends::PathKey;

/// The period where none is asked for.
const DAYS_SHOWN: i64 = 365;
const CHOOSE: &str = "Choose one of the list.";
const SPREADSHEET: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

/// The form above the figures.
struct FormView {
    from: Field,
    to: Field,
    kit: (Field, Vec<Choice>),
    path: (Field, Vec<Choice>),
    person: (Field, Vec<Choice>),
    instrument: (Field, Vec<Choice>),
    /// To a person or an instrument.
    narrowed: Option<()>,
}

#[derive(Template)]
#[template(path = "pages/trends.html")]
struct TrendsPage {
    frame: Frame,
    form: FormView,
    /// Nothing where the form cannot be answered.
    figures: Option<Figures>,
}

/// GET /trends
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let mut filled = Filled::with(pairs);
    let frame = Frame::new("Trends", &who, "/trends");
    let today = app.now().utc().date();
    let asked = read(&mut filled, today);
    // With nothing that could be read the lists are those of the usual period.
    let known = asked.clone().unwrap_or_else(|| usual(today));
    let found = trends(app.store(), who.workshop(), &known).await?;
    refuse_unknown(&mut filled, &found);
    if asked.is_none() || !filled.is_sound() {
        let frame = frame.noting("bad", "This cannot be shown. Mend what is marked below.");
        let again = TrendsPage { frame, form: form(&mut filled, &found), figures: None };
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&again)).into_response());
    }
    let form = form(&mut filled, &found);
    Ok(page(&TrendsPage { frame, form, figures: Some(view::figures(&found)) }))
}

/// GET /trends.csv: every result that fits the same form.
pub(super) async fn csv_file(
    State(app): State<App>,
    who: Who,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let found = answered(&app, &who, pairs).await?;
    let text = app.heavy(move || csv(&tables::results(&found))).await?;
    Ok(file("text/csv; charset=utf-8; header=present", "trends.csv", text.into_bytes()))
}

/// GET /trends.xlsx: the same, with what the page shows on sheets of their own.
pub(super) async fn spreadsheet_file(
    State(app): State<App>,
    who: Who,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let found = answered(&app, &who, pairs).await?;
    let now = app.now();
    let made = app.heavy(move || spreadsheet(&tables::workbook(&found), now)).await?;
    Ok(file(SPREADSHEET, "trends.xlsx", made.map_err(ours)?))
}

async fn answered(app: &App, who: &Who, pairs: Pairs) -> Result<Trends, WebError> {
    let mut filled = Filled::with(pairs);
    let asked = read(&mut filled, app.now().utc().date());
    let refused = |filled: Filled| {
        let first = filled.into_faults().into_iter().next();
        let words = first.map_or_else(String::new, |fault| format!("{}: {}", fault.id, fault.text));
        WebError::Rule(format!("This file cannot be made. {words}"))
    };
    let Some(asked) = asked else { return Err(refused(filled)) };
    let found = trends(app.store(), who.workshop(), &asked).await?;
    refuse_unknown(&mut filled, &found);
    if filled.is_sound() { Ok(found) } else { Err(refused(filled)) }
}

fn file(kind: &'static str, name: &str, bytes: Vec<u8>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
        (header::CONTENT_SECURITY_POLICY, FILES.to_owned()),
    ];
    (headers, bytes).into_response()
}

fn usual(today: Date) -> Asked {
    let from = today.checked_sub(Duration::days(DAYS_SHOWN)).unwrap_or(today);
    Asked { from, to: today, kit: None, path: None, person: None, instrument: None }
}

/// What the form asks; nothing where it cannot be read, which it then says.
fn read(filled: &mut Filled, today: Date) -> Option<Asked> {
    let usual = usual(today);
    for (name, day) in [("from", usual.from), ("to", usual.to)] {
        if filled.text(name).is_empty() {
            filled.suggest(name, day.to_string());
        }
    }
    let (from, to) = (filled.day("from"), filled.day("to"));
    if from.zip(to).is_some_and(|(from, to)| from > to) {
        filled.fault("to", "This day lies before the first one. Choose a later one.");
    }
    let kit = Some(filled.text("kit").to_owned()).filter(|kit| !kit.is_empty());
    let path = maybe(filled, "path", |text| {
        let (kit, step) = text.split_once('/')?;
        Some(PathKey { kit: kit.to_owned(), step: step.to_owned() })
    });
    let person = maybe(filled, "person", |text| text.parse().ok().map(PersonId));
    let instrument = maybe(filled, "instrument", |text| text.parse().ok().map(InstrumentId));
    let (from, to) = from.zip(to).filter(|_| filled.is_sound())?;
    Some(Asked { from, to, kit, path, person, instrument })
}

/// What one of the lists says; nothing where nothing was chosen.
fn maybe<T>(filled: &mut Filled, name: &str, parse: impl FnOnce(&str) -> Option<T>) -> Option<T> {
    let text = filled.text(name).to_owned();
    if text.is_empty() {
        return None;
    }
    let read = parse(&text);
    if read.is_none() {
        filled.fault(name, CHOOSE);
    }
    read
}

/// A kit, a person or an instrument that this workshop does not have. A path that was not measured in the
/// period is none of these: another one is shown.
fn refuse_unknown(filled: &mut Filled, found: &Trends) {
    let known = |name: &str, text: &str| match name {
        "kit" => found.kits.contains_key(text),
        "person" => text.parse().is_ok_and(|id| found.has_person(PersonId(id))),
        _ => text.parse().is_ok_and(|id| found.has_instrument(InstrumentId(id))),
    };
    for name in ["kit", "person", "instrument"] {
        let text = filled.text(name).to_owned();
        if !text.is_empty() && !known(name, &text) {
            filled.fault(name, CHOOSE);
        }
    }
}

fn form(filled: &mut Filled, found: &Trends) -> FormView {
    let or_all = |all: &str, some: Vec<(String, String)>| {
        [(String::new(), all.to_owned())].into_iter().chain(some)
    };
    let kits = found.kits.iter().map(|(code, title)| (code.clone(), format!("{title} ({code})")));
    let kit = filled.choices("kit", or_all("All kits", kits.collect()));
    let people = found.people().into_iter().map(|(id, name)| (id.to_string(), name.to_owned()));
    let person = filled.choices("person", or_all("Everybody", people.collect()));
    let tools = found.instruments().into_iter().map(|(id, name)| (id.to_string(), name.to_owned()));
    let instrument = filled.choices("instrument", or_all("All instruments", tools.collect()));
    let narrowed = ["person", "instrument"].iter().any(|name| !filled.text(name).is_empty());
    FormView {
        narrowed: narrowed.then_some(()),
        from: filled.field("from", "From"),
        to: filled.field("to", "To"),
        kit: (filled.field("kit", "Kit"), kit),
        path: (filled.field("path", "Circuit of the control chart"), path_choices(found)),
        person: (filled.field("person", "Recorded by"), person),
        instrument: (filled.field("instrument", "Measured with"), instrument),
    }
}

/// The path that is shown is the chosen one.
fn path_choices(found: &Trends) -> Vec<Choice> {
    let value = |key: &PathKey| format!("{}/{}", key.kit, key.step);
    let chosen = found.path.as_ref().map(|path| value(&path.key)).unwrap_or_default();
    let none = found.paths.is_empty();
    let none = none.then(|| Choice::new("", "No path was measured in this period", ""));
    let paths = found.paths.iter().map(|(key, title, count)| {
        Choice::new(value(key), format!("{title} ({}): {count}", key.kit), &chosen)
    });
    none.into_iter().chain(paths).collect()
}
