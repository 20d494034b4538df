//! `/settings`: the workshop as certificates name it, and the rules that are its own to choose.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::OffsetDateTime;

pub(super) mod logo;
mod papers;
pub(super) mod retention;
pub(super) mod rules;

use self::papers::{Head, PaperFields};
use super::app::App;
use super::error::{WebError, ours};
use super::form::{Choice, Field, Filled, FormFault, day_words};
use super::page::{self, Done, Frame};
use super::session::Who;
use crate::documents::paper::grouped_hex;
use crate::domain::certificate::PaperSize;
use crate::storage::workshops::{self, Workshop};

pub(super) const WORKSHOP_CHARS_MAX: usize = 80;
const ADDRESS_CHARS_MAX: usize = 300;
const LINE_CHARS_MAX: usize = 80;

const NOTES: [(&str, &str); 3] = [
    ("saved", "Saved. The next certificate says it so."),
    ("logo", "The mark is kept. The next papers carry it."),
    ("no-logo", "The mark is gone. The next papers are made without it."),
];

#[derive(Template)]
#[template(path = "pages/settings.html")]
struct SettingsPage {
    frame: Frame,
    name: Field,
    address: Field,
    phone: Field,
    email: Field,
    place: Field,
    prefix: String,
    /// The attribute, where it is ticked.
    one_person: Option<&'static str>,
    paper: Field,
    sizes: Vec<Choice>,
    papers: PaperFields,
    head: Head,
    seal: Seal,
    faults: Vec<FormFault>,
}

/// The seal in use, for the owner to publish and to look after.
struct Seal {
    /// In groups, for people.
    fingerprint: String,
    until: String,
    /// Where its end is near.
    warning: Option<String>,
}

impl Seal {
    fn of(app: &App) -> Self {
        let (seal, now) = (app.seal(), app.now());
        let day = |end: OffsetDateTime| day_words(&end.date().to_string());
        let warning = seal.ends_soon(now.utc()).map(|end| {
            format!(
                "The seal ends on {}. After that no certificate can be made: stop the server and change it with \
                 `fusewright seal renew`. Certificates made until then stay valid.",
                day(end)
            )
        });
        let until = seal.not_after().map_or_else(String::new, day);
        Self { fingerprint: grouped_hex(&seal.fingerprint()), until, warning }
    }
}

impl SettingsPage {
    fn new(app: &App, who: &Who, workshop: &Workshop, mut filled: Filled) -> Self {
        Self {
            frame: Frame::new("Settings", who, "/settings"),
            name: filled.field("name", "Name").hint("Printed on every certificate."),
            address: filled.field("address", "Address").hint("As on a letter."),
            phone: filled.field("phone", "Telephone"),
            email: filled.field("email", "E-mail"),
            place: filled
                .field("place", "Place of work")
                .hint("Town and country, where vehicles are worked on."),
            prefix: workshop.certificate_prefix.clone(),
            one_person: filled.is_ticked("one_person").then_some("checked"),
            sizes: filled.choices("paper", PaperSize::ALL.map(|size| (size.word(), size.label()))),
            paper: filled
                .field("paper", "Paper")
                .hint("Certificates and handovers are made for it."),
            papers: PaperFields::of(&mut filled),
            head: Head::of(workshop, false),
            seal: Seal::of(app),
            faults: filled.into_faults(),
        }
    }
}

/// GET /settings
pub(super) async fn page(
    State(app): State<App>,
    who: Who,
    done: Done,
) -> Result<Response, WebError> {
    let workshop = workshop(&app, &who).await?;
    let logo = workshops::logo(app.store(), who.workshop()).await?.is_some();
    let shown = SettingsPage::new(&app, &who, &workshop, filled_from(&workshop));
    let frame = done.noted(shown.frame, &NOTES);
    Ok(page::page(&SettingsPage { frame, head: Head::of(&workshop, logo), ..shown }))
}

async fn workshop(app: &App, who: &Who) -> Result<Workshop, WebError> {
    let found = workshops::load(app.store(), who.workshop()).await?;
    found.ok_or_else(|| ours("somebody without a workshop"))
}

fn filled_from(workshop: &Workshop) -> Filled {
    let mut filled = Filled::with(
        [
            ("name", workshop.name.clone()),
            ("address", workshop.address.clone()),
            ("phone", workshop.phone.clone()),
            ("email", workshop.email.clone()),
            ("place", workshop.place.clone()),
            ("paper", workshop.paper.word().to_owned()),
        ]
        .into_iter()
        .chain(papers::pairs(&workshop.papers)),
    );
    if workshop.one_person_release {
        filled.suggest("one_person", "on");
    }
    filled
}

/// POST /settings
pub(super) async fn change(
    State(app): State<App>,
    who: Who,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let before = workshop(&app, &who).await?;
    let Some(after) = checked(&before, &mut filled) else {
        let again = page::page(&SettingsPage::new(&app, &who, &before, filled));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    workshops::change(app.store(), &after).await?;
    Ok(Redirect::to("/settings?done=saved").into_response())
}

fn checked(before: &Workshop, filled: &mut Filled) -> Option<Workshop> {
    let name = filled.line("name", WORKSHOP_CHARS_MAX);
    let address = filled.maybe_lines("address", ADDRESS_CHARS_MAX);
    let phone = filled.maybe_line("phone", LINE_CHARS_MAX);
    let email = filled.maybe_line("email", LINE_CHARS_MAX);
    let place = filled.maybe_line("place", LINE_CHARS_MAX);
    let paper = PaperSize::find(filled.text("paper"));
    if paper.is_none() {
        filled.fault("paper", "Choose one of the sizes of the list.");
    }
    let papers = papers::checked(filled);
    if !filled.is_sound() {
        return None;
    }
    let one_person_release = filled.is_ticked("one_person");
    let Workshop { id, certificate_prefix, insulation_least_megohm, created, .. } = before.clone();
    Some(Workshop {
        id,
        name,
        address,
        phone,
        email,
        certificate_prefix,
        place,
        one_person_release,
        insulation_least_megohm,
        paper: paper?,
        papers,
        created,
    })
}
