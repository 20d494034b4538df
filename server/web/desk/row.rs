//! One job in a list: what it is, who has it, since when it waits, what to look at twice.

use super::super::app::App;
use super::super::session::Who;
use super::super::views::{Tape, ago};
use super::ListedJob;
use crate::domain::job::{Stage, notice_words};
use crate::storage::jobs::JobRow;

pub(super) fn listed(app: &App, who: &Who, row: JobRow) -> ListedJob {
    let stage = Stage::parse(&row.stage);
    let review = who.is_manager() && stage == Some(Stage::Review);
    let place = if row.registration.is_empty() {
        row.vehicle.clone()
    } else {
        format!("{}, {}", row.vehicle, row.registration)
    };
    ListedJob {
        href: format!("/jobs/{}{}", row.id, if review { "/review" } else { "" }),
        number: row.number,
        vehicle: place,
        what: format!("{}, {}", row.kit_title, row.customer_name),
        since: since(stage, &ago(app.now(), row.since)),
        flags: if who.is_manager() { flags(&row) } else { Vec::new() },
        tape: (row.steps_total > 0).then(|| Tape::new(&row.flags, None)),
        person: row.technician_name.unwrap_or_else(|| "nobody yet".to_owned()),
    }
}

fn since(stage: Option<Stage>, ago: &str) -> String {
    match stage {
        Some(Stage::Planning) => format!("to plan, {ago}"),
        Some(Stage::Ready) => format!("ready, {ago}"),
        Some(Stage::Working) => format!("in the bays, {ago}"),
        Some(Stage::Returned) => format!("sent back, {ago}"),
        Some(Stage::Review) => format!("for review, {ago}"),
        Some(Stage::Released) => format!("released, {ago}"),
        None => ago.to_owned(),
    }
}

/// The marks of the tape, counted, and the notices; a released job wants nothing any more.
fn flags(row: &JobRow) -> Vec<String> {
    if row.stage == Stage::Released.word() {
        return Vec::new();
    }
    let count = |letter: char| row.flags.chars().filter(|other| *other == letter).count();
    let told = |letter, one: &str, many: &str| match count(letter) {
        0 => None,
        1 => Some(format!("1 step {one}")),
        more => Some(format!("{more} steps {many}")),
    };
    let marks = [
        told('f', "fails", "fail"),
        told('c', "has two results that clash", "have results that clash"),
        told('i', "is inconclusive", "are inconclusive"),
    ];
    marks.into_iter().flatten().chain(notice_words(&row.notices)).collect()
}
