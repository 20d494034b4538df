//! The plan board: which job is planned for whom on which day, and what does not fit together.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::str::FromStr;

use time::{Date, Duration, Weekday};

use super::ids::{JobId, PersonId};
use super::job::Stage;

/// What one person works on one day [min]. Common practice, no source.
pub const DAY_MINUTES: u32 = 8 * 60;
/// Hours of a job where the workshop never planned one of its kit [min].
pub const JOB_MINUTES_DEFAULT: u32 = 4 * 60;
/// Fewest and most that can be planned for one job [min].
pub const JOB_MINUTES_MIN: u32 = 15;
pub const JOB_MINUTES_MAX: u32 = 200 * 60;
/// Days that one job may take.
pub const JOB_DAYS_MAX: u8 = 14;
/// So many days lie between the first and the last day of the longest job, with the weekends in between.
pub const SPAN_DAYS_MAX: i64 = 20;
/// A job is planned at most so many days ahead, and so many back.
pub const AHEAD_DAYS_MAX: i64 = 730;

/// A week from Monday to Sunday, as ISO 8601 counts them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Week {
    monday: Date,
}

impl Week {
    /// The one that a day lies in.
    pub fn of(day: Date) -> Self {
        let back = i64::from(day.weekday().number_days_from_monday());
        Self { monday: plus(day, -back) }
    }

    pub fn days(self) -> [Date; 7] {
        [0, 1, 2, 3, 4, 5, 6].map(|count| plus(self.monday, count))
    }

    pub fn monday(self) -> Date {
        self.monday
    }

    pub fn sunday(self) -> Date {
        plus(self.monday, 6)
    }

    #[must_use]
    pub fn plus(self, weeks: i64) -> Self {
        Self { monday: plus(self.monday, 7 * weeks) }
    }
}

impl fmt::Display for Week {
    /// `2026-W48`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, week, _) = self.monday.to_iso_week_date();
        write!(f, "{year}-W{week:02}")
    }
}

/// What was in the address is no week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("Write a week as 2026-W48")]
pub struct NoWeek;

impl FromStr for Week {
    type Err = NoWeek;

    fn from_str(text: &str) -> Result<Self, NoWeek> {
        let (year, week) = text.split_once("-W").ok_or(NoWeek)?;
        let year = year.parse().map_err(|_| NoWeek)?;
        let week = week.parse().map_err(|_| NoWeek)?;
        // Years in which somebody plans: far ones have no neighbours to go on to.
        if !(2000..=2999).contains(&year) {
            return Err(NoWeek);
        }
        let monday = Date::from_iso_week_date(year, week, Weekday::Monday).map_err(|_| NoWeek)?;
        Ok(Self { monday })
    }
}

/// A day so many later. Days of plans are far from the ends of the calendar.
pub fn plus(day: Date, days: i64) -> Date {
    day.checked_add(Duration::days(days)).unwrap_or(day)
}

pub fn is_weekend(day: Date) -> bool {
    matches!(day.weekday(), Weekday::Saturday | Weekday::Sunday)
}

/// When and for how long a job is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    pub first: Date,
    pub days: u8,
    pub minutes: u32,
}

impl Span {
    /// Its days. Weekends are passed over, unless it begins on one.
    pub fn each_day(self) -> Vec<Date> {
        let at_weekends = is_weekend(self.first);
        let on = |count: &i64| at_weekends || !is_weekend(plus(self.first, *count));
        let days = (0..=SPAN_DAYS_MAX).filter(on).take(usize::from(self.days));
        days.map(|count| plus(self.first, count)).collect()
    }

    pub fn last(self) -> Date {
        self.each_day().last().copied().unwrap_or(self.first)
    }

    /// What it takes of each of its days [min].
    pub fn minutes_a_day(self) -> u32 {
        self.minutes.div_ceil(u32::from(self.days.max(1)))
    }
}

/// A job with a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    pub job: JobId,
    pub number: u64,
    pub person: Option<PersonId>,
    pub registration: String,
    /// The registration as it is compared; empty where there is none.
    pub plate: String,
    pub stage: Stage,
    pub span: Span,
}

/// Somebody who can be planned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hand {
    pub name: String,
    pub disabled: bool,
}

/// What is known besides the jobs.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    pub people: &'a BTreeMap<PersonId, Hand>,
    pub away: &'a BTreeSet<(PersonId, Date)>,
    pub today: Date,
}

/// Something that does not fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The jobs it is about.
    pub jobs: Vec<JobId>,
    /// The day it is about; nothing where it is about the job on any of its days.
    pub day: Option<Date>,
    /// Something to see to, and no mistake by itself.
    pub is_caution: bool,
    pub sentence: String,
}

impl Conflict {
    fn stop(jobs: Vec<JobId>, day: Option<Date>, sentence: String) -> Self {
        Self { jobs, day, is_caution: false, sentence }
    }

    fn caution(job: JobId, sentence: String) -> Self {
        Self { jobs: vec![job], day: None, is_caution: true, sentence }
    }
}

/// Whatever does not fit among these jobs, by day; what was released takes no part.
pub fn conflicts(placed: &[Placed], known: Known<'_>) -> Vec<Conflict> {
    let open: Vec<&Placed> = placed.iter().filter(|p| p.stage != Stage::Released).collect();
    let mut found = Vec::new();
    found.extend(too_much(&open, known));
    found.extend(vehicles_twice(&open));
    for one in open {
        found.extend(nobody_there(one, known));
        found.extend(cautions(one, known.today));
    }
    found
}

/// People whose hours of a day are more than the day has.
fn too_much(open: &[&Placed], known: Known<'_>) -> Vec<Conflict> {
    let mut days: BTreeMap<(Date, PersonId), (u32, Vec<JobId>)> = BTreeMap::new();
    for one in open {
        let Some(person) = one.person else { continue };
        for day in one.span.each_day() {
            let (minutes, jobs) = days.entry((day, person)).or_default();
            *minutes += one.span.minutes_a_day();
            jobs.push(one.job);
        }
    }
    let over = days.into_iter().filter(|(_, (minutes, _))| *minutes > DAY_MINUTES);
    over.map(|((day, person), (minutes, jobs))| {
        let (name, planned, has) =
            (name(known, person), hours_words(minutes), hours_words(DAY_MINUTES));
        let sentence = format!("{name} has {planned} on {}; a day has {has}.", words(day));
        Conflict::stop(jobs, Some(day), sentence)
    })
    .collect()
}

/// Vehicles that two jobs want on one day.
fn vehicles_twice(open: &[&Placed]) -> Vec<Conflict> {
    let mut days: BTreeMap<(Date, &str), Vec<&Placed>> = BTreeMap::new();
    for one in open.iter().filter(|one| !one.plate.is_empty()) {
        for day in one.span.each_day() {
            days.entry((day, one.plate.as_str())).or_default().push(one);
        }
    }
    let twice = days.into_iter().filter(|(_, jobs)| jobs.len() > 1);
    twice
        .map(|((day, _), jobs)| {
            let numbers: Vec<String> = jobs.iter().map(|one| one.number.to_string()).collect();
            let vehicle = jobs.first().map_or("", |one| one.registration.as_str());
            let sentence =
                format!("{vehicle} is in jobs {} on {}.", numbers.join(" and "), words(day));
            Conflict::stop(jobs.iter().map(|one| one.job).collect(), Some(day), sentence)
        })
        .collect()
}

/// Whoever it is given to does not work here any more, or is away.
fn nobody_there(one: &Placed, known: Known<'_>) -> Vec<Conflict> {
    let Some(person) = one.person else { return Vec::new() };
    let (number, name) = (one.number, name(known, person));
    if known.people.get(&person).is_none_or(|hand| hand.disabled) {
        let sentence = format!("Job {number} is given to {name}, who does not work here any more.");
        return vec![Conflict::stop(vec![one.job], None, sentence)];
    }
    let away = one.span.each_day().into_iter().filter(|day| known.away.contains(&(person, *day)));
    away.map(|day| {
        let sentence = format!("Job {number}: {name} is away on {}.", words(day));
        Conflict::stop(vec![one.job], Some(day), sentence)
    })
    .collect()
}

fn cautions(one: &Placed, today: Date) -> Vec<Conflict> {
    let mut found = Vec::new();
    if is_late(one.stage, one.span, today) {
        let last = words(one.span.last());
        let sentence = format!("Job {} is late: planned for {last}, not begun.", one.number);
        found.push(Conflict::caution(one.job, sentence));
    }
    if one.stage == Stage::Planning {
        let sentence =
            format!("Job {} has a day and no sheet: its plan is not accepted.", one.number);
        found.push(Conflict::caution(one.job, sentence));
    }
    found
}

/// Its days are past and nobody has begun.
pub fn is_late(stage: Stage, span: Span, today: Date) -> bool {
    matches!(stage, Stage::Planning | Stage::Ready) && span.last() < today
}

fn name(known: Known<'_>, person: PersonId) -> String {
    known.people.get(&person).map_or_else(|| "Somebody".to_owned(), |hand| hand.name.clone())
}

/// `Tuesday 24 November`
pub fn words(day: Date) -> String {
    format!("{} {} {}", day.weekday(), day.day(), day.month())
}

/// `4 h`, `1 h 30 min`, `45 min`
pub fn hours_words(minutes: u32) -> String {
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest} min"),
    }
}
