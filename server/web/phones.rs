//! `/phones`: the phones that people share. A manager makes a code, looks after those that are enrolled,
//! and takes one out of use that is lost.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::form::{Field, Filled, FormFault, id};
use super::page::{Done, Frame, page};
use super::session::Who;
use super::views::ago;
use crate::domain::ids::{DeviceId, Moment};
use crate::storage::devices::Heard;
use crate::storage::phones::{self, Phone};

mod code;
mod enrol;

pub(super) use code::make_code;
pub(super) use enrol::{enrol, enrol_page};

/// Characters of what a phone is called.
const LABEL_CHARS_MAX: usize = 40;
/// A clock that is off by less is right: the way to the server takes time, too.
const CLOCK_MS_MIN: u64 = 5_000;
/// What the page says after a change.
const DONE: [(&str, &str); 2] = [
    ("renamed", "Renamed."),
    ("revoked", "Revoked, and everybody is signed out of it. No PIN counts there any more."),
];

struct PhoneRow {
    label: String,
    since: String,
    seen: String,
    by: String,
    waiting: String,
    heard: String,
    clock: String,
    kind: &'static str,
    word: &'static str,
    /// Where more can be done about it.
    care: Option<String>,
}

/// What can be done about one phone.
struct Care {
    id: String,
    label: String,
    rename: String,
    revoke: String,
    name: Field,
    /// The attribute, where the form came back.
    open: Option<&'static str>,
}

#[derive(Template)]
#[template(path = "pages/phones.html")]
struct PhonesPage {
    frame: Frame,
    phones: Vec<PhoneRow>,
    cares: Vec<Care>,
    empty: Option<()>,
    faults: Vec<FormFault>,
}

/// GET /phones
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    done: Done,
) -> Result<Response, WebError> {
    let shown = phones_page(&app, &who, None).await?;
    let frame = done.noted(shown.frame, &DONE);
    Ok(page(&PhonesPage { frame, ..shown }))
}

async fn phones_page(
    app: &App,
    who: &Who,
    mut sent: Option<(DeviceId, Filled)>,
) -> Result<PhonesPage, WebError> {
    let all = phones::list(app.store(), who.workshop()).await?;
    let in_use = all.iter().filter(|phone| phone.revoked.is_none());
    let cares = in_use.map(|phone| care(phone, sent.as_mut())).collect();
    Ok(PhonesPage {
        frame: Frame::new("Phones", who, "/phones"),
        empty: all.is_empty().then_some(()),
        phones: all.iter().map(|phone| row(phone, app.now())).collect(),
        cares,
        faults: sent.map_or_else(Vec::new, |(_, filled)| filled.into_faults()),
    })
}

fn care_id(phone: &Phone) -> String {
    format!("p-{}", phone.device.id)
}

fn care(phone: &Phone, sent: Option<&mut (DeviceId, Filled)>) -> Care {
    let (id, label) = (phone.device.id, phone.device.label.clone());
    let mut as_it_is = Filled::with([("label", label.as_str())]).about(id);
    let sent = sent.filter(|(sent, _)| *sent == id).map(|(_, filled)| filled);
    let open = sent.is_some().then_some("open");
    let name = sent.unwrap_or(&mut as_it_is).field("label", "Name");
    Care {
        id: care_id(phone),
        rename: format!("/phones/{id}/rename"),
        revoke: format!("/phones/{id}/revoke"),
        label,
        name,
        open,
    }
}

fn row(phone: &Phone, now: Moment) -> PhoneRow {
    let seen = phone.seen.as_ref().map(|(at, _)| *at);
    let last = seen.max(phone.heard.map(|heard| heard.at));
    let (kind, word) =
        if phone.revoked.is_some() { ("stop", "Revoked") } else { ("pass", "Enrolled") };
    PhoneRow {
        label: phone.device.label.clone(),
        since: format!("First seen {}", phone.device.first_seen.date()),
        seen: last.map_or_else(|| "Not yet".to_owned(), |at| ago_words(now, at)),
        by: phone.seen.as_ref().map(|(_, name)| format!("Last: {name}")).unwrap_or_default(),
        waiting: phone.heard.map_or_else(|| "Not known".to_owned(), |h| h.waiting.to_string()),
        heard: phone
            .heard
            .map(|heard| format!("Heard {}", ago_words(now, heard.at).to_lowercase()))
            .unwrap_or_default(),
        clock: phone.heard.map_or_else(|| "Not known".to_owned(), clock_words),
        kind,
        word,
        care: phone.revoked.is_none().then(|| care_id(phone)),
    }
}

fn ago_words(now: Moment, then: Moment) -> String {
    if now.0 - then.0 < 60_000 {
        return "Just now".to_owned();
    }
    format!("{} ago", ago(now, then))
}

fn clock_words(heard: Heard) -> String {
    let Some(off_ms) = heard.clock_off_ms else { return "Not known".to_owned() };
    let seconds = off_ms.unsigned_abs() / 1000;
    let side = if off_ms < 0 { "slow" } else { "fast" };
    match seconds {
        _ if off_ms.unsigned_abs() < CLOCK_MS_MIN => "Right".to_owned(),
        0..120 => format!("{seconds} s {side}"),
        120..7_200 => format!("{} min {side}", seconds / 60),
        _ => format!("{} h {side}", seconds / 3_600),
    }
}

/// POST /phones/{device}/rename
pub(super) async fn rename(
    State(app): State<App>,
    who: Who,
    Path(device): Path<String>,
    filled: Filled,
) -> Result<Response, WebError> {
    let device = in_use(&app, &who, id(&device)?).await?;
    let mut filled = filled.about(device);
    let label = filled.line("label", LABEL_CHARS_MAX);
    if !filled.is_sound() {
        let again = page(&phones_page(&app, &who, Some((device, filled))).await?);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    }
    phones::rename(app.store(), who.workshop(), device, label).await?;
    Ok(Redirect::to("/phones?done=renamed").into_response())
}

/// POST /phones/{device}/revoke
pub(super) async fn revoke(
    State(app): State<App>,
    who: Who,
    Path(device): Path<String>,
) -> Result<Redirect, WebError> {
    let device = in_use(&app, &who, id(&device)?).await?;
    phones::revoke(app.store(), who.workshop(), device, app.now()).await?;
    Ok(Redirect::to("/phones?done=revoked"))
}

/// A phone of this workshop that is enrolled and not out of use.
async fn in_use(app: &App, who: &Who, device: DeviceId) -> Result<DeviceId, WebError> {
    let proof = phones::find(app.store(), who.workshop(), device).await?;
    let is_in_use = proof.is_some_and(|proof| proof.secret_sha256.is_some() && !proof.revoked);
    is_in_use.then_some(device).ok_or(WebError::NotFound)
}
