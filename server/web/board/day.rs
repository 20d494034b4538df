//! `/jobs/{job}/day`: one job's day, person and hours, as a form; the board's script sends the same.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::Date;

use super::view::{parse_saw, saw_text};
use super::{BoardQuery, choices};
use crate::domain::board::{
    AHEAD_DAYS_MAX, JOB_DAYS_MAX, JOB_MINUTES_DEFAULT, JOB_MINUTES_MAX, JOB_MINUTES_MIN, Week,
    plus, words,
};
use crate::domain::ids::{JobId, PersonId};
use crate::domain::job::Stage;
use crate::domain::number::{Decimal, parse_typed};
use crate::domain::release::Refusal;
use crate::storage::board::{self, BoardJob, Move, Saw};
use crate::storage::people;
use crate::web::app::App;
use crate::web::error::{WebError, encode};
use crate::web::form::{Choice, Field, Filled, FormFault, day};
use crate::web::page::{Frame, page};
use crate::web::session::Who;

#[derive(Template)]
#[template(path = "pages/board_day.html")]
struct DayPage {
    frame: Frame,
    back: String,
    job_href: String,
    number: u64,
    lede: String,
    action: String,
    saw: String,
    week: String,
    technician: Field,
    technicians: Vec<Choice>,
    day: Field,
    days: Field,
    hours: Field,
    faults: Vec<FormFault>,
}

/// GET /jobs/{job}/day
pub(in crate::web) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Query(query): Query<BoardQuery>,
) -> Result<Response, WebError> {
    let job = open_job(&app, &who, job).await?;
    let text = |text: Option<String>| text.unwrap_or_default();
    let filled = Filled::with([
        ("technician", text(job.technician.map(|id| id.to_string()))),
        ("day", text(job.planned.day.map(|day| day.to_string()))),
        ("days", job.planned.days.unwrap_or(1).to_string()),
        ("hours", hours_text(minutes_of(&app, &who, &job).await?)),
        ("saw", saw_text(Saw { version: job.planned.version, technician: job.technician })),
        ("week", query.week),
    ]);
    Ok(page(&day_page(&app, &who, &job, filled).await?))
}

async fn open_job(app: &App, who: &Who, job: JobId) -> Result<BoardJob, WebError> {
    let job = board::load(app.store(), who.workshop(), job).await?.ok_or(WebError::NotFound)?;
    if job.stage == Stage::Released { Err(Refusal::Released.into()) } else { Ok(job) }
}

/// What was planned for it, else what is usual for its kit.
async fn minutes_of(app: &App, who: &Who, job: &BoardJob) -> Result<u32, WebError> {
    if let Some(minutes) = job.planned.minutes {
        return Ok(minutes);
    }
    let usual = board::usual_minutes(app.store(), who.workshop(), &job.kit_code).await?;
    Ok(usual.unwrap_or(JOB_MINUTES_DEFAULT))
}

fn hours_text(minutes: u32) -> String {
    (Decimal::from(minutes) / Decimal::from(60)).round_dp(2).normalize().to_string()
}

async fn day_page(
    app: &App,
    who: &Who,
    job: &BoardJob,
    mut filled: Filled,
) -> Result<DayPage, WebError> {
    let people = people::list(app.store(), who.workshop()).await?;
    let nobody = std::iter::once((String::new(), "Nobody yet".to_owned()));
    Ok(DayPage {
        frame: Frame::new(format!("Day of job {}", job.number), who, "/board"),
        back: board_link(&filled, job),
        job_href: format!("/jobs/{}", job.id),
        number: job.number,
        lede: format!("{}, {}. {}.", job.vehicle, job.registration, job.kit_title),
        action: format!("/jobs/{}/day", job.id),
        saw: filled.text("saw").to_owned(),
        week: filled.text("week").to_owned(),
        technicians: filled.choices("technician", nobody.chain(choices(&people))),
        technician: filled.field("technician", "Technician"),
        day: filled.field("day", "Day").hint("Empty where it has no day yet."),
        days: filled
            .field("days", "Working days")
            .hint("Weekends are passed over, unless the first day is one."),
        hours: filled.field("hours", "Hours").unit("h").hint("In all, spread over its days."),
        faults: filled.into_faults(),
    })
}

/// The board at the week of the job's day, else at the one it was left at.
fn board_link(filled: &Filled, job: &BoardJob) -> String {
    let week = day(filled.text("day")).or(job.planned.day).map(|day| Week::of(day).to_string());
    let week = week.unwrap_or_else(|| filled.text("week").to_owned());
    format!("/board?week={}", encode(&week))
}

/// POST /jobs/{job}/day
pub(in crate::web) async fn move_job(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let job = open_job(&app, &who, job).await?;
    let Some(new) = checked(&app, &who, &job, &mut sent).await? else {
        return came_back(&app, &who, &job, (sent, StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    if board::append_move(app.store(), who.workshop(), new, app.now()).await? {
        let done = if new.day.is_some() { "moved" } else { "undated" };
        let to = format!("{}&done={done}#j-{}", board_link(&sent, &job), job.id);
        return Ok(Redirect::to(&to).into_response());
    }
    let now = open_job(&app, &who, job.id).await?;
    let sentence = moved_words(&app, &who, &now).await?;
    sent.suggest("saw", saw_text(Saw { version: now.planned.version, technician: now.technician }));
    sent.fault("day", sentence);
    came_back(&app, &who, &now, (sent, StatusCode::CONFLICT)).await
}

/// `Job 7 was moved meanwhile: it is with Ines on Tuesday 24 November. Send again to move it from there.`
async fn moved_words(app: &App, who: &Who, job: &BoardJob) -> Result<String, WebError> {
    let people = people::list(app.store(), who.workshop()).await?;
    let name = people.into_iter().find(|person| Some(person.id) == job.technician);
    let name = name.map_or_else(|| "nobody".to_owned(), |person| person.name);
    let day =
        job.planned.day.map_or_else(|| "without a day".to_owned(), |d| format!("on {}", words(d)));
    let number = job.number;
    Ok(format!(
        "Job {number} was moved meanwhile: it is with {name}, {day}. Send again to move it from there."
    ))
}

/// The move that was asked for. Whoever drags a card says nothing of its hours: those stay.
async fn checked(
    app: &App,
    who: &Who,
    job: &BoardJob,
    sent: &mut Filled,
) -> Result<Option<Move>, WebError> {
    for (name, stays) in [
        ("days", job.planned.days.unwrap_or(1).to_string()),
        ("hours", hours_text(minutes_of(app, who, job).await?)),
    ] {
        if !sent.is_ticked(name) {
            sent.suggest(name, stays);
        }
    }
    let technician = technician(app, who, sent).await?;
    let day = checked_day(sent, app.now().utc().date());
    let (days, minutes) = (checked_days(sent), checked_minutes(sent));
    let saw = parse_saw(sent.text("saw"));
    if saw.is_none() {
        sent.fault("day", "The form has lost what it saw. Open it again from the board.");
    }
    let (Some(saw), true) = (saw, sent.is_sound()) else { return Ok(None) };
    Ok(Some(Move { job: job.id, technician, day, days, minutes, saw }))
}

async fn technician(app: &App, who: &Who, sent: &mut Filled) -> Result<Option<PersonId>, WebError> {
    if sent.text("technician").is_empty() {
        return Ok(None);
    }
    let found = match sent.text("technician").parse::<PersonId>() {
        Ok(id) => people::load(app.store(), who.workshop(), id).await?,
        Err(_) => None,
    };
    let found = found.filter(|person| !person.disabled);
    if found.is_none() {
        sent.fault("technician", "Choose somebody who works here.");
    }
    Ok(found.map(|person| person.id))
}

fn checked_day(sent: &mut Filled, today: Date) -> Option<Date> {
    if sent.text("day").is_empty() {
        return None;
    }
    let day = sent.day("day")?;
    let is_near = (plus(today, -AHEAD_DAYS_MAX)..=plus(today, AHEAD_DAYS_MAX)).contains(&day);
    if !is_near {
        sent.fault("day", format!("Choose a day at most {AHEAD_DAYS_MAX} days from today."));
    }
    Some(day)
}

fn checked_days(sent: &mut Filled) -> u8 {
    let days = sent.text("days").parse().ok().filter(|days| (1..=JOB_DAYS_MAX).contains(days));
    if days.is_none() {
        sent.fault("days", format!("Write a number of days from 1 to {JOB_DAYS_MAX}."));
    }
    days.unwrap_or(1)
}

fn checked_minutes(sent: &mut Filled) -> u32 {
    let hours = parse_typed(sent.text("hours"));
    let minutes = hours.and_then(|hours| hours.checked_mul(Decimal::from(60)));
    let minutes = minutes.and_then(|minutes| u32::try_from(minutes.round()).ok());
    let minutes = minutes.filter(|m| (JOB_MINUTES_MIN..=JOB_MINUTES_MAX).contains(m));
    if minutes.is_none() {
        let most = JOB_MINUTES_MAX / 60;
        sent.fault("hours", format!("Write hours from 0.25 to {most}, such as 4 or 2.5."));
    }
    minutes.unwrap_or(JOB_MINUTES_MIN)
}

async fn came_back(
    app: &App,
    who: &Who,
    job: &BoardJob,
    (sent, status): (Filled, StatusCode),
) -> Result<Response, WebError> {
    let again = page(&day_page(app, who, job, sent).await?);
    Ok((status, again).into_response())
}
