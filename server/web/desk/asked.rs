//! What the address of the list asks for, and the form that asks it.

use std::fmt::Display;

use super::super::app::App;
use super::super::error::{WebError, encode};
use super::super::form::{Choice, Filled};
use super::super::session::Who;
use super::{FilterForm, MoreFilters};
use crate::domain::ids::{Moment, PersonId};
use crate::domain::job::{Stage, WaitsFor};
use crate::storage::jobs::Search;
use crate::storage::{kits, people};

/// What stands in the address, in the order of the form.
const NAMES: [&str; 8] = ["find", "customer", "vehicle", "kit", "person", "waits", "from", "to"];
/// Characters of one field that go on to the next page.
const CHARS_MAX: usize = 400;

pub(super) struct Asked {
    /// Name and text of each field that is not empty.
    typed: Vec<(&'static str, String)>,
    from: Option<Moment>,
    until: Option<Moment>,
    pub(super) before: String,
}

impl Asked {
    /// A technician looks for words alone.
    pub(super) fn read(filled: &mut Filled, who: &Who) -> Self {
        let names = if who.is_manager() { &NAMES[..] } else { &["find"][..] };
        let short = |text: &str| text.chars().take(CHARS_MAX).collect::<String>();
        let typed = names.iter().map(|name| (*name, short(filled.text(name))));
        let typed: Vec<_> = typed.filter(|(_, text)| !text.is_empty()).collect();
        let mut day = |name: &str| {
            let is_there = typed.iter().any(|(other, _)| *other == name);
            is_there.then(|| filled.day(name)).flatten().map(Moment::start_of)
        };
        let (from, to) = (day("from"), day("to"));
        if from.zip(to).is_some_and(|(from, to)| from > to) {
            filled.fault("to", "Choose a day that is not before the first.");
        }
        let before = filled.text("before").to_owned();
        Self { typed, from, until: to.map(|day| day.plus_days(1)), before }
    }

    fn text(&self, name: &str) -> &str {
        let found = self.typed.iter().find(|(other, _)| *other == name);
        found.map_or("", |(_, text)| text)
    }

    /// Whether anything narrows the list.
    pub(super) fn is_narrow(&self) -> bool {
        !self.typed.is_empty()
    }

    /// Where the list narrows by what jobs wait for and by nothing else.
    pub(super) fn only_waits(&self) -> Option<WaitsFor> {
        if self.typed.len() == 1 { WaitsFor::parse(self.text("waits")) } else { None }
    }

    pub(super) fn search(&self, limit: u32) -> Search {
        let words = |stages: &[Stage]| stages.iter().map(|s| s.word().to_owned()).collect();
        let waits = self.text("waits");
        let released =
            if waits == Stage::Released.word() { words(&[Stage::Released]) } else { vec![] };
        Search {
            words: self.text("find").to_owned(),
            customer: self.text("customer").to_owned(),
            vehicle: self.text("vehicle").to_owned(),
            kit: self.text("kit").to_owned(),
            person: self.text("person").parse::<PersonId>().ok(),
            stages: WaitsFor::parse(waits).map_or(released, |waits| words(waits.stages())),
            from: self.from,
            until: self.until,
            before: self.before.parse().ok(),
            limit,
        }
    }

    /// The address of the next page.
    pub(super) fn later(&self, mark: &impl Display) -> String {
        let part = |(name, text): &(&str, String)| format!("{name}={}&", encode(text));
        format!("/jobs?{}before={mark}", self.typed.iter().map(part).collect::<String>())
    }

    pub(super) async fn form(
        &self,
        app: &App,
        who: &Who,
        filled: &mut Filled,
    ) -> Result<FilterForm, WebError> {
        let more = if who.is_manager() { Some(self.more(app, who, filled).await?) } else { None };
        let find = self.text("find").to_owned();
        Ok(FilterForm { find, more, clear: self.is_narrow().then_some(()) })
    }

    async fn more(
        &self,
        app: &App,
        who: &Who,
        filled: &mut Filled,
    ) -> Result<MoreFilters, WebError> {
        let open = self.typed.iter().any(|(name, _)| *name != "find").then_some(());
        Ok(MoreFilters {
            open,
            customer: filled.field("customer", "Customer"),
            vehicle: filled.field("vehicle", "Vehicle or registration"),
            kit: filled.field("kit", "Kit"),
            kits: kit_choices(app, who, filled).await?,
            person: filled.field("person", "Who worked on it"),
            people: people_choices(app, who, filled).await?,
            waits: filled.field("waits", "What it waits for"),
            waits_for: waits_choices(filled),
            from: filled.field("from", "Opened from"),
            to: filled.field("to", "Opened up to"),
        })
    }
}

fn all(words: &str) -> impl Iterator<Item = (String, String)> {
    std::iter::once((String::new(), words.to_owned()))
}

/// One choice for all editions of a kit, under the title of the newest.
async fn kit_choices(app: &App, who: &Who, filled: &Filled) -> Result<Vec<Choice>, WebError> {
    let mut kits = kits::list(app.store(), who.workshop()).await?;
    kits.dedup_by(|later, first| later.code == first.code);
    let named =
        kits.into_iter().map(|kit| (kit.code.clone(), format!("{}: {}", kit.code, kit.title)));
    Ok(filled.choices("kit", all("Any").chain(named)))
}

async fn people_choices(app: &App, who: &Who, filled: &Filled) -> Result<Vec<Choice>, WebError> {
    let people = people::list(app.store(), who.workshop()).await?;
    let named = people.into_iter().map(|person| (person.id.to_string(), person.name));
    Ok(filled.choices("person", all("Anybody").chain(named)))
}

fn waits_choices(filled: &Filled) -> Vec<Choice> {
    let named = |waits: WaitsFor| (waits.word().to_owned(), waits.title().to_owned());
    let released = (Stage::Released.word().to_owned(), Stage::Released.title().to_owned());
    let named = WaitsFor::ALL.map(named).into_iter().chain([released]);
    filled.choices("waits", all("Anything").chain(named))
}
