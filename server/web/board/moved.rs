//! What is changed on the board: where a job stands, and who is away.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;
use time::Date;

use super::{AwayForm, Board, BoardQuery, MoveForm, came_back, day_text, is_open, typed_hours};
use crate::domain::board::{JOB_MINUTES_MAX, JOB_MINUTES_MIN};
use crate::domain::ids::{JobId, PersonId};
use crate::domain::person::{Person, Role};
use crate::storage::jobs::{self, BoardJob, Move};
use crate::storage::{Conflict, StorageError, people};
use crate::web::app::App;
use crate::web::error::{WebError, encode};
use crate::web::form::{Choice, Filled};
use crate::web::session::Who;

/// The form of the opened card, with what was typed where it came back.
pub(super) fn form(board: &Board, sent: &mut Filled) -> Option<MoveForm> {
    let job = board.opened.and_then(|job| board.find(job)).filter(|job| is_open(job))?;
    let person = job.row.technician.map(|id| id.to_string()).unwrap_or_default();
    if sent.text("job").is_empty() {
        sent.suggest("person", person.clone());
        sent.suggest("day", job.day.map(day_text).unwrap_or_default());
        sent.suggest("hours", typed_hours(job.minutes));
    }
    Some(MoveForm {
        action: format!("/board/{}", job.row.id),
        title: format!("Job {}, {}", job.row.number, job.row.vehicle),
        href: format!("/jobs/{}", job.row.id),
        seen: job.version,
        was: person,
        people: sent.choices("person", hands(board, job)),
        person: sent.field("person", "Who"),
        day: sent.field("day", "Day").hint("Empty takes it off the board."),
        hours: sent.field("hours", "Hours").unit("h"),
    })
}

/// Whoever may be chosen: technicians who work here, and whoever has it now.
fn hands(board: &Board, job: &BoardJob) -> Vec<(String, String)> {
    let can = |person: &&Person| {
        let is_hand = person.role == Role::Technician && !person.disabled;
        is_hand || job.row.technician == Some(person.id)
    };
    let named = |person: &Person| (person.id.to_string(), person.name.clone());
    let nobody = (String::new(), "Nobody yet".to_owned());
    std::iter::once(nobody).chain(board.people.iter().filter(can).map(named)).collect()
}

pub(super) fn away_form(board: &Board, sent: &mut Filled) -> AwayForm {
    let hands = board.people.iter().filter(|p| p.role == Role::Technician && !p.disabled);
    let named = hands.map(|person| (person.id.to_string(), person.name.clone()));
    let people: Vec<Choice> = sent.choices("away_person", named);
    AwayForm {
        people,
        person: sent.field("away_person", "Who"),
        day: sent.field("away_day", "Day"),
    }
}

/// POST /board/{job}
pub(in crate::web) async fn move_job(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let (week, status) = (sent.text("week").to_owned(), StatusCode::UNPROCESSABLE_ENTITY);
    let query = || BoardQuery { week: week.clone(), job: job.to_string(), ..Default::default() };
    sent.suggest("job", job.to_string());
    let Some(to) = checked(&app, &who, job, &mut sent).await? else {
        return came_back(&app, &who, (query(), status), sent).await;
    };
    let moved = jobs::move_job(app.store(), who.workshop(), to, app.now()).await;
    match moved.as_ref().err().and_then(StorageError::conflict) {
        Some(conflict @ Conflict::BoardMoved) => {
            let mut plain = Filled::default();
            plain.fault("move", format!("{conflict}."));
            came_back(&app, &who, (query(), StatusCode::CONFLICT), plain).await
        }
        _ => {
            moved?;
            let here = format!("/board?week={}&done=moved", encode(&week));
            Ok(Redirect::to(&here).into_response())
        }
    }
}

/// Where it goes. A person has to be one of this workshop's.
async fn checked(
    app: &App,
    who: &Who,
    job: JobId,
    sent: &mut Filled,
) -> Result<Option<Move>, WebError> {
    let day = if sent.text("day").is_empty() { None } else { sent.day("day") };
    let minutes = minutes(sent);
    let person = chosen(app, who, sent, "person").await?;
    let seen = sent.text("seen").parse().unwrap_or(0);
    let seen_person = sent.text("was").parse::<PersonId>().ok();
    Ok(minutes.filter(|_| sent.is_sound()).map(|minutes| Move {
        job,
        day,
        minutes,
        person,
        seen,
        seen_person,
    }))
}

/// In quarters of an hour.
fn minutes(sent: &mut Filled) -> Option<u32> {
    let hours = sent.figure("hours")?;
    let quarters = hours * Decimal::from(4);
    let minutes = (quarters.fract().is_zero()).then(|| quarters.to_u32()).flatten();
    let minutes = minutes.and_then(|quarters| quarters.checked_mul(15));
    let fits = minutes.filter(|m| (JOB_MINUTES_MIN..=JOB_MINUTES_MAX).contains(m));
    if fits.is_none() {
        sent.fault("hours", "Write hours from 0.25 to 24, in quarters, such as 3.5.");
    }
    fits
}

/// A person of this workshop; nobody where nobody was chosen.
async fn chosen(
    app: &App,
    who: &Who,
    sent: &mut Filled,
    name: &str,
) -> Result<Option<PersonId>, WebError> {
    if sent.text(name).is_empty() {
        return Ok(None);
    }
    let all = people::list(app.store(), who.workshop()).await?;
    let found = all.iter().find(|person| person.id.to_string() == sent.text(name));
    if found.is_none() {
        sent.fault(name, "Choose somebody from the list.");
    }
    Ok(found.map(|person| person.id))
}

/// POST /board/away
pub(in crate::web) async fn away(
    State(app): State<App>,
    who: Who,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let week = sent.text("week").to_owned();
    let day: Option<Date> = sent.day("away_day");
    let person = chosen(&app, &who, &mut sent, "away_person").await?;
    if person.is_none() && sent.text("away_person").is_empty() {
        sent.fault("away_person", "Choose somebody from the list.");
    }
    let (Some(day), Some(person)) = (day, person) else {
        let query = BoardQuery { week, ..BoardQuery::default() };
        return came_back(&app, &who, (query, StatusCode::UNPROCESSABLE_ENTITY), sent).await;
    };
    let is_away = sent.text("there").is_empty();
    jobs::set_away(app.store(), who.workshop(), (person, day), is_away).await?;
    let done = if is_away { "away" } else { "there" };
    Ok(Redirect::to(&format!("/board?week={}&done={done}", encode(&week))).into_response())
}
