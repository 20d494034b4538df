//! The surface under a mount, and the ways in which it or the bolt may give.

use super::board::{
    BOARD_DISTANCE_DIAMETERS, BOARD_PUNCHING_SOURCE, BOARD_SOURCE, Board, BoardBolt,
    board_punching_resistance, embedment_resistance, washer_pressure_resistance,
};
use super::bolt_resistance::{BOLT_SOURCE, FastenerLoads};
use super::laminate::{
    LAMINATE_DISTANCE_DIAMETERS, LAMINATE_SOURCE, Laminate, laminate_bearing_resistance,
    laminate_punching_resistance,
};
use super::sheet_metal::{
    BEARING_SOURCE, PULL_THROUGH_SOURCE, PUNCHING_SOURCE, Sheet, bearing_resistance,
    pull_through_resistance, punching_resistance, utilisation,
};
use super::thread::{PropertyClass, Thread};
use super::units::{Millimetres, Newtons};
use super::{OutOfRange, Source};

/// One way a mount may give.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MountMode {
    /// The bolt itself, shear and tension together.
    Bolt,
    /// The wall of the hole in sheet.
    Bearing,
    /// The head punched through the sheet; with a washer, its diameter in place of the head's.
    Punching,
    /// The washer or head pulled through the sheet.
    PullThrough,
    /// The bolt pressed sideways into a board.
    Embedment,
    /// The washer sunk into a board.
    WasherPressure,
    /// The washer punched through a board.
    BoardPunching,
    /// The wall of the hole in a laminate.
    LaminateBearing,
    /// The washer sheared through the layers of a laminate.
    LaminatePunching,
}

impl MountMode {
    /// The mode in words.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Bolt => "bolt in shear and tension",
            Self::Bearing => "bearing of the sheet",
            Self::Punching => "punching of the sheet",
            Self::PullThrough => "pull-through of the sheet",
            Self::Embedment => "bolt pressed into the board",
            Self::WasherPressure => "washer pressed into the board",
            Self::BoardPunching => "punching of the board",
            Self::LaminateBearing => "bearing of the laminate",
            Self::LaminatePunching => "punching of the laminate",
        }
    }

    /// Where the rule of the mode comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Bolt => BOLT_SOURCE,
            Self::Bearing => BEARING_SOURCE,
            Self::Punching => PUNCHING_SOURCE,
            Self::PullThrough => PULL_THROUGH_SOURCE,
            Self::Embedment | Self::WasherPressure => BOARD_SOURCE,
            Self::BoardPunching => BOARD_PUNCHING_SOURCE,
            Self::LaminateBearing | Self::LaminatePunching => LAMINATE_SOURCE,
        }
    }

    /// The part of a fastener's loads that the mode resists; none for the bolt, which takes both.
    const fn load(self, loads: FastenerLoads) -> Option<Newtons> {
        match self {
            Self::Bolt => None,
            Self::Bearing | Self::Embedment | Self::LaminateBearing => Some(loads.shear),
            Self::Punching
            | Self::PullThrough
            | Self::WasherPressure
            | Self::BoardPunching
            | Self::LaminatePunching => Some(loads.tension),
        }
    }
}

/// What the gear is bolted to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MountSurface {
    /// Sheet or plate of metal.
    Metal(Sheet),
    /// Plywood or another board.
    Board(Board),
    /// A solid fibre laminate, without core; the maker of it must confirm every figure.
    Laminate(Laminate),
}

impl MountSurface {
    /// Its thickness.
    #[must_use]
    pub const fn thickness(&self) -> Millimetres {
        match self {
            Self::Metal(sheet) => sheet.thickness,
            Self::Board(board) => board.thickness,
            Self::Laminate(laminate) => laminate.thickness,
        }
    }

    /// The same surface, thicker or thinner.
    #[must_use]
    pub const fn with_thickness(self, thickness: Millimetres) -> Self {
        match self {
            Self::Metal(sheet) => Self::Metal(Sheet { thickness, ..sheet }),
            Self::Board(board) => Self::Board(Board { thickness, ..board }),
            Self::Laminate(laminate) => Self::Laminate(Laminate { thickness, ..laminate }),
        }
    }

    /// Least distance between two holes of a thread.
    ///
    /// # Source
    ///
    /// Metal: 2.2 holes, EN 1993-1-8, table 3.3; board: four diameters, EN 1995-1-1, table 8.4
    /// (both from memory); laminate: four diameters, common practice, no source.
    #[must_use]
    pub fn spacing_min(&self, thread: Thread) -> Millimetres {
        Millimetres(match self {
            Self::Metal(_) => 2.2 * thread.clearance_hole().0,
            Self::Board(_) => BOARD_DISTANCE_DIAMETERS * thread.diameter().0,
            Self::Laminate(_) => LAMINATE_DISTANCE_DIAMETERS * thread.diameter().0,
        })
    }
}

/// One fastener and what is around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fastening {
    /// Thread of the fastener.
    pub thread: Thread,
    /// Its property class.
    pub property_class: PropertyClass,
    /// What it goes through.
    pub surface: MountSurface,
    /// Outer diameter of the washer on the surface; `None` where the head bears on it.
    pub washer: Option<Millimetres>,
    /// Centre of the outermost hole to the nearest edge of the surface.
    pub edge: Millimetres,
}

/// What the surface stands around one fastener in one mode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfaceResistance {
    /// The mode.
    pub mode: MountMode,
    /// What it stands.
    pub resistance: Newtons,
}

impl SurfaceResistance {
    /// Share of the resistance that the loads of one fastener use.
    pub(super) fn utilisation(&self, loads: FastenerLoads) -> Result<f64, OutOfRange> {
        utilisation(self.mode.load(loads).unwrap_or_default(), self.resistance)
    }
}

/// Every mode in which the surface may give around one fastener, with its resistance.
///
/// # Source
///
/// Of each as [`MountMode::source`] says.
///
/// # Example
///
/// M8, 25 mm washer, 1.0 mm of 270 N/mm², 20 mm from the edge. By hand: bearing 3.31 kN, punching
/// 0.6 × π × 25 × 270 / 1.25 = 10.2 kN, pull-through 25 × 270 / 1.25 = 5.40 kN.
///
/// ```
/// use fusewright::engineering::mount_surface::{Fastening, MountSurface, surface_resistances};
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet};
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::Millimetres;
///
/// let sheet = Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE };
/// let all = surface_resistances(&Fastening {
///     thread: Thread::M8,
///     property_class: PropertyClass::Steel8_8,
///     surface: MountSurface::Metal(sheet),
///     washer: Some(Millimetres(25.0)),
///     edge: Millimetres(20.0),
/// })
/// .unwrap();
/// let kilonewtons: Vec<String> =
///     all.iter().map(|one| format!("{:.1}", one.resistance.0 / 1000.0)).collect();
/// assert_eq!(kilonewtons, ["3.3", "10.2", "5.4"]);
/// ```
pub fn surface_resistances(fastening: &Fastening) -> Result<Vec<SurfaceResistance>, OutOfRange> {
    let thread = fastening.thread;
    let pressing = fastening.washer.unwrap_or(thread.head_bearing_diameter());
    let all = match &fastening.surface {
        MountSurface::Metal(sheet) => {
            let punched = fastening.washer.unwrap_or(thread.head_mean_diameter());
            vec![
                (MountMode::Bearing, bearing_resistance(*sheet, thread, fastening.edge)?),
                (MountMode::Punching, punching_resistance(*sheet, punched)?),
                (MountMode::PullThrough, pull_through_resistance(*sheet, pressing)?),
            ]
        }
        MountSurface::Board(board) => {
            let property_class = fastening.property_class;
            let bolt = BoardBolt { thread, property_class, edge: fastening.edge };
            vec![
                (MountMode::Embedment, embedment_resistance(board, &bolt)?),
                (MountMode::WasherPressure, washer_pressure_resistance(board, thread, pressing)?),
                (MountMode::BoardPunching, board_punching_resistance(board, pressing)?),
            ]
        }
        MountSurface::Laminate(laminate) => {
            let edge = fastening.edge;
            vec![
                (MountMode::LaminateBearing, laminate_bearing_resistance(laminate, thread, edge)?),
                (MountMode::LaminatePunching, laminate_punching_resistance(laminate, pressing)?),
            ]
        }
    };
    let named = |(mode, resistance)| SurfaceResistance { mode, resistance };
    Ok(all.into_iter().map(named).collect())
}
