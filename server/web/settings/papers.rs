//! What papers say of the workshop and how they say it: the fields of the settings, and how a paper's head looks.

use super::{Choice, Field, Filled, LINE_CHARS_MAX};
use crate::domain::paper_style::{DayStyle, DecimalMark, Language, OtherUnit, PaperStyle};
use crate::storage::workshops::{Papers, Workshop};

/// Lines under "who to call", and what one must have to be of use to somebody at the roadside.
const CALL_LINES_MAX: usize = 4;
const CALL_DIGITS_LEAST: usize = 5;
const CALL_CHARS_MAX: usize = 300;

/// The fields, ready to print.
pub(super) struct PaperFields {
    pub(super) registration: Field,
    pub(super) call: Field,
    pub(super) language: Field,
    pub(super) languages: Vec<Choice>,
    pub(super) mark: Field,
    pub(super) marks: Vec<Choice>,
    pub(super) days: Field,
    pub(super) day_styles: Vec<Choice>,
    pub(super) units: Vec<Tick>,
}

pub(super) struct Tick {
    pub(super) word: &'static str,
    pub(super) label: &'static str,
    /// The attribute, where it is ticked.
    pub(super) checked: Option<&'static str>,
}

impl PaperFields {
    pub(super) fn of(filled: &mut Filled) -> Self {
        let ticked: Vec<String> = filled.every("unit").map(str::to_owned).collect();
        let tick = |unit: OtherUnit| Tick {
            word: unit.word(),
            label: unit.label(),
            checked: ticked.iter().any(|word| word == unit.word()).then_some("checked"),
        };
        Self {
            registration: filled
                .field("registration", "Registration or licence number")
                .hint("Printed under the address, as you write it here.")
                .optional(),
            call: filled
                .field("call", "Who to call")
                .hint("Up to four lines, the telephone first. Empty: telephone and e-mail from above.")
                .optional(),
            languages: filled.choices("language", Language::ALL.map(|l| (l.word(), l.label()))),
            language: filled
                .field("language", "Language of papers")
                .hint("Each job may have another: on its page of links."),
            marks: filled.choices("mark", DecimalMark::ALL.map(|m| (m.word(), m.label()))),
            mark: filled.field("mark", "Decimal mark"),
            day_styles: filled.choices("days", DayStyle::ALL.map(|d| (d.word(), d.label()))),
            days: filled.field("days", "Days"),
            units: OtherUnit::ALL.map(tick).into(),
        }
    }
}

/// What the form opens with.
pub(super) fn pairs(papers: &Papers) -> Vec<(&'static str, String)> {
    let style = &papers.style;
    let units = style.units.iter().map(|unit| ("unit", unit.word().to_owned()));
    let mut pairs = vec![
        ("registration", papers.registration.clone()),
        ("call", papers.call.clone()),
        ("language", style.language.word().to_owned()),
        ("mark", style.mark.word().to_owned()),
        ("days", style.days.word().to_owned()),
    ];
    pairs.extend(units);
    pairs
}

/// What was typed; faults are noted in the form.
pub(super) fn checked(filled: &mut Filled) -> Papers {
    let registration = filled.maybe_line("registration", LINE_CHARS_MAX);
    let call = filled.maybe_lines("call", CALL_CHARS_MAX);
    check_call(&call, filled);
    let language = Language::find(filled.text("language"));
    let mark = DecimalMark::find(filled.text("mark"));
    let days = DayStyle::find(filled.text("days"));
    let found = [language.is_some(), mark.is_some(), days.is_some()];
    for (name, known) in ["language", "mark", "days"].into_iter().zip(found) {
        if !known {
            filled.fault(name, "Choose one of the list.");
        }
    }
    let units =
        OtherUnit::ALL.into_iter().filter(|unit| filled.every("unit").any(|w| w == unit.word()));
    let style = PaperStyle {
        language: language.unwrap_or_default(),
        mark: mark.unwrap_or_default(),
        days: days.unwrap_or_default(),
        units: units.collect(),
    };
    Papers { registration, call, style }
}

fn check_call(call: &str, filled: &mut Filled) {
    let lines: Vec<&str> = call.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    if lines.len() > CALL_LINES_MAX {
        filled.fault("call", format!("Write at most {CALL_LINES_MAX} lines."));
    }
    let reaches = |line: &&str| {
        line.contains('@') || line.chars().filter(char::is_ascii_digit).count() >= CALL_DIGITS_LEAST
    };
    if !lines.iter().all(reaches) {
        filled.fault("call", "Write a telephone number or an e-mail address on each line.");
    }
}

/// How the head of a paper looks, as it is saved.
pub(super) struct Head {
    pub(super) name: String,
    pub(super) lines: Vec<(&'static str, String)>,
    pub(super) logo: bool,
}

impl Head {
    pub(super) fn of(workshop: &Workshop, logo: bool) -> Self {
        let lines = vec![
            ("address", workshop.address.clone()),
            ("phone", workshop.phone.clone()),
            ("email", workshop.email.clone()),
            ("registration", workshop.papers.registration.clone()),
        ];
        Self { name: workshop.name.clone(), lines, logo }
    }
}
