//! One defect: what is wrong, what was done, what it waits for.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::{mark, view};
use crate::acts::ActError;
use crate::acts::defects::{self, Word, may_confirm};
use crate::acts::job::{JobFile, load};
use crate::domain::entry::TEXT_CHARS_MAX;
use crate::domain::ids::{EntryId, JobId, PersonId};
use crate::domain::job::{Act, Defect, Wants};
use crate::storage::defects::find_person;
use crate::storage::people;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Choice, Field, Filled, FormFault};
use crate::web::page::{Done, Frame, page};
use crate::web::session::Who;
use crate::web::views::Mark;

/// What the page says after a change.
const DONE: [(&str, &str); 3] = [
    ("noted", "Noted."),
    ("confirmed", "Closed."),
    ("assigned", "Assigned. They find it under Defects."),
];

/// What happened with it, and when.
struct Event {
    what: &'static str,
    text: String,
    about: String,
}

#[derive(Template)]
#[template(path = "pages/defect.html")]
struct DefectPage {
    frame: Frame,
    back: String,
    job: String,
    place: String,
    step_href: Option<String>,
    wrong: String,
    mark: Mark,
    wants: String,
    photos: Vec<String>,
    events: Vec<Event>,
    person: String,
    /// The forms, each where it can be sent: address, id of the entry, field.
    rework: Option<(String, String, Field)>,
    confirm: Option<(String, Field)>,
    assign: Option<(String, Field, Vec<Choice>)>,
    faults: Vec<FormFault>,
}

/// GET /jobs/{job}/defects/{defect}
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    Path((job, defect)): Path<(JobId, EntryId)>,
    done: Done,
) -> Result<Response, WebError> {
    let shown = defect_page(&app, &who, (job, defect), Filled::default()).await?;
    let frame = done.noted(shown.frame, &DONE);
    Ok(page(&DefectPage { frame, ..shown }))
}

async fn defect_page(
    app: &App,
    who: &Who,
    (job, id): (JobId, EntryId),
    mut filled: Filled,
) -> Result<DefectPage, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let defect = file.state.defect(id).ok_or(WebError::NotFound)?;
    let here = format!("/jobs/{job}/defects/{id}");
    let person = find_person(app.store(), who.workshop(), id).await?;
    let is_open = defect.closed().is_none() && file.state.released.is_none();
    let may = may_confirm(&file, &defect, who.person.id).is_ok();
    // What was typed comes back, even where somebody else was faster.
    let confirms = is_open && who.is_manager() && (may || !filled.text("seen").is_empty());
    let rework = if is_open { Some(rework_form(app, &here, &mut filled)?) } else { None };
    Ok(DefectPage {
        frame: Frame::new(format!("Defect, job {}", file.row.number), who, "/defects"),
        back: format!("/jobs/{job}"),
        job: format!("Job {}, {}, {}", file.row.number, file.row.vehicle, file.row.registration),
        place: view::place(&defect),
        step_href: step_href(&file, &defect),
        wrong: defect.wrong.clone(),
        mark: mark(defect.wants()),
        wants: wants(&file, &defect, who),
        photos: defect.photos.iter().map(ToString::to_string).collect(),
        events: events(&file, &defect),
        person: person.map_or_else(|| "nobody yet".to_owned(), |person| file.name_of(person)),
        rework,
        confirm: confirms.then(|| {
            let field = filled.field("seen", "What you looked at");
            (format!("{here}/confirm"), field)
        }),
        assign: assign_form(app, who, &here, (is_open, person), &mut filled).await?,
        faults: filled.into_faults(),
    })
}

fn rework_form(
    app: &App,
    here: &str,
    filled: &mut Filled,
) -> Result<(String, String, Field), WebError> {
    let id = app.new_id()?.to_string();
    let field = filled
        .field("text", "What was done")
        .hint("What was made new, tightened, replaced. It stands in the job's record.");
    Ok((format!("{here}/rework"), id, field))
}

async fn assign_form(
    app: &App,
    who: &Who,
    here: &str,
    (is_open, person): (bool, Option<PersonId>),
    filled: &mut Filled,
) -> Result<Option<(String, Field, Vec<Choice>)>, WebError> {
    if !is_open || !who.is_manager() {
        return Ok(None);
    }
    if filled.text("person").is_empty() {
        filled.suggest("person", person.map(|id| id.to_string()).unwrap_or_default());
    }
    let people = people::list(app.store(), who.workshop()).await?;
    let here_still = people.into_iter().filter(|person| !person.disabled);
    let all = here_still.map(|person| (person.id.to_string(), person.name));
    let choose = std::iter::once((String::new(), "Choose".to_owned()));
    let choices = filled.choices("person", choose.chain(all));
    Ok(Some((format!("{here}/assign"), filled.field("person", "Looked after by"), choices)))
}

fn step_href(file: &JobFile, defect: &Defect) -> Option<String> {
    let step = defect.step.as_ref().filter(|step| step.number > 0)?;
    let job = file.row.id;
    Some(format!("/jobs/{job}/sheet?open={}#s-{}", step.key, step.number))
}

/// What it waits for; and why whoever looks cannot confirm it, where that is so.
fn wants(file: &JobFile, defect: &Defect, who: &Who) -> String {
    let words = defect.wants().words();
    let is_theirs = defect.wants() == Wants::Confirmation && who.is_manager();
    match may_confirm(file, defect, who.person.id) {
        Err(why) if is_theirs => format!("{words}. {why}"),
        _ => format!("{words}."),
    }
}

fn events(file: &JobFile, defect: &Defect) -> Vec<Event> {
    let event = |what, text: &str, act: &Act| Event {
        what,
        text: text.to_owned(),
        about: format!("{}, {}", file.name_of(act.person), act.received.date_and_minute()),
    };
    let opened = if defect.is_raised { "Opened by a manager" } else { "Opened by a result" };
    let mut all = vec![(defect.opened.seq, event(opened, &defect.wrong, &defect.opened))];
    all.extend(
        defect
            .reworks
            .iter()
            .map(|words| (words.act.seq, event("What was done", &words.text, &words.act))),
    );
    all.extend(defect.retest.iter().map(|act| (act.seq, event("Passed again", "", act))));
    let confirmed = defect.confirmed.iter();
    all.extend(confirmed.map(|w| (w.act.seq, event("Confirmed", &w.text, &w.act))));
    all.sort_by_key(|(seq, _)| *seq);
    all.into_iter().map(|(_, event)| event).collect()
}

/// POST /jobs/{job}/defects/{defect}/rework
pub(in crate::web) async fn rework(
    State(app): State<App>,
    who: Who,
    Path((job, defect)): Path<(JobId, EntryId)>,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let text = checked(&mut sent, "text", "Write what was done.");
    let id = sent.text("id").parse().ok();
    let (Some(id), true) = (id, sent.is_sound()) else {
        return came_back(&app, &who, (job, defect), sent).await;
    };
    let word = Word { id, defect, text };
    let done = defects::rework(app.store(), &who.by(app.now()), job, word).await;
    answer(&app, &who, (job, defect), (sent, done.map(|_| "noted"), "text")).await
}

/// POST /jobs/{job}/defects/{defect}/confirm
pub(in crate::web) async fn confirm(
    State(app): State<App>,
    who: Who,
    Path((job, defect)): Path<(JobId, EntryId)>,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let text = checked(&mut sent, "seen", "Write what you looked at.");
    if !sent.is_sound() {
        return came_back(&app, &who, (job, defect), sent).await;
    }
    let done = defects::confirm(app.store(), &who.by(app.now()), job, defect, text).await;
    answer(&app, &who, (job, defect), (sent, done.map(|_| "confirmed"), "seen")).await
}

/// POST /jobs/{job}/defects/{defect}/assign
pub(in crate::web) async fn assign(
    State(app): State<App>,
    who: Who,
    Path((job, defect)): Path<(JobId, EntryId)>,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let Ok(person) = sent.text("person").parse() else {
        sent.fault("person", "Choose somebody.");
        return came_back(&app, &who, (job, defect), sent).await;
    };
    let done = defects::assign(app.store(), &who.by(app.now()), job, (defect, person)).await;
    answer(&app, &who, (job, defect), (sent, done.map(|()| "assigned"), "person")).await
}

fn checked(sent: &mut Filled, name: &str, missing: &str) -> String {
    if sent.text(name).is_empty() {
        sent.fault(name, missing);
    }
    sent.maybe_lines(name, TEXT_CHARS_MAX)
}

/// The way back, or the page with what was typed and the rule it broke.
async fn answer(
    app: &App,
    who: &Who,
    (job, defect): (JobId, EntryId),
    (mut sent, done, field): (Filled, Result<&'static str, ActError>, &str),
) -> Result<Response, WebError> {
    match done {
        Ok(word) => {
            let here = format!("/jobs/{job}/defects/{defect}?done={word}");
            Ok(Redirect::to(&here).into_response())
        }
        Err(ActError::Rule(sentence)) => {
            sent.fault(field, sentence);
            came_back(app, who, (job, defect), sent).await
        }
        Err(ActError::Append(moved)) => {
            sent.fault(field, format!("{moved}."));
            let again = page(&defect_page(app, who, (job, defect), sent).await?);
            Ok((StatusCode::CONFLICT, again).into_response())
        }
        Err(other) => Err(other.into()),
    }
}

async fn came_back(
    app: &App,
    who: &Who,
    at: (JobId, EntryId),
    sent: Filled,
) -> Result<Response, WebError> {
    let again = page(&defect_page(app, who, at, sent).await?);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}
