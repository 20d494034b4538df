//! What is due at vehicles whose certificate is in force: joints checked after first use, the yearly
//! inspection. As a list, page by page, and as a calendar.

use super::ActError;
use super::paper::inspection_day;
use crate::domain::calendar::{DayEvent, calendar};
use crate::domain::certificate::on_paper;
use crate::domain::ids::{Moment, WorkshopId};
use crate::domain::instrument::Instrument;
use crate::domain::instrument::standing::last_day;
use crate::domain::limits::RETORQUE_DAYS;
use crate::storage::due::{DUE_ROWS_MAX, DueMark, DueRow, Window, list};
use crate::storage::{Store, instruments};
use time::Date;

/// Rows of one page of the list.
pub const DUE_LISTED: usize = 100;
/// The check after first use is listed for so long when nobody came; the yearly inspection is listed until
/// somebody does.
pub const RETORQUE_LISTED_DAYS: i64 = 60;
/// The calendar goes back so far: what was due before is on the list alone.
pub const CALENDAR_BACK_DAYS: i64 = 400;
/// Events of one calendar.
pub const CALENDAR_EVENTS_MAX: usize = 5_000;

/// What is to be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Fasteners and terminals after first use.
    Retorque,
    Inspection,
}

impl Kind {
    pub fn title(self) -> &'static str {
        match self {
            Self::Retorque => "Joints checked after first use",
            Self::Inspection => "Yearly inspection",
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Retorque => "retorque",
            Self::Inspection => "inspection",
        }
    }

    /// The day, from the moment of the certificate.
    pub fn day(self, issued: Moment) -> Option<Date> {
        match self {
            Self::Retorque => Some(issued.plus_days(RETORQUE_DAYS).utc().date()),
            Self::Inspection => inspection_day(issued),
        }
    }
}

/// One thing that is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    pub kind: Kind,
    pub day: Date,
    pub row: DueRow,
}

/// How far both lists were shown; a page begins behind it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    pub retorque: DueMark,
    pub inspection: DueMark,
}

/// One page, the earliest day first.
#[derive(Debug, Clone)]
pub struct Page {
    pub due: Vec<Due>,
    pub next: Option<Mark>,
}

impl Mark {
    /// Before everything that is listed.
    pub fn start(now: Moment) -> Self {
        let at = |issued| DueMark { issued, certificate: String::new() };
        let listed = now.plus_days(-RETORQUE_DAYS - RETORQUE_LISTED_DAYS);
        Self { retorque: at(listed), inspection: at(Moment(i64::MIN)) }
    }

    fn pass(&mut self, due: &Due) {
        let (issued, certificate) = (due.row.issued, due.row.certificate.clone());
        let mark = DueMark { issued, certificate };
        match due.kind {
            Kind::Retorque => self.retorque = mark,
            Kind::Inspection => self.inspection = mark,
        }
    }
}

/// A page of what is due, behind `mark`.
pub async fn page(store: &Store, workshop: WorkshopId, mark: Mark) -> Result<Page, ActError> {
    let mut due = both(store, workshop, (&mark, DUE_LISTED + 1)).await?;
    let more = due.len() > DUE_LISTED;
    due.truncate(DUE_LISTED);
    let mut next = mark;
    for one in &due {
        next.pass(one);
    }
    Ok(Page { due, next: more.then_some(next) })
}

/// Both kinds as one list in the order of their days. Each comes in that order, so that what is left out
/// of one lies behind everything that is shown.
async fn both(
    store: &Store,
    workshop: WorkshopId,
    (mark, rows): (&Mark, usize),
) -> Result<Vec<Due>, ActError> {
    let mut all = Vec::new();
    for kind in [Kind::Retorque, Kind::Inspection] {
        let after = match kind {
            Kind::Retorque => mark.retorque.clone(),
            Kind::Inspection => mark.inspection.clone(),
        };
        let first_jobs_only = kind == Kind::Retorque;
        let limit = u32::try_from(rows).unwrap_or(DUE_ROWS_MAX);
        let window = Window { after, first_jobs_only, limit };
        let found = list(store, workshop, &window).await?;
        let dated = |row: DueRow| Some(Due { kind, day: kind.day(row.issued)?, row });
        all.extend(found.into_iter().filter_map(dated));
    }
    all.sort_by(|a, b| {
        let key = |due: &Due| (due.day, due.kind, due.row.issued);
        key(a).cmp(&key(b)).then_with(|| a.row.certificate.cmp(&b.row.certificate))
    });
    Ok(all)
}

/// The calendar of a workshop, with the days on which calibrations end. It names vehicles and no customers:
/// whoever has its address reads it.
pub async fn feed(
    store: &Store,
    (workshop, name): (WorkshopId, &str),
    origin: &str,
    now: Moment,
) -> Result<String, ActError> {
    let mut mark = Mark::start(now);
    // A year and a month before: what was issued then was due within the days it goes back.
    mark.inspection.issued = now.plus_days(-CALENDAR_BACK_DAYS - 366);
    let due = both(store, workshop, (&mark, CALENDAR_EVENTS_MAX)).await?;
    let vehicles = due.iter().map(|due| event(due, origin));
    let instruments = instruments::list(store, workshop).await?;
    let calibrations = instruments.iter().filter_map(|one| calibration_event(one, origin, now));
    let events: Vec<DayEvent> = calibrations.chain(vehicles).take(CALENDAR_EVENTS_MAX).collect();
    Ok(calendar(&format!("Due at {name}"), &events))
}

fn event(due: &Due, origin: &str) -> DayEvent {
    let row = &due.row;
    let vehicle = format!("{}, {}", row.registration, row.vehicle);
    DayEvent {
        uid: format!("{}-{}", row.job, due.kind.word()),
        day: due.day,
        sequence: row.version.saturating_sub(1),
        modified: row.issued.utc(),
        title: format!("{}: {vehicle}", due.kind.title()),
        words: format!(
            "{vehicle}\n{}\nJob {}, certificate {}",
            row.kit_title,
            row.job_number,
            on_paper(&row.certificate)
        ),
        url: format!("{origin}/jobs/{}", row.job),
    }
}

/// The last day of an instrument that is in use.
fn calibration_event(instrument: &Instrument, origin: &str, now: Moment) -> Option<DayEvent> {
    if instrument.retired {
        return None;
    }
    let newest = instrument.newest_calibration(now)?;
    let title = format!("Calibration ends: {}", instrument.label);
    let count = u32::try_from(instrument.calibrations.len()).unwrap_or(u32::MAX);
    Some(DayEvent {
        uid: format!("{}-calibration", instrument.id),
        day: last_day(newest)?,
        sequence: count.saturating_sub(1),
        modified: Moment::parse(&format!("{}T00:00:00Z", newest.done_on))?.utc(),
        title,
        words: format!("{}\nNo. {}", instrument.kind, instrument.serial),
        url: format!("{origin}/instruments/{}", instrument.id),
    })
}
