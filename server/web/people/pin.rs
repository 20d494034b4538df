//! The PIN of a technician: given and shown once, given anew, taken away.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{Redirect, Response};

use super::care::changeable;
use crate::domain::ids::Moment;
use crate::domain::person::{Person, Role};
use crate::storage::pins::{self, Holder, NewPin};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::id;
use crate::web::page::{Frame, page};
use crate::web::pin::{fresh, grouped};
use crate::web::session::Who;

/// What can be done about somebody's PIN.
pub(super) struct PinForm {
    pub(super) give: String,
    pub(super) word: &'static str,
    /// Day of the one they have, and where it is taken away.
    pub(super) now: Option<(String, String)>,
}

/// For technicians who may sign in; the others have none.
pub(super) fn pin_form(person: &Person, holders: &[Holder]) -> Option<PinForm> {
    let give = format!("/people/{}/pin", person.id);
    let issued = holders.iter().find(|one| one.person.id == person.id).map(|one| one.issued);
    let word = if issued.is_some() { "Give a new PIN" } else { "Give a PIN" };
    let now = issued.map(|issued: Moment| (issued.date(), format!("{give}/take")));
    may_hold(person).then_some(PinForm { give, word, now })
}

fn may_hold(person: &Person) -> bool {
    person.role == Role::Technician && !person.disabled
}

/// Shown once, right after it was made.
#[derive(Template)]
#[template(path = "pages/pin.html")]
struct PinPage {
    frame: Frame,
    name: String,
    pin: String,
}

/// POST /people/{person}/pin
pub(in crate::web) async fn give_pin(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
) -> Result<Response, WebError> {
    let _alone = app.giving_pin.lock().await;
    let person = changeable(&app, &who, id(&person)?).await?;
    if !may_hold(&person) {
        return Err(WebError::Rule(
            "A PIN is for technicians who may sign in. Managers and owners sign in with their \
             password."
                .to_owned(),
        ));
    }
    let pin = fresh()?;
    let new = NewPin {
        workshop: who.workshop(),
        person: person.id,
        hash: app.hash_pin(&pin).await?,
        issued: app.now(),
        issued_by: who.person.id,
    };
    pins::append(app.store(), new).await?;
    let frame = Frame::new("A PIN", &who, "/people");
    Ok(page(&PinPage { frame, name: person.name, pin: grouped(&pin) }))
}

/// POST /people/{person}/pin/take
pub(in crate::web) async fn take_pin(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
) -> Result<Redirect, WebError> {
    let person = changeable(&app, &who, id(&person)?).await?;
    pins::take(app.store(), who.workshop(), person.id, app.now()).await?;
    Ok(Redirect::to("/people?done=pin-taken"))
}
