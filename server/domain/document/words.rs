//! The words that faults are made of.

use toml::de::DeValue;

/// Longer texts are cut when they are quoted in a fault.
const QUOTED_CHARS_MAX: usize = 40;

/// A suggestion for a key or word longer than this would not help.
const SUGGESTED_CHARS_MAX: usize = 40;

/// A text from the document, cut short and without control characters: “abc…”.
pub fn quoted(text: &str) -> String {
    let mut shown: String = text
        .chars()
        .take(QUOTED_CHARS_MAX)
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect();
    if text.chars().nth(QUOTED_CHARS_MAX).is_some() {
        shown.push('…');
    }
    format!("“{shown}”")
}

/// `a, b or c`
pub fn listed(words: &[impl AsRef<str>]) -> String {
    match words {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [before @ .., last] => {
            let before: Vec<&str> = before.iter().map(AsRef::as_ref).collect();
            format!("{} or {}", before.join(", "), last.as_ref())
        }
    }
}

/// A key as it stands in a path: bare, or quoted where it has other characters.
pub(super) fn key_text(key: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    let short = key.chars().count() <= QUOTED_CHARS_MAX;
    if short && !key.is_empty() && key.chars().all(bare) { key.to_owned() } else { quoted(key) }
}

/// What a value is, in words.
pub(super) fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a section",
    }
}

/// The one of `known` that was probably meant, if any is near enough.
pub(super) fn nearest<'k>(typed: &str, known: &'k [String]) -> Option<&'k String> {
    if typed.chars().count() > SUGGESTED_CHARS_MAX {
        return None;
    }
    let near = typed.chars().count().div_ceil(3).min(3);
    let plain = typed.to_lowercase().replace('-', "_");
    let distances = known.iter().map(|word| (distance(&plain, word), word));
    distances.filter(|(steps, _)| *steps <= near).min_by_key(|(steps, _)| *steps).map(|(_, w)| w)
}

/// How many letters must be put in, taken out or changed to make one word of the other.
fn distance(from: &str, to: &str) -> usize {
    let to: Vec<char> = to.chars().collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (at, letter) in from.chars().enumerate() {
        let mut next = vec![at + 1];
        for ((column, other), pair) in to.iter().enumerate().zip(row.windows(2)) {
            let [diagonal, above] = pair else { continue };
            let left = next.get(column).copied().unwrap_or(usize::MAX - 1);
            let change = diagonal + usize::from(letter != *other);
            next.push(change.min(above + 1).min(left + 1));
        }
        row = next;
    }
    row.last().copied().unwrap_or_default()
}
