//! The board: which job is planned for which day and person, and what does not go together.

use std::collections::BTreeMap;

use time::Date;

use super::ids::{JobId, PersonId};
use super::job::Stage;

/// Working time of one person on one day [min]. Common practice, no source.
pub const DAY_MINUTES: u32 = 480;
/// What a job is planned with until somebody says otherwise [min]. Common practice, no source.
pub const JOB_MINUTES: u32 = 240;
/// Least and most that one job takes of a day [min].
pub const JOB_MINUTES_MIN: u32 = 15;
pub const JOB_MINUTES_MAX: u32 = 1440;

/// A job that is planned for a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Planned {
    pub job: JobId,
    pub number: u64,
    /// The registration, closed up and in capitals; empty where none is known.
    pub plate: String,
    pub stage: Stage,
    pub person: Option<PersonId>,
    pub day: Date,
    pub minutes: u32,
}

/// Something that does not go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Conflict {
    /// The day is past, and nobody has begun.
    Late,
    /// The person is away that day.
    Away,
    /// The person does not work here any more.
    Left,
    /// More is planned for the person than the day has [min].
    TooMuch { minutes: u32 },
    /// The same vehicle is planned for another job on that day.
    SameVehicle { number: u64 },
    /// The job's plan is not made yet.
    NoPlan,
}

impl Conflict {
    pub fn words(self) -> String {
        match self {
            Self::Late => "late: not begun".to_owned(),
            Self::Away => "away that day".to_owned(),
            Self::Left => "does not work here any more".to_owned(),
            Self::TooMuch { minutes } => {
                format!("{} of {} planned", hours(minutes), hours(DAY_MINUTES))
            }
            Self::SameVehicle { number } => format!("same vehicle as job {number}"),
            Self::NoPlan => "no plan yet".to_owned(),
        }
    }
}

/// `4 h`, `1.5 h`, `0.25 h`: minutes as hours, to the quarter that was typed.
pub fn hours(minutes: u32) -> String {
    let quarters = minutes / 15;
    let rest = ["", ".25", ".5", ".75"].get((quarters % 4) as usize).copied().unwrap_or_default();
    format!("{}{rest} h", quarters / 4)
}

/// Who is away, and who left.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Missing {
    pub away: Vec<(PersonId, Date)>,
    pub left: Vec<PersonId>,
}

/// What does not go together, job by job. A released job asks for nothing and fills no day; one for review
/// still counts for its day, since it was worked on.
pub fn conflicts(
    planned: &[Planned],
    missing: &Missing,
    today: Date,
) -> BTreeMap<JobId, Vec<Conflict>> {
    let open: Vec<&Planned> = planned.iter().filter(|job| job.stage != Stage::Released).collect();
    let of = |job: &&Planned| (job.job, of_job(job, &open, missing, today));
    open.iter().map(of).filter(|(_, found)| !found.is_empty()).collect()
}

fn of_job(job: &Planned, open: &[&Planned], missing: &Missing, today: Date) -> Vec<Conflict> {
    let mut found = Vec::new();
    let is_begun = !matches!(job.stage, Stage::Planning | Stage::Ready);
    if job.day < today && !is_begun {
        found.push(Conflict::Late);
    }
    if let Some(person) = job.person {
        if missing.away.contains(&(person, job.day)) {
            found.push(Conflict::Away);
        }
        if missing.left.contains(&person) {
            found.push(Conflict::Left);
        }
        let same = open.iter().filter(|other| other.person == job.person && other.day == job.day);
        let minutes = same.map(|other| other.minutes).sum();
        if minutes > DAY_MINUTES {
            found.push(Conflict::TooMuch { minutes });
        }
    }
    let twin = open.iter().find(|other| {
        other.job != job.job
            && other.day == job.day
            && other.plate == job.plate
            && !job.plate.is_empty()
    });
    found.extend(twin.map(|other| Conflict::SameVehicle { number: other.number }));
    if job.stage == Stage::Planning {
        found.push(Conflict::NoPlan);
    }
    found
}
