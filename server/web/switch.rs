//! `/switch`: the next person takes over a shared phone, by name and PIN.
//!
//! The phone is what they have, the PIN what they know: elsewhere it is worth nothing. A person who does
//! not exist and a wrong PIN get the same answer after the same time, and each attempt is counted before
//! anything is hashed.

use askama::Template;
use axum::Json;
use axum::extract::{Query, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};
use serde::Serialize;

use super::app::App;
use super::error::WebError;
use super::form::{Field, Filled, Pairs};
use super::page::{Frame, page};
use super::pin;
use super::session::{self, KnownDevice, MaybeWho, Who};
use super::sign_in::{Caller, local, settled_workshop};
use crate::domain::ids::{Moment, PersonId};
use crate::domain::person::Person;
use crate::storage::pin_tries::{self, Attempt, Turn};
use crate::storage::workshops::Workshop;
use crate::storage::{devices, pins, sessions};

const NOT_ENROLLED: &str =
    "This phone is not enrolled, so no PIN counts on it. Ask a manager for a code under Phones.";

/// One name to tap.
struct Target {
    id: String,
    value: String,
    name: String,
    /// The attribute, where it is the chosen one.
    checked: Option<&'static str>,
}

struct SwitchForm {
    /// What the phone is called.
    phone: String,
    next: String,
    people: Vec<Target>,
    /// What is wrong with the choice of a name.
    fault: Option<String>,
    pin: Field,
}

#[derive(Template)]
#[template(path = "pages/switch.html")]
struct SwitchPage {
    frame: Frame,
    workshop: String,
    /// Only on a phone that is enrolled.
    form: Option<SwitchForm>,
    /// Nobody has a PIN.
    nobody: Option<()>,
}

/// What came of an attempt, if it did not succeed.
struct Refused {
    sentence: String,
    /// Where waiting helps.
    wait_s: Option<u32>,
}

/// GET /switch
pub(super) async fn show(
    State(app): State<App>,
    caller: Caller,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let Some(workshop) = settled_workshop(&app).await? else {
        return Ok(Redirect::to("/first-run").into_response());
    };
    let phone = caller.shared_phone(&app, workshop.id).await?;
    Ok(page(&switch_page(&app, &workshop, phone.as_ref(), Filled::with(pairs)).await?))
}

async fn switch_page(
    app: &App,
    workshop: &Workshop,
    phone: Option<&KnownDevice>,
    mut filled: Filled,
) -> Result<SwitchPage, WebError> {
    let mut shown = SwitchPage {
        frame: Frame::bare("Switch person"),
        workshop: workshop.name.clone(),
        form: None,
        nobody: None,
    };
    let Some(phone) = phone else { return Ok(shown) };
    let holders = pins::list(app.store(), workshop.id).await?;
    shown.nobody = holders.is_empty().then_some(());
    let chosen = filled.text("person");
    let people = holders.iter().map(|holder| target(&holder.person, chosen)).collect();
    let device = devices::load(app.store(), workshop.id, phone.id).await?;
    shown.form = Some(SwitchForm {
        phone: device.map(|device| device.label).unwrap_or_default(),
        next: filled.text("next").to_owned(),
        people,
        fault: filled.field("person", "Who takes over?").error,
        pin: filled.field("pin", "PIN").secret(),
    });
    Ok(shown)
}

fn target(person: &Person, chosen: &str) -> Target {
    let value = person.id.to_string();
    Target {
        id: format!("w-{value}"),
        checked: (value == chosen).then_some("checked"),
        name: person.name.clone(),
        value,
    }
}

/// Who took over, for a script.
#[derive(Serialize)]
struct Switched {
    person: PersonId,
    name: String,
}

/// POST /switch
pub(super) async fn switch(
    State(app): State<App>,
    MaybeWho(before): MaybeWho,
    caller: Caller,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let Some(workshop) = settled_workshop(&app).await? else {
        return Ok(Redirect::to("/first-run").into_response());
    };
    let phone = caller.shared_phone(&app, workshop.id).await?;
    let phone = phone.ok_or(WebError::Forbidden(NOT_ENROLLED))?;
    let done = match checked(&mut filled) {
        Ok((person, pin)) => {
            let (workshop, device) = (workshop.id, phone.id);
            take_over(&app, Attempt { workshop, device, person, at: app.now() }, &pin).await?
        }
        Err(refused) => Err(refused),
    };
    match done {
        Ok(person) => begin(&app, &caller, (before, &phone, person), filled.text("next")).await,
        Err(refused) if caller.wants_json() => Err(refused.into()),
        Err(refused) => again(&app, &workshop, &phone, (filled, refused)).await,
    }
}

/// Ends whatever was begun on this phone before, and begins the session of whoever took over.
async fn begin(
    app: &App,
    caller: &Caller,
    (before, phone, person): (Option<Who>, &KnownDevice, Person),
    next: &str,
) -> Result<Response, WebError> {
    if let Some(before) = before {
        sessions::revoke(app.store(), before.token, app.now()).await?;
    }
    sessions::revoke_device(app.store(), person.workshop, phone.id, app.now()).await?;
    let cookies = AppendHeaders(session::start(app, &person, phone, "/switch").await?);
    if caller.wants_json() {
        let switched = Switched { person: person.id, name: person.name };
        return Ok((cookies, Json(switched)).into_response());
    }
    Ok((cookies, Redirect::to(way_on(next))).into_response())
}

fn way_on(next: &str) -> &str {
    if next.is_empty() { "/jobs" } else { local(next) }
}

/// What cannot be right is no try.
fn checked(filled: &mut Filled) -> Result<(PersonId, String), Refused> {
    let person = filled.text("person").parse().ok();
    if person.is_none() {
        filled.fault("person", "Choose your name.");
    }
    let pin = pin::read(filled.verbatim("pin"));
    if pin.is_none() {
        filled.fault("pin", "Type the six digits of your PIN.");
    }
    let sentence = "Choose your name and type the six digits of your PIN.".to_owned();
    person.zip(pin).ok_or(Refused { sentence, wait_s: None })
}

/// Counts, compares, and says who may go on.
async fn take_over(
    app: &App,
    attempt: Attempt,
    pin: &str,
) -> Result<Result<Person, Refused>, WebError> {
    let turn = pin_tries::append(app.store(), attempt).await?;
    if let Some(refused) = Refused::of(turn, attempt.at) {
        return Ok(Err(refused));
    }
    let (person, hash) = pins::find(app.store(), attempt.workshop, attempt.person).await?.unzip();
    let matches = app.pin_matches(pin, hash.clone()).await?;
    if let (Some(person), Some(hash), true) = (person, hash, matches)
        && pins::accept(app.store(), attempt, hash).await?
    {
        return Ok(Ok(person));
    }
    let sentence = "Name and PIN do not belong together.".to_owned();
    Ok(Err(Refused { sentence, wait_s: None }))
}

impl Refused {
    fn of(turn: Turn, now: Moment) -> Option<Self> {
        // A second more rather than one too few.
        let seconds = |until: Moment| u32::try_from((until.0 - now.0) / 1000 + 1).unwrap_or(1);
        match turn {
            Turn::Taken => None,
            Turn::Wait { until } => Some(Self {
                sentence: format!(
                    "Too many wrong PINs for this name. Try again in {} seconds.",
                    seconds(until)
                ),
                wait_s: Some(seconds(until)),
            }),
            Turn::PhoneWaits { until } => Some(Self {
                sentence: format!(
                    "Too many wrong PINs on this phone. Try again in {} minutes, or sign in with \
                     your password.",
                    seconds(until).div_ceil(60)
                ),
                wait_s: Some(seconds(until)),
            }),
            Turn::Locked => Some(Self {
                sentence:
                    "This PIN is locked on this phone after ten wrong tries. A manager gives \
                           you a new one under People."
                        .to_owned(),
                wait_s: None,
            }),
        }
    }
}

impl From<Refused> for WebError {
    fn from(Refused { sentence, wait_s }: Refused) -> Self {
        match wait_s {
            Some(retry_after_s) => Self::TooMany { sentence, retry_after_s },
            None => Self::Rule(sentence),
        }
    }
}

/// The page again, with what is wrong; others may be able to go on where one cannot.
async fn again(
    app: &App,
    workshop: &Workshop,
    phone: &KnownDevice,
    (mut filled, refused): (Filled, Refused),
) -> Result<Response, WebError> {
    if filled.is_sound() {
        filled.fault("pin", refused.sentence);
    }
    let body = page(&switch_page(app, workshop, Some(phone), filled).await?);
    let Some(seconds) = refused.wait_s else {
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, body).into_response());
    };
    let after = [(header::RETRY_AFTER, HeaderValue::from(seconds))];
    Ok((StatusCode::TOO_MANY_REQUESTS, after, body).into_response())
}
