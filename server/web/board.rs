//! `/board`: who does which job on which day of a week, what does not fit, and what has no day yet.

use std::collections::{BTreeMap, BTreeSet};

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;
use serde::Deserialize;
use time::Date;

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault};
use super::page::{Done, Frame, page};
use super::session::Who;
use super::views::Mark;
use crate::domain::board::{Conflict, Hand, Known, Placed, Week, conflicts, is_late, words};
use crate::domain::ids::PersonId;
use crate::domain::person::{Person, Role};
use crate::storage::board::{self, BoardJob, LATE_LISTED, WEEK_JOBS_MAX};
use crate::storage::people;

mod away;
mod day;
mod view;

pub(super) use away::{note as note_away, take_back};
pub(super) use day::{move_job, show as day_page};
use view::{AwayView, CardView, ColumnView, DayView, RowView, Week7};

/// What the page says after a change.
const DONE: [(&str, &str); 4] = [
    ("moved", "Moved."),
    ("undated", "The job has no day any more."),
    ("away", "Noted as away."),
    ("back", "Noted as here."),
];

/// What the address may say.
#[derive(Debug, Default, Deserialize)]
pub(super) struct BoardQuery {
    #[serde(default)]
    week: String,
    /// The jobs without a day go on behind this number.
    #[serde(default)]
    after: String,
}

struct ConflictView {
    mark: Mark,
    sentence: String,
}

#[derive(Template)]
#[template(path = "pages/board.html")]
struct BoardPage {
    frame: Frame,
    week: String,
    title: String,
    before: String,
    next: String,
    this: Option<String>,
    conflicts: Vec<ConflictView>,
    is_cut: Option<u32>,
    columns: Vec<ColumnView>,
    rows: Vec<RowView>,
    /// The same by day, for the phone.
    days: Vec<DayView>,
    late: Vec<CardView>,
    more_late: Option<()>,
    undated: Vec<CardView>,
    more: Option<String>,
    away: Vec<AwayView>,
    person: Field,
    people: Vec<Choice>,
    from: Field,
    until: Field,
    faults: Vec<FormFault>,
}

/// GET /board
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Query(query): Query<BoardQuery>,
    done: Done,
) -> Result<Response, WebError> {
    let shown = board_page(&app, &who, &query, Filled::default()).await?;
    let frame = done.noted(shown.frame, &DONE);
    Ok(page(&BoardPage { frame, ..shown }))
}

/// Everything that a week is shown from.
struct Board {
    week: Week,
    today: Date,
    jobs: Vec<BoardJob>,
    late: Vec<BoardJob>,
    /// More were planned earlier than are listed.
    more_late: bool,
    people: Vec<Person>,
    away: BTreeSet<(PersonId, Date)>,
    found: Vec<Conflict>,
}

impl Board {
    async fn load(app: &App, who: &Who, week: Week) -> Result<Self, WebError> {
        let (store, workshop) = (app.store(), who.workshop());
        let today = app.now().utc().date();
        let ends = (week.monday(), week.sunday());
        let mut jobs = board::list_week(store, workshop, ends).await?;
        jobs.retain(|job| job.planned.span().is_some_and(|span| span.last() >= week.monday()));
        let mut late = board::list_past(store, workshop, today).await?;
        let more_late = late.len() >= LATE_LISTED as usize;
        let is_here = |job: &BoardJob| jobs.iter().any(|here| here.id == job.id);
        late.retain(|job| {
            job.planned.span().is_some_and(|span| is_late(job.stage, span, today)) && !is_here(job)
        });
        let people = people::list(store, workshop).await?;
        let away = board::list_away(store, workshop, ends).await?.into_iter().collect();
        let mut all = Self { week, today, jobs, late, more_late, people, away, found: Vec::new() };
        all.found = all.conflicts();
        Ok(all)
    }

    fn conflicts(&self) -> Vec<Conflict> {
        let hand = |person: &Person| {
            (person.id, Hand { name: person.name.clone(), disabled: person.disabled })
        };
        let people: BTreeMap<PersonId, Hand> = self.people.iter().map(hand).collect();
        let placed: Vec<Placed> = self.jobs.iter().filter_map(placed).collect();
        let known = Known { people: &people, away: &self.away, today: self.today };
        // What does not fit on a day of another week is told there.
        let mut found = conflicts(&placed, known);
        found.retain(|conflict| conflict.day.is_none_or(|day| Week::of(day) == self.week));
        found
    }
}

fn placed(job: &BoardJob) -> Option<Placed> {
    Some(Placed {
        job: job.id,
        number: job.number,
        person: job.technician,
        registration: job.registration.clone(),
        plate: job.plate.clone(),
        stage: job.stage,
        span: job.planned.span()?,
    })
}

async fn board_page(
    app: &App,
    who: &Who,
    query: &BoardQuery,
    mut filled: Filled,
) -> Result<BoardPage, WebError> {
    let this = Week::of(app.now().utc().date());
    let week = query.week.parse::<Week>().unwrap_or(this);
    let all = Board::load(app, who, week).await?;
    let after = query.after.parse().unwrap_or(0);
    let (undated, more) = board::list_undated(app.store(), who.workshop(), after).await?;
    let more = undated.last().filter(|_| more);
    let shown = Week7::of(&all);
    let link = |week: Week| format!("/board?week={week}");
    Ok(BoardPage {
        frame: Frame::new(format!("Plan board, {week}"), who, "/board"),
        title: format!("{} to {}", words(week.monday()), words(week.sunday())),
        before: link(week.plus(-1)),
        next: link(week.plus(1)),
        this: (week != this).then(|| link(this)),
        conflicts: all.found.iter().map(conflict_view).collect(),
        is_cut: (all.jobs.len() >= WEEK_JOBS_MAX as usize).then_some(WEEK_JOBS_MAX),
        columns: shown.columns(),
        rows: shown.rows(),
        days: shown.by_day(),
        more_late: all.more_late.then_some(()),
        late: all.late.iter().map(|job| shown.loose_card(job)).collect(),
        undated: undated.iter().map(|job| shown.loose_card(job)).collect(),
        more: more.map(|last| format!("{}&after={}", link(week), last.number)),
        away: shown.away(),
        people: filled.choices("person", choices(&all.people)),
        person: filled.field("person", "Who"),
        from: filled.field("from", "From"),
        until: filled.field("until", "To"),
        faults: filled.into_faults(),
        week: week.to_string(),
    })
}

/// Whom something can be given to.
fn choices(people: &[Person]) -> Vec<(String, String)> {
    let here = people.iter().filter(|person| !person.disabled);
    here.map(|person| (person.id.to_string(), person.name.clone())).collect()
}

/// People who have a row of their own, whatever they have to do.
fn is_fitter(person: &Person) -> bool {
    !person.disabled && person.role == Role::Technician
}

fn conflict_view(conflict: &Conflict) -> ConflictView {
    let mark = if conflict.is_caution {
        Mark { kind: "caution", word: "Caution" }
    } else {
        Mark { kind: "fail", word: "Conflict" }
    };
    ConflictView { mark, sentence: conflict.sentence.clone() }
}
