//! Recalling an instrument: the form, and what it leaves in doubt.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use time::Date;

use super::in_use;
use super::show::{Sent, refused};
use crate::acts::recall::note;
use crate::domain::ids::{Moment, RecallId};
use crate::domain::instrument::as_found::FoundOff;
use crate::domain::instrument::{Instrument, Recall};
use crate::domain::number::{Decimal, parse_typed};
use crate::storage::instruments;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Field, Filled};
use crate::web::session::Who;

const REASON_CHARS_MAX: usize = 300;
const DIGITS_MAX: u32 = 9_999;
const PERCENT_MAX: Decimal = Decimal::ONE_HUNDRED;

/// What the form asks.
pub(super) struct RecallForm {
    pub(super) action: String,
    pub(super) from: Field,
    pub(super) found_on: Field,
    pub(super) reason: Field,
    pub(super) percent: Field,
    pub(super) digits: Field,
    /// The attribute, where it was ticked.
    pub(super) put_right: Option<&'static str>,
    /// The attribute, where the form came back.
    pub(super) open: Option<&'static str>,
}

/// The form, which proposes everything since the last time the instrument was found to be right.
pub(super) fn form(instrument: &Instrument, now: Moment, sent: Option<&mut Filled>) -> RecallForm {
    let mut fresh = Filled::default();
    let open = sent.is_some().then_some("open");
    let filled = sent.unwrap_or(&mut fresh);
    if open.is_none() {
        filled.suggest("from", last_good(instrument, now).unwrap_or_default());
        filled.suggest("found_on", now.date());
    }
    let (percent, digits) = off_fields(filled);
    RecallForm {
        action: format!("/instruments/{}/recall", instrument.id),
        from: filled
            .field("from", "Wrong since")
            .hint("The day it was dropped; if nobody knows, the day of its last good calibration."),
        found_on: filled.field("found_on", "Found on"),
        reason: filled.field("reason", "What was found").hint("Such as: reads 6 % high at 12 N·m."),
        percent,
        digits,
        put_right: filled.is_ticked("put_right").then_some("checked"),
        open,
    }
}

/// How far it was off, in the words of its data sheet.
pub(super) fn off_fields(filled: &mut Filled) -> (Field, Field) {
    let percent = filled.field("percent", "Off by").unit("%").optional();
    let digits = filled.field("digits", "and smallest steps").unit("digits").optional();
    (percent.hint("Of the reading, whichever way."), digits.hint("Counts of the last digit."))
}

/// The day of the calibration that is in force.
fn last_good(instrument: &Instrument, now: Moment) -> Option<String> {
    instrument.newest_calibration(now).map(|calibration| calibration.done_on.clone())
}

/// POST /instruments/{instrument}/recall
pub(in crate::web) async fn recall(
    State(app): State<App>,
    who: Who,
    Path(instrument): Path<String>,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let instrument = in_use(&app, &who, &instrument).await?;
    let found = instruments::load(app.store(), who.workshop(), instrument).await?;
    let found = found.ok_or(WebError::NotFound)?;
    let id = RecallId(app.new_id()?);
    let Some(recall) = checked(&mut filled, &found, (id, app.now())) else {
        return refused(&app, &who, &found, Sent::Recall(filled)).await;
    };
    note(app.store(), &who.by(app.now()), instrument, recall).await?;
    let there = format!("/instruments/{instrument}/recalls/{id}?done=recalled");
    Ok(Redirect::to(&there).into_response())
}

/// The recall that the form describes.
fn checked(
    filled: &mut Filled,
    instrument: &Instrument,
    (id, noted): (RecallId, Moment),
) -> Option<Recall> {
    let (from, found_on) = (filled.day("from"), filled.day("found_on"));
    let reason = filled.line("reason", REASON_CHARS_MAX);
    let found_off = found_off(filled);
    check_days(filled, (from?, found_on?), noted.utc().date());
    // Stored as typed: `day` takes exactly the form that is stored.
    let [from, found_on] = ["from", "found_on"].map(|name| filled.text(name).to_owned());
    let put_right = filled.is_ticked("put_right");
    let doubted = if put_right { Vec::new() } else { instrument.calibrated_on(&found_on) };
    let sound = filled.is_sound();
    sound.then_some(Recall { id, from, found_on, doubted, reason, found_off, noted })
}

fn check_days(filled: &mut Filled, (from, found_on): (Date, Date), today: Date) {
    if found_on > today {
        filled.fault("found_on", "This day is yet to come. Write the day it was found.");
    }
    if from > found_on {
        filled.fault("from", "This is after it was found. Write the first day in doubt.");
    }
}

/// How far it was off, where one of the two was typed.
pub(super) fn found_off(filled: &mut Filled) -> Option<FoundOff> {
    if filled.text("percent").is_empty() && filled.text("digits").is_empty() {
        return None;
    }
    let percent = match filled.text("percent") {
        "" => Some(Decimal::ZERO),
        typed => parse_typed(typed),
    };
    let percent = percent.filter(|percent| (Decimal::ZERO..=PERCENT_MAX).contains(percent));
    let digits = match filled.text("digits") {
        "" => Some(0),
        typed => typed.parse::<u32>().ok().filter(|digits| *digits <= DIGITS_MAX),
    };
    if percent.is_none() {
        filled.fault("percent", "Write a figure from 0 to 100, without a sign.");
    }
    if digits.is_none() {
        filled.fault("digits", format!("Write a whole number up to {DIGITS_MAX}."));
    }
    let off = FoundOff { percent: percent?, digits: digits? };
    Some(off).filter(|off| !off.percent.is_zero() || off.digits > 0)
}
