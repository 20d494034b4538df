//! `/people`: who works here. A manager adds technicians, an owner everybody.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use tokio::sync::Mutex;

use super::app::App;
use super::error::WebError;
use super::form::{Choice, Field, Filled, FormFault, Pairs, id};
use super::page::{Frame, page};
use super::password;
use super::session::Who;
use crate::domain::ids::PersonId;
use crate::domain::person::{Person, Role};
use crate::storage::Conflict;
use crate::storage::people::{self, NewPerson};

pub(super) const PERSON_CHARS_MAX: usize = 80;
const SIGN_IN_CHARS_MAX: usize = 40;

/// Two owners who disable each other at once would leave none.
static ONE_AT_A_TIME: Mutex<()> = Mutex::const_new(());

struct PersonRow {
    name: String,
    sign_in: String,
    role: &'static str,
    /// Shape and word of what they may do.
    kind: &'static str,
    word: &'static str,
    change: Option<Change>,
}

/// The one thing that can be done to somebody.
struct Change {
    action: String,
    word: &'static str,
}

#[derive(Template)]
#[template(path = "pages/people.html")]
struct PeoplePage {
    frame: Frame,
    people: Vec<PersonRow>,
    name: Field,
    sign_in: Field,
    role: Field,
    roles: Vec<Choice>,
    password: Field,
    faults: Vec<FormFault>,
}

/// GET /people
pub(super) async fn list(
    State(app): State<App>,
    who: Who,
    Query(pairs): Query<Pairs>,
) -> Result<Response, WebError> {
    let done = match Filled::with(pairs).text("done") {
        "added" => Some("Added. Tell them their name and password; nobody else can read it."),
        "disabled" => Some("Disabled, and signed out everywhere."),
        "enabled" => Some("They may sign in again."),
        _ => None,
    };
    let shown = people_page(&app, &who, Filled::default()).await?;
    let frame = match done {
        Some(done) => shown.frame.noting("good", done),
        None => shown.frame,
    };
    Ok(page(&PeoplePage { frame, ..shown }))
}

async fn people_page(app: &App, who: &Who, mut filled: Filled) -> Result<PeoplePage, WebError> {
    let people = people::list(app.store(), who.workshop()).await?;
    let rows = people.iter().map(|person| row(who, person, &people)).collect();
    let roles = roles_of(who).iter().map(|role| (role.word(), role.word()));
    Ok(PeoplePage {
        frame: Frame::new("People", who, "/people"),
        people: rows,
        name: filled.field("name", "Name").hint("As they sign."),
        sign_in: filled
            .field("sign_in", "Name to sign in with")
            .hint("Short and easy to type, such as runa."),
        role: filled
            .field("role", "Role")
            .hint("A technician records, a manager plans and releases, an owner does all."),
        roles: filled.choices("role", roles),
        password: filled
            .field("password", "First password")
            .hint("At least 15 characters: four or five words that do not belong together.")
            .secret(),
        faults: filled.into_faults(),
    })
}

fn row(who: &Who, person: &Person, people: &[Person]) -> PersonRow {
    let (kind, word) = if person.disabled { ("todo", "Disabled") } else { ("pass", "May sign in") };
    let (act, verb) =
        if person.disabled { ("enable", "Let in again") } else { ("disable", "Disable") };
    let change = may_change(who, person, people)
        .is_ok()
        .then(|| Change { action: format!("/people/{}/{act}", person.id), word: verb });
    PersonRow {
        name: person.name.clone(),
        sign_in: person.sign_in.clone(),
        role: person.role.word(),
        kind,
        word,
        change,
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
        return refused(&app, &who, filled).await;
    };
    let password_hash = app.hash_password(password).await?;
    let new = NewPerson { person, password_hash, created: app.now() };
    match people::append(app.store(), new).await {
        Err(error) if error.conflict() == Some(Conflict::SignInTaken) => {
            filled.fault("sign_in", "Somebody here signs in with this name. Choose another one.");
            refused(&app, &who, filled).await
        }
        done => Ok(done.map(|()| Redirect::to("/people?done=added"))?.into_response()),
    }
}

async fn refused(app: &App, who: &Who, filled: Filled) -> Result<Response, WebError> {
    let again = page(&people_page(app, who, filled).await?);
    Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response())
}

fn checked(
    app: &App,
    who: &Who,
    filled: &mut Filled,
) -> Result<Option<(Person, String)>, WebError> {
    let name = filled.line("name", PERSON_CHARS_MAX);
    let sign_in = checked_sign_in(filled, "sign_in");
    let password = checked_password(filled, "password", &sign_in);
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
pub(super) fn checked_password(filled: &mut Filled, name: &str, sign_in: &str) -> String {
    let password = filled.verbatim(name).to_owned();
    if let Err(sentence) = password::check(&password, sign_in) {
        filled.fault(name, sentence);
    }
    password
}

/// POST /people/{person}/disable
pub(super) async fn disable(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
) -> Result<Redirect, WebError> {
    let _alone = ONE_AT_A_TIME.lock().await;
    let person = changeable(&app, &who, id(&person)?).await?;
    people::disable(app.store(), who.workshop(), person, app.now()).await?;
    Ok(Redirect::to("/people?done=disabled"))
}

/// POST /people/{person}/enable
pub(super) async fn enable(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
) -> Result<Redirect, WebError> {
    let _alone = ONE_AT_A_TIME.lock().await;
    let person = changeable(&app, &who, id(&person)?).await?;
    people::enable(app.store(), who.workshop(), person).await?;
    Ok(Redirect::to("/people?done=enabled"))
}

async fn changeable(app: &App, who: &Who, wanted: PersonId) -> Result<PersonId, WebError> {
    let people = people::list(app.store(), who.workshop()).await?;
    let person = people.iter().find(|person| person.id == wanted).ok_or(WebError::NotFound)?;
    may_change(who, person, &people)?;
    Ok(person.id)
}

/// Whether somebody may disable or enable a person.
fn may_change(who: &Who, person: &Person, people: &[Person]) -> Result<(), WebError> {
    let may_still = |one: &Person| one.id == who.person.id && !one.disabled;
    if !people.iter().any(may_still) || !roles_of(who).contains(&person.role) {
        return Err(WebError::Forbidden(
            "Managers change technicians. An owner changes the others.",
        ));
    }
    // Whoever acts is an owner or changes no owner: as nobody disables themselves, one is always left.
    if person.id == who.person.id {
        return Err(WebError::Rule("You cannot disable yourself. Ask another owner.".to_owned()));
    }
    Ok(())
}
