//! How one paper says things: the words of its language, and figures, limits and days in the style that the workshop
//! chose. Everything comes in as it is stored; nothing that was judged changes.

use std::str::FromStr as _;

use serde::Serialize;

use super::words::Words;
use crate::domain::ids::Moment;
use crate::domain::number::Decimal;
use crate::domain::paper_style::{DayStyle, Language, PaperStyle, Side, day_parts};
use crate::engineering::fuse::FuseForm;

#[derive(Debug, Clone)]
pub struct Voice {
    pub words: &'static Words,
    pub style: PaperStyle,
}

/// What a paper says of the way it says things.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Told {
    #[serde(skip)]
    pub language: Language,
    /// Said where some of it stands in another language.
    pub recorded: Option<String>,
    /// Whether figures stand in other units too.
    pub other_units: bool,
}

/// Titles of steps and findings are kept in the language that the sheet was made in.
const RECORDED_IN: Language = Language::English;

/// A limit as it is stored in words.
enum Limit<'t> {
    Most(&'t str, &'t str),
    Least(&'t str, &'t str),
    Between(&'t str, &'t str, &'t str),
    Expected(&'t str),
    Other,
}

impl Voice {
    pub fn new(style: PaperStyle) -> Self {
        Self { words: Words::of_language(style.language), style }
    }

    pub fn told(&self) -> Told {
        let language = self.style.language;
        Told {
            language,
            recorded: (language != RECORDED_IN).then(|| self.say("recorded-in")),
            other_units: !self.style.units.is_empty(),
        }
    }

    pub fn say(&self, id: &str) -> String {
        self.words.say(id)
    }

    pub fn with(&self, id: &str, args: &[(&str, &str)]) -> String {
        self.words.with(id, args)
    }

    pub fn figures(&self, text: &str) -> String {
        self.style.figures(text)
    }

    /// `10.4 N·m`, with the other units that were asked for behind it.
    pub fn value(&self, text: &str) -> String {
        let metric = self.figures(text);
        match self.others(text) {
            Some(others) => format!("{metric} ({others})"),
            None => metric,
        }
    }

    /// The other units of a figure alone; nothing where there are none.
    pub fn others(&self, text: &str) -> Option<String> {
        let (figure, unit) = text.split_once([' ', '\u{a0}'])?;
        let others = self.style.others(decimal(figure)?, unit, Side::Neither);
        (!others.is_empty()).then(|| others.join(", "))
    }

    /// `at most 0.36 V`, `9.0 to 11.0 N·m` and their like, in this language and style. Other units are rounded
    /// inwards: none of them lets through what the metric limit does not.
    pub fn limit(&self, text: &str) -> String {
        let limit = read_limit(text);
        let metric = self.limit_words(&limit, text);
        let inwards = |figure, unit, side| match decimal(figure) {
            Some(figure) => self.style.others(figure, unit, side),
            None => Vec::new(),
        };
        let others: Vec<String> = match limit {
            Limit::Most(most, unit) => inwards(most, unit, Side::Upper),
            Limit::Least(least, unit) => inwards(least, unit, Side::Lower),
            Limit::Between(least, most, unit) => {
                let low = inwards(least, unit, Side::Lower);
                let pairs = low.into_iter().zip(inwards(most, unit, Side::Upper));
                pairs.map(|(low, high)| self.between(figure_of(&low), &high)).collect()
            }
            Limit::Expected(_) | Limit::Other => Vec::new(),
        };
        if others.is_empty() { metric } else { format!("{metric} ({})", others.join(", ")) }
    }

    fn limit_words(&self, limit: &Limit<'_>, text: &str) -> String {
        match limit {
            Limit::Most(most, unit) => {
                self.with("limit-most", &[("figure", &self.figures(&format!("{most} {unit}")))])
            }
            Limit::Least(least, unit) => {
                self.with("limit-least", &[("figure", &self.figures(&format!("{least} {unit}")))])
            }
            Limit::Between(least, most, unit) => {
                self.between(&self.figures(least), &self.figures(&format!("{most} {unit}")))
            }
            Limit::Expected(share) => {
                self.with("limit-expected", &[("figure", &self.figures(share))])
            }
            Limit::Other if text == "the kit's order" => self.say("limit-order"),
            Limit::Other => self.figures(text),
        }
    }

    fn between(&self, low: &str, high: &str) -> String {
        self.with("limit-between", &[("low", low), ("high", high)])
    }

    /// A day in figures (`2026-11-25`) as this workshop writes days; anything else as it is.
    pub fn day(&self, text: &str) -> String {
        match (self.style.days, day_parts(text)) {
            (DayStyle::Words, Some((year, month, day))) => {
                let month = self.say(&format!("month-{month}"));
                self.with(
                    "day-words",
                    &[("day", &day.to_string()), ("month", &month), ("year", year)],
                )
            }
            _ => text.to_owned(),
        }
    }

    /// A moment with its zone.
    pub fn at(&self, moment: Moment) -> String {
        let stamp = moment.date_and_minute();
        let (day, minute) = stamp.split_once(' ').unwrap_or((&stamp, ""));
        format!("{} {minute} UTC", self.day(day))
    }
}

fn read_limit(text: &str) -> Limit<'_> {
    let figure = |text| split_unit(text);
    if let Some((most, unit)) = text.strip_prefix("at most ").and_then(figure) {
        return Limit::Most(most, unit);
    }
    if let Some((least, unit)) = text.strip_prefix("at least ").and_then(figure) {
        return Limit::Least(least, unit);
    }
    if let Some(share) = text.strip_suffix(" of expected") {
        return Limit::Expected(share);
    }
    let between = text.split_once(" to ").filter(|(least, _)| decimal(least).is_some());
    match between.and_then(|(least, rest)| Some((least, split_unit(rest)?))) {
        Some((least, (most, unit))) => Limit::Between(least, most, unit),
        None => Limit::Other,
    }
}

/// A figure and its unit.
fn split_unit(text: &str) -> Option<(&str, &str)> {
    let (figure, unit) = text.split_once(' ').unwrap_or((text, ""));
    decimal(figure).map(|_| (figure, unit))
}

fn figure_of(text: &str) -> &str {
    text.split(' ').next().unwrap_or(text)
}

fn decimal(text: &str) -> Option<Decimal> {
    Decimal::from_str(&text.replace('\u{2212}', "-")).ok()
}

/// One of the ends that a circuit has in words, by the id of its message.
pub fn end(words: &str) -> &'static str {
    match words {
        "vehicle battery" => "end-battery",
        "vehicle wiring" => "end-wiring",
        "solar module" => "end-module",
        "load" => "end-load",
        _ => "end-gear",
    }
}

pub fn fuse_words(form: FuseForm, voice: &Voice) -> String {
    voice.say(match form {
        FuseForm::BladeMini => "fuse-blade-mini",
        FuseForm::Blade => "fuse-blade",
        FuseForm::BladeHigh => "fuse-blade-high",
        FuseForm::Strip30 => "fuse-strip-30",
        FuseForm::Strip51 => "fuse-strip-51",
        FuseForm::SingleBolt => "fuse-single-bolt",
    })
}
