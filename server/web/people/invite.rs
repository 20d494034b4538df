//! Inviting somebody: a link that is shown once, and taken back while nobody has used it.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

use super::{PERSON_CHARS_MAX, Sent, refused, roles_of};
use crate::domain::ids::{InvitationId, Moment};
use crate::domain::person::{Person, Role};
use crate::domain::seal::sha256;
use crate::storage::invitations::{self, Invitation, NewInvitation, TRIES_MAX};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Choice, Field, Filled, id};
use crate::web::page::{Frame, Svg, page, qr};
use crate::web::session::Who;
use crate::world::secret;

/// An invitation ends after so many days.
pub(in crate::web) const INVITATION_DAYS: i64 = 3;

/// What is kept of the link. So many bits need no slow hash.
pub(in crate::web) fn digest(secret: &str) -> [u8; 32] {
    sha256(format!("invitation/1\n{secret}").as_bytes())
}

/// The form, and what is open.
pub(super) struct InviteView {
    pub(super) name: Field,
    pub(super) role: Field,
    pub(super) roles: Vec<Choice>,
    pub(super) open: Vec<OpenRow>,
}

pub(super) struct OpenRow {
    pub(super) name: String,
    pub(super) role: &'static str,
    pub(super) until: String,
    pub(super) by: String,
    /// Nothing for whoever may not give that role.
    pub(super) revoke: Option<String>,
}

pub(super) async fn view(
    app: &App,
    who: &Who,
    (people, filled): (&[Person], &mut Filled),
) -> Result<InviteView, WebError> {
    let open = invitations::list(app.store(), who.workshop(), app.now()).await?;
    Ok(InviteView {
        name: filled.field("invited", "For whom").optional().hint("To tell it from others here."),
        role: filled.field("invited_role", "Role").hint("They choose name and password."),
        roles: filled
            .choices("invited_role", roles_of(who).iter().map(|role| (role.word(), role.word()))),
        open: open.iter().map(|one| row(who, people, one)).collect(),
    })
}

fn row(who: &Who, people: &[Person], one: &Invitation) -> OpenRow {
    let by = people.iter().find(|person| person.id == one.made_by);
    let name = if one.name.is_empty() { "somebody" } else { &one.name };
    OpenRow {
        name: name.to_owned(),
        role: one.role.word(),
        until: one.expires.date_and_minute(),
        by: by.map(|person| person.name.clone()).unwrap_or_default(),
        revoke: roles_of(who)
            .contains(&one.role)
            .then(|| format!("/people/invitations/{}/revoke", one.id)),
    }
}

/// Shown once, right after it was made.
#[derive(Template)]
#[template(path = "pages/invitation.html")]
struct InvitationPage {
    frame: Frame,
    name: String,
    role: &'static str,
    qr: Svg,
    link: String,
    days: i64,
    tries: u32,
}

/// POST /people/invitations
pub(in crate::web) async fn invite(
    State(app): State<App>,
    who: Who,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let name = filled.maybe_line("invited", PERSON_CHARS_MAX);
    let role = Role::parse(filled.text("invited_role"));
    if role.is_none() {
        filled.fault("invited_role", "Choose one of the roles.");
    }
    let Some(role) = role.filter(|_| filled.is_sound()) else {
        return refused(&app, &who, Sent::Invitation(filled)).await;
    };
    if !roles_of(&who).contains(&role) {
        return Err(WebError::Forbidden(
            "Managers invite technicians. An owner invites the others.",
        ));
    }
    let secret = secret()?;
    let made = app.now();
    let new = NewInvitation {
        id: InvitationId(app.new_id()?),
        name: name.clone(),
        role,
        token_sha256: digest(&secret),
        made_by: who.person.id,
        made,
        expires: ends(made),
    };
    invitations::append(app.store(), who.workshop(), new).await?;
    let link = format!("{}/invited?code={secret}", app.origin().address);
    Ok(page(&InvitationPage {
        frame: Frame::new("An invitation", &who, "/people"),
        name: if name.is_empty() { "somebody".to_owned() } else { name },
        role: role.word(),
        qr: qr(&link)?,
        link,
        days: INVITATION_DAYS,
        tries: TRIES_MAX,
    })
    .into_response())
}

fn ends(made: Moment) -> Moment {
    made.plus_days(INVITATION_DAYS)
}

/// POST /people/invitations/{invitation}/revoke
pub(in crate::web) async fn revoke_invitation(
    State(app): State<App>,
    who: Who,
    Path(invitation): Path<String>,
) -> Result<Redirect, WebError> {
    let wanted: InvitationId = id(&invitation)?;
    let open = invitations::list(app.store(), who.workshop(), app.now()).await?;
    let found = open.iter().find(|one| one.id == wanted).ok_or(WebError::NotFound)?;
    if !roles_of(&who).contains(&found.role) {
        return Err(WebError::Forbidden("Managers look after technicians. Ask an owner."));
    }
    invitations::revoke(app.store(), who.workshop(), wanted, app.now()).await?;
    Ok(Redirect::to("/people?done=uninvited"))
}
