//! How the gear is held.

use super::torque::{self, ThreadBand};
use crate::domain::document::Section;
use crate::domain::kit::Mounting;
use crate::domain::number::Decimal;

/// Property classes of steel and stainless fasteners (ISO 898-1, ISO 3506-1).
const CLASSES: [(&str, &str); 4] =
    [("8.8", "8.8"), ("10.9", "10.9"), ("A2-70", "A2-70"), ("A4-80", "A4-80")];

pub(super) fn mounting(section: &Section<'_>) -> Option<Mounting> {
    let thread = section.choice("thread", &torque::threads());
    let class = section.choice("class", &CLASSES);
    let count = section.whole("count", 2..=20);
    let pattern_length_mm = section.decimal("pattern_length_mm", "10 to 3000");
    let pattern_width_mm = section.decimal("pattern_width_mm", "10 to 3000");
    let washer_mm = section.decimal("washer_mm", "5 to 200");
    washer_fault(section, thread, washer_mm);
    let torque = torque::torque(section, thread);
    let least_thickness_mm = section.decimal("least_thickness_mm", "0.5 to 100");
    let least_surface_rating_kg = section.maybe_decimal("least_surface_rating_kg", "1 to 20000");
    let page = section.page();
    Some(Mounting {
        thread: thread?.thread.to_owned(),
        class: class?.to_owned(),
        count: count?,
        pattern_length_mm: pattern_length_mm?,
        pattern_width_mm: pattern_width_mm?,
        washer_mm: washer_mm?,
        torque: torque?,
        least_thickness_mm: least_thickness_mm?,
        least_surface_rating_kg,
        page: page?,
    })
}

/// A washer lies around the bolt, so it is wider by half at least.
fn washer_fault(section: &Section<'_>, thread: Option<ThreadBand>, washer_mm: Option<Decimal>) {
    let Some((band, washer)) = thread.zip(washer_mm) else { return };
    let least = Decimal::new(i64::from(band.diameter_mm) * 15, 1);
    if washer < least {
        let wrong = format!("A washer of {washer} mm is too small for {}.", band.thread);
        section.fault("washer_mm", wrong, format!("Write its outer diameter, at least {least}."));
    }
}
