//! `/sign-in`, `/sign-out` and the first run: how somebody becomes known to the server.
//!
//! An unknown name and a wrong password get the same answer after the same time, and each attempt is
//! counted before anything is hashed.

use std::net::SocketAddr;

use askama::Template;
use axum::extract::{ConnectInfo, FromRequestParts, Query, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::form::{Field, Filled, Pairs};
use super::page::{Frame, page};
use super::session::{self, MaybeWho, Who};
use crate::domain::ids::DeviceId;
use crate::domain::person::Person;
use crate::storage::devices::{self, Device};
use crate::storage::sign_ins::{self, Attempt, Counted};
use crate::storage::workshops::{self, Workshop};
use crate::storage::{people, sessions};

mod first_run;

pub(super) use first_run::{first_run, first_run_page};

#[derive(Template)]
#[template(path = "pages/sign_in.html")]
struct SignInPage {
    frame: Frame,
    workshop: String,
    next: String,
    name: Field,
    password: Field,
}

impl SignInPage {
    fn new(workshop: &Workshop, mut filled: Filled) -> Self {
        Self {
            frame: Frame::bare("Sign in"),
            workshop: workshop.name.clone(),
            next: filled.text("next").to_owned(),
            name: filled.field("name", "Name"),
            password: filled.field("password", "Password").secret(),
        }
    }
}

/// The workshop of this server, once it has somebody in it.
pub(super) async fn settled_workshop(app: &App) -> Result<Option<Workshop>, WebError> {
    for workshop in workshops::list(app.store()).await? {
        if !people::list(app.store(), workshop.id).await?.is_empty() {
            return Ok(Some(workshop));
        }
    }
    Ok(None)
}

/// GET /sign-in
pub(super) async fn sign_in_page(
    State(app): State<App>,
    MaybeWho(who): MaybeWho,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    if who.is_some() {
        return Ok(Redirect::to("/jobs").into_response());
    }
    let Some(workshop) = settled_workshop(&app).await? else {
        return Ok(Redirect::to("/first-run").into_response());
    };
    Ok(page(&SignInPage::new(&workshop, Filled::with(pairs))))
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
    let attempt = caller.attempt(&app, &workshop, &filled).await?;
    count(&app, attempt.clone()).await?;
    let Some(person) = known_person(&app, &workshop, &filled).await? else {
        filled.fault("password", "Name and password do not belong together.");
        let again = page(&SignInPage::new(&workshop, filled));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    sign_ins::clear(app.store(), attempt).await?;
    if let Some(before) = before {
        sessions::revoke(app.store(), before.token, app.now()).await?;
    }
    enter(&app, &person, &caller, local(filled.text("next"))).await
}

/// POST /sign-out
pub(super) async fn sign_out(State(app): State<App>, who: Who) -> Result<Response, WebError> {
    let ended = session::end(&app, &who).await?.into_response();
    Ok((ended.headers().clone(), Redirect::to("/sign-in")).into_response())
}

/// Counts an attempt, and refuses it if there were too many.
async fn count(app: &App, attempt: Attempt) -> Result<(), WebError> {
    let now = attempt.at;
    let counted = sign_ins::append(app.store(), attempt).await?;
    if counted.is_allowed() {
        return Ok(());
    }
    let retry_after_s = wait_s(&counted, now.0);
    let minutes = retry_after_s.div_ceil(60);
    let sentence = format!("Too many passwords were tried. Try again in {minutes} minutes.");
    Err(WebError::TooMany { sentence, retry_after_s })
}

fn wait_s(counted: &Counted, now_ms: i64) -> u32 {
    // A second more rather than one too few.
    u32::try_from((counted.window_ends.0 - now_ms) / 1000 + 1).unwrap_or(1)
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

/// Starts a session on the device that the request comes from.
async fn enter(
    app: &App,
    person: &Person,
    caller: &Caller,
    to: &str,
) -> Result<Response, WebError> {
    let device = Device {
        id: caller.device(app).map_or_else(|| app.new_id().map(DeviceId), Ok)?,
        first_seen: app.now(),
        label: device_label(&caller.headers).to_owned(),
    };
    let id = device.id;
    devices::append(app.store(), person.workshop, device).await?;
    let cookies = session::start(app, person, id).await?;
    Ok((AppendHeaders(cookies), Redirect::to(to)).into_response())
}

/// A way on within this server, or its front. A browser reads a backslash as a slash and drops
/// control characters, so neither may stand in it.
fn local(next: &str) -> &str {
    let plain = next.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if plain && next.starts_with('/') && !next.starts_with("//") { next } else { "/" }
}

/// What a device calls itself, in the words of people.
fn device_label(headers: &HeaderMap) -> &'static str {
    const LABELS: [(&str, &str); 6] = [
        ("iPhone", "iPhone"),
        ("iPad", "iPad"),
        ("Android", "Android phone or tablet"),
        ("Windows", "Windows computer"),
        ("Macintosh", "Apple computer or tablet"),
        ("Linux", "Linux computer"),
    ];
    let agent = headers.get(header::USER_AGENT).and_then(|agent| agent.to_str().ok());
    let known = LABELS.iter().find(|(mark, _)| agent.is_some_and(|agent| agent.contains(mark)));
    known.map_or("Browser", |(_, label)| label)
}

/// Where a request comes from.
pub(super) struct Caller {
    address: String,
    headers: HeaderMap,
}

impl Caller {
    fn device(&self, app: &App) -> Option<DeviceId> {
        session::known_device(app, &self.headers)
    }

    /// Attempts on a device that has been signed in before are counted by themselves: a stranger
    /// who tries names from elsewhere cannot lock the workshop's own phones out.
    async fn attempt(
        &self,
        app: &App,
        workshop: &Workshop,
        filled: &Filled,
    ) -> Result<Attempt, WebError> {
        let known = match self.device(app) {
            Some(device) => devices::load(app.store(), workshop.id, device).await?,
            None => None,
        };
        let name = sign_in_name(filled);
        let sign_in = known.map_or(name.clone(), |device| format!("{name} on {}", device.id));
        let (workshop, address) = (workshop.id, self.address.clone());
        Ok(Attempt { workshop, sign_in, address, at: app.now() })
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Caller {
    type Rejection = std::convert::Infallible;

    /// The socket's address; all share one count should the server not know it.
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Self::Rejection> {
        let socket = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        let address = socket.map_or_else(|| "unknown".to_owned(), |info| info.0.ip().to_string());
        Ok(Self { address, headers: parts.headers.clone() })
    }
}
