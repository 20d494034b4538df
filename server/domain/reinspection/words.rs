//! What a comparison says, in words.

use super::{Change, Comparison, Course, Outcome, Value};
use crate::domain::number::Decimal;

impl Outcome {
    /// A full sentence; nothing while the step is due.
    pub fn sentence(&self) -> Option<String> {
        match self {
            Self::Due => None,
            Self::Changed(change) => Some(change.sentence()),
            Self::SameAsBefore => Some("As it was.".to_owned()),
            Self::OtherThanBefore => Some("Not what it was: find out why.".to_owned()),
            Self::NotComparable(why) => Some(format!("Not comparable: {why}.")),
        }
    }

    /// The figures alone, beside the word of a table; empty where there are none.
    pub fn detail(&self) -> String {
        match self {
            Self::Due | Self::SameAsBefore => String::new(),
            Self::Changed(change) => change.detail(),
            Self::OtherThanBefore => "Find out why.".to_owned(),
            Self::NotComparable(why) => format!("{why}."),
        }
    }

    /// One or two words for a narrow column.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Due => "Due",
            Self::Changed(change) => change.word(),
            Self::SameAsBefore => "Unchanged",
            Self::OtherThanBefore => "Other",
            Self::NotComparable(_) => "Not comparable",
        }
    }
}

impl Change {
    pub fn word(&self) -> &'static str {
        let rises = self.difference > Decimal::ZERO;
        match self.course {
            Course::NotShown => "No change shown",
            Course::Better => "Improved",
            Course::Worse if rises => "Grown",
            Course::Worse | Course::Moved if !rises => "Fallen",
            Course::Worse | Course::Moved => "Risen",
        }
    }

    /// `0.21 mΩ more (14.8 %)`
    pub fn by(&self) -> String {
        if self.difference.is_zero() {
            return "the same".to_owned();
        }
        let side = if self.difference > Decimal::ZERO { "more" } else { "less" };
        let share = self.percent.map(|percent| format!(" ({} %)", percent.abs()));
        format!("{} {} {side}{}", self.difference.abs(), self.unit, share.unwrap_or_default())
    }

    fn detail(&self) -> String {
        match (self.course, self.used_percent) {
            (Course::NotShown, _) => {
                format!("{}, within ±{} {}.", self.by(), self.uncertainty_shown(), self.unit)
            }
            (_, Some(used)) => format!("{}, {used} % of the way to the limit.", self.by()),
            _ => format!("{}.", self.by()),
        }
    }

    /// `Grown: 0.21 mΩ more (14.8 %), 20 % of the way to the limit used up.`
    fn sentence(&self) -> String {
        if self.course == Course::NotShown {
            return format!(
                "No change that these instruments can show: {}, and they leave {} {} open.",
                self.by(),
                self.uncertainty_shown(),
                self.unit
            );
        }
        let used = self
            .used_percent
            .map(|used| format!(", {used} % of the way to the limit used up"))
            .unwrap_or_default();
        format!("{}: {}{used}.", self.word(), self.by())
    }
}

impl Value {
    /// `1.42 mΩ on 2026-03-12`
    pub fn dated(&self) -> String {
        if self.on.is_empty() {
            self.words.clone()
        } else {
            format!("{} on {}", self.words, self.on)
        }
    }
}

impl Comparison {
    /// What stood here before, for whoever is about to measure: `First 1.42 mΩ on 2026-03-12, last
    /// 1.50 mΩ on 2027-03-10; limit at most 2.50 mΩ.` A read-back is not told: it is to be read.
    pub fn before(&self) -> Option<String> {
        let first = self.first.as_ref().filter(|first| first.figure.is_some())?;
        let last = self.last.as_ref();
        let last = last.map(|last| format!(", last {}", last.dated())).unwrap_or_default();
        Some(format!("First {}{last}; limit {}.", first.dated(), first.limit))
    }

    /// What came of it, once there is a result.
    pub fn after(&self) -> Option<String> {
        self.now.as_ref()?;
        Some(self.told(self.since_first.sentence()?, Outcome::sentence))
    }

    /// The same for a table that has the word beside it.
    pub fn detail(&self) -> String {
        self.told(self.since_first.detail(), |last| Some(last.detail()))
    }

    fn told(&self, first: String, say: impl Fn(&Outcome) -> Option<String>) -> String {
        let last = self.since_last.as_ref().and_then(say).filter(|words| !words.is_empty());
        let last = last.map(|words| format!("Since the last one: {words}"));
        let found = self.found.as_ref().map(|found| format!("Found at {}.", found.words));
        let parts = [Some(first).filter(|first| !first.is_empty()), last, found];
        parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
    }
}
