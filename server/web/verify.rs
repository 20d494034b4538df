//! `/verify`: whoever holds a certificate asks whether it was issued here. Open to all.
//!
//! A number alone is told no more than a date. The check code printed on the paper, which cannot be
//! guessed, adds what the paper says. A wrong code gets the answer of an unknown number.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::{WebError, encode, ours};
use super::form::{Field, Filled, Pairs, day_words};
use super::page::{Frame, page};
use crate::documents::paper::grouped_hex;
use crate::domain::certificate::CertificateNumber;
use crate::domain::ids::Moment;
use crate::domain::seal::hex;
use crate::storage::certificates::{self, CertificateRow};
use crate::storage::{imports, seal_changes, withdrawals};

/// A typed number is not longer; what is, is none.
const NUMBER_CHARS_MAX: usize = 40;
/// Kinds of steps that are no measurement, as records name them.
const NOT_MEASURED: [&str; 3] = ["confirm", "photo", "note"];

/// The one big answer.
struct Answer {
    /// `good`, `unsure` or `bad`.
    kind: &'static str,
    icon: &'static str,
    word: &'static str,
    text: String,
}

struct Fact {
    name: &'static str,
    value: String,
}

/// The PDF that was issued, for comparison on the visitor's own device.
struct Paper {
    sha256: String,
    /// In groups, for people.
    grouped: String,
}

/// Where the signed list of all certificates lies, and that of the seals.
struct Lists {
    standing: String,
    seals: String,
}

impl Default for Lists {
    fn default() -> Self {
        Self { standing: "/status-list".to_owned(), seals: "/seals".to_owned() }
    }
}

#[derive(Template)]
#[template(path = "pages/verify.html")]
struct VerifyPage {
    frame: Frame,
    heading: Option<&'static str>,
    answer: Option<Answer>,
    facts: Vec<Fact>,
    paper: Option<Paper>,
    /// Where fuses and isolation are told, of a certificate in force.
    safe: Option<String>,
    /// Of this certificate's workshop, where one is named.
    lists: Lists,
    number: Field,
}

impl VerifyPage {
    fn new(mut filled: Filled) -> Self {
        Self {
            frame: Frame::bare("Check a certificate"),
            heading: None,
            answer: None,
            facts: Vec::new(),
            paper: None,
            safe: None,
            lists: Lists::default(),
            number: filled
                .field("number", "Certificate number")
                .hint("As it stands on the paper, such as AB-26-00012-X."),
        }
    }
}

/// GET /verify
pub(super) async fn ask(Query(pairs): Query<Pairs>) -> Response {
    let filled = Filled::with(pairs);
    let number: String = filled.text("number").chars().take(NUMBER_CHARS_MAX).collect();
    if number.is_empty() {
        let heading = Some("Check a certificate");
        return page(&VerifyPage { heading, ..VerifyPage::new(filled) });
    }
    Redirect::to(&format!("/verify/{}", encode(&number).replace('/', "%2F"))).into_response()
}

/// GET /verify/{number}
pub(super) async fn by_number(
    State(app): State<App>,
    Path(typed): Path<String>,
) -> Result<Response, WebError> {
    let number = match CertificateNumber::parse(&typed) {
        Ok(number) => number,
        Err(fault) => return Ok(misread(&typed, &format!("{fault}."))),
    };
    let Some(row) = certificates::find(app.store(), &number.plain()).await? else {
        return Ok(unknown());
    };
    let mut facts =
        vec![Fact::new("Number", number.to_string()), Fact::new("Issued", issued(&row))];
    facts.extend(row.withdrawn.map(|at| Fact::new("Withdrawn", day_words(&at.date()))));
    let came = came(&app, &row).await?;
    let (answer, lists) = (Some(answer(&row, None).noting_where_from(came)), lists_of(&row));
    Ok(page(&VerifyPage { answer, facts, lists, ..VerifyPage::new(Filled::default()) }))
}

/// GET /verify/{number}/{code}
pub(super) async fn by_code(
    State(app): State<App>,
    Path((typed, code)): Path<(String, String)>,
) -> Result<Response, WebError> {
    let Ok(number) = CertificateNumber::parse(&typed) else { return Ok(unknown()) };
    let Some(row) = coded(&app, &typed, &code).await? else { return Ok(unknown()) };
    let record: Said = serde_json::from_slice(&row.record).map_err(ours)?;
    let newer = row.replaced_by.as_deref().and_then(|newer| CertificateNumber::parse(newer).ok());
    let sha256 = hex(&row.pdf_sha256);
    let seal = old_seal(&app, &row, &record.seal_fingerprint).await?;
    let mut facts = record.facts(&number, &row);
    facts.extend(seal);
    if let Some(done) = withdrawals::load(app.store(), row.workshop, &row.number).await? {
        facts.push(Fact::new("Withdrawn", day_words(&done.at.date())));
        facts.push(Fact::new("Reason", done.reason));
    }
    Ok(page(&VerifyPage {
        answer: Some(answer(&row, newer.as_ref()).noting_where_from(came(&app, &row).await?)),
        facts,
        lists: lists_of(&row),
        safe: row.is_in_force().then(|| format!("/verify/{}/{}/safe", row.number, row.code)),
        paper: Some(Paper { grouped: grouped_hex(&row.pdf_sha256), sha256 }),
        ..VerifyPage::new(Filled::default())
    }))
}

/// The certificate of this number, for whoever also has its code.
pub(super) async fn coded(
    app: &App,
    number: &str,
    code: &str,
) -> Result<Option<CertificateRow>, WebError> {
    let Ok(number) = CertificateNumber::parse(number) else { return Ok(None) };
    let row = certificates::find(app.store(), &number.plain()).await?;
    Ok(row.filter(|row| row.code == plain_code(code)))
}

/// What a record says that the page repeats.
#[derive(Deserialize)]
struct Said {
    workshop: String,
    #[serde(default)]
    seal_fingerprint: String,
    vehicle: SaidVehicle,
    kit: SaidKit,
    steps: Vec<SaidStep>,
}

#[derive(Deserialize)]
struct SaidVehicle {
    description: String,
}

#[derive(Deserialize)]
struct SaidKit {
    title: String,
}

#[derive(Deserialize)]
struct SaidStep {
    kind: String,
}

impl Said {
    fn facts(self, number: &CertificateNumber, row: &CertificateRow) -> Vec<Fact> {
        let measured = |step: &&SaidStep| !NOT_MEASURED.contains(&step.kind.as_str());
        let measurements = self.steps.iter().filter(measured).count();
        vec![
            Fact::new("Number", number.to_string()),
            Fact::new("Issued", issued(row)),
            Fact::new("Workshop", self.workshop),
            Fact::new("Vehicle", self.vehicle.description),
            Fact::new("Fitted", self.kit.title),
            Fact::new("Measurements", measurements.to_string()),
        ]
    }
}

impl Fact {
    fn new(name: &'static str, value: String) -> Self {
        Self { name, value }
    }
}

/// A seal that is not in use any more: the paper stays what it is, but other lists carry another seal.
async fn old_seal(
    app: &App,
    row: &CertificateRow,
    fingerprint: &str,
) -> Result<Option<Fact>, WebError> {
    let changes = seal_changes::list(app.store(), row.workshop).await?;
    let change = changes.into_iter().find(|change| hex(&change.old_seal()) == fingerprint);
    Ok(change.map(|change| {
        let until = day_words(&change.at.date());
        let text = format!(
            "{}, in use until {until}. The workshop seals with another one since.",
            grouped_hex(&change.old_seal())
        );
        Fact::new("Seal", text)
    }))
}

/// When a certificate came here from elsewhere, with the archive of its job.
async fn came(app: &App, row: &CertificateRow) -> Result<Option<Moment>, WebError> {
    let imported = imports::find(app.store(), row.workshop).await?;
    let along = imported.filter(|imported| row.index < imported.register_lines);
    Ok(along.map(|imported| imported.at))
}

impl Answer {
    /// Of what happened where it was issued, this server knows only what came along.
    fn noting_where_from(self, came: Option<Moment>) -> Self {
        let Some(came) = came.filter(|_| self.kind == "good") else { return self };
        let text = format!(
            "A certificate with this number is known here from the archive of its job, brought in on {}. By \
             that archive it is in force; whether it was withdrawn elsewhere since, ask the workshop.",
            day_words(&came.date())
        );
        Self { text, ..self }
    }
}

/// A number begins with the letters of its workshop.
fn lists_of(row: &CertificateRow) -> Lists {
    let letters: String = row.number.chars().take_while(char::is_ascii_alphabetic).collect();
    Lists {
        standing: format!("/status-list?workshop={letters}"),
        seals: format!("/seals?workshop={letters}"),
    }
}

fn issued(row: &CertificateRow) -> String {
    day_words(&row.issued.date())
}

fn answer(row: &CertificateRow, newer: Option<&CertificateNumber>) -> Answer {
    let newer = newer.map(|newer| format!(" It is {newer}.")).unwrap_or_default();
    if let Some(at) = row.withdrawn {
        return withdrawn(at, row.replaced_by.is_some(), &newer);
    }
    if row.replaced_by.is_none() {
        let text = "A certificate with this number was issued here and is in force.".to_owned();
        return Answer { kind: "good", icon: "pass", word: "Genuine", text };
    }
    let text = format!(
        "This certificate was issued here, but a newer one has taken its place.{newer} Ask the \
         workshop for it."
    );
    Answer { kind: "unsure", icon: "caution", word: "Replaced", text }
}

fn withdrawn(at: Moment, is_replaced: bool, newer: &str) -> Answer {
    let (on, next) = (day_words(&at.date()), "Do not rely on it. Ask the workshop what is wrong.");
    let text = if is_replaced {
        format!(
            "This certificate was issued here and withdrawn on {on}. A newer one has taken its \
             place.{newer} {next}"
        )
    } else {
        format!("This certificate was issued here and withdrawn on {on}. {next}")
    };
    Answer { kind: "bad", icon: "stop", word: "Withdrawn", text }
}

/// Nothing is told apart here: neither a number that was never issued nor a wrong code.
pub(super) fn unknown() -> Response {
    let text = "No such certificate was issued here. Compare every letter and digit \
        with the paper, then ask the workshop that is named on it."
        .to_owned();
    let answer = Some(Answer { kind: "bad", icon: "stop", word: "Unknown", text });
    let shown = VerifyPage { answer, ..VerifyPage::new(Filled::default()) };
    (StatusCode::NOT_FOUND, page(&shown)).into_response()
}

fn misread(typed: &str, sentence: &str) -> Response {
    let mut filled = Filled::with([("number", typed)]);
    filled.fault("number", sentence);
    let heading = Some("Check a certificate");
    let shown = VerifyPage { heading, ..VerifyPage::new(filled) };
    (StatusCode::UNPROCESSABLE_ENTITY, page(&shown)).into_response()
}

/// A code as people type it: any case, with hyphens or spaces, with letters that look like digits.
fn plain_code(typed: &str) -> String {
    let plain = |c: char| match c.to_ascii_uppercase() {
        'O' => '0',
        'I' | 'L' => '1',
        other => other,
    };
    typed.chars().filter(|c| !matches!(c, '-' | ' ')).map(plain).collect()
}
