//! `/people`: who works here. A manager looks after technicians, an owner after everybody.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault};
use super::page::{Done, Frame, page};
use super::password;
use super::session::Who;
use crate::domain::ids::PersonId;
use crate::domain::person::{Person, Role};
use crate::storage::Conflict;
use crate::storage::people::{self, NewPerson};
use crate::storage::pins;

mod care;
mod invite;
mod invited;
mod pin;

use care::{Care, care, may_change};
pub(super) use care::{change_role, disable, enable, reset_password};
use invite::InviteView;
pub(super) use invite::{invite, revoke_invitation};
pub(super) use invited::{invited_page, join};
pub(super) use pin::{give_pin, take_pin};

pub(super) const PERSON_CHARS_MAX: usize = 80;
const SIGN_IN_CHARS_MAX: usize = 40;
pub(super) const PASSWORD_HINT: &str =
    "At least 15 characters: four or five words that do not belong together.";
/// What the page says after a change.
const DONE: [(&str, &str); 7] = [
    ("added", "Added. Tell them their name and password; nobody else can read it."),
    ("disabled", "Disabled, and signed out everywhere."),
    ("enabled", "They may sign in again."),
    ("password", "Set, and signed out everywhere. Tell them; nobody else can read it."),
    ("pin-taken", "The PIN is gone, and they are signed out of shared phones."),
    ("uninvited", "Revoked. The link opens nothing any more."),
    ("role", "The role is changed. Whoever has a new one signs in again."),
];

struct PersonRow {
    name: String,
    sign_in: String,
    role: &'static str,
    /// Shape and word of what they may do.
    kind: &'static str,
    word: &'static str,
    change: Option<Change>,
    /// Where more can be done about them.
    care: Option<String>,
}

/// What is done with one touch.
struct Change {
    action: String,
    word: &'static str,
}

#[derive(Template)]
#[template(path = "pages/people.html")]
struct PeoplePage {
    frame: Frame,
    people: Vec<PersonRow>,
    cares: Vec<Care>,
    name: Field,
    sign_in: Field,
    role: Field,
    roles: Vec<Choice>,
    password: Field,
    invite: InviteView,
    faults: Vec<FormFault>,
}

/// GET /people
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    done: Done,
) -> Result<Response, WebError> {
    let shown = people_page(&app, &who, Sent::Nothing).await?;
    let frame = done.noted(shown.frame, &DONE);
    Ok(page(&PeoplePage { frame, ..shown }))
}

/// A form that comes back with the page.
enum Sent {
    Nothing,
    Person(Filled),
    Invitation(Filled),
    Care(PersonId, Filled),
}

async fn people_page(app: &App, who: &Who, sent: Sent) -> Result<PeoplePage, WebError> {
    let people = people::list(app.store(), who.workshop()).await?;
    let holders = pins::list(app.store(), who.workshop()).await?;
    let (mut filled, mut about) = match sent {
        Sent::Nothing => (Filled::default(), None),
        // The two forms of the page have no field in common.
        Sent::Person(filled) | Sent::Invitation(filled) => (filled, None),
        Sent::Care(id, filled) => (Filled::default(), Some((id, filled))),
    };
    let cares: Vec<Care> = people
        .iter()
        .filter_map(|person| care(who, person, (&people, &holders), about.as_mut()))
        .collect();
    let rows = people.iter().map(|person| row(who, person, &people, &cares)).collect();
    let invite = invite::view(app, who, (&people, &mut filled)).await?;
    let roles = roles_of(who).iter().map(|role| (role.word(), role.word()));
    Ok(PeoplePage {
        frame: Frame::new("People", who, "/people"),
        people: rows,
        cares,
        name: filled.field("name", "Name").hint("As they sign."),
        sign_in: filled
            .field("sign_in", "Name to sign in with")
            .hint("Short and easy to type, such as runa."),
        role: filled
            .field("role", "Role")
            .hint("A technician records, a manager plans and releases, an owner does all."),
        roles: filled.choices("role", roles),
        password: filled.field("password", "First password").hint(PASSWORD_HINT).secret(),
        invite,
        faults: about.map_or(filled, |(_, filled)| filled).into_faults(),
    })
}

fn row(who: &Who, person: &Person, people: &[Person], cares: &[Care]) -> PersonRow {
    let (kind, word) = if person.disabled { ("todo", "Disabled") } else { ("pass", "May sign in") };
    let (act, verb) =
        if person.disabled { ("enable", "Let in again") } else { ("disable", "Disable") };
    let change = may_change(who, person, people)
        .is_ok()
        .then(|| Change { action: format!("/people/{}/{act}", person.id), word: verb });
    let care = Care::id_for(person);
    PersonRow {
        name: person.name.clone(),
        sign_in: person.sign_in.clone(),
        role: person.role.word(),
        kind,
        word,
        change,
        care: cares.iter().any(|one| one.id == care).then_some(care),
    }
}

/// The roles that somebody may give and take.
fn roles_of(who: &Who) -> &'static [Role] {
    if who.person.role.covers(Role::Owner) { &Role::ALL } else { &[Role::Technician] }
}

/// POST /people
pub(super) async fn append(
    State(app): State<App>,
    who: Who,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let Some((person, password)) = checked(&app, &who, &mut filled)? else {
        return refused(&app, &who, Sent::Person(filled)).await;
    };
    let password_hash = app.hash_password(password).await?;
    let new = NewPerson { person, password_hash, created: app.now() };
    match people::append(app.store(), new).await {
        Err(error) if error.conflict() == Some(Conflict::SignInTaken) => {
            filled.fault("sign_in", "Somebody here signs in with this name. Choose another one.");
            refused(&app, &who, Sent::Person(filled)).await
        }
        done => Ok(done.map(|()| Redirect::to("/people?done=added"))?.into_response()),
    }
}

async fn refused(app: &App, who: &Who, sent: Sent) -> Result<Response, WebError> {
    let again = page(&people_page(app, who, sent).await?);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}

fn checked(
    app: &App,
    who: &Who,
    filled: &mut Filled,
) -> Result<Option<(Person, String)>, WebError> {
    let name = filled.line("name", PERSON_CHARS_MAX);
    let sign_in = checked_sign_in(filled, "sign_in");
    let password = checked_password(filled, &sign_in);
    let role = Role::parse(filled.text("role"));
    if role.is_none() {
        filled.fault("role", "Choose one of the roles.");
    }
    let Some(role) = role.filter(|_| filled.is_sound()) else { return Ok(None) };
    if !roles_of(who).contains(&role) {
        return Err(WebError::Forbidden("Managers add technicians. An owner adds the others."));
    }
    let (id, workshop) = (PersonId(app.new_id()?), who.workshop());
    Ok(Some((Person { id, workshop, name, sign_in, role, disabled: false }, password)))
}

/// A name to sign in with: lower case, one word.
pub(super) fn checked_sign_in(filled: &mut Filled, name: &str) -> String {
    let sign_in = filled.line(name, SIGN_IN_CHARS_MAX).to_lowercase();
    let fits = |c: char| c.is_alphanumeric() || matches!(c, '.' | '-' | '_' | '@');
    if !sign_in.chars().all(fits) {
        filled.fault(name, "Use letters, digits, points and hyphens, without spaces.");
    }
    sign_in
}

/// A new password, as it was typed.
fn checked_password(filled: &mut Filled, sign_in: &str) -> String {
    let password = filled.verbatim("password").to_owned();
    if let Err(sentence) = password::check(&password, sign_in) {
        filled.fault("password", sentence);
    }
    password
}

/// A new password that was typed twice, so that a slip does not lock its owner out.
pub(super) fn checked_twice(filled: &mut Filled, sign_in: &str) -> String {
    let password = checked_password(filled, sign_in);
    if filled.verbatim("repeat") != password {
        filled.fault("repeat", "The two passwords differ. Type both again.");
    }
    password
}
