//! What the papers of a re-inspection say that others do not.

use crate::acts::job::JobFile;
use crate::documents::comparison::{AgainPaper, ComparisonLine};
use crate::documents::voice::Voice;
use crate::domain::number::Decimal;
use crate::domain::reinspection::{
    BY_TEMPERATURE, Change, Comparison, Course, NEW_STEP, NO_UNCERTAINTY, OTHER_LIMIT, OTHER_UNIT,
    Outcome, Value,
};

/// Ids of what is said, by what kind of job it is.
pub(super) fn title(file: &JobFile) -> &'static str {
    match file.row.again {
        Some(_) => "title-reinspection",
        None => "title-installation",
    }
}

pub(super) fn nature(file: &JobFile) -> &'static str {
    match file.row.again {
        Some(_) => "nature-again",
        None => "nature-new",
    }
}

pub(super) fn extent(file: &JobFile) -> &'static str {
    match file.row.again {
        Some(_) => "extent-again",
        None => "extent-new",
    }
}

pub(in crate::acts) fn paper(file: &JobFile) -> Option<AgainPaper> {
    let (words, voice) = (file.again_words()?, file.voice());
    Some(AgainPaper {
        words,
        lines: file.comparisons().iter().map(|of| line(of, &voice)).collect(),
    })
}

fn line(compared: &Comparison, voice: &Voice) -> ComparisonLine {
    let words = |value: &Option<Value>| {
        value.as_ref().map_or_else(|| "–".to_owned(), |value| voice.value(&value.words))
    };
    let day = |value: &Value| voice.day(&value.on);
    ComparisonLine {
        number: compared.number.to_string(),
        title: compared.title.clone(),
        first: words(&compared.first),
        first_on: compared.first.as_ref().map(day).unwrap_or_default(),
        last: compared.last.as_ref().map(|last| dated(last, voice)),
        now: words(&compared.now),
        limit: voice.limit(&compared.limit),
        word: voice.say(word(&compared.since_first)),
        sentence: detail(compared, voice),
    }
}

fn dated(value: &Value, voice: &Voice) -> String {
    let words = voice.value(&value.words);
    if value.on.is_empty() {
        return words;
    }
    voice.with("value-on-day", &[("value", &words), ("day", &voice.day(&value.on))])
}

/// One or two words for a narrow column.
fn word(outcome: &Outcome) -> &'static str {
    match outcome {
        Outcome::Due => "change-due",
        Outcome::SameAsBefore => "change-same",
        Outcome::OtherThanBefore => "change-other",
        Outcome::NotComparable(_) => "change-not-comparable",
        Outcome::Changed(change) => {
            let rises = change.difference > Decimal::ZERO;
            match change.course {
                Course::NotShown => "change-not-shown",
                Course::Better => "change-improved",
                Course::Worse if rises => "change-grown",
                Course::Worse | Course::Moved if !rises => "change-fallen",
                Course::Worse | Course::Moved => "change-risen",
            }
        }
    }
}

/// The figures behind the word: since the first, since the last one, and what was found and put right.
fn detail(compared: &Comparison, voice: &Voice) -> String {
    let first = outcome(&compared.since_first, voice);
    let last = compared.since_last.as_ref().and_then(|last| outcome(last, voice));
    let last = last.map(|words| voice.with("since-last", &[("words", &words)]));
    let found = compared.found.as_ref();
    let found = found.map(|found| voice.with("found-at", &[("value", &voice.value(&found.words))]));
    [first, last, found].into_iter().flatten().collect::<Vec<_>>().join(" ")
}

fn outcome(outcome: &Outcome, voice: &Voice) -> Option<String> {
    match outcome {
        Outcome::Due | Outcome::SameAsBefore => None,
        Outcome::OtherThanBefore => Some(voice.say("find-out-why")),
        Outcome::NotComparable(why) => Some(voice.say(not_comparable(why))),
        Outcome::Changed(change) => Some(changed(change, voice)),
    }
}

fn not_comparable(why: &str) -> &'static str {
    match why {
        NEW_STEP => "not-comparable-new",
        OTHER_UNIT => "not-comparable-unit",
        OTHER_LIMIT => "not-comparable-limit",
        BY_TEMPERATURE => "not-comparable-temperature",
        NO_UNCERTAINTY => "not-comparable-uncertainty",
        _ => "not-comparable-kind",
    }
}

fn changed(change: &Change, voice: &Voice) -> String {
    let by = by(change, voice);
    match (change.course, change.used_percent) {
        (Course::NotShown, _) => {
            let open = format!("±{} {}", change.uncertainty_shown(), change.unit);
            voice.with("change-within", &[("by", &by), ("open", &voice.figures(&open))])
        }
        (_, Some(used)) => {
            voice.with("change-used", &[("by", &by), ("used", &voice.figures(&used.to_string()))])
        }
        _ => format!("{by}."),
    }
}

/// `0.21 mΩ more (14.8 %)`
fn by(change: &Change, voice: &Voice) -> String {
    if change.difference.is_zero() {
        return voice.say("change-none");
    }
    let id = if change.difference > Decimal::ZERO { "change-more" } else { "change-less" };
    let figure = voice.figures(&format!("{} {}", change.difference.abs(), change.unit));
    let words = voice.with(id, &[("figure", &figure)]);
    match change.percent {
        Some(percent) => format!("{words} ({} %)", voice.figures(&percent.abs().to_string())),
        None => words,
    }
}
