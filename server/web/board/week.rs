//! A week of the calendar (ISO 8601), as addresses and headings name it.

use std::fmt;

use time::{Date, Duration, Weekday};

/// From Monday to Sunday.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Week(Date);

impl Week {
    pub(super) fn of(day: Date) -> Self {
        let since = i64::from(day.weekday().number_days_from_monday());
        Self(day.checked_sub(Duration::days(since)).unwrap_or(day))
    }

    /// `2026-W48`
    pub(super) fn read(text: &str) -> Option<Self> {
        let (year, week) = text.split_once("-W")?;
        Date::from_iso_week_date(year.parse().ok()?, week.parse().ok()?, Weekday::Monday)
            .ok()
            .map(Self)
    }

    pub(super) fn first(self) -> Date {
        self.0
    }

    pub(super) fn last(self) -> Date {
        self.plus(6)
    }

    pub(super) fn days(self) -> impl Iterator<Item = Date> {
        (0..7).map(move |day| self.plus(day))
    }

    pub(super) fn before(self) -> Self {
        Self(self.plus(-7))
    }

    pub(super) fn after(self) -> Self {
        Self(self.plus(7))
    }

    /// `Week 48, 23 to 29 November 2026`
    pub(super) fn title(self) -> String {
        let (first, last) = (self.first(), self.last());
        let month = if first.month() == last.month() {
            String::new()
        } else {
            format!(" {}", first.month())
        };
        format!(
            "Week {}, {}{month} to {} {} {}",
            first.iso_week(),
            first.day(),
            last.day(),
            last.month(),
            last.year()
        )
    }

    fn plus(self, days: i64) -> Date {
        self.0.checked_add(Duration::days(days)).unwrap_or(self.0)
    }
}

impl fmt::Display for Week {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, week, _) = self.0.to_iso_week_date();
        write!(f, "{year}-W{week:02}")
    }
}

/// `Mon 23`
pub(super) fn day_title(day: Date) -> String {
    let name = day.weekday().to_string();
    format!("{} {}", name.get(..3).unwrap_or(&name), day.day())
}
