//! How long a fuse may take: the time gates of the standards; part of the room `fuse`.

use super::Source;
use super::fuse::FuseForm;
use super::units::Seconds;

/// The times between which a fuse opens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gate {
    /// It does not open before this.
    pub shortest: Seconds,
    /// It has opened by then; `None` where the standard gives no upper bound at this current.
    pub longest: Option<Seconds>,
}

/// One printed gate: multiple of the rated current, shortest time [s], longest time [s].
type Row = (f64, f64, Option<f64>);

/// Hours to seconds, since the standards print the long times in hours.
const HOUR: f64 = 3600.0;

/// ISO 8820-3, types C and F, ratings of 3 A and more (from memory). At 350 % and 600 % older
/// editions print 0.08 s and 0.03 s as the shortest time.
const MEDIUM_AND_MINIATURE: [Row; 6] = [
    (1.10, 100.0 * HOUR, None),
    (1.35, 0.75, Some(600.0)),
    (1.60, 0.25, Some(50.0)),
    (2.00, 0.15, Some(5.0)),
    (3.50, 0.04, Some(0.5)),
    (6.00, 0.02, Some(0.1)),
];

/// ISO 8820-3, type E (from memory).
const HIGH_CURRENT: [Row; 5] = [
    (1.10, 100.0 * HOUR, None),
    (1.35, 60.0, Some(1800.0)),
    (2.00, 2.0, Some(60.0)),
    (3.50, 0.2, Some(7.0)),
    (6.00, 0.04, Some(1.0)),
];

/// ISO 8820-5, SF 51 (from memory).
const STRIP_51: [Row; 5] = [
    (1.00, 4.0 * HOUR, None),
    (1.35, 120.0, Some(1800.0)),
    (2.00, 1.0, Some(15.0)),
    (3.50, 0.3, Some(5.0)),
    (6.00, 0.1, Some(1.0)),
];

/// ISO 8820-5, SF 30 (from memory, the least sure of these tables).
const STRIP_30: [Row; 5] = [
    (1.00, 4.0 * HOUR, None),
    (1.50, 90.0, Some(3600.0)),
    (2.00, 3.0, Some(100.0)),
    (3.00, 0.3, Some(3.0)),
    (5.00, 0.1, Some(1.0)),
];

/// The printed gates of a form; `None` where we have no table of them.
const fn table_of(form: FuseForm) -> Option<&'static [Row]> {
    match form {
        FuseForm::BladeMini | FuseForm::Blade => Some(&MEDIUM_AND_MINIATURE),
        FuseForm::BladeHigh => Some(&HIGH_CURRENT),
        FuseForm::Strip30 => Some(&STRIP_30),
        FuseForm::Strip51 => Some(&STRIP_51),
        FuseForm::SingleBolt => None,
    }
}

/// A multiple this near to a printed one is that one: 27 A of 20 A is 135 %.
const SAME_MULTIPLE: f64 = 1.0e-9;

/// The times between which a fuse of a form opens at a multiple of its rated current, at 23 °C.
///
/// Between two printed multiples the gate is as wide as both allow: the shortest time of the larger
/// multiple, the longest time of the smaller one, since a larger current never takes longer. Above
/// the last printed multiple the shortest time is 0 s. Below the first one there is no longest
/// time.
///
/// `None` for a form whose gates we have no table of (single bolt: take the maker's curve), and for
/// a multiple that is not a positive number.
///
/// # Source
///
/// ISO 8820-3 and ISO 8820-5 (from memory, as repeated in makers' data sheets).
///
/// # Example
///
/// A 20 A blade fuse at 40 A, 200 %: between 0.15 s and 5 s.
///
/// ```
/// use fusewright::engineering::{fuse::{FuseForm, gate}, units::Seconds};
///
/// let at_double = gate(FuseForm::Blade, 2.0).unwrap();
/// assert_eq!(at_double.shortest, Seconds(0.15));
/// assert_eq!(at_double.longest, Some(Seconds(5.0)));
/// ```
#[must_use]
pub fn gate(form: FuseForm, multiple: f64) -> Option<Gate> {
    let table = table_of(form)?;
    if !(multiple > 0.0 && multiple.is_finite()) {
        return None;
    }
    let at_or_above = table.iter().find(|row| row.0 >= multiple - SAME_MULTIPLE);
    let at_or_below = table.iter().rev().find(|row| row.0 <= multiple + SAME_MULTIPLE);
    Some(Gate {
        shortest: Seconds(at_or_above.map_or(0.0, |row| row.1)),
        longest: at_or_below.and_then(|row| row.2).map(Seconds),
    })
}

/// One point of a gate as it is printed, for drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GatePoint {
    /// Multiple of the rated current.
    pub multiple: f64,
    /// It does not open before this.
    pub shortest: Seconds,
    /// It has opened by then; `None` where the standard gives no upper bound at this current.
    pub longest: Option<Seconds>,
}

/// The printed gate of a form, smallest current first; empty for a form whose gates we have no table
/// of.
///
/// Between two points the honest picture is a step, as [`gate`] says, not a slanted line.
///
/// # Source
///
/// ISO 8820-3 and ISO 8820-5 (from memory, as repeated in makers' data sheets).
///
/// # Example
///
/// The medium blade is printed at 110, 135, 160, 200, 350 and 600 %; by 200 % it opens from 0.15 s to
/// 5 s.
///
/// ```
/// use fusewright::engineering::{fuse::{FuseForm, gate_points}, units::Seconds};
///
/// let points: Vec<_> = gate_points(FuseForm::Blade).collect();
/// assert_eq!(points.len(), 6);
/// assert_eq!((points[3].multiple, points[3].longest), (2.0, Some(Seconds(5.0))));
/// ```
pub fn gate_points(form: FuseForm) -> impl DoubleEndedIterator<Item = GatePoint> + Clone {
    let table = table_of(form).unwrap_or_default();
    table.iter().map(|&(multiple, shortest, longest)| GatePoint {
        multiple,
        shortest: Seconds(shortest),
        longest: longest.map(Seconds),
    })
}

/// The smallest printed current at which a fuse of a form is sure to open, and how long that may
/// take: a fuse is no limiter at its rated current. `None` for a form whose gates we have no table of.
///
/// # Source
///
/// As for [`gate_points`].
///
/// # Example
///
/// A blade opens for sure only at 1.35 times its rating, and may take ten minutes.
///
/// ```
/// use fusewright::engineering::{fuse::{FuseForm, sure_opening}, units::Seconds};
///
/// let opening = sure_opening(FuseForm::Blade).unwrap();
/// assert_eq!((opening.multiple, opening.longest), (1.35, Some(Seconds(600.0))));
/// ```
#[must_use]
pub fn sure_opening(form: FuseForm) -> Option<GatePoint> {
    gate_points(form).find(|point| point.longest.is_some())
}

/// Where the gates of a form come from; `None` where there are none.
#[must_use]
pub const fn gate_source(form: FuseForm) -> Option<Source> {
    match form {
        FuseForm::BladeMini | FuseForm::Blade => {
            Some(Source::from_memory("ISO 8820-3, operating times, types C and F"))
        }
        FuseForm::BladeHigh => Some(Source::from_memory("ISO 8820-3, operating times, type E")),
        FuseForm::Strip30 => Some(Source::from_memory("ISO 8820-5, operating times, SF 30")),
        FuseForm::Strip51 => Some(Source::from_memory("ISO 8820-5, operating times, SF 51")),
        FuseForm::SingleBolt => None,
    }
}
