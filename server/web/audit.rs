//! `/audit`: who did what that no job's chain holds. Written by the guard that every route passes, read by
//! owners, because managers are among those whose acts stand here.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;

use super::app::App;
use super::error::{WebError, encode};
use super::form::{Choice, Field, Filled, Pairs, day};
use super::page::{Frame, page};
use super::session::Who;
use crate::domain::ids::{DeviceId, Moment, PersonId};
use crate::domain::person::Person;
use crate::storage::audit::{AuditFilter, AuditRow, AuditText, NamedAct, append, list};
use crate::storage::{devices, instruments, jobs, people};

/// Rows on one page.
const LISTED: u32 = 100;
const ADDRESS_CHARS_MAX: usize = 300;
const TEXT_CHARS_MAX: usize = 100;
/// Jobs that a text is taken to name, those that were opened last.
const JOBS_NAMED_MAX: u32 = 200;

/// Acts that are written down here, in the words of the page; before what or whom each was done to.
pub const WORDS: [(&str, &str); 46] = [
    ("/sign-in", "signed in"),
    ("/invited", "joined by an invitation"),
    ("/switch", "took over the phone"),
    ("/sign-out", "signed out"),
    ("/jobs/new", "opened a job"),
    ("/jobs/{job}/assign", "assigned"),
    ("/jobs/{job}/defects/{defect}/assign", "assigned a defect of"),
    ("/jobs/{job}/day", "planned the day of"),
    ("/board/away", "noted somebody as away"),
    ("/board/away/back", "noted somebody as here"),
    ("/jobs/{job}/again", "opened a re-inspection of"),
    ("/jobs/{job}/certificate", "had the certificate made of"),
    ("/jobs/{job}/links", "made a customer's link to"),
    ("/jobs/{job}/language", "changed the language of the papers of"),
    ("/jobs/{job}/links/{link}/revoke", "revoked a customer's link to"),
    ("/certificates/{number}/withdraw", "asked to withdraw certificate"),
    ("/certificates/{number}/withdraw/confirm", "confirmed the withdrawal of certificate"),
    ("/certificates/{number}/withdraw/drop", "left in force certificate"),
    ("/due/calendar", "made a calendar address"),
    ("/due/calendar/revoke", "revoked a calendar address"),
    ("/outbox-file/record", "loaded a phone's file"),
    ("/kits", "imported a kit"),
    ("/kits/{kit}/edit", "saved an edition of a kit, written from"),
    ("/instruments", "added an instrument"),
    ("/instruments/{instrument}/calibrations", "noted a calibration of"),
    (
        "/instruments/{instrument}/calibrations/{calibration}/files",
        "attached a file to a calibration of",
    ),
    ("/instruments/{instrument}/recall", "recalled"),
    ("/instruments/{instrument}/retire", "retired"),
    ("/people", "added a person"),
    ("/people/invitations", "invited somebody"),
    ("/people/invitations/{invitation}/revoke", "revoked an invitation"),
    ("/people/{person}/disable", "disabled"),
    ("/people/{person}/enable", "enabled"),
    ("/people/{person}/password", "set a new password for"),
    ("/people/{person}/role", "changed the role of"),
    ("/people/{person}/pin", "gave a PIN to"),
    ("/people/{person}/pin/take", "took the PIN of"),
    ("/phones/codes", "made a code that enrols a phone"),
    ("/phones/{device}/rename", "renamed the phone"),
    ("/phones/{device}/revoke", "revoked the phone"),
    ("/password", "changed their own password"),
    ("/settings", "changed the settings"),
    ("/settings/rules", "chose the workshop's limits"),
    ("/settings/retention", "changed how long things are kept"),
    ("/settings/logo", "changed the mark on papers"),
    ("/settings/logo/remove", "took the mark off the papers"),
];

/// Writes an act down that was just done. The act stands, so a row that cannot be written is told to the log.
pub(super) async fn note(
    app: &App,
    (person, device): (&Person, DeviceId),
    pattern: &str,
    address: &str,
) {
    if !WORDS.iter().any(|(path, _)| *path == pattern) {
        return;
    }
    let row = AuditRow {
        at: app.now(),
        person: person.id,
        device,
        act: pattern.to_owned(),
        address: address.chars().take(ADDRESS_CHARS_MAX).collect(),
    };
    if let Err(why) = append(app.store(), person.workshop, row).await {
        tracing::error!("{address} was done by {} and not written down: {why:?}", person.id);
    }
}

struct ActRow {
    at: String,
    person: String,
    act: String,
    about: Option<(String, String)>,
    device: String,
}

#[derive(Template)]
#[template(path = "pages/audit.html")]
struct AuditPage {
    frame: Frame,
    person: Field,
    people: Vec<Choice>,
    act: Field,
    acts: Vec<Choice>,
    from: Field,
    until: Field,
    text: Field,
    rows: Vec<ActRow>,
    empty: Option<&'static str>,
    later: Option<String>,
}

/// GET /audit
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let mut filled = Filled::with(pairs);
    let names = Names::of(&app, &who).await?;
    let text = names.text(&app, &who, &mut filled).await?;
    let filter = AuditFilter { text, ..filter(&mut filled) };
    let found = list(app.store(), who.workshop(), &filter).await?;
    let later = found.last().filter(|_| found.len() == LISTED as usize);
    let later = later.map(|last| format!("/audit?{}below={}", asked(&filled), last.number));
    let none = |words: &str| std::iter::once((String::new(), words.to_owned()));
    let people = names.people.iter().map(|(id, name)| (id.to_string(), name.clone()));
    let acts = WORDS.map(|(path, words)| (path.to_owned(), words.to_owned()));
    let mut rows = Vec::new();
    for row in &found {
        rows.push(names.row(&app, &who, row).await?);
    }
    Ok(page(&AuditPage {
        frame: Frame::new("Who did what", &who, "/settings"),
        people: filled.choices("person", none("Everybody").chain(people)),
        person: filled.field("person", "Who"),
        acts: filled.choices("act", none("Everything").chain(acts)),
        act: filled.field("act", "What"),
        from: filled.field("from", "From"),
        until: filled.field("until", "To"),
        text: filled.field("text", "Find").hint(
            "A name, a device, a job's number or registration, an instrument, words of an act.",
        ),
        empty: rows.is_empty().then_some("Nothing here. Ask for more days, or for everybody."),
        rows,
        later,
    }))
}

fn filter(filled: &mut Filled) -> AuditFilter {
    let mut moment = |name: &str, days: i64| {
        let typed = filled.text(name).to_owned();
        let found = day(&typed);
        if found.is_none() && !typed.is_empty() {
            filled.fault(name, "Choose a day.");
        }
        Some(Moment::start_of(found?).plus_days(days))
    };
    let (from, until) = (moment("from", 0), moment("until", 1));
    let act = WORDS.iter().find(|(path, _)| *path == filled.text("act"));
    AuditFilter {
        person: filled.text("person").parse().ok(),
        act: act.map(|(path, _)| (*path).to_owned()),
        from,
        until,
        text: None,
        below: filled.text("below").parse().ok(),
        limit: LISTED,
    }
}

/// What was asked for, for the address of the next page.
fn asked(filled: &Filled) -> String {
    let names = ["person", "act", "from", "until", "text"];
    let pairs = names.map(|name| format!("{name}={}&", encode(filled.text(name))));
    pairs.concat()
}

/// What ids in addresses are called.
struct Names {
    people: Vec<(PersonId, String)>,
    instruments: BTreeMap<String, String>,
}

impl Names {
    async fn of(app: &App, who: &Who) -> Result<Self, WebError> {
        let people = people::list(app.store(), who.workshop()).await?;
        let instruments = instruments::list(app.store(), who.workshop()).await?;
        Ok(Self {
            people: people.into_iter().map(|person| (person.id, person.name)).collect(),
            instruments: instruments.into_iter().map(|i| (i.id.to_string(), i.label)).collect(),
        })
    }

    fn person(&self, id: &str) -> Option<String> {
        let found = self.people.iter().find(|(known, _)| known.to_string() == id);
        found.map(|(_, name)| name.clone())
    }

    /// What a typed text may mean here; nothing where none was typed.
    async fn text(
        &self,
        app: &App,
        who: &Who,
        filled: &mut Filled,
    ) -> Result<Option<AuditText>, WebError> {
        let text = filled.maybe_line("text", TEXT_CHARS_MAX);
        if text.is_empty() || !filled.is_sound() {
            return Ok(None);
        }
        let wanted = text.to_lowercase();
        let is_named = |name: &str| name.to_lowercase().contains(&wanted);
        let jobs = jobs::Search {
            words: text.trim_start_matches("job ").to_owned(),
            limit: JOBS_NAMED_MAX,
            ..jobs::Search::default()
        };
        let jobs = jobs::search(app.store(), who.workshop(), &jobs).await?.jobs;
        let instruments = self.instruments.iter().filter(|(_, label)| is_named(label));
        let people = self.people.iter().filter(|(_, name)| is_named(name));
        let acts = WORDS.iter().filter(|(_, words)| is_named(words));
        Ok(Some(AuditText {
            people: people.map(|(id, _)| *id).collect(),
            acts: acts.map(|(path, _)| (*path).to_owned()).collect(),
            about: instruments
                .map(|(id, _)| id.clone())
                .chain(jobs.iter().map(|job| job.id.to_string()))
                .collect(),
            text,
        }))
    }

    async fn row(&self, app: &App, who: &Who, done: &NamedAct) -> Result<ActRow, WebError> {
        let row = &done.row;
        let words = WORDS.iter().find(|(path, _)| *path == row.act);
        Ok(ActRow {
            at: row.at.date_and_minute(),
            person: done.person.clone(),
            act: words.map_or_else(|| row.act.clone(), |(_, words)| (*words).to_owned()),
            about: self.about(app, who, row).await?,
            device: done.device.clone(),
        })
    }

    /// What it was done to: where it is looked at, and its name.
    async fn about(
        &self,
        app: &App,
        who: &Who,
        row: &AuditRow,
    ) -> Result<Option<(String, String)>, WebError> {
        let mut parts = row.address.split('/').skip(1);
        let (Some(room), Some(id)) = (parts.next(), parts.next()) else { return Ok(None) };
        let found = match room {
            "people" => self.person(id).map(|name| ("/people".to_owned(), name)),
            "instruments" => {
                let label = self.instruments.get(id).cloned();
                label.map(|label| (format!("/instruments/{id}"), label))
            }
            "certificates" => Some((format!("/certificates/{id}"), id.to_owned())),
            "jobs" => match id.parse() {
                Ok(job) => jobs::load(app.store(), who.workshop(), job)
                    .await?
                    .map(|job| (format!("/jobs/{id}"), format!("job {}", job.number))),
                Err(_) => None,
            },
            "phones" => match id.parse::<DeviceId>() {
                Ok(device) => devices::load(app.store(), who.workshop(), device)
                    .await?
                    .map(|device| ("/phones".to_owned(), device.label)),
                Err(_) => None,
            },
            _ => None,
        };
        Ok(found)
    }
}
