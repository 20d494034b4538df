//! The frame around every page, and how a page becomes an answer.

use std::fmt;

use askama::Template;
use askama::filters::HtmlSafe;
use axum::extract::{FromRequestParts, Query};
use axum::http::header;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};

mod minus;

use super::error::{WebError, ours};
use super::form::{Filled, Pairs};
use super::session::Who;
use crate::documents::qr::qr_svg;
use crate::domain::ids::PersonId;
use crate::domain::person::Role;

/// One place to go.
pub(super) struct NavLink {
    pub(super) href: &'static str,
    pub(super) icon: &'static str,
    pub(super) label: &'static str,
    pub(super) count: Option<u64>,
    /// `page` where one is there.
    pub(super) current: Option<&'static str>,
}

/// Whoever is signed in.
pub(super) struct FramePerson {
    pub(super) id: PersonId,
    pub(super) name: String,
    pub(super) role: &'static str,
}

/// What just happened, in one sentence.
pub(super) struct Notice {
    /// `good`, `bad` or `plain`.
    pub(super) kind: &'static str,
    pub(super) icon: &'static str,
    pub(super) text: String,
}

/// What `templates/layout.html` prints around a page.
pub(super) struct Frame {
    pub(super) title: String,
    pub(super) workshop: String,
    pub(super) links: Vec<NavLink>,
    pub(super) person: Option<FramePerson>,
    pub(super) notice: Option<Notice>,
    /// Where somebody else takes over, on a phone that people share.
    pub(super) switch: Option<&'static str>,
}

const NAV: [(&str, &str, &str, Role); 10] = [
    ("/jobs", "jobs", "Jobs", Role::Technician),
    ("/board", "board", "Plan board", Role::Manager),
    ("/defects", "caution", "Defects", Role::Technician),
    ("/due", "due", "Due", Role::Manager),
    ("/trends", "trends", "Trends", Role::Manager),
    ("/kits", "kits", "Kits", Role::Manager),
    ("/instruments", "instruments", "Instruments", Role::Technician),
    ("/people", "people", "People", Role::Manager),
    ("/phones", "phones", "Phones", Role::Manager),
    ("/settings", "settings", "Settings", Role::Owner),
];

/// How many things wait there for somebody to see to.
fn count(who: &Who, href: &str) -> Option<u64> {
    let waiting = if href == "/instruments" { who.instruments_due } else { 0 };
    (waiting > 0).then_some(waiting)
}

impl Frame {
    /// Around a page of somebody who is signed in. `here` is the first part of the address.
    pub(super) fn new(title: impl Into<String>, who: &Who, here: &str) -> Self {
        let links = NAV
            .iter()
            .filter(|(_, _, _, role)| who.person.role.covers(*role))
            .map(|(href, icon, label, _)| NavLink {
                href,
                icon,
                label,
                count: count(who, href),
                current: (*href == here).then_some("page"),
            })
            .collect();
        let person = FramePerson {
            id: who.person.id,
            name: who.person.name.clone(),
            role: who.person.role.word(),
        };
        Self {
            title: title.into(),
            workshop: who.workshop_name.clone(),
            links,
            person: Some(person),
            notice: None,
            switch: who.on_shared_phone.then_some("/switch"),
        }
    }

    /// Around a page for anyone.
    pub(super) fn bare(title: impl Into<String>) -> Self {
        Self {
            title: title.into(),
            workshop: "Fusewright".to_owned(),
            links: Vec::new(),
            person: None,
            notice: None,
            switch: None,
        }
    }

    /// With a sentence above the page.
    pub(super) fn noting(self, kind: &'static str, text: impl Into<String>) -> Self {
        let icon = match kind {
            "good" => "pass",
            "bad" => "fail",
            _ => "note",
        };
        Self { notice: Some(Notice { kind, icon, text: text.into() }), ..self }
    }

    /// The address of a static file.
    #[expect(clippy::unused_self, reason = "templates reach it through the frame they have")]
    pub(super) fn asset(&self, path: &str) -> String {
        super::assets::href(path)
    }
}

/// What was made on the server and is printed as it is, a drawing or figures as JSON: its texts are escaped
/// where it is made.
pub(super) struct Svg(pub(super) String);

impl fmt::Display for Svg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl HtmlSafe for Svg {}

/// An address to scan. Without the heading of a file of its own, which has no place in a page.
pub(super) fn qr(address: &str) -> Result<Svg, WebError> {
    let file = qr_svg(address).map_err(ours)?;
    let start = file.find("<svg").unwrap_or(0);
    Ok(Svg(file.get(start..).unwrap_or_default().to_owned()))
}

/// What was just done, as the way back from a form says it in the address: `?done=saved`.
pub(super) struct Done(String);

impl Done {
    /// The frame with the sentence for it, if it is one of these.
    pub(super) fn noted(&self, frame: Frame, sentences: &[(&str, &str)]) -> Frame {
        match sentences.iter().find(|(word, _)| *word == self.0) {
            Some((_, sentence)) => frame.noting("good", *sentence),
            None => frame,
        }
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Done {
    type Rejection = std::convert::Infallible;

    /// An address that cannot be read has nothing to say.
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Self::Rejection> {
        let pairs = Query::<Pairs>::try_from_uri(&parts.uri).map(|Query(pairs)| pairs);
        Ok(Self(Filled::with(pairs.unwrap_or_default()).text("done").to_owned()))
    }
}

/// A page as an answer. A template that cannot be written is our fault.
pub(super) fn page(template: &impl Template) -> Response {
    match template.render() {
        Ok(html) => {
            let kind = [(header::CONTENT_TYPE, "text/html; charset=utf-8")];
            (kind, minus::in_page(&html)).into_response()
        }
        Err(error) => WebError::into_response(ours(error)),
    }
}
