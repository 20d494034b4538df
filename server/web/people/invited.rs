//! `/invited`: whoever was invited writes their name and chooses a password, once. Opening the link changes
//! nothing, because programs that look after messages open links too.

use askama::Template;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

use super::invite::digest;
use super::{PASSWORD_HINT, PERSON_CHARS_MAX, checked_sign_in, checked_twice};
use crate::domain::ids::PersonId;
use crate::domain::person::Person;
use crate::storage::Conflict;
use crate::storage::invitations::{self, Invitation};
use crate::storage::people::NewPerson;
use crate::storage::workshops::{self, Workshop};
use crate::web::app::App;
use crate::web::error::{WebError, ours};
use crate::web::form::{Field, Filled, FormFault, Pairs};
use crate::web::page::{Frame, page};
use crate::web::sign_in::{Caller, enter};
use crate::world::SECRET_CHARS;

/// The route, under whose words the audit keeps it.
const HERE: &str = "/invited";

#[derive(Template)]
#[template(path = "pages/invited.html")]
struct InvitedPage {
    frame: Frame,
    workshop: String,
    role: &'static str,
    code: String,
    name: Field,
    sign_in: Field,
    passwords: [Field; 2],
    faults: Vec<FormFault>,
}

#[derive(Template)]
#[template(path = "pages/invitation_ended.html")]
struct EndedPage {
    frame: Frame,
}

/// Wrong, used, revoked and too old get the same answer.
fn ended() -> Response {
    let frame = Frame::bare("This invitation does not open anything");
    (StatusCode::NOT_FOUND, page(&EndedPage { frame })).into_response()
}

/// GET /invited
pub(in crate::web) async fn invited_page(
    State(app): State<App>,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let mut filled = Filled::with(pairs);
    let Some((invitation, workshop)) = opened(&app, &filled).await? else { return Ok(ended()) };
    if !invitation.name.is_empty() && !filled.is_ticked("name") {
        filled.suggest("name", invitation.name.as_str());
    }
    Ok(page(&invited(&invitation, &workshop, filled)))
}

async fn opened(app: &App, filled: &Filled) -> Result<Option<(Invitation, Workshop)>, WebError> {
    let code = filled.text("code");
    if code.len() != SECRET_CHARS {
        return Ok(None);
    }
    let found = invitations::find(app.store(), digest(code), app.now()).await?;
    let Some(invitation) = found else { return Ok(None) };
    let workshop = workshops::load(app.store(), invitation.workshop).await?;
    let workshop = workshop.ok_or_else(|| ours("an invitation without workshop"))?;
    Ok(Some((invitation, workshop)))
}

fn invited(invitation: &Invitation, workshop: &Workshop, mut filled: Filled) -> InvitedPage {
    InvitedPage {
        frame: Frame::bare("You are invited"),
        workshop: workshop.name.clone(),
        role: invitation.role.word(),
        code: filled.text("code").to_owned(),
        name: filled.field("name", "Your name").hint("As you sign."),
        sign_in: filled
            .field("sign_in", "Name to sign in with")
            .hint("Short and easy to type, such as runa."),
        passwords: [
            filled.field("password", "Password").hint(PASSWORD_HINT).secret(),
            filled.field("repeat", "The same password again").secret(),
        ],
        faults: filled.into_faults(),
    }
}

/// POST /invited
pub(in crate::web) async fn join(
    State(app): State<App>,
    caller: Caller,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let Some((invitation, workshop)) = opened(&app, &filled).await? else { return Ok(ended()) };
    if let Some((person, password)) = checked(&app, &invitation, &mut filled)? {
        let password_hash = app.hash_password(password).await?;
        let new = NewPerson { person: person.clone(), password_hash, created: app.now() };
        match invitations::spend(app.store(), digest(filled.text("code")), new).await {
            Ok(true) => return enter(&app, &person, &caller, (HERE, "/")).await,
            Ok(false) => return Ok(ended()),
            Err(error) if error.conflict() == Some(Conflict::SignInTaken) => filled
                .fault("sign_in", "Somebody here signs in with this name. Choose another one."),
            Err(error) => return Err(error.into()),
        }
    }
    invitations::count_try(app.store(), invitation.workshop, invitation.id).await?;
    let again = page(&invited(&invitation, &workshop, filled));
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}

/// The person that the form describes, with the role they were invited for.
fn checked(
    app: &App,
    invitation: &Invitation,
    filled: &mut Filled,
) -> Result<Option<(Person, String)>, WebError> {
    let name = filled.line("name", PERSON_CHARS_MAX);
    let sign_in = checked_sign_in(filled, "sign_in");
    let password = checked_twice(filled, &sign_in);
    let (id, workshop, role) = (PersonId(app.new_id()?), invitation.workshop, invitation.role);
    let person = Person { id, workshop, name, sign_in, role, disabled: false };
    Ok(filled.is_sound().then_some((person, password)))
}
