//! `/defects`: what is wrong, across jobs. Managers see all of it, technicians what is theirs to put right.

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;

use super::app::App;
use super::error::{WebError, encode};
use super::form::{Choice, Field, Filled, Pairs};
use super::page::{Frame, page};
use super::session::Who;
use super::views::{Mark, ago};
use crate::domain::ids::Moment;
use crate::domain::job::Wants;
use crate::storage::defects::{self, DEFECTS_LISTED_MAX, Filter, ListedDefect};
use crate::storage::{kits, people, results};

mod open;
mod show;
mod view;

pub(super) use open::{new_page, open};
pub(super) use show::{assign, confirm, rework, show};
pub(super) use view::{DefectView, JobDefects, of_job, of_step};

/// What the address calls closed ones.
const CLOSED: &str = "closed";
const IS_FILLING: &str =
    "Some older jobs are still being read. What is wrong there appears here by itself.";

struct DefectLine {
    href: String,
    job: String,
    vehicle: String,
    at: String,
    wrong: String,
    mark: Mark,
    wants: &'static str,
    opened: String,
    person: String,
    age: String,
}

#[derive(Template)]
#[template(path = "pages/defects.html")]
struct DefectsPage {
    frame: Frame,
    state: Field,
    states: Vec<Choice>,
    kit: Field,
    kits: Vec<Choice>,
    /// Managers choose whose.
    person: Option<(Field, Vec<Choice>)>,
    defects: Vec<DefectLine>,
    empty: Option<&'static str>,
    later: Option<String>,
}

/// GET /defects
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let mut filled = Filled::with(pairs);
    let found = defects::list(app.store(), who.workshop(), &filter(&who, &filled)).await?;
    let later = found.next.map(|mark| format!("/defects?{}before={mark}", asked(&filled)));
    let defects: Vec<DefectLine> = found.defects.iter().map(|row| line(app.now(), row)).collect();
    let frame = Frame::new("Defects", &who, "/defects");
    let is_filling = !results::list_unread(app.store(), who.workshop(), None).await?.is_empty();
    Ok(page(&DefectsPage {
        frame: if is_filling { frame.noting("plain", IS_FILLING) } else { frame },
        states: filled.choices("state", [("", "Open"), (CLOSED, "Closed")]),
        state: filled.field("state", "State"),
        kits: kit_choices(&app, &who, &filled).await?,
        kit: filled.field("kit", "Kit"),
        person: person_choices(&app, &who, &mut filled).await?,
        empty: defects.is_empty().then_some("Nothing here, as far as it was asked for."),
        defects,
        later,
    }))
}

fn filter(who: &Who, filled: &Filled) -> Filter {
    let own = (!who.is_manager()).then_some(who.person.id);
    Filter {
        is_closed: filled.text("state") == CLOSED,
        person: own.or_else(|| filled.text("person").parse().ok()),
        kit: Some(filled.text("kit").to_owned()).filter(|kit| !kit.is_empty()),
        before: filled.text("before").parse().ok(),
        limit: DEFECTS_LISTED_MAX,
    }
}

/// What was asked for, for the address of the next page.
fn asked(filled: &Filled) -> String {
    let pair = |name| format!("{name}={}&", encode(filled.text(name)));
    ["state", "person", "kit"].map(pair).concat()
}

async fn kit_choices(app: &App, who: &Who, filled: &Filled) -> Result<Vec<Choice>, WebError> {
    let mut codes: Vec<String> =
        kits::list(app.store(), who.workshop()).await?.into_iter().map(|kit| kit.code).collect();
    codes.dedup();
    let all = codes.into_iter().map(|code| (code.clone(), code));
    Ok(filled.choices("kit", std::iter::once(none("All kits")).chain(all)))
}

async fn person_choices(
    app: &App,
    who: &Who,
    filled: &mut Filled,
) -> Result<Option<(Field, Vec<Choice>)>, WebError> {
    if !who.is_manager() {
        return Ok(None);
    }
    let people = people::list(app.store(), who.workshop()).await?;
    let all = people.into_iter().map(|person| (person.id.to_string(), person.name));
    let choices = filled.choices("person", std::iter::once(none("Everybody")).chain(all));
    Ok(Some((filled.field("person", "Looked after by"), choices)))
}

fn none(words: &str) -> (String, String) {
    (String::new(), words.to_owned())
}

fn line(now: Moment, listed: &ListedDefect) -> DefectLine {
    let row = &listed.row;
    DefectLine {
        href: format!("/jobs/{}/defects/{}", listed.job, row.id),
        job: format!("Job {}", listed.job_number),
        vehicle: format!("{}, {}", listed.vehicle, listed.registration),
        at: match (row.step_number, row.title.as_str()) {
            (_, "") => "The job as a whole".to_owned(),
            (0, title) => title.to_owned(),
            (number, title) => format!("{number}. {title}"),
        },
        wrong: row.wrong.clone(),
        mark: mark(row.wants),
        wants: row.wants.words(),
        opened: format!("{}, {}", listed.opened_by, row.opened.date_and_minute()),
        person: listed.person.clone().unwrap_or_else(|| "nobody yet".to_owned()),
        age: ago(row.closed.unwrap_or(now), row.opened),
    }
}

/// An open defect is red until somebody did something about it.
fn mark(wants: Wants) -> Mark {
    match wants {
        Wants::Rework => Mark { kind: "fail", word: "Open" },
        Wants::Retest | Wants::Confirmation => Mark { kind: "caution", word: "In hand" },
        Wants::Nothing => Mark { kind: "pass", word: "Closed" },
    }
}
