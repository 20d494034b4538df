//! Where band, guard bands and needle of a small limit bar lie, as fractions of its width. For the
//! eye only: verdicts are decided on exact decimals elsewhere, and the figures stand beside it.

use serde::Serialize;

/// The needle never touches the ends of the bar, so that "far outside" still shows.
const NEEDLE_EDGE: f64 = 0.02;
/// A two-sided band fills the middle half of the bar.
const SPACE_BESIDE_BAND: f64 = 0.5;
/// With only an upper limit the bar ends at this multiple of it.
const END_ABOVE_UPPER: f64 = 1.6;
/// With only a lower limit the bar ends at this multiple of it.
const END_ABOVE_LOWER: f64 = 2.2;

/// A limit bar; every number lies between 0 and 1.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Gauge {
    /// Mark of the lower limit; the band starts at the left end without one.
    pub(super) low: Option<f64>,
    /// Mark of the upper limit; the band runs to the right end without one.
    pub(super) high: Option<f64>,
    /// The solid part: inside the limits by at least the guard band.
    pub(super) safe_from: f64,
    pub(super) safe_to: f64,
    pub(super) needle: f64,
}

/// The allowed band in the unit of the reading; at least one side must be given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GaugeLimits {
    pub low: Option<f64>,
    pub high: Option<f64>,
}

impl Gauge {
    /// Lays out the bar for a reading and its guard band (the expanded uncertainty), or `None`
    /// where nothing sensible can be drawn: no limit, limits the wrong way round, not a number.
    pub fn new(limits: GaugeLimits, guard: f64, reading: f64) -> Option<Self> {
        let (from, to) = ends(limits)?;
        let finite = guard.is_finite() && guard >= 0.0 && reading.is_finite();
        if !finite || to <= from || !(to - from).is_finite() {
            return None;
        }
        let place = |value: f64| ((value - from) / (to - from)).clamp(0.0, 1.0);
        Some(Self {
            low: limits.low.map(place),
            high: limits.high.map(place),
            safe_from: limits.low.map_or(0.0, |low| place(low + guard)),
            safe_to: limits.high.map_or(1.0, |high| place(high - guard)),
            needle: place(reading).clamp(NEEDLE_EDGE, 1.0 - NEEDLE_EDGE),
        })
    }
}

/// The values at both ends of the bar.
fn ends(limits: GaugeLimits) -> Option<(f64, f64)> {
    match (limits.low, limits.high) {
        (Some(low), Some(high)) if low < high => {
            let space = (high - low) * SPACE_BESIDE_BAND;
            Some((low - space, high + space))
        }
        (None, Some(high)) if high > 0.0 => Some((0.0, high * END_ABOVE_UPPER)),
        (Some(low), None) if low > 0.0 => Some((0.0, low * END_ABOVE_LOWER)),
        _ => None,
    }
}
