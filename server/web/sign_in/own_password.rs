//! `/password`: somebody changes their own password. Whoever finds a phone lying about must know
//! the old one, and guesses at it are counted as guesses at the sign-in are.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::{Caller, count};
use crate::storage::people::{self, NewPassword};
use crate::storage::sign_ins;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Field, Filled, FormFault};
use crate::web::page::{Done, Frame, page};
use crate::web::people::{PASSWORD_HINT, checked_twice};
use crate::web::session::Who;

/// What the page says after a change.
const CHANGED: (&str, &str) =
    ("changed", "Changed. Wherever else you were signed in, you are signed out now.");

#[derive(Template)]
#[template(path = "pages/password.html")]
struct PasswordPage {
    frame: Frame,
    sign_in: String,
    current: Field,
    new: [Field; 2],
    faults: Vec<FormFault>,
}

impl PasswordPage {
    fn new(who: &Who, mut filled: Filled) -> Self {
        Self {
            frame: Frame::new("Your password", who, "/password"),
            sign_in: who.person.sign_in.clone(),
            current: filled.field("current", "Current password").secret(),
            new: [
                filled.field("password", "New password").hint(PASSWORD_HINT).secret(),
                filled.field("repeat", "The new password again").secret(),
            ],
            faults: filled.into_faults(),
        }
    }
}

/// GET /password
pub(in crate::web) async fn password_page(who: Who, done: Done) -> Response {
    let shown = PasswordPage::new(&who, Filled::default());
    let frame = done.noted(shown.frame, &[CHANGED]);
    page(&PasswordPage { frame, ..shown })
}

/// POST /password
pub(in crate::web) async fn change_password(
    State(app): State<App>,
    who: Who,
    caller: Caller,
    mut filled: Filled,
) -> Result<Response, WebError> {
    if !knows_current(&app, &who, &caller, &filled).await? {
        filled.fault("current", "This is not your password as it is now.");
    }
    let password = checked_twice(&mut filled, &who.person.sign_in);
    if !filled.is_sound() {
        let again = page(&PasswordPage::new(&who, filled));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    }
    let hash = app.hash_password(password).await?;
    let new = NewPassword { hash, now: app.now(), keep: Some(who.token) };
    people::change_password(app.store(), who.workshop(), who.person.id, new).await?;
    Ok(Redirect::to("/password?done=changed").into_response())
}

async fn knows_current(
    app: &App,
    who: &Who,
    caller: &Caller,
    filled: &Filled,
) -> Result<bool, WebError> {
    let attempt = caller.attempt(app, who.workshop(), &who.person.sign_in).await?;
    count(app, attempt.clone()).await?;
    let found = people::find(app.store(), who.workshop(), &who.person.sign_in).await?;
    let hash = found.map(|(_, hash)| hash);
    let matches = app.password_matches(filled.verbatim("current").to_owned(), hash).await?;
    if matches {
        sign_ins::clear(app.store(), attempt).await?;
    }
    Ok(matches)
}
