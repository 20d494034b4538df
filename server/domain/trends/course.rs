//! How long jobs take, from opened over submitted to released.

use crate::domain::ids::{JobId, Moment};

/// With fewer jobs, quartiles are no more than the jobs themselves.
pub const COURSES_LEAST: usize = 8;

/// When a released job came to where, by the server's clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Course {
    pub job: JobId,
    pub job_number: u64,
    pub opened: Moment,
    /// For the last time, before the release.
    pub submitted: Moment,
    pub released: Moment,
}

impl Course {
    pub fn to_submit_days(&self) -> f64 {
        days(self.opened, self.submitted)
    }

    pub fn to_release_days(&self) -> f64 {
        days(self.submitted, self.released)
    }

    pub fn whole_days(&self) -> f64 {
        days(self.opened, self.released)
    }
}

fn days(from: Moment, to: Moment) -> f64 {
    let minutes = i32::try_from((to.0 - from.0) / 60_000).unwrap_or(i32::MAX);
    f64::from(minutes) / 1440.0
}

/// Where the middle half of some figures lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    pub count: usize,
    pub lower: f64,
    pub median: f64,
    pub upper: f64,
}

/// Median and quartiles, between two figures in proportion (type 7 of Hyndman and Fan 1996, from memory);
/// nothing for fewer than [`COURSES_LEAST`].
pub fn spread(mut figures: Vec<f64>) -> Option<Spread> {
    if figures.len() < COURSES_LEAST {
        return None;
    }
    figures.sort_by(f64::total_cmp);
    let at = |quarters: usize| {
        let place = (figures.len() - 1) * quarters;
        let (below, rest) = (*figures.get(place / 4)?, place % 4);
        let above = figures.get(place / 4 + 1).copied().unwrap_or(below);
        let share = f64::from(u8::try_from(rest).ok()?) / 4.0;
        Some(below + (above - below) * share)
    };
    let (lower, median, upper) = (at(1)?, at(2)?, at(3)?);
    Some(Spread { count: figures.len(), lower, median, upper })
}
