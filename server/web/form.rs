//! A filled-in office form: what was typed, what is wrong with it, and the fields in which both
//! come back.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::str::FromStr;

use axum::extract::{DefaultBodyLimit, Form, FromRequest, Request};
use axum::http::StatusCode;
use time::Date;
use time::format_description::BorrowedFormatItem;
use time::macros::format_description;

use super::error::WebError;
use crate::domain::number::{Decimal, parse_typed};

/// Nobody types more into an office form.
const FORM_BYTES_MAX: usize = 64 * 1024;
const DAY: &[BorrowedFormatItem<'static>] = format_description!("[year]-[month]-[day]");
const MISSING: &str = "Fill this in.";

/// What a query or a form brings, before anybody has looked at it.
pub(super) type Pairs = Vec<(String, String)>;

/// One entry of the list on top of a form that came back.
pub(super) struct FormFault {
    /// Of the field.
    pub(super) id: String,
    pub(super) text: String,
}

/// What `components/fields.html` prints.
pub(super) struct Field {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) label: String,
    pub(super) hint: &'static str,
    pub(super) unit: &'static str,
    pub(super) value: String,
    pub(super) error: Option<String>,
    /// May be left empty, and says so.
    pub(super) optional: Option<()>,
}

impl Field {
    pub(super) fn optional(self) -> Self {
        Self { optional: Some(()), ..self }
    }

    pub(super) fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }

    pub(super) fn unit(self, unit: &'static str) -> Self {
        Self { unit, ..self }
    }

    /// Typed anew each time: a password never comes back.
    pub(super) fn secret(self) -> Self {
        Self { value: String::new(), ..self }
    }
}

/// One line of a list to choose from.
pub(super) struct Choice {
    pub(super) value: String,
    pub(super) text: String,
    /// The attribute, where it is the chosen one.
    pub(super) selected: Option<&'static str>,
}

impl Choice {
    pub(super) fn new(value: impl Into<String>, text: impl Into<String>, chosen: &str) -> Self {
        let (value, text) = (value.into(), text.into());
        let selected = (value == chosen).then_some("selected");
        Self { value, text, selected }
    }
}

/// A form as it was sent. Reading notes every fault; what was read counts only if it [`is_sound`].
///
/// [`is_sound`]: Filled::is_sound
#[derive(Default)]
pub(super) struct Filled {
    /// In the order they were sent; a list of ticks sends one name several times.
    typed: Pairs,
    faults: Vec<FormFault>,
    /// Of the fields that were shown, for the list of faults.
    labels: BTreeMap<String, String>,
    /// Where a page has the same form several times: what tells the ids of its fields apart.
    about: Option<String>,
}

impl Filled {
    /// A form that opens with values in it.
    pub(super) fn with<N: Into<String>, V: Into<String>>(
        pairs: impl IntoIterator<Item = (N, V)>,
    ) -> Self {
        let typed = pairs.into_iter().map(|(name, value)| (name.into(), value.into())).collect();
        Self { typed, ..Self::default() }
    }

    /// The form of one of several on the page. The names of its fields stay, their ids differ.
    pub(super) fn about(self, one: impl Display) -> Self {
        Self { about: Some(one.to_string()), ..self }
    }

    fn id_of(&self, name: &str) -> String {
        self.about.as_ref().map_or_else(|| name.to_owned(), |one| format!("{name}-{one}"))
    }

    /// Without the spaces around it; empty if it was not sent.
    pub(super) fn text(&self, name: &str) -> &str {
        self.verbatim(name).trim()
    }

    pub(super) fn verbatim(&self, name: &str) -> &str {
        self.every(name).last().unwrap_or_default()
    }

    /// All values that were sent under a name.
    pub(super) fn every<'a>(&'a self, name: &str) -> impl Iterator<Item = &'a str> {
        self.typed.iter().filter(move |(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    pub(super) fn is_ticked(&self, name: &str) -> bool {
        self.every(name).next().is_some()
    }

    pub(super) fn suggest(&mut self, name: &str, value: impl Into<String>) {
        self.typed.retain(|(key, _)| key != name);
        self.typed.push((name.to_owned(), value.into()));
    }

    pub(super) fn fault(&mut self, name: &str, text: impl Into<String>) {
        self.faults.push(FormFault { id: name.to_owned(), text: text.into() });
    }

    pub(super) fn is_sound(&self) -> bool {
        self.faults.is_empty()
    }

    /// One line that must be there.
    pub(super) fn line(&mut self, name: &str, chars_max: usize) -> String {
        if self.text(name).is_empty() {
            self.fault(name, MISSING);
        }
        self.maybe_line(name, chars_max)
    }

    /// One line, or nothing.
    pub(super) fn maybe_line(&mut self, name: &str, chars_max: usize) -> String {
        let text = self.text(name).to_owned();
        if text.chars().any(char::is_control) {
            self.fault(name, "Write this on one line.");
        }
        self.short(name, text, chars_max)
    }

    /// Some lines, or nothing.
    pub(super) fn maybe_lines(&mut self, name: &str, chars_max: usize) -> String {
        let text = self.text(name).replace("\r\n", "\n");
        if text.chars().any(|c| c.is_control() && c != '\n') {
            self.fault(name, "Write this in plain letters, without tabs.");
        }
        self.short(name, text, chars_max)
    }

    fn short(&mut self, name: &str, text: String, chars_max: usize) -> String {
        if text.chars().count() > chars_max {
            self.fault(name, format!("Use at most {chars_max} characters."));
        }
        text
    }

    /// A figure as people type it.
    pub(super) fn figure(&mut self, name: &str) -> Option<Decimal> {
        let figure = parse_typed(self.text(name));
        if figure.is_none() {
            let empty = self.text(name).is_empty();
            self.fault(name, if empty { MISSING } else { "Write a number, such as 0.5." });
        }
        figure
    }

    /// A calendar day.
    pub(super) fn day(&mut self, name: &str) -> Option<Date> {
        let day = day(self.text(name));
        if day.is_none() {
            let empty = self.text(name).is_empty();
            self.fault(name, if empty { MISSING } else { "Write a date as 2026-11-25." });
        }
        day
    }

    /// The field of that name, with what was typed and what is wrong with it.
    pub(super) fn field(&mut self, name: &str, label: &str) -> Field {
        self.labels.insert(name.to_owned(), label.to_owned());
        let fault = self.faults.iter().find(|fault| fault.id == name);
        Field {
            id: self.id_of(name),
            name: name.to_owned(),
            label: label.to_owned(),
            hint: "",
            unit: "",
            value: self.verbatim(name).to_owned(),
            error: fault.map(|fault| fault.text.clone()),
            optional: None,
        }
    }

    /// What to choose from, with the chosen one marked.
    pub(super) fn choices<V: Into<String>, T: Into<String>>(
        &self,
        name: &str,
        all: impl IntoIterator<Item = (V, T)>,
    ) -> Vec<Choice> {
        let chosen = self.text(name);
        all.into_iter().map(|(value, text)| Choice::new(value, text, chosen)).collect()
    }

    /// The list for the top of the page: each fault with the label of its field.
    pub(super) fn into_faults(self) -> Vec<FormFault> {
        let faults = self.faults.iter().map(|fault| {
            let label = self.labels.get(&fault.id);
            let text = label
                .map_or_else(|| fault.text.clone(), |label| format!("{label}: {}", fault.text));
            FormFault { id: self.id_of(&fault.id), text }
        });
        faults.collect()
    }
}

impl<S: Send + Sync> FromRequest<S> for Filled {
    type Rejection = WebError;

    async fn from_request(mut request: Request, state: &S) -> Result<Self, WebError> {
        DefaultBodyLimit::max(FORM_BYTES_MAX).apply(&mut request);
        let read = Form::<Pairs>::from_request(request, state).await;
        read.map(|Form(pairs)| Self::with(pairs)).map_err(|refused| {
            if refused.status() == StatusCode::PAYLOAD_TOO_LARGE {
                let kib = FORM_BYTES_MAX / 1024;
                return WebError::TooLarge(format!("A form takes at most {kib} KiB. Shorten it."));
            }
            WebError::Rule("The form could not be read. Load its page and fill it in again.".into())
        })
    }
}

/// An id from an address. What is no id names nothing.
pub(super) fn id<T: FromStr>(text: &str) -> Result<T, WebError> {
    text.parse().map_err(|_| WebError::NotFound)
}

/// `2026-11-25`
pub(super) fn day(text: &str) -> Option<Date> {
    Date::parse(text, DAY).ok()
}

/// `25 November 2026`, from `2026-11-25`.
pub(super) fn day_words(text: &str) -> String {
    let words = |day: Date| format!("{} {} {}", day.day(), day.month(), day.year());
    day(text).map_or_else(|| text.to_owned(), words)
}
