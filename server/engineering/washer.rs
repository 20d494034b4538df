//! Plain washers: the three series of the standards, and the next larger one of a thread.

use std::fmt;

use super::thread::Thread;
use super::units::Millimetres;
use super::{OutOfRange, Source, check};

/// A series of plain washers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WasherSeries {
    /// ISO 7089.
    Normal,
    /// ISO 7093-1.
    Large,
    /// ISO 7094.
    ExtraLarge,
}

impl WasherSeries {
    /// Every series, narrowest first.
    pub const ALL: [Self; 3] = [Self::Normal, Self::Large, Self::ExtraLarge];

    /// The standard of the series, as it is ordered by.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Normal => "ISO 7089",
            Self::Large => "ISO 7093-1",
            Self::ExtraLarge => "ISO 7094",
        }
    }

    /// Where the sizes of the series come from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Normal => Source::seen("ISO 7089, open fastener data"),
            Self::Large => Source::from_memory("ISO 7093-1; outer diameters seen"),
            Self::ExtraLarge => Source::seen("ISO 7094, open fastener data"),
        }
    }
}

impl fmt::Display for WasherSeries {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

/// A plain washer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Washer {
    /// Its series.
    pub series: WasherSeries,
    /// The thread it is for.
    pub thread: Thread,
    /// Inner diameter, smallest.
    pub inner: Millimetres,
    /// Outer diameter, nominal.
    pub outer: Millimetres,
    /// Thickness, nominal.
    pub thickness: Millimetres,
}

impl fmt::Display for Washer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (outer, thickness) = (self.outer.0, self.thickness);
        write!(f, "{} {}, {outer} × {thickness}", self.series, self.thread)
    }
}

/// ISO 7089 (seen), ISO 7093-1 (from memory, outer diameters seen) and ISO 7094 (seen): inner
/// diameter, outer diameter, thickness [mm]. ISO 7094 begins at M5. For M5 of ISO 7093-1 an older
/// standard has 1.2 mm of thickness.
const fn printed(series: WasherSeries, thread: Thread) -> Option<(f64, f64, f64)> {
    match series {
        WasherSeries::Normal => Some(match thread {
            Thread::M3 => (3.2, 7.0, 0.5),
            Thread::M4 => (4.3, 9.0, 0.8),
            Thread::M5 => (5.3, 10.0, 1.0),
            Thread::M6 => (6.4, 12.0, 1.6),
            Thread::M8 => (8.4, 16.0, 1.6),
            Thread::M10 => (10.5, 20.0, 2.0),
            Thread::M12 => (13.0, 24.0, 2.5),
        }),
        WasherSeries::Large => Some(match thread {
            Thread::M3 => (3.2, 9.0, 0.8),
            Thread::M4 => (4.3, 12.0, 1.0),
            Thread::M5 => (5.3, 15.0, 1.0),
            Thread::M6 => (6.4, 18.0, 1.6),
            Thread::M8 => (8.4, 24.0, 2.0),
            Thread::M10 => (10.5, 30.0, 2.5),
            Thread::M12 => (13.0, 37.0, 3.0),
        }),
        WasherSeries::ExtraLarge => match thread {
            Thread::M3 | Thread::M4 => None,
            Thread::M5 => Some((5.5, 18.0, 2.0)),
            Thread::M6 => Some((6.6, 22.0, 2.0)),
            Thread::M8 => Some((9.0, 28.0, 3.0)),
            Thread::M10 => Some((11.0, 34.0, 3.0)),
            Thread::M12 => Some((13.5, 44.0, 4.0)),
        },
    }
}

/// The washer of a series for a thread; `None` where the series has none.
///
/// # Source
///
/// As [`WasherSeries::source`] says.
///
/// # Example
///
/// Large washer for M8: printed 24 × 2.
///
/// ```
/// use fusewright::engineering::thread::Thread;
/// use fusewright::engineering::washer::{WasherSeries, washer};
///
/// let large = washer(WasherSeries::Large, Thread::M8).unwrap();
/// assert_eq!(large.to_string(), "ISO 7093-1 M8, 24 × 2 mm");
/// ```
#[must_use]
pub fn washer(series: WasherSeries, thread: Thread) -> Option<Washer> {
    let (inner, outer, thickness) = printed(series, thread)?;
    let (inner, outer) = (Millimetres(inner), Millimetres(outer));
    Some(Washer { series, thread, inner, outer, thickness: Millimetres(thickness) })
}

/// The narrowest washer of a thread that is wider than a given diameter; `None` where the three
/// series have no wider one, so that a plate is needed.
///
/// # Source
///
/// As [`WasherSeries::source`] says.
///
/// # Example
///
/// M8: the normal washer has 16 mm, the next one 24 mm, and nothing comes after 28 mm.
///
/// ```
/// use fusewright::engineering::{thread::Thread, units::Millimetres, washer::next_larger};
///
/// let next = next_larger(Thread::M8, Millimetres(16.0)).unwrap().unwrap();
/// assert_eq!(next.outer, Millimetres(24.0));
/// assert_eq!(next_larger(Thread::M8, Millimetres(28.0)).unwrap(), None);
/// ```
pub fn next_larger(thread: Thread, outer: Millimetres) -> Result<Option<Washer>, OutOfRange> {
    let given = check::not_negative("diameter of the washer", outer)?;
    let mut all = WasherSeries::ALL.into_iter().filter_map(|series| washer(series, thread));
    Ok(all.find(|washer| washer.outer.0 > given))
}
