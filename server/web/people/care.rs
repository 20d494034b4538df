//! What is done about one person: role, password, and whether they may sign in.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use tokio::sync::Mutex;

use super::pin::{PinForm, pin_form};
use super::{PASSWORD_HINT, Sent, checked_password, refused, roles_of};
use crate::domain::ids::PersonId;
use crate::domain::person::{Person, Role};
use crate::storage::people::{self, NewPassword};
use crate::storage::pins::Holder;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Choice, Field, Filled, id};
use crate::web::session::Who;

/// Two owners who disable each other at once would leave none.
static ONE_AT_A_TIME: Mutex<()> = Mutex::const_new(());

/// The forms about one person.
pub(super) struct Care {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) role: Option<RoleForm>,
    pub(super) reset: Option<ResetForm>,
    pub(super) pin: Option<PinForm>,
    /// The attribute, where a form came back.
    pub(super) open: Option<&'static str>,
}

pub(super) struct RoleForm {
    pub(super) action: String,
    pub(super) role: Field,
    pub(super) roles: Vec<Choice>,
}

pub(super) struct ResetForm {
    pub(super) action: String,
    pub(super) password: Field,
}

impl Care {
    pub(super) fn id_for(person: &Person) -> String {
        format!("p-{}", person.id)
    }
}

/// What this person may do about that one, if anything.
pub(super) fn care(
    who: &Who,
    person: &Person,
    (people, holders): (&[Person], &[Holder]),
    sent: Option<&mut (PersonId, Filled)>,
) -> Option<Care> {
    let mut none = Filled::default().about(person.id);
    let sent = sent.filter(|(sent, _)| *sent == person.id).map(|(_, filled)| filled);
    let open = sent.is_some().then_some("open");
    let filled = sent.unwrap_or(&mut none);
    let role = is_owner(who, people).then(|| role_form(person, filled));
    let may_change = may_change(who, person, people).is_ok();
    let pin = may_change.then(|| pin_form(person, holders)).flatten();
    let reset = may_change.then(|| ResetForm {
        action: format!("/people/{}/password", person.id),
        password: filled.field("password", "New password").hint(PASSWORD_HINT).secret(),
    });
    let is_any = role.is_some() || reset.is_some();
    let (id, name) = (Care::id_for(person), person.name.clone());
    is_any.then_some(Care { id, name, role, reset, pin, open })
}

fn role_form(person: &Person, filled: &mut Filled) -> RoleForm {
    if !filled.is_ticked("role") {
        filled.suggest("role", person.role.word());
    }
    RoleForm {
        action: format!("/people/{}/role", person.id),
        roles: filled.choices("role", Role::ALL.map(|role| (role.word(), role.word()))),
        role: filled.field("role", "Role").hint("Ends their sessions: they sign in again."),
    }
}

/// POST /people/{person}/disable
pub(in crate::web) async fn disable(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
) -> Result<Redirect, WebError> {
    let _alone = ONE_AT_A_TIME.lock().await;
    let person = changeable(&app, &who, id(&person)?).await?;
    people::disable(app.store(), who.workshop(), person.id, app.now()).await?;
    Ok(Redirect::to("/people?done=disabled"))
}

/// POST /people/{person}/enable
pub(in crate::web) async fn enable(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
) -> Result<Redirect, WebError> {
    let _alone = ONE_AT_A_TIME.lock().await;
    let person = changeable(&app, &who, id(&person)?).await?;
    people::enable(app.store(), who.workshop(), person.id).await?;
    Ok(Redirect::to("/people?done=enabled"))
}

/// POST /people/{person}/password: for somebody who has forgotten theirs.
pub(in crate::web) async fn reset_password(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
    filled: Filled,
) -> Result<Response, WebError> {
    let person = changeable(&app, &who, id(&person)?).await?;
    let mut filled = filled.about(person.id);
    let password = checked_password(&mut filled, &person.sign_in);
    if !filled.is_sound() {
        return refused(&app, &who, Sent::Care(person.id, filled)).await;
    }
    let new = NewPassword { hash: app.hash_password(password).await?, now: app.now(), keep: None };
    people::change_password(app.store(), who.workshop(), person.id, new).await?;
    Ok(Redirect::to("/people?done=password").into_response())
}

/// POST /people/{person}/role
pub(in crate::web) async fn change_role(
    State(app): State<App>,
    who: Who,
    Path(person): Path<String>,
    filled: Filled,
) -> Result<Response, WebError> {
    let _alone = ONE_AT_A_TIME.lock().await;
    let people = people::list(app.store(), who.workshop()).await?;
    let person = find(&people, id(&person)?)?;
    if !is_owner(&who, &people) {
        return Err(WebError::Forbidden("Only an owner changes roles."));
    }
    let mut filled = filled.about(person.id);
    let Some(role) = checked_role(&mut filled, person, &people) else {
        return refused(&app, &who, Sent::Care(person.id, filled)).await;
    };
    if role != person.role {
        people::change_role(app.store(), who.workshop(), person.id, role, app.now()).await?;
    }
    Ok(Redirect::to("/people?done=role").into_response())
}

fn checked_role(filled: &mut Filled, person: &Person, people: &[Person]) -> Option<Role> {
    let role = Role::parse(filled.text("role"));
    if role.is_none() {
        filled.fault("role", "Choose one of the roles.");
    }
    let stays_owner = |one: &Person| is_active_owner(one) && one.id != person.id;
    let is_last = is_active_owner(person) && !people.iter().any(stays_owner);
    if is_last && role.is_some_and(|role| role != Role::Owner) {
        filled.fault("role", "A workshop needs an owner. Make somebody else one first.");
    }
    role.filter(|_| filled.is_sound())
}

fn is_active_owner(person: &Person) -> bool {
    person.role == Role::Owner && !person.disabled
}

/// Whether whoever asks is an owner still: the list is newer than their session's guard.
fn is_owner(who: &Who, people: &[Person]) -> bool {
    people.iter().any(|one| one.id == who.person.id && is_active_owner(one))
}

fn find(people: &[Person], wanted: PersonId) -> Result<&Person, WebError> {
    people.iter().find(|person| person.id == wanted).ok_or(WebError::NotFound)
}

pub(super) async fn changeable(app: &App, who: &Who, wanted: PersonId) -> Result<Person, WebError> {
    let people = people::list(app.store(), who.workshop()).await?;
    let person = find(&people, wanted)?;
    may_change(who, person, &people)?;
    Ok(person.clone())
}

/// Whether somebody may disable or enable a person, or give them a new password.
pub(super) fn may_change(who: &Who, person: &Person, people: &[Person]) -> Result<(), WebError> {
    let may_still = |one: &Person| one.id == who.person.id && !one.disabled;
    if !people.iter().any(may_still) || !roles_of(who).contains(&person.role) {
        return Err(WebError::Forbidden(
            "Managers change technicians. An owner changes the others.",
        ));
    }
    // Whoever acts is an owner or changes no owner: as nobody disables themselves, one is always left.
    if person.id == who.person.id {
        return Err(WebError::Rule(
            "You cannot disable yourself: ask another owner. Your password has a page of its own."
                .to_owned(),
        ));
    }
    Ok(())
}
