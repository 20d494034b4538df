//! The plan board of the demo's week: a day that is too full, somebody away, a job that nobody began.

use time::Date;

use super::Stage;
use crate::acts::ActError;
use crate::domain::board::{is_weekend, plus};
use crate::domain::ids::{JobId, PersonId};
use crate::storage::board::{self, Move, Saw};
use crate::storage::jobs;

/// Number of a job, working days from today, days, hours.
const PLANNED: [(u64, i64, u8, u32); 6] = [
    (5, 0, 1, 2),
    (6, 0, 1, 4),
    // Together more than Tomasz's day has.
    (7, 0, 1, 6),
    (11, 0, 1, 3),
    // Nobody has begun it.
    (8, -2, 1, 5),
    // Owen is away on the second of its days.
    (10, 1, 2, 12),
];

pub(super) async fn plan_the_week(stage: &Stage<'_>) -> Result<(), ActError> {
    let today = workday(stage.now.utc().date(), 0);
    for (number, ahead, days, hours) in PLANNED {
        let job = jobs::find(stage.store, stage.cast.workshop, number).await?;
        let job = job.ok_or_else(|| ActError::Ours(format!("no job {number}")))?;
        let slot = (workday(today, ahead), days, hours * 60);
        place(stage, (job.id, job.technician), slot).await?;
    }
    let owen = stage.owen.person.id;
    board::append_away(stage.store, stage.cast.workshop, owen, vec![workday(today, 2)]).await?;
    Ok(())
}

async fn place(
    stage: &Stage<'_>,
    (job, technician): (JobId, Option<PersonId>),
    (day, days, minutes): (Date, u8, u32),
) -> Result<(), ActError> {
    let saw = Saw { version: 0, technician };
    let new = Move { job, technician, day: Some(day), days, minutes, saw };
    let is_new = board::append_move(stage.store, stage.cast.workshop, new, stage.now).await?;
    if is_new { Ok(()) } else { Err(ActError::Ours("a day was taken".to_owned())) }
}

/// So many working days on from a day, or back; a day at a weekend counts as the Monday after.
fn workday(from: Date, ahead: i64) -> Date {
    let mut day = from;
    while is_weekend(day) {
        day = plus(day, 1);
    }
    for _ in 0..ahead.abs() {
        day = plus(day, ahead.signum());
        while is_weekend(day) {
            day = plus(day, ahead.signum());
        }
    }
    day
}
