//! Readings and limits as decimals: what was typed is what is compared. No binary float decides.

pub use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// The most digits a typed figure may have; more is a slip of the finger, not a measurement.
pub const TYPED_DIGITS_MAX: usize = 9;

/// Reads a figure as people type it: decimal comma or point, Unicode minus, spaces around or between.
///
/// Keeps the digits as typed (`7.10` stays `7.10`), since the instrument's resolution counts.
/// `None` for anything that is not one plain number of at most [`TYPED_DIGITS_MAX`] digits.
pub fn parse_typed(text: &str) -> Option<Decimal> {
    let plain: String = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| match c {
            ',' => '.',
            '\u{2212}' => '-',
            other => other,
        })
        .collect();
    let digits = plain.strip_prefix(['-', '+']).unwrap_or(&plain);
    let one_point = digits.chars().filter(|c| *c == '.').count() <= 1;
    let count = digits.chars().filter(char::is_ascii_digit).count();
    let only = digits.chars().all(|c| c.is_ascii_digit() || c == '.');
    if !one_point || !only || !(1..=TYPED_DIGITS_MAX).contains(&count) {
        return None;
    }
    let plain = plain.trim_start_matches('+').trim_end_matches('.');
    let plain = if plain.starts_with('.') { format!("0{plain}") } else { plain.to_owned() };
    Decimal::from_str_exact(&plain.replace("-.", "-0.")).ok()
}

/// The figure as the physics takes it.
pub fn physical(figure: Decimal) -> f64 {
    // A decimal of at most 28 digits always has a nearest binary float.
    figure.to_f64().unwrap_or(f64::NAN)
}

/// A calculated upper limit as it is printed and judged: rounded down, so that printing never widens it.
pub fn upper_limit(value: f64, decimals: u32) -> Option<Decimal> {
    round_to(value, decimals, f64::floor)
}

/// A calculated lower limit as it is printed and judged: rounded up.
pub fn lower_limit(value: f64, decimals: u32) -> Option<Decimal> {
    round_to(value, decimals, f64::ceil)
}

fn round_to(value: f64, decimals: u32, round: fn(f64) -> f64) -> Option<Decimal> {
    let scale = 10_f64.powi(i32::try_from(decimals).ok()?);
    // A hair of tolerance, so that 0.36 (held as 0.35999…) does not become 0.35.
    let scaled = value * scale;
    let nearest = scaled.round();
    let whole = if (scaled - nearest).abs() < 1e-6 { nearest } else { round(scaled) };
    if !whole.is_finite() || whole.abs() > 1e15 {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, reason = "a whole number below 1e15")]
    let whole = whole as i64;
    Some(Decimal::new(whole, decimals))
}
