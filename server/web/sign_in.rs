//! `/sign-in`, `/sign-out`, `/password` and the first run: how somebody becomes known to the server.
//!
//! An unknown name and a wrong password get the same answer after the same time, and each attempt is
//! counted before anything is hashed.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};

use super::app::App;
use super::error::{WebError, encode};
use super::form::{Field, Filled, Pairs};
use super::page::{Frame, page};
use super::session::{self, KnownDevice, MaybeWho, Who};
use crate::domain::ids::DeviceId;
use crate::domain::person::Person;
use crate::storage::devices::{self, Device};
use crate::storage::sign_ins::{self, Attempt};
use crate::storage::workshops::{self, Workshop};
use crate::storage::{people, sessions};

mod caller;
mod first_run;
mod own_password;
mod setup_tries;

pub(super) use caller::Caller;
pub(super) use first_run::{first_run, first_run_page};
pub(super) use own_password::{change_password, password_page};
pub(super) use setup_tries::SetupTries;

#[derive(Template)]
#[template(path = "pages/sign_in.html")]
struct SignInPage {
    frame: Frame,
    workshop: String,
    next: String,
    name: Field,
    password: Field,
    /// On a phone that people share: where they switch.
    switch: Option<String>,
}

impl SignInPage {
    fn new(workshop: &Workshop, phone: Option<&KnownDevice>, mut filled: Filled) -> Self {
        Self {
            frame: Frame::bare("Sign in"),
            workshop: workshop.name.clone(),
            switch: phone.map(|_| format!("/switch?next={}", encode(filled.text("next")))),
            next: filled.text("next").to_owned(),
            name: filled.field("name", "Name"),
            password: filled.field("password", "Password").secret(),
        }
    }
}

/// The workshop of this server, once it has somebody in it who may sign in.
pub(super) async fn settled_workshop(app: &App) -> Result<Option<Workshop>, WebError> {
    for workshop in workshops::list(app.store()).await? {
        if people::anybody_may_enter(app.store(), workshop.id).await? {
            return Ok(Some(workshop));
        }
    }
    Ok(None)
}

/// GET /sign-in
pub(super) async fn sign_in_page(
    State(app): State<App>,
    MaybeWho(who): MaybeWho,
    caller: Caller,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    // On a shared phone a manager may come after a technician who is still signed in.
    if who.is_some_and(|who| !who.on_shared_phone) {
        return Ok(Redirect::to("/jobs").into_response());
    }
    let Some(workshop) = settled_workshop(&app).await? else {
        return Ok(Redirect::to("/first-run").into_response());
    };
    let phone = caller.shared_phone(&app, workshop.id).await?;
    Ok(page(&SignInPage::new(&workshop, phone.as_ref(), Filled::with(pairs))))
}

/// POST /sign-in
pub(super) async fn sign_in(
    State(app): State<App>,
    MaybeWho(before): MaybeWho,
    caller: Caller,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let Some(workshop) = settled_workshop(&app).await? else {
        return Ok(Redirect::to("/first-run").into_response());
    };
    let attempt = caller.attempt(&app, workshop.id, &sign_in_name(&filled)).await?;
    count(&app, attempt.clone()).await?;
    let Some(person) = known_person(&app, &workshop, &filled).await? else {
        filled.fault("password", "Name and password do not belong together.");
        let phone = caller.shared_phone(&app, workshop.id).await?;
        let again = page(&SignInPage::new(&workshop, phone.as_ref(), filled));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    sign_ins::clear(app.store(), attempt).await?;
    if let Some(before) = before {
        sessions::revoke(app.store(), before.token, app.now()).await?;
    }
    enter(&app, &person, &caller, ("/sign-in", local(filled.text("next")))).await
}

/// POST /sign-out
pub(super) async fn sign_out(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    let to = if who.on_shared_phone { "/switch" } else { "/sign-in" };
    let ended = session::end(&app, &who).await?.into_response();
    Ok((ended.headers().clone(), Redirect::to(to)).into_response())
}

/// Counts an attempt, and refuses it if there were too many.
async fn count(app: &App, attempt: Attempt) -> Result<(), WebError> {
    let now = attempt.at;
    let counted = sign_ins::append(app.store(), attempt).await?;
    if counted.is_allowed() {
        return Ok(());
    }
    Err(WebError::too_many("passwords", counted.window_ends.0 - now.0))
}

async fn known_person(
    app: &App,
    workshop: &Workshop,
    filled: &Filled,
) -> Result<Option<Person>, WebError> {
    let found = people::find(app.store(), workshop.id, &sign_in_name(filled)).await?;
    let (person, hash) = found.unzip();
    let matches = app.password_matches(filled.verbatim("password").to_owned(), hash).await?;
    Ok(person.filter(|person| matches && !person.disabled))
}

/// Names to sign in with are kept in lower case.
fn sign_in_name(filled: &Filled) -> String {
    filled.text("name").to_lowercase()
}

/// Starts a session on the device that the request comes from; `by` is the route that it begins at.
pub(super) async fn enter(
    app: &App,
    person: &Person,
    caller: &Caller,
    (by, to): (&'static str, &str),
) -> Result<Response, WebError> {
    let known = match caller.device(app, person.workshop).await? {
        Some(known) => known,
        None => KnownDevice::plain(DeviceId(app.new_id()?)),
    };
    let label = caller.device_label().to_owned();
    let device = Device { id: known.id, first_seen: app.now(), label };
    devices::append(app.store(), person.workshop, device).await?;
    let cookies = session::start(app, person, &known, by).await?;
    Ok((AppendHeaders(cookies), Redirect::to(to)).into_response())
}

/// A way on within this server, or its front. A browser reads a backslash as a slash and drops
/// control characters, so neither may stand in it.
pub(super) fn local(next: &str) -> &str {
    let plain = next.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if plain && next.starts_with('/') && !next.starts_with("//") { next } else { "/" }
}
