//! `/jobs`: the manager's desk, jobs by what they wait for, and the technician's short list. Whoever types
//! words or chooses a filter gets what was found instead.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault, Pairs};
use super::page::{Frame, page};
use super::session::Who;
use super::today::{TodayGroup, today};
use super::views::Tape;
use crate::domain::job::{Stage, WaitsFor};
use crate::storage::jobs::{self, COUNTED_MAX, Filter, JobRow, PageMark, WaitMark};

mod asked;
mod row;

use asked::Asked;
use row::listed;

/// Jobs of each group on the desk; the rest is a click away.
const SHOWN: u32 = 20;
/// Jobs that were released last, below what waits.
const RELEASED_SHOWN: u32 = 5;
/// Jobs of one page of a list.
const LISTED: u32 = 50;

struct ListedJob {
    href: String,
    number: u64,
    vehicle: String,
    what: String,
    since: String,
    person: String,
    flags: Vec<String>,
    tape: Option<Tape>,
}

struct Group {
    word: &'static str,
    title: &'static str,
    note: &'static str,
    count: String,
    jobs: Vec<ListedJob>,
    /// Where there are more than are shown.
    more: Option<String>,
}

/// The form above the list. A technician's has the words alone.
struct FilterForm {
    find: String,
    more: Option<MoreFilters>,
    clear: Option<()>,
}

struct MoreFilters {
    open: Option<()>,
    customer: Field,
    vehicle: Field,
    kit: Field,
    kits: Vec<Choice>,
    person: Field,
    people: Vec<Choice>,
    waits: Field,
    waits_for: Vec<Choice>,
    from: Field,
    to: Field,
}

#[derive(Template)]
#[template(path = "pages/jobs.html")]
struct JobsPage {
    frame: Frame,
    form: FilterForm,
    faults: Vec<FormFault>,
    groups: Vec<Group>,
    may_open: Option<()>,
    empty: Option<&'static str>,
    later: Option<String>,
    /// A technician's own jobs by day, on the first page.
    today: Vec<TodayGroup>,
}

/// Groups, and where the list goes on.
#[derive(Default)]
struct Shown {
    groups: Vec<Group>,
    later: Option<String>,
}

/// GET /jobs
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    Query(typed): Query<Pairs>,
) -> Result<Response, WebError> {
    let mut filled = Filled::with(typed);
    let asked = Asked::read(&mut filled, &who);
    let sound = filled.is_sound();
    let shown = if !sound {
        Shown::default()
    } else if let Some(waits) = asked.only_waits() {
        waiting(&app, &who, &asked, waits).await?
    } else if asked.is_narrow() {
        found(&app, &who, &asked).await?
    } else if who.is_manager() {
        Shown { groups: desk(&app, &who).await?, later: None }
    } else {
        short_list(&app, &who, &asked).await?
    };
    let empty = sound && shown.groups.is_empty();
    let is_first = sound && !asked.is_narrow() && asked.before.is_empty();
    let shown_page = page(&JobsPage {
        frame: Frame::new("Jobs", &who, "/jobs"),
        form: asked.form(&app, &who, &mut filled).await?,
        faults: filled.into_faults(),
        empty: empty.then_some(if asked.is_narrow() {
            "No job is like that. Use fewer words, or clear the search."
        } else {
            "No job here yet. A manager opens the first one."
        }),
        groups: shown.groups,
        may_open: who.is_manager().then_some(()),
        later: shown.later,
        today: if is_first { today(&app, &who).await? } else { Vec::new() },
    });
    let status = if sound { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, shown_page).into_response())
}

/// What waits on the manager first, each group with whoever waits longest first.
async fn desk(app: &App, who: &Who) -> Result<Vec<Group>, WebError> {
    let mut groups = Vec::new();
    for waits in WaitsFor::ALL {
        let stages: Vec<&str> = waits.stages().iter().map(|stage| stage.word()).collect();
        let page = jobs::waiting(app.store(), who.workshop(), &stages, None, SHOWN).await?;
        let more = page.next.map(|_| format!("/jobs?waits={}", waits.word()));
        let mut group = group(app, who, (waits.word(), waits.title()), page.jobs);
        if more.is_some() {
            group.count = counted(jobs::count_waiting(app.store(), who.workshop(), &stages).await?);
        }
        groups.push(Group { note: note(waits), more, ..group });
    }
    let customers = jobs::unopened(app.store(), who.workshop(), app.now(), LISTED).await?;
    let customers = group(app, who, ("customer", "Waiting for the customer"), customers);
    let note = "Released, and the link to the handover was not opened yet.";
    groups.push(Group { note, ..customers });
    groups.push(released(app, who).await?);
    groups.retain(|group| !group.jobs.is_empty());
    Ok(groups)
}

fn note(waits: WaitsFor) -> &'static str {
    match waits {
        WaitsFor::Review => "The work is done and signed. Whoever waits longest comes first.",
        WaitsFor::Plan => "No plan is accepted.",
        WaitsFor::Parts => "Planned, and nobody has begun.",
        WaitsFor::Technician => "Begun, or sent back.",
    }
}

async fn released(app: &App, who: &Who) -> Result<Group, WebError> {
    // One more than is shown tells whether there are more.
    let (stage, rows) = (Stage::Released.word(), RELEASED_SHOWN + 1);
    let mut found = jobs::came_last(app.store(), who.workshop(), stage, rows).await?;
    let more = (found.len() > RELEASED_SHOWN as usize).then(|| "/jobs?waits=released".to_owned());
    found.truncate(RELEASED_SHOWN as usize);
    let group = group(app, who, ("released", "Released last"), found);
    Ok(Group { more, count: String::new(), ..group })
}

fn group(app: &App, who: &Who, names: (&'static str, &'static str), rows: Vec<JobRow>) -> Group {
    let jobs: Vec<ListedJob> = rows.into_iter().map(|row| listed(app, who, row)).collect();
    let count = jobs.len().to_string();
    Group { word: names.0, title: names.1, note: "", count, jobs, more: None }
}

fn counted(count: u32) -> String {
    if count > COUNTED_MAX { format!("more than {COUNTED_MAX}") } else { count.to_string() }
}

/// All jobs that wait for one thing, page by page.
async fn waiting(app: &App, who: &Who, asked: &Asked, waits: WaitsFor) -> Result<Shown, WebError> {
    let stages: Vec<&str> = waits.stages().iter().map(|stage| stage.word()).collect();
    let after = asked.before.parse::<WaitMark>().ok();
    let page = jobs::waiting(app.store(), who.workshop(), &stages, after, LISTED).await?;
    let later = page.next.map(|mark| asked.later(&mark));
    let count = jobs::count_waiting(app.store(), who.workshop(), &stages).await?;
    let group = group(app, who, (waits.word(), waits.title()), page.jobs);
    let groups = vec![Group { count: counted(count), note: note(waits), ..group }];
    Ok(Shown { groups: filled_ones(groups), later })
}

/// What was looked for, the job opened last first.
async fn found(app: &App, who: &Who, asked: &Asked) -> Result<Shown, WebError> {
    let found = jobs::search(app.store(), who.workshop(), &asked.search(LISTED)).await?;
    let later = found.next.map(|mark| asked.later(&mark));
    let group = group(app, who, ("found", "Found"), found.jobs);
    let count = if later.is_some() { String::new() } else { group.count };
    let groups = vec![Group { count, note: "The job that was opened last comes first.", ..group }];
    Ok(Shown { groups: filled_ones(groups), later })
}

fn filled_ones(mut groups: Vec<Group>) -> Vec<Group> {
    groups.retain(|group| !group.jobs.is_empty());
    groups
}

/// What changed last, by stage: what waits for a technician first.
async fn short_list(app: &App, who: &Who, asked: &Asked) -> Result<Shown, WebError> {
    let before = asked.before.parse::<PageMark>().ok();
    let filter = Filter { before, limit: LISTED };
    let page = jobs::list(app.store(), who.workshop(), &filter).await?;
    let later = page.next.map(|mark| asked.later(&mark));
    let mut rows = page.jobs;
    let order = [
        Stage::Returned,
        Stage::Working,
        Stage::Ready,
        Stage::Review,
        Stage::Planning,
        Stage::Released,
    ];
    let groups = order.map(|stage| {
        let of_stage = rows.extract_if(.., |row| row.stage == stage.word()).collect();
        group(app, who, (stage.word(), stage.title()), of_stage)
    });
    Ok(Shown { groups: filled_ones(groups.into()), later })
}
