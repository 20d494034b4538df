//! The mount under the forces of its restraint class: the real pattern, bolts and surface.

use crate::domain::kit::{Kit, Mounting};
use crate::domain::number::physical;
use crate::domain::plan::{Backing, MountingPlan, Surface};
use crate::engineering::OutOfRange;
use crate::engineering::board::Board;
use crate::engineering::fastener_pattern::{FastenerPattern, Position};
use crate::engineering::laminate::Laminate;
use crate::engineering::mount_check::{
    Fastening, MountCase, MountCheck, MountSurface, check_mount,
};
use crate::engineering::sheet_metal::{ALUMINIUM_TENSILE, MILD_STEEL_TENSILE, Sheet};
use crate::engineering::thread::{PropertyClass, Thread};
use crate::engineering::units::{Kilograms, Megapascals, Millimetres};

/// A mount and what came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mount {
    pub case: MountCase,
    pub check: MountCheck,
}

/// Works the mount out as it is planned.
pub fn mount(kit: &Kit, place: &MountingPlan) -> Result<Mount, OutOfRange> {
    let pattern = pattern(&kit.mounting)?;
    let case = MountCase {
        mass: Kilograms(physical(kit.mass_kg)),
        class: place.restraint,
        upward_g: None,
        height: Millimetres(physical(place.centre_of_mass_mm)),
        // The engineering counts to the left, people to the right.
        offset: Position::new(
            physical(place.off_centre.ahead_mm),
            -physical(place.off_centre.right_mm),
        ),
        fastening: fastening(&kit.mounting, place, pattern.nearest_spacing())?,
        pattern,
    };
    Ok(Mount { check: check_mount(&case)?, case })
}

/// Where the kit says so, the real places; else two even rows.
fn pattern(mounting: &Mounting) -> Result<FastenerPattern, OutOfRange> {
    if mounting.positions.is_empty() {
        return FastenerPattern::rectangle(
            mounting.count,
            Millimetres(physical(mounting.pattern_length_mm)),
            Millimetres(physical(mounting.pattern_width_mm)),
        );
    }
    let places = mounting
        .positions
        .iter()
        .map(|place| Position::new(physical(place.along_mm), -physical(place.across_mm)));
    FastenerPattern::at(places.collect())
}

fn fastening(
    mounting: &Mounting,
    place: &MountingPlan,
    spacing: Millimetres,
) -> Result<Fastening, OutOfRange> {
    let washer = physical(place.washer_mm.unwrap_or(mounting.washer_mm));
    let backing = match place.backing {
        Backing::Washers => 0.0,
        Backing::Plate { thickness_mm } => physical(thickness_mm),
    };
    let thickness = physical(place.thickness_mm);
    let metal = |tensile: Megapascals| {
        // Plate and sheet are clamped together: both bear, both are punched.
        let thickness = Millimetres(thickness + backing);
        (MountSurface::Metal(Sheet { thickness, tensile }), washer)
    };
    // Under a board the plate spreads the washer's pressure, at 45° on each side, but not farther
    // than to the middle between two fasteners.
    let spread = (washer + 2.0 * backing).min(spacing.0.max(washer));
    let (surface, washer) = match place.surface {
        Surface::Steel => metal(MILD_STEEL_TENSILE),
        Surface::Aluminium => metal(ALUMINIUM_TENSILE),
        Surface::Plywood => {
            (MountSurface::Board(Board::unknown_plywood(Millimetres(thickness))), spread)
        }
        Surface::Composite => {
            (MountSurface::Laminate(Laminate::unknown_glass(Millimetres(thickness))), spread)
        }
    };
    Ok(Fastening {
        thread: Thread::parse(&mounting.thread)?,
        property_class: PropertyClass::parse(&mounting.class)?,
        surface,
        washer: Some(Millimetres(washer)),
        edge: Millimetres(physical(place.edge_distance_mm)),
    })
}
