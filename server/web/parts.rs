//! `/parts`: which vehicles carry part X, batch Y, as a page and as CSV.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::error::{WebError, encode};
use super::form::{Field, Filled, Pairs, day_words};
use super::page::{Frame, page};
use super::session::Who;
use super::shield::FILES;
use crate::acts::trends::is_reading;
use crate::documents::table_file::{Cell, Table, csv};
use crate::domain::ids::Moment;
use crate::domain::job::Stage;
use crate::domain::number::Decimal;
use crate::domain::parts::Carried;
use crate::storage::parts::{self, FOUND_MAX, FoundPart, PartPage, Recall};

const LISTED: u32 = 50;
const ASKED_CHARS_MAX: usize = 80;

struct PartRow {
    href: String,
    job: u64,
    registration: String,
    vehicle: String,
    customer: String,
    name: String,
    number: String,
    mark: &'static str,
    value: String,
    fitted: String,
    /// Whether the vehicle carries it.
    kind: &'static str,
    word: &'static str,
    released: &'static str,
}

#[derive(Template)]
#[template(path = "pages/parts.html")]
struct PartsPage {
    frame: Frame,
    part: Field,
    value: Field,
    exact: Option<()>,
    /// Address and words of each.
    known: Vec<(String, String)>,
    /// Jobs from before are still being read.
    reading: Option<()>,
    rows: Vec<PartRow>,
    /// What was found, in a sentence; nothing before anything was asked.
    found: Option<String>,
    file: String,
    later: Option<String>,
}

/// GET /parts
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let mut filled = Filled::with(pairs);
    let recall = read(&mut filled, LISTED);
    let rows = match &recall {
        Some(recall) => parts::find(app.store(), who.workshop(), recall).await?,
        None => Vec::new(),
    };
    let code = if filled.is_sound() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let shown = parts_page(&app, &who, filled, (recall.as_ref(), &rows)).await?;
    Ok((code, page(&shown)).into_response())
}

async fn parts_page(
    app: &App,
    who: &Who,
    mut filled: Filled,
    (recall, rows): (Option<&Recall>, &[FoundPart]),
) -> Result<PartsPage, WebError> {
    let asked = address(&filled);
    let goes_on = rows.last().filter(|_| rows.len() == LISTED as usize);
    let later = goes_on.map(|last| format!("/parts?{asked}&before={}", mark(last.page())));
    let part = filled.field("part", "Part").hint("A piece of its name or number.");
    let value = filled.field("value", "Batch or serial number");
    Ok(PartsPage {
        frame: Frame::new("Parts", who, "/kits"),
        part: part.optional(),
        value: value.hint("A piece of it; signs and spaces do not count.").optional(),
        exact: filled.is_ticked("exact").then_some(()),
        known: known(app, who).await?,
        reading: is_reading(app.store(), who.workshop()).await?.then_some(()),
        found: recall.map(|recall| words(rows, recall)),
        rows: rows.iter().map(row).collect(),
        file: format!("/parts.csv?{asked}"),
        later,
    })
}

/// GET /parts.csv: everything that the same form finds.
pub(super) async fn csv_file(
    State(app): State<App>,
    who: Who,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let mut filled = Filled::with(pairs);
    let recall = read(&mut filled, FOUND_MAX).ok_or_else(|| {
        WebError::Rule("This file cannot be made. Write a part, a batch or a number.".to_owned())
    })?;
    let rows = parts::find(app.store(), who.workshop(), &Recall { before: None, ..recall }).await?;
    // A recall that leaves somebody out without a word is worse than none.
    if rows.len() >= FOUND_MAX as usize {
        return Err(WebError::Rule(format!(
            "More than {FOUND_MAX} were found. Ask for one part, or write more of its number."
        )));
    }
    let text = app.heavy(move || csv(&table(&rows))).await?;
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8; header=present"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"parts.csv\""),
        (header::CONTENT_SECURITY_POLICY, FILES),
    ];
    Ok((headers, text).into_response())
}

/// Nothing where nothing is asked.
fn read(filled: &mut Filled, limit: u32) -> Option<Recall> {
    let part = filled.maybe_line("part", ASKED_CHARS_MAX);
    let value = filled.maybe_line("value", ASKED_CHARS_MAX);
    let says = |text: &str| text.chars().any(char::is_alphanumeric);
    let (exact, before) = (filled.is_ticked("exact"), page_mark(filled.text("before")));
    (filled.is_sound() && (says(&part) || says(&value))).then_some(Recall {
        part,
        value,
        exact,
        before,
        limit,
    })
}

async fn known(app: &App, who: &Who) -> Result<Vec<(String, String)>, WebError> {
    let known = parts::known(app.store(), who.workshop()).await?;
    let link = |(number, name): (String, String)| {
        (format!("/parts?part={}", encode(&number)), format!("{name}, {number}"))
    };
    Ok(known.into_iter().map(link).collect())
}

fn mark(page: PartPage) -> String {
    format!("{}_{}_{}", page.recorded.0, page.job, page.seq)
}

fn page_mark(text: &str) -> Option<PartPage> {
    let mut ends = text.splitn(3, '_');
    let recorded = Moment(ends.next()?.parse().ok()?);
    Some(PartPage { recorded, job: ends.next()?.parse().ok()?, seq: ends.next()?.parse().ok()? })
}

/// What was asked, for links to the rest of it.
fn address(filled: &Filled) -> String {
    let exact = if filled.is_ticked("exact") { "&exact=on" } else { "" };
    let [part, value] = ["part", "value"].map(|name| encode(filled.text(name)));
    format!("part={part}&value={value}{exact}")
}

fn words(rows: &[FoundPart], recall: &Recall) -> String {
    let carrying = rows.iter().filter(|row| row.part.carried != Carried::Corrected).count();
    match (rows.len(), recall.before) {
        (0, None) => "Nothing of this was written down on any job.".to_owned(),
        (0, Some(_)) => "There is nothing after this page.".to_owned(),
        (all, _) => format!("{all} on this page, {} corrected since.", all - carrying),
    }
}

fn row(found: &FoundPart) -> PartRow {
    let part = &found.part;
    let (kind, word) = match part.carried {
        Carried::Yes => ("caution", "Carries it"),
        Carried::Open => ("caution", "Asked again"),
        Carried::Corrected => ("uncounted", "Corrected"),
        Carried::Late => ("inconclusive", "Came late"),
    };
    PartRow {
        href: format!("/jobs/{}", found.job),
        job: found.job_number,
        registration: found.registration.clone(),
        vehicle: found.vehicle.clone(),
        customer: found.customer.clone(),
        name: part.name.clone(),
        number: part.number.clone(),
        mark: part.mark.title(),
        value: part.value.clone(),
        fitted: day_words(&part.recorded.date()),
        kind,
        word,
        released: stage_words(found),
    }
}

fn stage_words(found: &FoundPart) -> &'static str {
    match Stage::parse(&found.stage) {
        Some(Stage::Released) => "Released",
        _ => "Not released",
    }
}

fn table(rows: &[FoundPart]) -> Table {
    let text = |text: &str| Cell::Text(text.to_owned());
    let line = |found: &FoundPart| {
        let part = &found.part;
        vec![
            text(&found.registration),
            text(&found.vehicle),
            Cell::Number(Decimal::from(found.job_number)),
            text(&found.customer),
            text(&part.name),
            text(&part.number),
            text(part.mark.title()),
            text(&part.value),
            Cell::At(part.recorded),
            text(row(found).word),
            text(stage_words(found)),
        ]
    };
    Table {
        name: "Parts",
        head: vec![
            "Registration",
            "Vehicle",
            "Job",
            "Customer",
            "Part",
            "Part number",
            "Mark",
            "Batch or serial number",
            "Fitted (UTC)",
            "Carried",
            "Job stands",
        ],
        rows: rows.iter().map(line).collect(),
    }
}
