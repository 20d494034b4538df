//! The limits that a workshop may choose, within a band that is named: stricter than usual always, looser only so far
//! and with a reason that every sheet carries. They hold for sheets made from then on; a sheet is kept as it was made.

use super::finding::Basis;
use super::limits;
use super::number::Decimal;

/// One of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choosable {
    Insulation,
    PathMargin,
    TerminalRise,
    StringTolerance,
}

/// The ends of a band: the usual figure lies between.
struct Band {
    strictest: i64,
    usual: Decimal,
    /// In tenths.
    loosest: i64,
}

impl Choosable {
    pub const ALL: [Self; 4] =
        [Self::Insulation, Self::PathMargin, Self::TerminalRise, Self::StringTolerance];

    /// As forms name it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Insulation => "insulation",
            Self::PathMargin => "path_margin",
            Self::TerminalRise => "terminal_rise",
            Self::StringTolerance => "string_tolerance",
        }
    }

    pub fn title(self) -> &'static str {
        match self {
            Self::Insulation => "Least insulation resistance",
            Self::PathMargin => "Resistance of a path, more than planned",
            Self::TerminalRise => "Rise of a terminal over the air",
            Self::StringTolerance => "Open solar string, off its expected voltage",
        }
    }

    pub fn unit(self) -> &'static str {
        match self {
            Self::Insulation => "MΩ",
            Self::PathMargin | Self::StringTolerance => "%",
            Self::TerminalRise => "K",
        }
    }

    pub fn source(self) -> Basis {
        match self {
            Self::Insulation => limits::insulation_basis(),
            Self::StringTolerance => limits::string_basis(),
            Self::PathMargin => Basis::practice("Joints and lugs scatter by about this"),
            Self::TerminalRise => Basis::practice("After ten minutes at load"),
        }
    }

    fn band(self) -> Band {
        match self {
            Self::Insulation => {
                Band { strictest: 1000, usual: limits::INSULATION_LEAST_MEGOHM, loosest: 1 }
            }
            Self::PathMargin => {
                Band { strictest: 5, usual: limits::PATH_MARGIN_PERCENT, loosest: 250 }
            }
            Self::TerminalRise => {
                Band { strictest: 10, usual: limits::TERMINAL_RISE_MOST_K, loosest: 450 }
            }
            Self::StringTolerance => {
                Band { strictest: 2, usual: limits::STRING_TOLERANCE_PERCENT, loosest: 100 }
            }
        }
    }

    pub fn usual(self) -> Decimal {
        self.band().usual
    }

    /// Least and most that may be chosen.
    pub fn range(self) -> (Decimal, Decimal) {
        let band = self.band();
        let (strictest, loosest) = (Decimal::from(band.strictest), Decimal::new(band.loosest, 1));
        (strictest.min(loosest).normalize(), strictest.max(loosest).normalize())
    }

    /// Lets through what the usual figure does not.
    pub fn is_looser(self, figure: Decimal) -> bool {
        match self {
            Self::Insulation => figure < self.usual(),
            _ => figure > self.usual(),
        }
    }
}

/// Whose choice it was, when, and why it is looser where it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chosen {
    /// `YYYY-MM-DD`
    pub day: String,
    pub by: String,
    pub reason: String,
}

/// What the workshop has chosen, as far as it makes limits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkshopLimits {
    pub insulation_least_megohm: Decimal,
    pub path_margin_percent: Decimal,
    pub terminal_rise_most_k: Decimal,
    pub string_tolerance_percent: Decimal,
    /// Nothing where nobody chose: then they are the usual ones.
    pub chosen: Option<Chosen>,
}

impl Default for WorkshopLimits {
    fn default() -> Self {
        Self {
            insulation_least_megohm: limits::INSULATION_LEAST_MEGOHM,
            path_margin_percent: limits::PATH_MARGIN_PERCENT,
            terminal_rise_most_k: limits::TERMINAL_RISE_MOST_K,
            string_tolerance_percent: limits::STRING_TOLERANCE_PERCENT,
            chosen: None,
        }
    }
}

impl WorkshopLimits {
    pub fn figure(&self, limit: Choosable) -> Decimal {
        match limit {
            Choosable::Insulation => self.insulation_least_megohm,
            Choosable::PathMargin => self.path_margin_percent,
            Choosable::TerminalRise => self.terminal_rise_most_k,
            Choosable::StringTolerance => self.string_tolerance_percent,
        }
    }

    /// For the basis of a step: whose choice the limit is, in place of which figure, and why where it is looser.
    /// Nothing where it is the usual one.
    pub(super) fn words(&self, limit: Choosable) -> Option<String> {
        let (figure, usual) = (self.figure(limit), limit.usual().normalize());
        let chosen = self.chosen.as_ref().filter(|_| figure != usual)?;
        let place = format!(
            "{} {} is the workshop's choice of {} by {}, in place of {usual} {}",
            figure.normalize(),
            limit.unit(),
            chosen.day,
            chosen.by,
            limit.unit()
        );
        Some(if limit.is_looser(figure) {
            format!("{place}: {}.", chosen.reason.trim_end_matches('.'))
        } else {
            format!("{place}.")
        })
    }

    /// A basis with that sentence behind it.
    pub(super) fn told(&self, basis: &str, limit: Choosable) -> String {
        match self.words(limit) {
            Some(words) => format!("{basis} {words}"),
            None => basis.to_owned(),
        }
    }
}
