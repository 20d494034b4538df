//! What a technician has to do, day by day, on top of their list of jobs. The page is kept on the phone, so
//! each heading names its day: an old copy does not call yesterday today.

use time::Date;

use super::app::App;
use super::error::WebError;
use super::session::Who;
use crate::domain::board::{Week, hours_words, is_late, plus, words};
use crate::domain::job::Stage;
use crate::storage::board::{BoardJob, list_of_person};

/// What `components/today.html` prints: a job in one line.
pub(super) struct TodayJob {
    pub(super) href: String,
    pub(super) number: u64,
    pub(super) vehicle: String,
    pub(super) detail: String,
}

/// Jobs of one day, or of a stretch of days.
pub(super) struct TodayGroup {
    pub(super) title: &'static str,
    /// The day itself, where it is one.
    pub(super) day: String,
    pub(super) jobs: Vec<TodayJob>,
}

/// The groups of whoever is signed in; none for managers, whose list is another.
pub(super) async fn today(app: &App, who: &Who) -> Result<Vec<TodayGroup>, WebError> {
    if who.is_manager() {
        return Ok(Vec::new());
    }
    let jobs = list_of_person(app.store(), who.workshop(), who.person.id).await?;
    Ok(groups(&jobs, app.now().utc().date()))
}

fn groups(jobs: &[BoardJob], today: Date) -> Vec<TodayGroup> {
    let mut groups: Vec<TodayGroup> = Slot::ALL.map(|slot| slot.group(today)).into();
    for job in jobs {
        let place = Slot::ALL.iter().position(|slot| *slot == Slot::of(job, today));
        if let Some(group) = place.and_then(|place| groups.get_mut(place)) {
            group.jobs.push(line(job, today));
        }
    }
    groups.retain(|group| !group.jobs.is_empty());
    groups
}

/// Where a job stands in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Slot {
    Today,
    Tomorrow,
    ThisWeek,
    Later,
    NoDay,
}

impl Slot {
    const ALL: [Self; 5] = [Self::Today, Self::Tomorrow, Self::ThisWeek, Self::Later, Self::NoDay];

    /// What is late or still running is today's.
    fn of(job: &BoardJob, today: Date) -> Self {
        let Some(span) = job.planned.span() else { return Self::NoDay };
        let next = span.each_day().into_iter().find(|day| *day >= today).unwrap_or(today);
        if next == today {
            Self::Today
        } else if next == plus(today, 1) {
            Self::Tomorrow
        } else if Week::of(next) == Week::of(today) {
            Self::ThisWeek
        } else {
            Self::Later
        }
    }

    fn group(self, today: Date) -> TodayGroup {
        let (title, day) = match self {
            Self::Today => ("Today", words(today)),
            Self::Tomorrow => ("Tomorrow", words(plus(today, 1))),
            Self::ThisWeek => ("Later this week", String::new()),
            Self::Later => ("After this week", String::new()),
            Self::NoDay => ("Without a day", String::new()),
        };
        TodayGroup { title, day, jobs: Vec::new() }
    }
}

fn line(job: &BoardJob, today: Date) -> TodayJob {
    let has_sheet = job.stage != Stage::Planning;
    let planned = job.planned.span().map(|span| {
        let late = if is_late(job.stage, span, today) { "late, planned for " } else { "" };
        format!("{late}{}, {}. ", words(span.first), hours_words(span.minutes))
    });
    TodayJob {
        href: format!("/jobs/{}{}", job.id, if has_sheet { "/sheet" } else { "" }),
        number: job.number,
        vehicle: format!("{}, {}", job.vehicle, job.registration),
        detail: format!("{}{}. {}", planned.unwrap_or_default(), job.kit_title, job.stage.title()),
    }
}
