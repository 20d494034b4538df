//! Readings and limits as decimals: what was typed is what is compared. No binary float decides.

pub use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// The most significant digits a typed figure may have; more is a slip of the finger.
pub const TYPED_DIGITS_MAX: usize = 9;
/// The most decimals a typed figure may have.
pub const TYPED_DECIMALS_MAX: usize = 9;

/// Reads a figure as people type it: decimal comma or point, Unicode minus, spaces around it or
/// between thousands.
///
/// Keeps the digits as typed (`7.10` stays `7.10`), since the instrument's resolution counts.
/// `None` for anything that is not one plain number of at most [`TYPED_DIGITS_MAX`] significant
/// digits. `static/judge.js` reads by the same rule.
pub fn parse_typed(text: &str) -> Option<Decimal> {
    let plain = text.trim().replace('\u{2212}', "-").replace(',', ".");
    let (sign, rest) = match plain.strip_prefix(['-', '+']) {
        Some(rest) => (if plain.starts_with('-') { "-" } else { "" }, rest.trim_start()),
        None => ("", plain.as_str()),
    };
    let digits = without_groups(rest)?;
    let (whole, decimals) = digits.split_once('.').unwrap_or((&digits, ""));
    let only_digits = |part: &str| part.chars().all(|c| c.is_ascii_digit());
    let significant = whole.trim_start_matches('0').len() + decimals.len();
    let leading = if whole.trim_start_matches('0').is_empty() {
        decimals.len() - decimals.trim_start_matches('0').len()
    } else {
        0
    };
    let sound = only_digits(whole)
        && only_digits(decimals)
        && !(whole.is_empty() && decimals.is_empty())
        && significant - leading <= TYPED_DIGITS_MAX
        && decimals.len() <= TYPED_DECIMALS_MAX;
    let whole = if whole.is_empty() { "0" } else { whole };
    let point = if decimals.is_empty() { "" } else { "." };
    sound.then(|| Decimal::from_str_exact(&format!("{sign}{whole}{point}{decimals}")).ok())?
}

/// `1 234.5` as `1234.5`; `None` where spaces stand elsewhere than between thousands.
fn without_groups(text: &str) -> Option<String> {
    let groups: Vec<&str> = text.split_whitespace().collect();
    let (first, rest) = groups.split_first()?;
    let (last, between) = rest.split_last().unwrap_or((first, &[]));
    let last_whole = last.split_once('.').map_or(*last, |(whole, _)| whole);
    let sound = rest.is_empty()
        || ((1..=3).contains(&first.len())
            && !first.contains('.')
            && between.iter().all(|group| group.len() == 3 && !group.contains('.'))
            && last_whole.len() == 3);
    sound.then(|| groups.concat())
}

/// Text as people read it: the hyphen that starts a number becomes a minus sign (U+2212).
///
/// Hyphens within words, dates, codes and ranges stay. For what is printed only: files, JSON and
/// form fields keep the hyphen.
pub fn with_minus(text: &str) -> String {
    let starts = |before: Option<char>| {
        before.is_none_or(|c| c.is_whitespace() || matches!(c, '(' | '=' | '\u{b7}' | '\u{2264}'))
    };
    let mut printed = String::with_capacity(text.len());
    let mut before = None;
    let mut rest = text.chars().peekable();
    while let Some(character) = rest.next() {
        let is_sign =
            character == '-' && starts(before) && rest.peek().is_some_and(char::is_ascii_digit);
        printed.push(if is_sign { '\u{2212}' } else { character });
        before = Some(character);
    }
    printed
}

/// The figure as the physics takes it.
pub fn physical(figure: Decimal) -> f64 {
    // A decimal of at most 28 digits always has a nearest binary float.
    figure.to_f64().unwrap_or(f64::NAN)
}

/// A calculated upper limit as it is printed and judged: rounded down, so that printing never widens it.
pub fn upper_limit(value: f64, decimals: u32) -> Option<Decimal> {
    let scale = 10_f64.powi(i32::try_from(decimals).ok()?);
    // A hair of tolerance, so that 0.36 (held as 0.35999…) does not become 0.35.
    let scaled = value * scale;
    let nearest = scaled.round();
    let whole = if (scaled - nearest).abs() < 1e-6 { nearest } else { scaled.floor() };
    if !whole.is_finite() || whole.abs() > 1e15 {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, reason = "a whole number below 1e15")]
    let whole = whole as i64;
    Some(Decimal::new(whole, decimals))
}
