//! Slips in the grammar, in words for somebody who mends a document by hand.

use std::borrow::Cow;
use std::collections::BTreeSet;

use toml::de::DeTable;

use super::section::{Because, Notes};
use super::words::{key_text, quoted};
use super::{DOCUMENT_BYTES_MAX, FAULTS_MAX, Fault};

/// A path has a handful of parts; the reader must not be sent down thousands of levels.
const DOTS_IN_LINE_MAX: usize = 200;

/// A mended line may bring another slip to light; after so many rounds it is let be.
const MENDING_ROUNDS_MAX: usize = 4;

/// The parser's words for slips behind which it passes over the rest.
const NO_VALUE: &str = "key with no value";
const NO_HEADING_END: [&str; 2] = ["unclosed table", "unclosed array table"];

/// Its words for slips that swallow what stands behind them.
const NO_END: [&str; 3] = ["unclosed array", "unclosed inline", "multi-line"];

/// A fault of the document as a whole.
pub(super) fn whole(wrong: String, instead: String) -> Fault {
    Fault { line: 1, key: String::new(), wrong, instead }
}

/// Why a text is not even tried.
pub(super) fn unreadable(text: &str) -> Option<Fault> {
    let bytes = text.len();
    if bytes > DOCUMENT_BYTES_MAX {
        let instead = format!("Write at most {DOCUMENT_BYTES_MAX} bytes.");
        return Some(whole(format!("The document is {bytes} bytes long."), instead));
    }
    let comment = |line: &str| line.trim_start().starts_with('#');
    let dots = |line: &str| line.matches('.').count();
    let mut lines = text.split('\n').enumerate();
    let (at, line) = lines.find(|(_, line)| !comment(line) && dots(line) > DOTS_IN_LINE_MAX)?;
    Some(Fault {
        line: at + 1,
        key: String::new(),
        wrong: format!("There are {} dots in this line.", dots(line)),
        instead: format!("Write at most {DOTS_IN_LINE_MAX}."),
    })
}

/// The text with every slip mended that would make the parser pass over what stands behind it, and
/// the slips of all rounds. No line is put in or taken out, so that lines still count.
pub(super) fn mended<'t>(text: &'t str, notes: &Notes) -> (Cow<'t, str>, Vec<(Because, Fault)>) {
    let mut mended = Cow::Borrowed(text);
    let mut slips: Vec<(Because, Fault)> = Vec::new();
    for _ in 0..MENDING_ROUNDS_MAX {
        let (_, errors) = DeTable::parse_recoverable(&mended);
        let notes = if matches!(mended, Cow::Borrowed(_)) { notes } else { &Notes::new(&mended) };
        let lines: Vec<&str> = mended.split('\n').collect();
        let old: BTreeSet<usize> = slips.iter().map(|(_, slip)| slip.line).collect();
        let places = errors.iter().map(|error| (notes.line(start(error)), error));
        let new = places.filter(|(line, _)| !old.contains(line));
        // One more than can be listed is enough to tell that there are more.
        slips.extend(new.take(FAULTS_MAX + 1).map(|(line, error)| slip(&lines, line, error)));
        let Some(better) = mend(&mended, &errors, notes) else { break };
        mended = Cow::Owned(better);
    }
    (mended, slips)
}

/// Lines that break off the reading: a heading without end gets one, a key without value goes.
fn mend(text: &str, errors: &[toml::de::Error], notes: &Notes) -> Option<String> {
    let lines_with = |parts: &[&str]| -> BTreeSet<usize> {
        let says = |error: &&toml::de::Error| parts.iter().any(|p| error.message().contains(p));
        let such = errors.iter().filter(says);
        such.map(|error| notes.line(start(error))).collect()
    };
    let (headings, keys) = (lines_with(&NO_HEADING_END), lines_with(&[NO_VALUE]));
    if headings.is_empty() && keys.is_empty() {
        return None;
    }
    let lines = text.split('\n').enumerate().map(|(at, line)| {
        if keys.contains(&(at + 1)) {
            Cow::Borrowed("")
        } else if headings.contains(&(at + 1)) {
            Cow::Owned(closed(line))
        } else {
            Cow::Borrowed(line)
        }
    });
    Some(lines.collect::<Vec<_>>().join("\n"))
}

fn closed(line: &str) -> String {
    let path = heading_of(line).unwrap_or("unnamed");
    if line.trim_start().starts_with("[[") { format!("[[{path}]]") } else { format!("[{path}]") }
}

fn start(error: &toml::de::Error) -> usize {
    error.span().map_or(0, |span| span.start)
}

/// One of the parser's errors as a fault.
fn slip(lines: &[&str], line: usize, error: &toml::de::Error) -> (Because, Fault) {
    let before = lines.get(..line).unwrap_or_default();
    let text = before.last().copied().unwrap_or_default();
    let (wrong, instead) = in_words(error.message(), text);
    let open = NO_END.iter().any(|part| error.message().contains(part));
    let because = if open { Because::Open } else { Because::Grammar };
    (because, Fault { line, key: key_on(before), wrong, instead })
}

fn in_words(message: &str, line: &str) -> (String, String) {
    let found = |part: &str| message.contains(part);
    if let Some(figure) = decimal_comma(line).filter(|_| found("unexpected key or value")) {
        return (
            format!("{} has a comma in it.", quoted(figure)),
            format!("Write a decimal point: {}.", figure.replace(',', ".")),
        );
    }
    let (wrong, instead) = if found("duplicate key") {
        ("This stands twice.", "Leave one of the two out.")
    } else if found("must be quoted") {
        ("This is neither a number nor true or false.", "Write text in quotes: \"…\".")
    } else if found(NO_VALUE) {
        ("There is no value here.", "Write key = value.")
    } else if found(NO_HEADING_END[0]) || found(NO_HEADING_END[1]) {
        ("The heading has no end.", "Write [name], or [[name]] for one of a list.")
    } else if found("unexpected key or value") {
        ("Something stands behind the value.", "Write one key = value in a line.")
    } else if found("string") {
        ("The text has no end or a wrong sign in it.", "Write it in one line, in quotes: \"…\".")
    } else {
        return (
            format!("The line breaks the grammar of TOML ({message})."),
            "Write key = value, with text in quotes and numbers without.".to_owned(),
        );
    };
    (wrong.to_owned(), instead.to_owned())
}

/// A figure with a decimal comma after the equals sign.
fn decimal_comma(line: &str) -> Option<&str> {
    let (_, value) = line.split_once('=')?;
    let figure = value.split('#').next()?.trim();
    let (before, after) = figure.split_once(',')?;
    let digits = |part: &str| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit());
    (digits(before.trim_start_matches(['-', '+'])) && digits(after)).then_some(figure)
}

/// The path of the key that the last line sets, as far as it can be told without the grammar.
fn key_on(lines: &[&str]) -> String {
    let Some(line) = lines.last().map(|line| line.trim()) else { return String::new() };
    let heading = lines.iter().rev().find_map(|line| heading_of(line));
    if line.starts_with('[') {
        return heading.unwrap_or_default().to_owned();
    }
    let name = line.split(|c: char| "=: \t,".contains(c)).next().unwrap_or_default();
    match heading {
        _ if name.is_empty() => String::new(),
        Some(heading) => format!("{heading}.{}", key_text(name)),
        None => key_text(name),
    }
}

/// The path in a line such as `[circuits.supply]` or `[[terminals]]`.
fn heading_of(line: &str) -> Option<&str> {
    let inside = line.trim().strip_prefix('[')?;
    let inside = inside.strip_prefix('[').unwrap_or(inside);
    let path = inside.split([']', '#']).next()?.trim();
    (!path.is_empty()).then_some(path)
}
