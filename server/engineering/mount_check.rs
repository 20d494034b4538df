//! A first check of a mount: the loads of a restraint class against bolt and sheet, the weakest
//! named.

use super::bolt_resistance::{BOLT_SOURCE, bolt_utilisation};
use super::mounting::{
    FastenerLoads, PatternLoad, RestraintClass, RestraintForces, fastener_loads, restraint_forces,
};
use super::sheet_metal::{
    BEARING_SOURCE, PULL_THROUGH_SOURCE, PUNCHING_SOURCE, Sheet, bearing_resistance,
    pull_through_resistance, punching_resistance, utilisation,
};
use super::thread::{PropertyClass, Thread};
use super::units::{Kilograms, Millimetres, Newtons};
use super::{OutOfRange, Source};

/// A rectangular pattern of fasteners.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pattern {
    /// All fasteners.
    pub fasteners: u32,
    /// Fasteners of the row farthest back.
    pub rear_row: u32,
    /// Fasteners of the row farthest to one side.
    pub side_row: u32,
    /// Distance between front and rear row, in travel direction.
    pub spacing_along: Millimetres,
    /// Distance between left and right row, across.
    pub spacing_across: Millimetres,
}

/// A mass on a surface, and how it is fastened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MountCase {
    /// Everything that is mounted.
    pub mass: Kilograms,
    /// How hard it must be held.
    pub class: RestraintClass,
    /// Height of its centre of mass above the surface.
    pub height: Millimetres,
    /// Where the fasteners are.
    pub pattern: Pattern,
    /// Thread of the fasteners.
    pub thread: Thread,
    /// Their property class.
    pub property_class: PropertyClass,
    /// The surface.
    pub sheet: Sheet,
    /// Outer diameter of the washer on the sheet; `None` where the head bears on it.
    pub washer: Option<Millimetres>,
    /// Centre of the outermost hole to the nearest edge of the sheet.
    pub edge: Millimetres,
}

/// One way a mount may give.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MountMode {
    /// The bolt itself, shear and tension together.
    Bolt,
    /// The wall of the hole.
    Bearing,
    /// The head punched through the sheet; with a washer, its diameter in place of the head's.
    Punching,
    /// The washer or head pulled through the sheet.
    PullThrough,
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
        }
    }
}

/// How much of one mode is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModeUse {
    /// The mode.
    pub mode: MountMode,
    /// Load over resistance of the worst fastener; it holds up to 1.
    pub utilisation: f64,
}

/// The result of a first mount check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MountCheck {
    /// The forces of the restraint class.
    pub forces: RestraintForces,
    /// Loads on the worst fastener under the forward force.
    pub forward: FastenerLoads,
    /// Loads on the worst fastener under the side force.
    pub side: FastenerLoads,
    /// Every mode, each under the direction that is worse for it.
    pub modes: [ModeUse; 4],
    /// The mode with the highest utilisation.
    pub governing: ModeUse,
}

impl MountCheck {
    /// Every mode stays within what it stands.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.governing.utilisation <= 1.0
    }
}

/// Checks a mount against the loads of its restraint class.
///
/// Forces by [`restraint_forces`], each direction on its own; loads by [`fastener_loads`]; the bolt
/// by [`bolt_utilisation`]; the sheet by [`bearing_resistance`], [`punching_resistance`] and
/// [`pull_through_resistance`]. Bearing and pull-through are judged apart: the standards give no
/// rule for both at once in thin sheet. A first check only: seams, ribs, rust, the base of the kit
/// and what the sheet itself hangs on are not in it.
///
/// # Source
///
/// Of each part as its function says.
///
/// # Example
///
/// 25 kg in a van, centre of mass 150 mm up, four M8 8.8 with 25 mm washers, 300 mm apart both
/// ways, 1.0 mm mild steel, 20 mm from the edge. By hand: 1226 N of shear over 3312 N of bearing is
/// 0.370, 1226 N of tension over 5400 N of pull-through is 0.227; bearing governs.
///
/// ```
/// use fusewright::engineering::mount_check::{MountCase, MountMode, Pattern, check_mount};
/// use fusewright::engineering::mounting::RestraintClass;
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet};
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::*;
///
/// let found = check_mount(&MountCase {
///     mass: Kilograms(25.0),
///     class: RestraintClass::M1N1,
///     height: Millimetres(150.0),
///     pattern: Pattern {
///         fasteners: 4,
///         rear_row: 2,
///         side_row: 2,
///         spacing_along: Millimetres(300.0),
///         spacing_across: Millimetres(300.0),
///     },
///     thread: Thread::M8,
///     property_class: PropertyClass::Steel8_8,
///     sheet: Sheet { thickness: Millimetres(1.0), tensile: MILD_STEEL_TENSILE },
///     washer: Some(Millimetres(25.0)),
///     edge: Millimetres(20.0),
/// })
/// .unwrap();
/// assert_eq!(found.governing.mode, MountMode::Bearing);
/// assert_eq!(format!("{:.3}", found.governing.utilisation), "0.370");
/// ```
pub fn check_mount(case: &MountCase) -> Result<MountCheck, OutOfRange> {
    let forces = restraint_forces(case.mass, case.class)?;
    let forward = loads(case, forces.forward, case.pattern.rear_row, case.pattern.spacing_along)?;
    let side = loads(case, forces.side, case.pattern.side_row, case.pattern.spacing_across)?;
    let (ahead, across) = (modes(case, forward)?, modes(case, side)?);
    let mut worst = ahead;
    for (mode, other) in worst.iter_mut().zip(across) {
        mode.utilisation = mode.utilisation.max(other.utilisation);
    }
    let [first, ..] = worst;
    let governing = worst
        .into_iter()
        .fold(first, |high, mode| if mode.utilisation > high.utilisation { mode } else { high });
    Ok(MountCheck { forces, forward, side, modes: worst, governing })
}

/// The loads of one direction.
fn loads(
    case: &MountCase,
    force: Newtons,
    rear_fasteners: u32,
    row_spacing: Millimetres,
) -> Result<FastenerLoads, OutOfRange> {
    let fasteners = case.pattern.fasteners;
    let height = case.height;
    fastener_loads(PatternLoad { force, fasteners, rear_fasteners, height, row_spacing })
}

/// The four modes under the loads of one direction.
fn modes(case: &MountCase, loads: FastenerLoads) -> Result<[ModeUse; 4], OutOfRange> {
    let thread = case.thread;
    let punched = case.washer.unwrap_or(thread.head_mean_diameter());
    let pulled = case.washer.unwrap_or(thread.head_bearing_diameter());
    let bearing = bearing_resistance(case.sheet, thread, case.edge)?;
    let punching = punching_resistance(case.sheet, punched)?;
    let pull_through = pull_through_resistance(case.sheet, pulled)?;
    let bolt = bolt_utilisation(loads, thread, case.property_class)?;
    Ok([
        (MountMode::Bolt, bolt),
        (MountMode::Bearing, utilisation(loads.shear, bearing)?),
        (MountMode::Punching, utilisation(loads.tension, punching)?),
        (MountMode::PullThrough, utilisation(loads.tension, pull_through)?),
    ]
    .map(|(mode, utilisation)| ModeUse { mode, utilisation }))
}
