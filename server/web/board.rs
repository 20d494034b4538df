//! `/board`: the week, who does which job on which day, and what does not go together.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use time::Date;

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault};
use super::page::{Done, Frame, page};
use super::session::Who;
use crate::domain::board::{Conflict, Missing, Planned, conflicts};
use crate::domain::ids::{JobId, PersonId};
use crate::domain::job::Stage;
use crate::domain::person::{Person, Role};
use crate::storage::jobs::{self, BoardJob, WaitMark};
use crate::storage::{StorageError, people};

mod moved;
mod week;

pub(super) use moved::{away, move_job};
use week::Week;

/// Jobs without a day on one page.
const UNDATED: u32 = 30;

struct Card {
    id: JobId,
    href: String,
    number: u64,
    vehicle: String,
    what: String,
    hours: String,
    conflicts: Vec<String>,
    selected: Option<&'static str>,
    /// For the script that moves it; nothing where it moves no more.
    handle: Option<Handle>,
}

/// What is sent when a card is moved: where it was seen.
struct Handle {
    minutes: String,
    day: String,
    person: String,
    seen: u32,
}

struct Cell {
    day: String,
    title: String,
    is_today: Option<&'static str>,
    away: Option<()>,
    cards: Vec<Card>,
}

struct Row {
    person: String,
    name: String,
    cells: Vec<Cell>,
}

struct Head {
    title: String,
    today: Option<&'static str>,
}

/// The form of the card that was opened.
struct MoveForm {
    action: String,
    title: String,
    href: String,
    seen: u32,
    was: String,
    person: Field,
    people: Vec<Choice>,
    day: Field,
    hours: Field,
}

struct AwayForm {
    person: Field,
    people: Vec<Choice>,
    day: Field,
}

#[derive(Template)]
#[template(path = "pages/board.html")]
struct BoardPage {
    frame: Frame,
    week: String,
    title: String,
    before: String,
    after: String,
    this: String,
    heads: Vec<Head>,
    rows: Vec<Row>,
    late: Vec<Card>,
    undated: Vec<Card>,
    more: Option<String>,
    form: Option<MoveForm>,
    away: AwayForm,
    faults: Vec<FormFault>,
}

/// Which week, which card is opened, where the list of undated jobs goes on.
#[derive(Debug, Default, Deserialize)]
pub(super) struct BoardQuery {
    #[serde(default)]
    week: String,
    #[serde(default)]
    job: String,
    #[serde(default)]
    after: String,
}

/// What the page says after a change.
const DONE: [(&str, &str); 3] = [
    ("moved", "Moved. The technician's list follows."),
    ("away", "Noted: away that day."),
    ("there", "Noted: there that day."),
];

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

/// Everything that the page is made from.
struct Board {
    week: Week,
    today: Date,
    planned: Vec<BoardJob>,
    late: Vec<BoardJob>,
    undated: Vec<BoardJob>,
    next: Option<WaitMark>,
    people: Vec<Person>,
    away: Vec<(PersonId, Date)>,
    conflicts: BTreeMap<JobId, Vec<Conflict>>,
    /// Of the card that is opened.
    opened: Option<JobId>,
}

impl Board {
    async fn load(app: &App, who: &Who, query: &BoardQuery) -> Result<Self, StorageError> {
        let (store, workshop) = (app.store(), who.workshop());
        let today = app.now().utc().date();
        let week = Week::read(&query.week).unwrap_or_else(|| Week::of(today));
        let (first, last) = (week.first(), week.last());
        let planned = jobs::of_days(store, workshop, first, last).await?;
        let mut late = jobs::planned_before(store, workshop, today).await?;
        late.retain(|job| job.day.is_some_and(|day| day < first));
        let after = query.after.parse::<WaitMark>().ok();
        let (undated, next) = jobs::undated(store, workshop, after, UNDATED).await?;
        let people = people::list(store, workshop).await?;
        let away = jobs::list_away(store, workshop, first, last).await?;
        let left = people.iter().filter(|person| person.disabled).map(|person| person.id);
        let missing = Missing { away: away.clone(), left: left.collect() };
        let all: Vec<Planned> = planned.iter().chain(&late).filter_map(placed).collect();
        let conflicts = conflicts(&all, &missing, today);
        let opened = query.job.parse().ok();
        Ok(Self { week, today, planned, late, undated, next, people, away, conflicts, opened })
    }

    /// Technicians who work here, and whoever else has something on this week.
    fn hands(&self) -> impl Iterator<Item = &Person> {
        self.people.iter().filter(|person| {
            let is_hand = person.role == Role::Technician && !person.disabled;
            is_hand || self.planned.iter().any(|job| job.row.technician == Some(person.id))
        })
    }

    fn find(&self, job: JobId) -> Option<&BoardJob> {
        let all = self.planned.iter().chain(&self.late).chain(&self.undated);
        all.into_iter().find(|known| known.row.id == job)
    }

    fn address(&self, more: &str) -> String {
        format!("/board?week={}{more}", self.week)
    }

    fn card(&self, job: &BoardJob) -> Card {
        let row = &job.row;
        let conflicts = self.conflicts.get(&row.id).map(Vec::as_slice).unwrap_or_default();
        let place = [row.vehicle.as_str(), row.registration.as_str()];
        Card {
            id: row.id,
            href: format!("{}#move", self.address(&format!("&job={}", row.id))),
            number: row.number,
            vehicle: place
                .into_iter()
                .filter(|part| !part.is_empty())
                .collect::<Vec<_>>()
                .join(", "),
            what: row.kit_title.clone(),
            hours: crate::domain::board::hours(job.minutes),
            conflicts: conflicts.iter().map(|conflict| conflict.words()).collect(),
            selected: (self.opened == Some(row.id)).then_some("true"),
            handle: is_open(job).then(|| Handle {
                minutes: typed_hours(job.minutes),
                day: job.day.map(day_text).unwrap_or_default(),
                person: row.technician.map(|id| id.to_string()).unwrap_or_default(),
                seen: job.version,
            }),
        }
    }

    fn row(&self, person: Option<&Person>) -> Row {
        let id = person.map(|person| person.id);
        let cell = |day: Date| {
            let here = self.planned.iter().filter(|job| job.row.technician == id);
            let here = here.filter(|job| job.day == Some(day));
            Cell {
                day: day_text(day),
                title: week::day_title(day),
                is_today: (day == self.today).then_some("date"),
                away: id.filter(|id| self.away.contains(&(*id, day))).map(|_| ()),
                cards: here.map(|job| self.card(job)).collect(),
            }
        };
        Row {
            person: id.map(|id| id.to_string()).unwrap_or_default(),
            name: person.map_or_else(|| "Nobody yet".to_owned(), |person| person.name.clone()),
            cells: self.week.days().map(cell).collect(),
        }
    }
}

fn placed(job: &BoardJob) -> Option<Planned> {
    Some(Planned {
        job: job.row.id,
        number: job.row.number,
        plate: jobs::plain_mark(&job.row.registration),
        stage: Stage::parse(&job.row.stage)?,
        person: job.row.technician,
        day: job.day?,
        minutes: job.minutes,
    })
}

fn is_open(job: &BoardJob) -> bool {
    job.row.stage != Stage::Released.word()
}

fn day_text(day: Date) -> String {
    crate::domain::ids::Moment::start_of(day).date()
}

fn typed_hours(minutes: u32) -> String {
    crate::domain::board::hours(minutes).trim_end_matches(" h").to_owned()
}

/// The page with what was sent and is not good yet.
async fn board_page(
    app: &App,
    who: &Who,
    query: &BoardQuery,
    mut sent: Filled,
) -> Result<BoardPage, WebError> {
    let board = Board::load(app, who, query).await?;
    let mut rows: Vec<Row> = board.hands().map(|person| board.row(Some(person))).collect();
    rows.push(board.row(None));
    let head = |day: Date| Head {
        title: week::day_title(day),
        today: (day == board.today).then_some("date"),
    };
    let more = board.next.map(|mark| board.address(&format!("&after={mark}#undated")));
    Ok(BoardPage {
        frame: Frame::new("Board", who, "/board"),
        week: board.week.to_string(),
        title: board.week.title(),
        before: format!("/board?week={}", board.week.before()),
        after: format!("/board?week={}", board.week.after()),
        this: "/board".to_owned(),
        heads: board.week.days().map(head).collect(),
        rows,
        late: board.late.iter().map(|job| board.card(job)).collect(),
        undated: board.undated.iter().map(|job| board.card(job)).collect(),
        more,
        form: moved::form(&board, &mut sent),
        away: moved::away_form(&board, &mut sent),
        faults: sent.into_faults(),
    })
}

/// The page again, where something could not be done.
async fn came_back(
    app: &App,
    who: &Who,
    (query, status): (BoardQuery, StatusCode),
    sent: Filled,
) -> Result<Response, WebError> {
    Ok((status, page(&board_page(app, who, &query, sent).await?)).into_response())
}
