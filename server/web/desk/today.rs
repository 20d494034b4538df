//! A technician's own days: what is late, what is for today, for the days after.

use time::{Date, Duration};

use super::row::listed;
use super::{Group, ListedJob};
use crate::domain::board::hours;
use crate::domain::ids::JobId;
use crate::storage::jobs::{self, BoardJob};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::session::Who;

/// Planned jobs of one person that are shown.
const PLANNED_MAX: u32 = 50;
/// What begins within so many days stands under a heading of its own.
const SOON_DAYS: i64 = 7;

/// The groups, and the jobs in them.
pub(super) async fn days(app: &App, who: &Who) -> Result<(Vec<Group>, Vec<JobId>), WebError> {
    let found = jobs::open_of(app.store(), who.workshop(), who.person.id, PLANNED_MAX).await?;
    let today = app.now().utc().date();
    let soon = today.checked_add(Duration::days(SOON_DAYS)).unwrap_or(today);
    let mut groups =
        [("late", "Late"), ("today", "Today"), ("soon", "In the next days"), ("later", "Later")]
            .map(|(word, title)| Group {
                word,
                title,
                note: "",
                count: String::new(),
                jobs: Vec::new(),
                more: None,
            });
    let mut ids = Vec::new();
    for planned in found {
        let Some(day) = planned.day else { continue };
        ids.push(planned.row.id);
        let at = match day {
            day if day < today => 0,
            day if day == today => 1,
            day if day < soon => 2,
            _ => 3,
        };
        if let Some(group) = groups.get_mut(at) {
            group.jobs.push(on_day(app, who, planned, day));
        }
    }
    for group in &mut groups {
        group.count = group.jobs.len().to_string();
    }
    Ok((super::filled_ones(groups.into()), ids))
}

/// With the day and the hours in place of how long it waits.
fn on_day(app: &App, who: &Who, planned: BoardJob, day: Date) -> ListedJob {
    let day = format!("{}, {} {}", day.weekday(), day.day(), day.month());
    let since = format!("{day}, {}", hours(planned.minutes));
    ListedJob { since, ..listed(app, who, planned.row) }
}
