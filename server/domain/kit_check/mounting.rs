//! How the gear is held.

use std::collections::BTreeSet;

use super::torque;
use crate::domain::document::Section;
use crate::domain::kit::{Mounting, Position, Torque};
use crate::domain::number::{Decimal, physical};
use crate::engineering::fastener_pattern::{FASTENERS_MIN, FastenerPattern, Position as Place};

/// Property classes of steel and stainless fasteners (ISO 898-1, ISO 3506-1).
const CLASSES: [(&str, &str); 4] =
    [("8.8", "8.8"), ("10.9", "10.9"), ("A2-70", "A2-70"), ("A4-80", "A4-80")];

/// The most fasteners of one mounting.
const FASTENERS_MAX: usize = 20;

pub(super) fn mounting(section: &Section<'_>) -> Option<Mounting> {
    let thread = section.choice("thread", &torque::threads());
    let class = section.choice("class", &CLASSES);
    let count = section.whole("count", 2..=20);
    let pattern_length_mm = section.decimal("pattern_length_mm", "10 to 3000");
    let pattern_width_mm = section.decimal("pattern_width_mm", "10 to 3000");
    let positions = positions(section, count);
    let washer_mm = section.decimal("washer_mm", "5 to 200");
    washer_fault(section, thread.map_or("", |band| band.thread), washer_mm);
    let torque = torque::torque(section, thread);
    let prevailing_nm = prevailing(section, torque.as_ref());
    let least_thickness_mm = section.decimal("least_thickness_mm", "0.5 to 100");
    let least_surface_rating_kg = section.maybe_decimal("least_surface_rating_kg", "1 to 20000");
    let page = section.page();
    Some(Mounting {
        thread: thread?.thread.to_owned(),
        class: class?.to_owned(),
        count: count?,
        pattern_length_mm: pattern_length_mm?,
        pattern_width_mm: pattern_width_mm?,
        positions: positions?,
        washer_mm: washer_mm?,
        torque: torque?,
        prevailing_nm,
        least_thickness_mm: least_thickness_mm?,
        least_surface_rating_kg,
        page: page?,
    })
}

/// Where each fastener sits, if the kit says so: one place for each of them, no two the same.
fn positions(section: &Section<'_>, count: Option<u32>) -> Option<Vec<Position>> {
    let sections = section.sections("positions", 0..=FASTENERS_MAX);
    let all: Option<Vec<Position>> = super::all(sections.iter().map(position));
    let wanted = count.and_then(|count| usize::try_from(count).ok());
    if let Some(count) = wanted.filter(|count| !sections.is_empty() && *count != sections.len()) {
        let wrong = format!("There are {} positions for {count} fasteners.", sections.len());
        section.fault("positions", wrong, "Write one for each fastener, or none at all.");
    }
    for (at, section) in sections.iter().enumerate() {
        let same = |all: &Vec<Position>| all.iter().take(at).any(|one| Some(one) == all.get(at));
        if all.as_ref().is_some_and(same) {
            section.fault("along_mm", "A fastener sits there already.", "Write its own place.");
        }
    }
    if all.as_ref().is_some_and(|all| in_one_line(all)) {
        let wrong = "All fasteners sit in one line, over which the mount tilts.";
        section.fault("positions", wrong, "Write at least one place beside that line.");
    }
    all
}

/// Three or more places that hold no mount, since they lie in one line; other faults are not its own.
fn in_one_line(places: &[Position]) -> bool {
    let apart: BTreeSet<(Decimal, Decimal)> =
        places.iter().map(|place| (place.along_mm, place.across_mm)).collect();
    let places =
        apart.iter().map(|(along, across)| Place::new(physical(*along), physical(*across)));
    let count = places.len();
    count >= usize::try_from(FASTENERS_MIN).unwrap_or(usize::MAX)
        && FastenerPattern::at(places.collect()).is_err()
}

fn position(section: &Section<'_>) -> Option<Position> {
    let along_mm = section.decimal("along_mm", "0 to 3000");
    let across_mm = section.decimal("across_mm", "0 to 3000");
    Some(Position { along_mm: along_mm?, across_mm: across_mm? })
}

/// The torque of the nut itself is part of the whole, and leaves most of it for clamping.
fn prevailing(section: &Section<'_>, whole: Option<&Torque>) -> Option<Decimal> {
    let prevailing_nm = section.maybe_decimal("prevailing_nm", "0.1 to 60");
    let most = whole.map(|torque| torque.target_nm / Decimal::TWO);
    if let Some((nut, most)) = prevailing_nm.zip(most).filter(|(nut, most)| nut > most) {
        let wrong = format!("A nut that takes {nut} N·m leaves too little of the torque to clamp.");
        section.fault("prevailing_nm", wrong, format!("Write at most {}.", most.normalize()));
    }
    prevailing_nm
}

/// A washer lies around the bolt, so it is wider by half at least. The plan may take another one.
pub(in crate::domain) fn washer_fault(
    section: &Section<'_>,
    thread: &str,
    washer_mm: Option<Decimal>,
) {
    let threads = torque::threads();
    let band = threads.iter().map(|(_, band)| band).find(|band| band.thread == thread);
    let Some((band, washer)) = band.zip(washer_mm) else { return };
    let least = Decimal::new(i64::from(band.diameter_mm) * 15, 1);
    if washer < least {
        let wrong = format!("A washer of {washer} mm is too small for {thread}.");
        section.fault("washer_mm", wrong, format!("Write its outer diameter, at least {least}."));
    }
}
