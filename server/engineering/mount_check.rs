//! A first check of a mount: the loads of a restraint class, shared by the real pattern, against
//! bolt and surface; the weakest is named.

use std::fmt;

use super::bolt_resistance::{FastenerLoads, bolt_utilisation};
use super::fastener_pattern::{FastenerPattern, Position};
pub use super::mount_surface::{Fastening, MountMode, MountSurface};
use super::mount_surface::{SurfaceResistance, surface_resistances};
use super::mounting::{RestraintClass, RestraintForces, restraint_forces};
use super::pattern_forces::{FastenerForce, MassForce, pattern_forces};
use super::units::{Kilograms, Millimetres, Newtons, STANDARD_GRAVITY};
use super::{OutOfRange, check};

/// Level in every direction, up as well, for what is fixed in an ambulance, in multiples of g.
///
/// The restraint classes have no upward level; a workshop that wants one may take this.
///
/// # Source
///
/// EN 1789, 4.5.9 (from memory).
pub const UPWARD_G_OF_EN_1789: f64 = 10.0;

/// Upward levels taken, in multiples of g.
const UPWARD_RANGE: (f64, f64) = (0.0, 100.0);

/// A mass on a surface, and how it is fastened.
#[derive(Clone, Debug, PartialEq)]
pub struct MountCase {
    /// Everything that is mounted.
    pub mass: Kilograms,
    /// How hard it must be held.
    pub class: RestraintClass,
    /// How hard it must be held down, in multiples of g; `None` leaves that direction out.
    pub upward_g: Option<f64>,
    /// Height of its centre of mass above the surface.
    pub height: Millimetres,
    /// Its centre of mass as seen from the centroid of the fasteners, in plan view.
    pub offset: Position,
    /// Where the fasteners are.
    pub pattern: FastenerPattern,
    /// What each of them is, and what it goes through.
    pub fastening: Fastening,
}

/// A direction in which the mass pushes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Direction {
    /// In travel direction.
    Forward,
    /// Against it, as hard as forward.
    Rearward,
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Away from the surface.
    Upward,
}

impl Direction {
    /// The direction in words.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Forward => "forward",
            Self::Rearward => "rearward",
            Self::Left => "to the left",
            Self::Right => "to the right",
            Self::Upward => "upward",
        }
    }
}

impl fmt::Display for Direction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.label())
    }
}

/// The loads of every fastener in one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct DirectionLoads {
    /// The direction.
    pub direction: Direction,
    /// The force of the mass in it.
    pub force: Newtons,
    /// What each fastener gets of it, numbered as the places of the pattern.
    pub fasteners: Vec<FastenerForce>,
}

/// How much of one mode is used, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModeUse {
    /// The mode.
    pub mode: MountMode,
    /// Load over resistance of the worst fastener in its worst direction; it holds up to 1.
    pub utilisation: f64,
    /// That fastener: its index among the places of the pattern.
    pub fastener: usize,
    /// That direction.
    pub direction: Direction,
}

/// The result of a first mount check.
#[derive(Clone, Debug, PartialEq)]
pub struct MountCheck {
    /// The forces of the restraint class.
    pub forces: RestraintForces,
    /// Every direction with the loads of every fastener.
    pub directions: Vec<DirectionLoads>,
    /// Every mode, at the fastener and in the direction that is worst for it.
    pub modes: Vec<ModeUse>,
    /// The mode with the highest utilisation.
    pub governing: ModeUse,
}

impl MountCheck {
    /// Every mode stays within what it stands.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.governing.utilisation <= 1.0
    }

    /// The loads of every fastener in one direction; `None` for one that was left out.
    #[must_use]
    pub fn in_direction(&self, direction: Direction) -> Option<&DirectionLoads> {
        self.directions.iter().find(|loads| loads.direction == direction)
    }

    /// The largest shear and the largest tension of any fastener in any direction; they need not
    /// fall on the same one.
    #[must_use]
    pub fn largest_loads(&self) -> FastenerLoads {
        let all = self.directions.iter().flat_map(|loads| &loads.fasteners);
        let none = FastenerLoads { shear: Newtons(0.0), tension: Newtons(0.0) };
        all.map(|force| force.loads()).fold(none, |most, loads| FastenerLoads {
            shear: Newtons(most.shear.0.max(loads.shear.0)),
            tension: Newtons(most.tension.0.max(loads.tension.0)),
        })
    }
}

/// Checks a mount against the loads of its restraint class.
///
/// Forces by [`restraint_forces`], each direction on its own: forward, rearward as hard, both sides
/// and, where it is wanted, up. Loads of every fastener by [`pattern_forces`]; the bolt by
/// [`bolt_utilisation`]; the surface by [`surface_resistances`]. Shear and tension of the surface
/// are judged apart: the standards give no rule for both at once in thin sheet. Fasteners must
/// stand apart ([`MountSurface::spacing_min`], and no washer over another), and in metal a near
/// neighbour counts like an edge: αb = p1/(3·d0) − 1/4 of EN 1993-1-8, table 3.4 (from memory).
///
/// A first check only: seams, ribs, rust, the base of the kit, prying and what the surface itself
/// hangs on are not in it.
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
/// use fusewright::engineering::fastener_pattern::{FastenerPattern, Position};
/// use fusewright::engineering::mount_check::{
///     Fastening, MountCase, MountMode, MountSurface, check_mount,
/// };
/// use fusewright::engineering::mounting::RestraintClass;
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet};
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::*;
///
/// let (thickness, side) = (Millimetres(1.0), Millimetres(300.0));
/// let found = check_mount(&MountCase {
///     mass: Kilograms(25.0),
///     class: RestraintClass::M1N1,
///     upward_g: None,
///     height: Millimetres(150.0),
///     offset: Position::default(),
///     pattern: FastenerPattern::rectangle(4, side, side).unwrap(),
///     fastening: Fastening {
///         thread: Thread::M8,
///         property_class: PropertyClass::Steel8_8,
///         surface: MountSurface::Metal(Sheet { thickness, tensile: MILD_STEEL_TENSILE }),
///         washer: Some(Millimetres(25.0)),
///         edge: Millimetres(20.0),
///     },
/// })
/// .unwrap();
/// assert_eq!(found.governing.mode, MountMode::Bearing);
/// assert_eq!(format!("{:.3}", found.governing.utilisation), "0.370");
/// ```
pub fn check_mount(case: &MountCase) -> Result<MountCheck, OutOfRange> {
    let forces = restraint_forces(case.mass, case.class)?;
    let directions = directions(case, forces)?;
    let fastening = Fastening { edge: effective_edge(case)?, ..case.fastening };
    let resistances = surface_resistances(&fastening)?;
    let mut bolt = Worst::new(MountMode::Bolt);
    let mut surface: Vec<Worst> = resistances.iter().map(|one| Worst::new(one.mode)).collect();
    for loads in &directions {
        for (fastener, force) in loads.fasteners.iter().enumerate() {
            let at = (fastener, loads.direction);
            let force = force.loads();
            bolt.see(bolt_utilisation(force, fastening.thread, fastening.property_class)?, at);
            see_surface(&mut surface, &resistances, force, at)?;
        }
    }
    let governing = surface.iter().fold(bolt.0, |high, one| one.0.higher(high));
    let modes = std::iter::once(bolt).chain(surface).map(|worst| worst.0).collect();
    Ok(MountCheck { forces, directions, modes, governing })
}

/// The highest utilisation of a mode that was seen so far.
#[derive(Clone, Copy)]
struct Worst(ModeUse);

impl Worst {
    /// Nothing seen yet.
    const fn new(mode: MountMode) -> Self {
        Self(ModeUse { mode, utilisation: 0.0, fastener: 0, direction: Direction::Forward })
    }

    /// Keeps the higher of the two.
    fn see(&mut self, utilisation: f64, (fastener, direction): (usize, Direction)) {
        if utilisation > self.0.utilisation {
            self.0 = ModeUse { utilisation, fastener, direction, ..self.0 };
        }
    }
}

impl ModeUse {
    /// The one of two that is used more; the other at a tie.
    fn higher(self, other: Self) -> Self {
        if self.utilisation > other.utilisation { self } else { other }
    }
}

/// Every mode of the surface under the loads of one fastener.
fn see_surface(
    surface: &mut [Worst],
    resistances: &[SurfaceResistance],
    loads: FastenerLoads,
    at: (usize, Direction),
) -> Result<(), OutOfRange> {
    for (worst, resistance) in surface.iter_mut().zip(resistances) {
        worst.see(resistance.utilisation(loads)?, at);
    }
    Ok(())
}

/// Every direction, with the loads of every fastener.
fn directions(
    case: &MountCase,
    forces: RestraintForces,
) -> Result<Vec<DirectionLoads>, OutOfRange> {
    let mut wanted = vec![
        (Direction::Forward, forces.forward),
        (Direction::Rearward, forces.forward),
        (Direction::Left, forces.side),
        (Direction::Right, forces.side),
    ];
    if let Some(level) = case.upward_g {
        let level = check::within("level upward, in g", level, UPWARD_RANGE)?;
        wanted.push((Direction::Upward, Newtons(case.mass.0 * level * STANDARD_GRAVITY)));
    }
    let shared = |(direction, force): (Direction, Newtons)| {
        let fasteners = pattern_forces(&case.pattern, &mass_force(case, direction, force))?;
        Ok(DirectionLoads { direction, force, fasteners })
    };
    wanted.into_iter().map(shared).collect()
}

/// The force of the mass in one direction.
fn mass_force(case: &MountCase, direction: Direction, force: Newtons) -> MassForce {
    let (height, offset) = (case.height, case.offset);
    let still = MassForce { height, offset, ..MassForce::default() };
    match direction {
        Direction::Forward => MassForce { along: force, ..still },
        Direction::Rearward => MassForce { along: Newtons(-force.0), ..still },
        Direction::Left => MassForce { across: force, ..still },
        Direction::Right => MassForce { across: Newtons(-force.0), ..still },
        Direction::Upward => MassForce { upward: force, ..still },
    }
}

/// Distance to the edge, or what the nearest neighbour amounts to where that is less.
fn effective_edge(case: &MountCase) -> Result<Millimetres, OutOfRange> {
    let Fastening { thread, surface, washer, edge, .. } = &case.fastening;
    let distance = check::positive("distance to the edge", *edge)?;
    let spacing = case.pattern.nearest_spacing();
    let least = surface.spacing_min(*thread).0.max(washer.unwrap_or_default().0);
    if spacing.0 < least {
        let allowed = format!("at least {least:.1} mm, for the holes and the washers");
        return Err(check::refusal("distance between the fasteners", &spacing, allowed));
    }
    match surface {
        MountSurface::Metal(_) => {
            let neighbour = spacing.0 - 0.75 * thread.clearance_hole().0;
            Ok(Millimetres(distance.min(neighbour)))
        }
        MountSurface::Board(_) | MountSurface::Laminate(_) => Ok(*edge),
    }
}
