//! Text that people typed, made safe to set in type: whatever no bundled font can show becomes a
//! visible box, and what would reorder or hide text is taken out. Archival PDFs refuse missing
//! glyphs, and a certificate must never fail because of an emoji in a note.

use serde_json::Value;
use unicode_properties::{GeneralCategoryGroup, UnicodeGeneralCategory as _};
use unicode_script::UnicodeScript as _;

use super::fonts::FONTS;
use crate::domain::number::with_minus;

/// Stands for a character that cannot be printed.
pub const PLACEHOLDER: char = '\u{25A1}';
/// A longer run without a space gets places where a line may break.
const WORD_CHARS_MAX: usize = 36;
const BREAK_EVERY_CHARS: usize = 18;
const LINE_MAY_BREAK: char = '\u{200B}';
const NO_BREAK_SPACE: char = '\u{A0}';
/// What follows a figure and belongs on its line.
const UNITS: [&str; 27] = [
    "%", "°C", "A", "Ah", "K", "MPa", "MΩ", "N", "N·m", "V", "W", "Wh", "days", "g", "h", "kN",
    "kW", "kg", "km", "m", "mA", "mm", "mm²", "ms", "mΩ", "s", "Ω",
];

/// The text with every character printable; lines stay lines.
pub fn printable(text: &str) -> String {
    let mut printed = String::with_capacity(text.len());
    let mut cluster = vec![' '];
    let line_ends = text.replace("\r\n", "\n");
    for character in line_ends.chars().filter_map(plain) {
        if is_combining(character) {
            cluster.push(character);
        } else {
            cluster = vec![character];
        }
        let is_set = is_of_one_script(&cluster) && FONTS.can_set_together(&cluster);
        if character == '\n' || is_set {
            printed.push(character);
        } else {
            printed.push(PLACEHOLDER);
            cluster = vec![PLACEHOLDER];
        }
    }
    printed
}

/// Every string of a paper as it is printed.
pub(super) fn make_printable(value: &mut Value) {
    match value {
        Value::String(text) => *text = breakable(&with_units(&with_minus(&printable(text)))),
        Value::Array(values) => values.iter_mut().for_each(make_printable),
        Value::Object(fields) => fields.values_mut().for_each(make_printable),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// Lets very long words break, so that they cannot run out of their column.
fn breakable(text: &str) -> String {
    let mut broken = String::with_capacity(text.len());
    for word in text.split_inclusive(char::is_whitespace) {
        if word.chars().count() <= WORD_CHARS_MAX {
            broken.push_str(word);
            continue;
        }
        for (place, character) in word.chars().enumerate() {
            let due = place > 0 && place % BREAK_EVERY_CHARS == 0;
            if due && !is_combining(character) {
                broken.push(LINE_MAY_BREAK);
            }
            broken.push(character);
        }
    }
    broken
}

/// A figure and its unit on one line: the space between them does not break.
fn with_units(text: &str) -> String {
    let mut joined = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((figure, after)) = rest.split_once(' ') {
        let belongs = figure.ends_with(|c: char| c.is_ascii_digit()) && starts_with_unit(after);
        joined.push_str(figure);
        joined.push(if belongs { NO_BREAK_SPACE } else { ' ' });
        rest = after;
    }
    joined.push_str(rest);
    joined
}

fn starts_with_unit(text: &str) -> bool {
    let ends = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | ':' | '.' | ')' | '/');
    text.split(ends).next().is_some_and(|word| UNITS.contains(&word))
}

/// One character in its plain form, or nothing for what is invisible or changes the order of the
/// visible text.
fn plain(character: char) -> Option<char> {
    match character {
        '\n' | '\r' | '\u{0B}' | '\u{0C}' | '\u{85}' | '\u{2028}' | '\u{2029}' => Some('\n'),
        '\t' => Some(' '),
        _ if character.is_control() || is_invisible(character) => None,
        _ => Some(character),
    }
}

/// Format characters: bidirectional controls, joiners, variation selectors, tags and their like.
fn is_invisible(character: char) -> bool {
    matches!(character,
        '\u{AD}' | '\u{34F}' | '\u{61C}' | '\u{115F}'..='\u{1160}' | '\u{17B4}'..='\u{17B5}'
        | '\u{180B}'..='\u{180F}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}'
        | '\u{2060}'..='\u{206F}' | '\u{3164}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}'
        | '\u{FFA0}' | '\u{FFF0}'..='\u{FFFB}' | '\u{1BCA0}'..='\u{1BCA3}'
        | '\u{1D173}'..='\u{1D17A}' | '\u{E0000}'..='\u{E0FFF}')
}

/// Marks that stand on, under or around a letter before them.
fn is_combining(character: char) -> bool {
    character.general_category_group() == GeneralCategoryGroup::Mark
}

/// The engine splits text by script before it sets it, and a mark alone may be in no font. Accents of
/// the Latin, Greek and Cyrillic blocks may stand on anything, marks of other scripts on a letter of
/// their own.
fn is_of_one_script(cluster: &[char]) -> bool {
    let [base, marks @ ..] = cluster else { return true };
    marks.iter().all(|mark| is_accent(*mark) || is_mark_of(*mark, *base))
}

fn is_accent(mark: char) -> bool {
    matches!(mark, '\u{300}'..='\u{36F}' | '\u{483}'..='\u{489}')
}

fn is_mark_of(mark: char, base: char) -> bool {
    base.general_category_group() == GeneralCategoryGroup::Letter
        && mark.script_extension().contains_script(base.script())
}
