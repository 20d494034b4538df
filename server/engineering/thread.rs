//! Metric coarse threads: geometry, and the loads that bolts of each class stand.

use std::fmt;

use super::thread_geometry::ThreadGeometry;
use super::units::{Megapascals, Millimetres, Newtons, SquareMillimetres};
use super::{OutOfRange, Source, check};

/// A metric coarse thread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thread {
    /// M3 × 0.5.
    M3,
    /// M4 × 0.7.
    M4,
    /// M5 × 0.8.
    M5,
    /// M6 × 1.
    M6,
    /// M8 × 1.25.
    M8,
    /// M10 × 1.5.
    M10,
    /// M12 × 1.75.
    M12,
}

/// One row of printed sizes, in mm.
struct Size {
    /// Nominal diameter.
    diameter: f64,
    /// Pitch.
    pitch: f64,
    /// Clearance hole, medium series (ISO 273).
    hole: f64,
    /// Hexagon across flats and, smallest, across corners (ISO 4014, ISO 4017; from memory).
    hexagon: (f64, f64),
    /// Smallest bearing diameter under the head (ISO 4014, ISO 4017; from memory).
    bearing: f64,
}

impl Thread {
    /// Every thread, smallest first.
    pub const ALL: [Self; 7] =
        [Self::M3, Self::M4, Self::M5, Self::M6, Self::M8, Self::M10, Self::M12];

    /// Reads "M8", or "M8 x 1.25" and "M8 × 1.25" where the pitch is the coarse one.
    pub fn parse(text: &str) -> Result<Self, OutOfRange> {
        let written = text.to_lowercase().replace(char::is_whitespace, "").replace('×', "x");
        let is_named = |thread: &Self| {
            let label = thread.label().to_lowercase();
            written == label || written == format!("{label}x{}", thread.pitch().0)
        };
        let labels = || Self::ALL.iter().map(|thread| thread.label());
        let found = Self::ALL.into_iter().find(is_named);
        found.ok_or_else(|| check::not_listed("thread", text, labels()))
    }

    /// The thread as it is printed: "M8".
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::M3 => "M3",
            Self::M4 => "M4",
            Self::M5 => "M5",
            Self::M6 => "M6",
            Self::M8 => "M8",
            Self::M10 => "M10",
            Self::M12 => "M12",
        }
    }

    /// Printed sizes: diameter, pitch, hole, hexagon, bearing diameter.
    const fn size(self) -> Size {
        let (diameter, pitch, hole, hexagon, bearing) = match self {
            Self::M3 => (3.0, 0.5, 3.4, (5.5, 6.01), 4.57),
            Self::M4 => (4.0, 0.7, 4.5, (7.0, 7.66), 5.88),
            Self::M5 => (5.0, 0.8, 5.5, (8.0, 8.79), 6.88),
            Self::M6 => (6.0, 1.0, 6.6, (10.0, 11.05), 8.88),
            Self::M8 => (8.0, 1.25, 9.0, (13.0, 14.38), 11.63),
            Self::M10 => (10.0, 1.5, 11.0, (16.0, 17.77), 14.63),
            Self::M12 => (12.0, 1.75, 13.5, (18.0, 20.03), 16.63),
        };
        Size { diameter, pitch, hole, hexagon, bearing }
    }

    /// Diameter and pitch together, from which every other size follows.
    #[must_use]
    pub const fn geometry(self) -> ThreadGeometry {
        ThreadGeometry::listed(self.size().diameter, self.size().pitch)
    }

    /// Nominal diameter d.
    #[must_use]
    pub const fn diameter(self) -> Millimetres {
        Millimetres(self.size().diameter)
    }

    /// Pitch P, coarse (ISO 261).
    #[must_use]
    pub const fn pitch(self) -> Millimetres {
        Millimetres(self.size().pitch)
    }

    /// Pitch diameter: d2 = d − 0.649 519 · P (ISO 724).
    #[must_use]
    pub fn pitch_diameter(self) -> Millimetres {
        self.geometry().pitch_diameter()
    }

    /// Minor diameter of the bolt: d3 = d − 1.226 869 · P (ISO 724).
    #[must_use]
    pub fn minor_diameter(self) -> Millimetres {
        self.geometry().minor_diameter()
    }

    /// Clearance hole, medium series (ISO 273; from memory).
    #[must_use]
    pub const fn clearance_hole(self) -> Millimetres {
        Millimetres(self.size().hole)
    }

    /// Mean of the hexagon's width across flats and across corners, which punching is reckoned
    /// with.
    ///
    /// # Source
    ///
    /// EN 1993-1-8, table 3.4 (seen in public summaries); widths by ISO 4014 and ISO 4017 (from
    /// memory).
    #[must_use]
    pub fn head_mean_diameter(self) -> Millimetres {
        let (flats, corners) = self.size().hexagon;
        Millimetres(f64::midpoint(flats, corners))
    }

    /// Smallest diameter of the face under a hexagon head: what bears on the sheet without a
    /// washer.
    ///
    /// # Source
    ///
    /// ISO 4014 and ISO 4017 (from memory).
    #[must_use]
    pub const fn head_bearing_diameter(self) -> Millimetres {
        Millimetres(self.size().bearing)
    }

    /// Stress area of the thread.
    ///
    /// ```text
    /// As = π/4 · ((d2 + d3) / 2)²
    /// ```
    ///
    /// | symbol | meaning                             | unit |
    /// |--------|-------------------------------------|------|
    /// | `As`   | stress area, result                 | mm²  |
    /// | `d2`   | pitch diameter                      | mm   |
    /// | `d3`   | minor diameter                      | mm   |
    ///
    /// # Source
    ///
    /// ISO 898-1:2013, 9.1.6.1 (formula from memory; the areas of tables 4 and 5 seen).
    ///
    /// # Example
    ///
    /// M8. By hand: 0.7854 × ((7.188 + 6.466) / 2)² = 36.6 mm².
    ///
    /// ```
    /// use fusewright::engineering::thread::Thread;
    ///
    /// assert_eq!(format!("{:.1}", Thread::M8.stress_area()), "36.6 mm²");
    /// ```
    #[must_use]
    pub fn stress_area(self) -> SquareMillimetres {
        self.geometry().stress_area()
    }
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

/// The strength class of a bolt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PropertyClass {
    /// Steel 8.8.
    Steel8_8,
    /// Steel 10.9.
    Steel10_9,
    /// Stainless A2-70.
    A2_70,
    /// Stainless A4-80.
    A4_80,
}

impl PropertyClass {
    /// Every class.
    pub const ALL: [Self; 4] = [Self::Steel8_8, Self::Steel10_9, Self::A2_70, Self::A4_80];

    /// Reads "8.8", "10.9", "A2-70" or "A4-80".
    pub fn parse(text: &str) -> Result<Self, OutOfRange> {
        let found =
            Self::ALL.into_iter().find(|class| class.label().eq_ignore_ascii_case(text.trim()));
        let labels = || Self::ALL.iter().map(|class| class.label());
        found.ok_or_else(|| check::not_listed("property class", text, labels()))
    }

    /// The class as it is stamped on the head.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Steel8_8 => "8.8",
            Self::Steel10_9 => "10.9",
            Self::A2_70 => "A2-70",
            Self::A4_80 => "A4-80",
        }
    }

    /// Lowest tensile strength Rm, up to M16. The name "10.9" suggests 1 000 N/mm²; the standard's
    /// table uses 1 040 N/mm².
    #[must_use]
    pub const fn tensile_strength(self) -> Megapascals {
        Megapascals(match self {
            Self::Steel8_8 | Self::A4_80 => 800.0,
            Self::Steel10_9 => 1040.0,
            Self::A2_70 => 700.0,
        })
    }

    /// Lowest 0.2 % proof strength Rp0.2, up to M16.
    #[must_use]
    pub const fn yield_strength(self) -> Megapascals {
        Megapascals(match self {
            Self::Steel8_8 => 640.0,
            Self::Steel10_9 => 940.0,
            Self::A2_70 => 450.0,
            Self::A4_80 => 600.0,
        })
    }

    /// Stress under proof load: Sp for steel, Rp0.2 for stainless, which has no proof load.
    #[must_use]
    pub const fn proof_stress(self) -> Megapascals {
        match self {
            Self::Steel8_8 => Megapascals(580.0),
            Self::Steel10_9 => Megapascals(830.0),
            Self::A2_70 | Self::A4_80 => self.yield_strength(),
        }
    }

    /// Where the strengths and loads of the class come from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Steel8_8 | Self::Steel10_9 => Source::seen("ISO 898-1:2013, tables 4 and 5"),
            Self::A2_70 | Self::A4_80 => Source::from_memory("ISO 3506-1, stress area × strength"),
        }
    }

    /// Whether the class is at least as strong as another, in yield and in tensile strength.
    #[must_use]
    pub fn is_at_least(self, other: Self) -> bool {
        self.yield_strength() >= other.yield_strength()
            && self.tensile_strength() >= other.tensile_strength()
    }
}

impl fmt::Display for PropertyClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

/// ISO 898-1:2013, tables 4 and 5, coarse thread: proof and breaking load of 8.8, then of 10.9 [N].
/// One public page misprints the breaking load of M4 10.9 as 91 130; it is 9 130.
const fn printed_loads(thread: Thread) -> [f64; 4] {
    match thread {
        Thread::M3 => [2920.0, 4020.0, 4180.0, 5230.0],
        Thread::M4 => [5100.0, 7020.0, 7290.0, 9130.0],
        Thread::M5 => [8230.0, 11_350.0, 11_800.0, 14_800.0],
        Thread::M6 => [11_600.0, 16_100.0, 16_700.0, 20_900.0],
        Thread::M8 => [21_200.0, 29_200.0, 30_400.0, 38_100.0],
        Thread::M10 => [33_700.0, 46_400.0, 48_100.0, 60_300.0],
        Thread::M12 => [48_900.0, 67_400.0, 70_000.0, 87_700.0],
    }
}

/// The load a bolt stands without setting: the printed proof load of steel, As · Rp0.2 of
/// stainless.
///
/// Not for hot-dip galvanised bolts of M8 and M10, whose loads are lower (ISO 10684, annex A).
///
/// # Source
///
/// Steel: ISO 898-1:2013, table 5 (seen in three agreeing copies). Stainless: ISO 3506-1 (from
/// memory).
///
/// # Example
///
/// M8 8.8: printed 21 200 N; by hand 36.6 mm² × 580 N/mm² = 21 200 N.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread, proof_load};
/// use fusewright::engineering::units::Newtons;
///
/// assert_eq!(proof_load(Thread::M8, PropertyClass::Steel8_8), Newtons(21_200.0));
/// ```
#[must_use]
pub fn proof_load(thread: Thread, class: PropertyClass) -> Newtons {
    let [proof_8_8, _, proof_10_9, _] = printed_loads(thread);
    Newtons(match class {
        PropertyClass::Steel8_8 => proof_8_8,
        PropertyClass::Steel10_9 => proof_10_9,
        PropertyClass::A2_70 | PropertyClass::A4_80 => {
            thread.stress_area().0 * class.yield_strength().0
        }
    })
}

/// The load at which a bolt may break: the printed one of steel, As · Rm of stainless.
///
/// # Source
///
/// Steel: ISO 898-1:2013, table 4 (seen in three agreeing copies). Stainless: ISO 3506-1 (from
/// memory).
///
/// # Example
///
/// M8 8.8: printed 29 200 N; by hand 36.6 mm² × 800 N/mm² = 29 300 N, which the standard rounds
/// down.
///
/// ```
/// use fusewright::engineering::thread::{PropertyClass, Thread, breaking_load};
/// use fusewright::engineering::units::Newtons;
///
/// assert_eq!(breaking_load(Thread::M8, PropertyClass::Steel8_8), Newtons(29_200.0));
/// ```
#[must_use]
pub fn breaking_load(thread: Thread, class: PropertyClass) -> Newtons {
    let [_, break_8_8, _, break_10_9] = printed_loads(thread);
    Newtons(match class {
        PropertyClass::Steel8_8 => break_8_8,
        PropertyClass::Steel10_9 => break_10_9,
        PropertyClass::A2_70 | PropertyClass::A4_80 => {
            thread.stress_area().0 * class.tensile_strength().0
        }
    })
}
