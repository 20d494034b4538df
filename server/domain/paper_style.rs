//! How the papers of a workshop say things: their language, the decimal mark, days, and which other units stand
//! beside the metric ones. What is stored, judged and sealed in the record never follows any of it.

use std::str::FromStr as _;

use rust_decimal::RoundingStrategy;

use super::ids::Moment;
use super::number::Decimal;
use crate::engineering::conductor::{ConductorSize, Family};

/// A language that papers are complete in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Language {
    #[default]
    English,
    German,
}

impl Language {
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// By RFC 5646, as documents and pages name it.
    pub fn word(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    pub fn label(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch (German)",
        }
    }

    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|language| language.word() == word)
    }
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalMark {
    #[default]
    Point,
    Comma,
}

impl DecimalMark {
    pub const ALL: [Self; 2] = [Self::Point, Self::Comma];

    pub fn word(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }

    pub fn label(self) -> &'static str {
        match self {
            Self::Point => "A point: 0.36 V",
            Self::Comma => "A comma: 0,36 V",
        }
    }

    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mark| mark.word() == word)
    }
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DayStyle {
    /// ISO 8601.
    #[default]
    Figures,
    Words,
}

impl DayStyle {
    pub const ALL: [Self; 2] = [Self::Figures, Self::Words];

    pub fn word(self) -> &'static str {
        match self {
            Self::Figures => "figures",
            Self::Words => "words",
        }
    }

    pub fn label(self) -> &'static str {
        match self {
            Self::Figures => "2026-11-25",
            Self::Words => "25 November 2026, in the language of the paper",
        }
    }

    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|style| style.word() == word)
    }
}

/// A unit that may stand beside its metric one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OtherUnit {
    /// Beside mm².
    Awg,
    /// Beside N·m.
    PoundForceInch,
    PoundForceFoot,
    /// Beside °C.
    Fahrenheit,
}

impl OtherUnit {
    pub const ALL: [Self; 4] =
        [Self::Awg, Self::PoundForceInch, Self::PoundForceFoot, Self::Fahrenheit];

    pub fn word(self) -> &'static str {
        match self {
            Self::Awg => "awg",
            Self::PoundForceInch => "lbf_in",
            Self::PoundForceFoot => "lbf_ft",
            Self::Fahrenheit => "fahrenheit",
        }
    }

    pub fn label(self) -> &'static str {
        match self {
            Self::Awg => "AWG beside mm²: the next standard size that is not smaller",
            Self::PoundForceInch => "lbf·in beside N·m",
            Self::PoundForceFoot => "lbf·ft beside N·m",
            Self::Fahrenheit => "°F beside °C",
        }
    }

    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.word() == word)
    }

    /// What is converted: metric symbol, own symbol, factor, and what is added.
    ///
    /// 1 lbf·in = 0.112 984 8 N·m and 1 lbf·ft = 1.355 818 N·m: NIST SP 811 (2008), B.8 (from memory).
    fn conversion(self) -> Option<(&'static str, &'static str, Decimal, Decimal)> {
        let zero = Decimal::ZERO;
        match self {
            Self::Awg => None,
            Self::PoundForceInch => {
                Some(("N·m", "lbf·in", Decimal::from_parts(88_507_458, 0, 0, false, 7), zero))
            }
            Self::PoundForceFoot => {
                Some(("N·m", "lbf·ft", Decimal::from_parts(73_756_215, 0, 0, false, 8), zero))
            }
            Self::Fahrenheit => {
                Some(("°C", "°F", Decimal::from_parts(18, 0, 0, false, 1), Decimal::from(32)))
            }
        }
    }
}

/// What a workshop chose for all of its papers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PaperStyle {
    pub language: Language,
    pub mark: DecimalMark,
    pub days: DayStyle,
    pub units: Vec<OtherUnit>,
}

/// Which side of a limit a figure stands on: a converted limit is rounded inwards, never out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Lower,
    Upper,
    /// No limit: a value.
    Neither,
}

impl PaperStyle {
    /// Some figures with their unit, as they are printed elsewhere, with the decimal mark of this workshop. What
    /// is no plain decimal stays as it is: numbers of standards, versions, addresses, days.
    pub fn figures(&self, text: &str) -> String {
        if self.mark == DecimalMark::Point {
            return text.to_owned();
        }
        text.split_inclusive([' ', '\u{a0}']).map(with_comma).collect()
    }

    /// The same figure in the other units that this workshop asked for, each with its unit; nothing where the
    /// unit has none.
    pub fn others(&self, figure: Decimal, unit: &str, side: Side) -> Vec<String> {
        let of_unit = self.units.iter().filter_map(|other| other.conversion());
        let of_unit = of_unit.filter(|(metric, ..)| *metric == unit);
        of_unit
            .map(|(_, symbol, factor, plus)| {
                let exact = figure * factor + plus;
                // A step of the metric figure stays a step of the other.
                let digits = figure.scale() + u32::from(factor < Decimal::from(5));
                let rounded = exact.round_dp_with_strategy(digits, rounding(side));
                self.figures(&format!("{rounded} {symbol}"))
            })
            .collect()
    }

    /// The next American size that is not smaller than a metric one: `4 AWG`.
    pub fn awg(&self, size: ConductorSize) -> Option<String> {
        let wanted = self.units.contains(&OtherUnit::Awg) && size.family() == Family::Metric;
        let not_smaller = |other: &ConductorSize| other.area().0 >= size.area().0;
        let mut sizes = ConductorSize::all_awg().filter(|_| wanted);
        sizes.find(not_smaller).map(|found| found.label().to_owned())
    }
}

/// A limit inwards, so that no converted limit lets through what the metric one does not.
fn rounding(side: Side) -> RoundingStrategy {
    match side {
        Side::Lower => RoundingStrategy::ToPositiveInfinity,
        Side::Upper => RoundingStrategy::ToNegativeInfinity,
        Side::Neither => RoundingStrategy::MidpointAwayFromZero,
    }
}

/// `0.36,` as `0,36,`; `8820.3.1`, `A1.5` and `10.0.0.1` as they are.
fn with_comma(word: &str) -> String {
    let edge = |c: char| !c.is_alphanumeric() && !matches!(c, '.' | '-' | '\u{2212}' | '+');
    let start = word.find(|c| !edge(c)).unwrap_or(word.len());
    let (before, rest) = word.split_at(start);
    let end = rest.find(|c: char| !(c.is_ascii_digit() || ".-\u{2212}+".contains(c)));
    let (figure, after) = rest.split_at(end.unwrap_or(rest.len()));
    let glued = after.starts_with(|c: char| c.is_alphanumeric() || c == ':' || c == '/');
    let (figure, stop) = match figure.strip_suffix('.') {
        Some(figure) => (figure, "."),
        None => (figure, ""),
    };
    let digits = figure.trim_start_matches(['-', '\u{2212}', '+']);
    let is_decimal = Decimal::from_str(digits).is_ok() && digits.matches('.').count() == 1;
    if !is_decimal || glued || digits.starts_with('.') {
        return word.to_owned();
    }
    format!("{before}{}{stop}{after}", figure.replace('.', ","))
}

/// Year, month and day of a moment or a day in figures (`2026-11-25`, with whatever follows), for words.
pub fn day_parts(text: &str) -> Option<(&str, u8, u8)> {
    let (year, rest) = text.split_once('-')?;
    let (month, day) = rest.split_once('-')?;
    let (month, day): (u8, u8) = (month.parse().ok()?, day.parse().ok()?);
    let sound = year.len() == 4 && (1..=12).contains(&month) && (1..=31).contains(&day);
    sound.then_some((year, month, day))
}

/// A moment as figures, with its zone.
pub fn minute(moment: Moment) -> String {
    format!("{} UTC", moment.date_and_minute())
}
