//! What the board prints: rows of people, columns of days, cards of jobs.

use time::Date;

use super::{Board, is_fitter};
use crate::domain::board::{DAY_MINUTES, Span, hours_words, is_late, is_weekend, words};
use crate::domain::ids::PersonId;
use crate::domain::job::Stage;
use crate::storage::board::{BoardJob, Saw};
use crate::web::views::Mark;

pub(super) struct ColumnView {
    pub(super) title: String,
    pub(super) today: Option<()>,
}

/// A job on the board.
pub(super) struct CardView {
    /// Of the element; only the first day of a job has one, and can be moved.
    pub(super) id: Option<String>,
    /// Where it is moved to another day, and its form; the job itself once that is released.
    pub(super) action: String,
    pub(super) saw: String,
    pub(super) number: u64,
    pub(super) vehicle: String,
    pub(super) kit: String,
    pub(super) hours: String,
    pub(super) person: String,
    pub(super) mark: Option<Mark>,
}

pub(super) struct CellView {
    pub(super) day: String,
    pub(super) label: String,
    pub(super) is_away: Option<()>,
    /// Planned of what the day has; too much is said in words.
    pub(super) hours: Option<String>,
    pub(super) cards: Vec<CardView>,
}

pub(super) struct RowView {
    /// Empty for nobody.
    pub(super) person: String,
    pub(super) name: String,
    pub(super) cells: Vec<CellView>,
}

pub(super) struct DayView {
    pub(super) title: String,
    pub(super) cards: Vec<CardView>,
}

pub(super) struct AwayView {
    pub(super) words: String,
    pub(super) person: String,
    pub(super) day: String,
}

/// A week as it is shown: weekends only where something is planned.
pub(super) struct Week7<'a> {
    all: &'a Board,
    days: Vec<Date>,
}

impl<'a> Week7<'a> {
    pub(super) fn of(all: &'a Board) -> Self {
        let busy = |day: &Date| all.jobs.iter().any(|job| runs_on(job, *day));
        let days = all.week.days().into_iter().filter(|day| !is_weekend(*day) || busy(day));
        Self { all, days: days.collect() }
    }

    pub(super) fn columns(&self) -> Vec<ColumnView> {
        let column = |day: &Date| {
            let name: String = day.weekday().to_string().chars().take(3).collect();
            let today = (*day == self.all.today).then_some(());
            ColumnView { title: format!("{name} {}", day.day()), today }
        };
        self.days.iter().map(column).collect()
    }

    pub(super) fn rows(&self) -> Vec<RowView> {
        let has_jobs = |id: PersonId| self.all.jobs.iter().any(|job| job.technician == Some(id));
        let people = self.all.people.iter();
        let rows = people.filter(|person| is_fitter(person) || has_jobs(person.id));
        let nobody = self.row(None, "Nobody yet".to_owned());
        rows.map(|person| self.row(Some(person.id), person.name.clone())).chain([nobody]).collect()
    }

    fn row(&self, person: Option<PersonId>, name: String) -> RowView {
        let cells = self.days.iter().map(|day| self.cell(person, &name, *day)).collect();
        RowView { person: person_text(person), name, cells }
    }

    fn cell(&self, person: Option<PersonId>, name: &str, day: Date) -> CellView {
        let here = |job: &&BoardJob| job.technician == person && runs_on(job, day);
        let jobs: Vec<&BoardJob> = self.all.jobs.iter().filter(here).collect();
        let open = jobs.iter().filter(|job| job.stage != Stage::Released);
        let spans = open.filter_map(|job| job.planned.span());
        let minutes: u32 = spans.map(Span::minutes_a_day).sum();
        let is_away = person.is_some_and(|person| self.all.away.contains(&(person, day)));
        CellView {
            day: day.to_string(),
            label: format!("{name}, {}", words(day)),
            is_away: is_away.then_some(()),
            hours: (person.is_some() && minutes > 0).then(|| load_words(minutes)),
            cards: jobs.into_iter().map(|job| self.card(job, day)).collect(),
        }
    }

    pub(super) fn by_day(&self) -> Vec<DayView> {
        let day_view = |day: &Date| {
            let jobs = self.all.jobs.iter().filter(|job| runs_on(job, *day));
            let cards = jobs.map(|job| CardView { id: None, ..self.card(job, *day) });
            DayView { title: words(*day), cards: cards.collect() }
        };
        self.days.iter().map(day_view).filter(|day| !day.cards.is_empty()).collect()
    }

    pub(super) fn away(&self) -> Vec<AwayView> {
        let view = |(person, day): &(PersonId, Date)| AwayView {
            words: format!("{}, {}", self.name(Some(*person)), words(*day)),
            person: person.to_string(),
            day: day.to_string(),
        };
        self.all.away.iter().map(view).collect()
    }

    /// A card in its cell of a day.
    fn card(&self, job: &BoardJob, day: Date) -> CardView {
        let days = job.planned.span().map(Span::each_day).unwrap_or_default();
        let nth = days.iter().position(|one| *one == day).map_or(1, |place| place + 1);
        let card = self.loose_card(job);
        let part = format!("{}, day {nth} of {}", card.hours, days.len());
        let hours = if days.len() > 1 { part } else { card.hours.clone() };
        // What began in the week before is moved from its first day shown.
        let is_first = self.days.iter().find(|one| days.contains(one)) == Some(&day);
        CardView { hours, id: card.id.filter(|_| is_first), ..card }
    }

    /// A card of a job wherever it lies.
    pub(super) fn loose_card(&self, job: &BoardJob) -> CardView {
        let saw = Saw { version: job.planned.version, technician: job.technician };
        let day = job.planned.day.map(words);
        let is_open = job.stage != Stage::Released;
        let hours = job.planned.minutes.map(hours_words);
        CardView {
            id: is_open.then(|| format!("j-{}", job.id)),
            action: format!("/jobs/{}{}", job.id, if is_open { "/day" } else { "" }),
            saw: saw_text(saw),
            number: job.number,
            vehicle: format!("{}, {}", job.registration, job.vehicle),
            kit: job.kit_title.clone(),
            hours: hours.unwrap_or_default(),
            person: match day.filter(|_| is_loose(self.all, job)) {
                Some(day) => format!("{}, {day}", self.name(job.technician)),
                None => self.name(job.technician),
            },
            mark: self.mark(job),
        }
    }

    /// The worst that the page says of a job.
    fn mark(&self, job: &BoardJob) -> Option<Mark> {
        if job.stage == Stage::Released {
            return Some(Mark { kind: "pass", word: "Released" });
        }
        let about = self.all.found.iter().filter(|conflict| conflict.jobs.contains(&job.id));
        let worst = about.map(|conflict| conflict.is_caution).min();
        match worst {
            Some(false) => Some(Mark { kind: "fail", word: "Conflict" }),
            Some(true) => Some(Mark { kind: "caution", word: "Caution" }),
            None => None,
        }
    }

    fn name(&self, person: Option<PersonId>) -> String {
        let known = self.all.people.iter().find(|known| Some(known.id) == person);
        known.map_or_else(|| "nobody yet".to_owned(), |person| person.name.clone())
    }
}

/// Late jobs are listed apart, where no column tells their day.
fn is_loose(all: &Board, job: &BoardJob) -> bool {
    job.planned.span().is_some_and(|span| is_late(job.stage, span, all.today))
}

fn runs_on(job: &BoardJob, day: Date) -> bool {
    job.planned.span().is_some_and(|span| span.each_day().contains(&day))
}

fn load_words(minutes: u32) -> String {
    let (planned, has) = (hours_words(minutes), hours_words(DAY_MINUTES));
    if minutes > DAY_MINUTES {
        format!("{planned} of {has}: too much")
    } else {
        format!("{planned} of {has}")
    }
}

fn person_text(person: Option<PersonId>) -> String {
    person.map(|id| id.to_string()).unwrap_or_default()
}

/// What a move says it saw: `3.` where nobody had the job, else the person behind the point.
pub(super) fn saw_text(saw: Saw) -> String {
    format!("{}.{}", saw.version, person_text(saw.technician))
}

pub(super) fn parse_saw(text: &str) -> Option<Saw> {
    let (version, person) = text.split_once('.')?;
    let technician = match person {
        "" => None,
        person => Some(person.parse().ok()?),
    };
    Some(Saw { version: version.parse().ok()?, technician })
}
