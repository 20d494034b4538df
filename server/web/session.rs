//! Who is asking: the session behind the cookie, and the guard that every route passes.
//!
//! A session is 256 bits of chance in a cookie; the record keeps only its SHA-256. Role and person
//! are read from the record at each request, so that whoever is disabled is out at once.

use axum::extract::{FromRequestParts, Request, State};
use axum::http::header::SET_COOKIE;
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::app::App;
use super::audit;
use super::cookie;
use super::error::WebError;
use crate::acts::By;
use crate::domain::ids::{DeviceId, Moment, WorkshopId};
use crate::domain::instrument::standing::WARN_DAYS;
use crate::domain::person::{Person, Role};
use crate::domain::seal::sha256;
use crate::storage::sessions::{self, NewSession, TokenSha256};
use crate::storage::{instruments, phones, workshops};
use crate::world::secret;

/// A session ends after a working day, whatever happens.
const SESSION_MS: i64 = 12 * 3_600_000;
/// A manager's or owner's ends earlier when nobody uses it. A technician's does not: the phone lies
/// in the vehicle for hours without signal.
const DESK_IDLE_MS: i64 = 2 * 3_600_000;
/// Browsers keep no cookie longer than about this.
const DEVICE_COOKIE_S: i64 = 400 * 86_400;

/// The cookies' plain names.
const SESSION: &str = "session";
const DEVICE: &str = "device";

/// Names the person that an answer was made for.
const MADE_FOR: &str = "x-made-for";
/// Names the person who recorded what a phone sends.
const MADE_BY: &str = "x-expect-person";

/// Who may call a route.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    Anyone,
    AtLeast(Role),
}

/// What the guard of one route needs.
#[derive(Clone)]
pub(super) struct Guard {
    pub(super) app: App,
    pub(super) access: Access,
    /// The route's, as the table has it.
    pub(super) path: &'static str,
}

/// Somebody who is signed in, on a device. Handlers take it as an argument.
#[derive(Debug, Clone)]
pub(super) struct Who {
    pub(super) person: Person,
    pub(super) device: DeviceId,
    /// The device is a phone that people share, and has just shown its secret.
    pub(super) on_shared_phone: bool,
    pub(super) token: TokenSha256,
    pub(super) workshop_name: String,
    /// Instruments that want care, for those who look after them.
    pub(super) instruments_due: u64,
}

impl Who {
    /// The same, as the acts on a job take it.
    pub(super) fn by(&self, now: Moment) -> By {
        By { person: self.person.clone(), device: self.device, now }
    }

    pub(super) fn workshop(&self) -> WorkshopId {
        self.person.workshop
    }

    pub(super) fn is_manager(&self) -> bool {
        self.person.role.covers(Role::Manager)
    }

    /// What a phone recorded goes out under the name of whoever made it, or not at all.
    pub(super) fn expect(&self, headers: &HeaderMap) -> Result<(), WebError> {
        let expected = headers.get(MADE_BY).map(|value| value.to_str().unwrap_or_default());
        if expected.is_some_and(|person| person != self.person.id.to_string()) {
            return Err(WebError::Conflict(
                "Somebody else is signed in on this phone. What was recorded waits for whoever made it."
                    .to_owned(),
            ));
        }
        Ok(())
    }
}

/// Lets a request through to its handler, or says why not.
pub(super) async fn guard(
    State(guard): State<Guard>,
    mut request: Request,
    next: Next,
) -> Result<Response, WebError> {
    // Routes open to all ask the record only where their handler wants to know: files do not.
    let Access::AtLeast(role) = guard.access else { return Ok(next.run(request).await) };
    let Some(who) = find(&guard.app, request.headers()).await? else {
        return Err(WebError::SignIn { next: way_back(&request) });
    };
    if !who.person.role.covers(role) {
        return Err(WebError::Forbidden("This is for the people the workshop named for it."));
    }
    let made_for = HeaderValue::from_str(&who.person.id.to_string()).map_err(super::error::ours)?;
    let act = (request.method() == Method::POST).then(|| {
        let address = request.uri().path().to_owned();
        (who.person.clone(), who.device, address)
    });
    request.extensions_mut().insert(who);
    let mut response = next.run(request).await;
    if let Some((person, device, address)) = act.filter(|_| response.status().as_u16() < 400) {
        audit::note(&guard.app, (&person, device), guard.path, &address).await;
    }
    // A phone keeps copies of pages for each person apart, and keeps nothing that does not say so.
    response.headers_mut().insert(MADE_FOR, made_for);
    Ok(response)
}

/// Where to go after signing in; only pages, never acts.
fn way_back(request: &Request) -> String {
    if request.method() == Method::GET {
        request.uri().path_and_query().map_or("/", |p| p.as_str()).to_owned()
    } else {
        "/".to_owned()
    }
}

async fn find(app: &App, headers: &HeaderMap) -> Result<Option<Who>, WebError> {
    let Some(token) = cookie::find(app, headers, SESSION) else {
        return Ok(None);
    };
    let now = app.now();
    let Some(session) = sessions::find(app.store(), sha256(token.as_bytes()), now).await? else {
        return Ok(None);
    };
    let desk = session.person.role.covers(Role::Manager);
    if desk && now.0 - session.seen.0 > DESK_IDLE_MS {
        sessions::revoke(app.store(), session.token, now).await?;
        return Ok(None);
    }
    sessions::refresh(app.store(), &session, now).await?;
    let workshop = workshops::load(app.store(), session.person.workshop).await?;
    let phone = shared_phone(app, session.person.workshop, headers).await?;
    let instruments_due =
        if desk { instruments_due(app, session.person.workshop, now).await? } else { 0 };
    Ok(Some(Who {
        person: session.person,
        device: session.device,
        on_shared_phone: phone.is_some_and(|phone| phone.id == session.device),
        token: session.token,
        workshop_name: workshop.map(|workshop| workshop.name).unwrap_or_default(),
        instruments_due,
    }))
}

async fn instruments_due(app: &App, workshop: WorkshopId, now: Moment) -> Result<u64, WebError> {
    let days = (now.date(), now.plus_days(WARN_DAYS).date());
    Ok(instruments::count_due(app.store(), workshop, (&days.0, &days.1)).await?)
}

/// The device that a request comes from, as its cookie shows: `<id>`, or `<id>.<secret>` on a phone that
/// is enrolled. The cookie is renewed whenever a session begins.
#[derive(Debug, Clone)]
pub(super) struct KnownDevice {
    pub(super) id: DeviceId,
    secret: Option<String>,
}

impl KnownDevice {
    pub(super) fn plain(id: DeviceId) -> Self {
        Self { id, secret: None }
    }

    /// A phone, with a fresh secret of 256 bits.
    pub(super) fn enrolled(id: DeviceId) -> Result<Self, WebError> {
        Ok(Self { id, secret: Some(secret()?) })
    }

    pub(super) fn is_enrolled(&self) -> bool {
        self.secret.is_some()
    }

    /// What the record keeps of the secret.
    pub(super) fn secret_sha256(&self) -> Option<[u8; 32]> {
        self.secret.as_ref().map(|secret| sha256(secret.as_bytes()))
    }

    /// What the cookie says, before anybody believes it.
    fn shown(app: &App, headers: &HeaderMap) -> Option<Self> {
        let value = cookie::find(app, headers, DEVICE)?;
        let (id, secret) = match value.split_once('.') {
            Some((id, secret)) => (id, Some(secret.to_owned())),
            None => (value, None),
        };
        Some(Self { id: id.parse().ok()?, secret })
    }

    async fn believed(self, app: &App, workshop: WorkshopId) -> Result<Option<Self>, WebError> {
        let believed = match phones::find(app.store(), workshop, self.id).await? {
            Some(proof) => !proof.revoked && proof.secret_sha256 == self.secret_sha256(),
            None => !self.is_enrolled(),
        };
        Ok(believed.then_some(self))
    }

    pub(super) fn cookie(&self, app: &App) -> Result<(HeaderName, HeaderValue), WebError> {
        let value = match &self.secret {
            Some(secret) => format!("{}.{secret}", self.id),
            None => self.id.to_string(),
        };
        Ok((SET_COOKIE, cookie::set(app, DEVICE, &value, DEVICE_COOKIE_S)?))
    }
}

/// The device that a request comes from, if it has been here before. Nobody is an enrolled phone by its
/// id alone, and nobody is one that was revoked.
pub(super) async fn known_device(
    app: &App,
    workshop: WorkshopId,
    headers: &HeaderMap,
) -> Result<Option<KnownDevice>, WebError> {
    match KnownDevice::shown(app, headers) {
        Some(shown) => shown.believed(app, workshop).await,
        None => Ok(None),
    }
}

/// The same, if it is a phone that is enrolled.
pub(super) async fn shared_phone(
    app: &App,
    workshop: WorkshopId,
    headers: &HeaderMap,
) -> Result<Option<KnownDevice>, WebError> {
    match KnownDevice::shown(app, headers).filter(KnownDevice::is_enrolled) {
        Some(shown) => shown.believed(app, workshop).await,
        None => Ok(None),
    }
}

/// Starts a session and gives the cookies for it. `by` is the route that it begins at.
pub(super) async fn start(
    app: &App,
    person: &Person,
    device: &KnownDevice,
    by: &'static str,
) -> Result<[(HeaderName, HeaderValue); 2], WebError> {
    let token = secret()?;
    let now = app.now();
    let session = NewSession {
        token: sha256(token.as_bytes()),
        workshop: person.workshop,
        person: person.id,
        device: device.id,
        created: now,
        expires: Moment(now.0 + SESSION_MS),
    };
    sessions::append(app.store(), session).await?;
    audit::note(app, (person, device.id), by, by).await;
    Ok([(SET_COOKIE, cookie::set(app, SESSION, &token, SESSION_MS / 1000)?), device.cookie(app)?])
}

/// Ends the session and takes its cookie back.
pub(super) async fn end(app: &App, who: &Who) -> Result<impl IntoResponse + use<>, WebError> {
    sessions::revoke(app.store(), who.token, app.now()).await?;
    Ok([(SET_COOKIE, cookie::set(app, SESSION, "", 0)?)])
}

impl<S: Send + Sync> FromRequestParts<S> for Who {
    type Rejection = WebError;

    /// Only routes that ask for a role have somebody; the table sees to that.
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, WebError> {
        parts.extensions.get::<Self>().cloned().ok_or(WebError::SignIn { next: "/".to_owned() })
    }
}

/// Somebody, or nobody, on routes open to all.
pub(super) struct MaybeWho(pub(super) Option<Who>);

impl FromRequestParts<App> for MaybeWho {
    type Rejection = WebError;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, WebError> {
        Ok(Self(find(app, &parts.headers).await?))
    }
}
