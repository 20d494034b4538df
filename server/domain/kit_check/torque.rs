//! Torques as a maker may give them, and the threads they are given for.

use crate::domain::document::Section;
use crate::domain::kit::Torque;
use crate::domain::number::Decimal;

/// A torque outside its thread's band is a slipped decimal point or another unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadBand {
    pub thread: &'static str,
    pub diameter_mm: u32,
    pub least_nm: Decimal,
    pub most_nm: Decimal,
}

/// The threads of studs and fasteners.
///
/// `most` is what a bolt of class 12.9 takes at a friction of 0.14 (VDI 2230, table A1, class 8.8,
/// times 1.72 for the strength; from memory); `least` is a tenth of that. Common practice, no source.
pub const THREADS: [ThreadBand; 7] = [
    band("M3", 3, 2, 22),
    band("M4", 4, 5, 55),
    band("M5", 5, 11, 112),
    band("M6", 6, 19, 193),
    band("M8", 8, 46, 469),
    band("M10", 10, 92, 927),
    band("M12", 12, 158, 1600),
];

/// The torques in tenths of a N·m.
const fn band(thread: &'static str, diameter_mm: u32, least: u32, most: u32) -> ThreadBand {
    ThreadBand {
        thread,
        diameter_mm,
        least_nm: Decimal::from_parts(least, 0, 0, false, 1),
        most_nm: Decimal::from_parts(most, 0, 0, false, 1),
    }
}

/// The words and meanings of a key that names a thread.
pub(super) fn threads() -> [(&'static str, ThreadBand); 7] {
    THREADS.map(|band| (band.thread, band))
}

/// `torque_nm` and `tolerance_percent`; inside the band, if the thread is known.
pub(super) fn torque(section: &Section<'_>, band: Option<ThreadBand>) -> Option<Torque> {
    let target_nm = section.decimal("torque_nm", "0.1 to 300");
    let tolerance_percent = section.decimal("tolerance_percent", "2 to 30");
    if let Some((target, band)) = target_nm.zip(band) {
        let ThreadBand { thread, least_nm, most_nm, .. } = band;
        if target < least_nm || target > most_nm {
            section.fault(
                "torque_nm",
                format!("{target} N·m is hardly meant for {thread}."),
                format!("Write {least_nm} to {most_nm} N·m, or ask the maker what is meant."),
            );
        }
    }
    Some(Torque { target_nm: target_nm?, tolerance_percent: tolerance_percent? })
}
