//! Days on which somebody is not there.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::Date;

use super::{BoardQuery, board_page};
use crate::domain::board::{AHEAD_DAYS_MAX, Week, is_weekend, plus};
use crate::domain::ids::PersonId;
use crate::storage::{board, people};
use crate::web::app::App;
use crate::web::error::{WebError, encode};
use crate::web::form::Filled;
use crate::web::page::page;
use crate::web::session::Who;

/// Days that are noted at once.
const AWAY_DAYS_MAX: i64 = 62;

/// POST /board/away
pub(in crate::web) async fn note(
    State(app): State<App>,
    who: Who,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let person = person(&app, &who, &mut sent).await?;
    let days = days(&mut sent, app.now().utc().date());
    let (Some(person), Some(days), true) = (person, days, sent.is_sound()) else {
        let query = BoardQuery { week: sent.text("week").to_owned(), after: String::new() };
        let again = page(&board_page(&app, &who, &query, sent).await?);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    let week = days.first().map_or_else(String::new, |day| Week::of(*day).to_string());
    board::append_away(app.store(), who.workshop(), person, days).await?;
    Ok(Redirect::to(&format!("/board?week={week}&done=away")).into_response())
}

async fn person(app: &App, who: &Who, sent: &mut Filled) -> Result<Option<PersonId>, WebError> {
    let found = match sent.text("person").parse() {
        Ok(id) => people::load(app.store(), who.workshop(), id).await?,
        Err(_) => None,
    };
    if found.is_none() {
        sent.fault("person", "Choose somebody.");
    }
    Ok(found.map(|person| person.id))
}

/// From one day to another, without weekends in between; one day where no end is given.
fn days(sent: &mut Filled, today: Date) -> Option<Vec<Date>> {
    let from = sent.day("from")?;
    let until = if sent.text("until").is_empty() { from } else { sent.day("until")? };
    let count = (until - from).whole_days();
    if !(0..AWAY_DAYS_MAX).contains(&count) {
        sent.fault("until", format!("Choose an end at most {AWAY_DAYS_MAX} days on, not before."));
        return None;
    }
    if (from - today).whole_days().abs() > AHEAD_DAYS_MAX {
        sent.fault("from", format!("Choose a day at most {AHEAD_DAYS_MAX} days from today."));
        return None;
    }
    let all = (0..=count).map(|on| plus(from, on));
    Some(all.filter(|day| count == 0 || !is_weekend(*day)).collect())
}

/// POST /board/away/back
pub(in crate::web) async fn take_back(
    State(app): State<App>,
    who: Who,
    mut sent: Filled,
) -> Result<Response, WebError> {
    let person = sent.text("person").parse::<PersonId>().ok();
    let day = sent.day("day");
    let (Some(person), Some(day)) = (person, day) else { return Err(WebError::NotFound) };
    board::take_away_back(app.store(), who.workshop(), (person, day)).await?;
    let week = encode(&Week::of(day).to_string());
    Ok(Redirect::to(&format!("/board?week={week}&done=back")).into_response())
}
