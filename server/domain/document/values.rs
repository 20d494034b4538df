//! The values of a section, each with what it must be.

use std::ops::RangeInclusive;

use toml::de::DeValue;

use super::Section;
use super::words::{kind_of, listed, quoted};
use crate::domain::number::{Decimal, TYPED_DIGITS_MAX, parse_typed};

/// What a page reference may be long.
const PAGE_CHARS_MAX: usize = 40;

impl Section<'_> {
    /// One line of text of so many characters, without the space around it.
    pub fn text(&self, key: &str, chars: RangeInclusive<usize>) -> Option<String> {
        self.expect(key, &text_of(&chars));
        self.maybe_text(key, chars)
    }

    pub fn maybe_text(&self, key: &str, chars: RangeInclusive<usize>) -> Option<String> {
        self.convert(key, &text_of(&chars), |value| {
            let text = text_in(value)?.trim();
            if let Some(control) = text.chars().find(|c| c.is_control()) {
                return Err(format!("The text has the control character {control:?} in it."));
            }
            let count = text.chars().count();
            if chars.contains(&count) {
                Ok(text.to_owned())
            } else {
                Err(format!("The text has {count} characters."))
            }
        })
    }

    /// An exact decimal in a range, given as it is printed: `0.05 to 30`.
    pub fn decimal(&self, key: &str, range: &str) -> Option<Decimal> {
        self.expect(key, &format!("a number from {range}"));
        self.maybe_decimal(key, range)
    }

    pub fn maybe_decimal(&self, key: &str, range: &str) -> Option<Decimal> {
        self.convert(key, &format!("a number from {range}"), |value| {
            let figure = figure_in(value)?;
            let (least, most) = ends(range).ok_or_else(|| format!("{range:?} is no range."))?;
            if figure < least {
                Err(format!("{figure} is less than {least}."))
            } else if figure > most {
                Err(format!("{figure} is more than {most}."))
            } else {
                Ok(figure)
            }
        })
    }

    /// A whole number in a range.
    pub fn whole(&self, key: &str, range: RangeInclusive<u32>) -> Option<u32> {
        let expects = format!("a whole number from {} to {}", range.start(), range.end());
        self.expect(key, &expects);
        self.convert(key, &expects, |value| {
            let figure = figure_in(value)?;
            u32::try_from(figure)
                .ok()
                .filter(|whole| figure.fract().is_zero() && range.contains(whole))
                .ok_or_else(|| format!("{figure} is not such a number."))
        })
    }

    /// `true` or `false`.
    pub fn flag(&self, key: &str) -> Option<bool> {
        self.expect(key, "true or false");
        self.convert(key, "true or false", |value| match value {
            DeValue::Boolean(flag) => Ok(*flag),
            DeValue::String(text) => Err(format!("{} is not true or false.", quoted(text))),
            other => Err(format!("This is {}.", kind_of(other))),
        })
    }

    /// One word of a list, and what it stands for.
    pub fn choice<T: Copy>(&self, key: &str, choices: &[(&str, T)]) -> Option<T> {
        self.expect(key, &one_of(choices));
        self.maybe_choice(key, choices)
    }

    pub fn maybe_choice<T: Copy>(&self, key: &str, choices: &[(&str, T)]) -> Option<T> {
        self.convert(key, &one_of(choices), |value| {
            let text = text_in(value)?;
            let chosen = choices.iter().find(|(word, _)| *word == text);
            chosen
                .map(|(_, meaning)| *meaning)
                .ok_or_else(|| format!("{} is not one of the choices.", quoted(text)))
        })
    }

    /// A text with a meaning of its own; `expects` says what is wanted: `a size such as "16 mm2"`.
    pub fn parsed<T>(
        &self,
        key: &str,
        expects: &str,
        parse: impl FnOnce(&str) -> Option<T>,
    ) -> Option<T> {
        self.expect(key, expects);
        self.maybe_parsed(key, expects, parse)
    }

    pub fn maybe_parsed<T>(
        &self,
        key: &str,
        expects: &str,
        parse: impl FnOnce(&str) -> Option<T>,
    ) -> Option<T> {
        self.convert(key, expects, |value| {
            let text = text_in(value)?;
            parse(text).ok_or_else(|| format!("{} does not fit here.", quoted(text)))
        })
    }

    /// Where a figure was read: `page = 12` becomes `page 12`, a text stays as written.
    pub fn page(&self) -> Option<String> {
        let expects = "the page the figures were read from, as a number or a text in quotes";
        self.expect("page", expects);
        self.convert("page", expects, |value| match value {
            DeValue::String(text)
                if (1..=PAGE_CHARS_MAX).contains(&text.trim().chars().count()) =>
            {
                Ok(text.trim().chars().filter(|c| !c.is_control()).collect())
            }
            DeValue::String(text) => Err(format!("{} is no page reference.", quoted(text))),
            number => {
                let page = figure_in(number)?;
                let plain = page.fract().is_zero() && page > Decimal::ZERO;
                if plain { Ok(format!("page {page}")) } else { Err(format!("{page} is no page.")) }
            }
        })
    }

    /// Notes that the key is missing, if it is.
    fn expect(&self, key: &str, expects: &str) {
        if !self.has(key) {
            self.missing(key, format!("Write {key} = … here: {expects}."));
        }
    }

    fn convert<T>(
        &self,
        key: &str,
        expects: &str,
        convert: impl FnOnce(&DeValue<'_>) -> Result<T, String>,
    ) -> Option<T> {
        match convert(self.look(key)?.value) {
            Ok(value) => Some(value),
            Err(wrong) => {
                self.fault(key, wrong, format!("Write {expects}."));
                None
            }
        }
    }
}

fn text_in<'v>(value: &'v DeValue<'_>) -> Result<&'v str, String> {
    value.as_str().ok_or_else(|| format!("This is {}, not text in quotes.", kind_of(value)))
}

/// The figure as it is written, never by way of a binary float.
fn figure_in(value: &DeValue<'_>) -> Result<Decimal, String> {
    let written = match value {
        DeValue::Integer(whole) if whole.radix() == 10 => whole.as_str(),
        DeValue::Integer(whole) => return Err(format!("{whole} is not a decimal number.")),
        DeValue::Float(float) => float.as_str(),
        DeValue::String(text) => return Err(number_in_quotes(text)),
        other => return Err(format!("This is {}, not a number.", kind_of(other))),
    };
    let plain = parse_typed(written);
    plain.ok_or_else(|| {
        format!("{} is not a plain number of at most {TYPED_DIGITS_MAX} digits.", quoted(written))
    })
}

fn number_in_quotes(text: &str) -> String {
    match parse_typed(text) {
        Some(_) => format!("{} is in quotes, so it is text.", quoted(text)),
        None => format!("{} is not a number.", quoted(text)),
    }
}

fn ends(range: &str) -> Option<(Decimal, Decimal)> {
    let (least, most) = range.split_once(" to ")?;
    parse_typed(least).zip(parse_typed(most))
}

fn text_of(chars: &RangeInclusive<usize>) -> String {
    format!("a text in quotes, of {} to {} characters", chars.start(), chars.end())
}

fn one_of<T>(choices: &[(&str, T)]) -> String {
    let words: Vec<String> = choices.iter().map(|(word, _)| format!("\"{word}\"")).collect();
    format!("one of {}", listed(&words))
}
