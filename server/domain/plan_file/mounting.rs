//! What the gear is bolted to in this vehicle.

use crate::domain::document::Section;
use crate::domain::kit::Kit;
use crate::domain::kit_check::washer_fault;
use crate::domain::number::{Decimal, physical};
use crate::domain::plan::{Backing, MountingPlan, OffCentre, RatingKind, Surface};
use crate::engineering::mounting::RestraintClass;

/// What spreads the load, without its thickness.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Spread {
    Washers,
    Plate,
}

const BACKINGS: [(&str, Spread); 2] = [("washers", Spread::Washers), ("plate", Spread::Plate)];

/// Levels of a class, or of the workshop's own.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Levels {
    Class(RestraintClass),
    Own,
}

const RESTRAINTS: [(&str, Levels); 4] = [
    ("M1N1", Levels::Class(RestraintClass::M1N1)),
    ("M2N2", Levels::Class(RestraintClass::M2N2)),
    ("M3N3", Levels::Class(RestraintClass::M3N3)),
    ("own", Levels::Own),
];

pub(super) fn mounting(section: &Section<'_>, kit: &Kit) -> Option<MountingPlan> {
    let surface = section.choice("surface", &Surface::ALL.map(|one| (one.word(), one)));
    let thickness_mm = section.decimal("thickness_mm", "0.4 to 100");
    let layers = section.whole("layers", 1..=10);
    let removable = section.flag("removable");
    let supported = section.flag("supported");
    let (surface_rating_kg, rating_kind) = surface_rating(section);
    let backing = backing(section);
    let edge_distance_mm = section.decimal("edge_distance_mm", "1 to 3000");
    let centre_of_mass_mm = section.decimal("centre_of_mass_mm", "0 to 1500");
    let off_centre = OffCentre {
        ahead_mm: section.maybe_decimal("off_ahead_mm", "-2000 to 2000").unwrap_or_default(),
        right_mm: section.maybe_decimal("off_right_mm", "-2000 to 2000").unwrap_or_default(),
    };
    let washer_mm = section.maybe_decimal("washer_mm", "5 to 200");
    washer_fault(section, &kit.mounting.thread, washer_mm);
    let restraint = restraint(section);
    Some(MountingPlan {
        surface: surface?,
        thickness_mm: thickness_mm?,
        layers: layers?,
        removable: removable?,
        supported: supported?,
        surface_rating_kg,
        rating_kind,
        backing: backing?,
        edge_distance_mm: edge_distance_mm?,
        centre_of_mass_mm: centre_of_mass_mm?,
        off_centre,
        washer_mm,
        restraint: restraint?,
    })
}

fn restraint(section: &Section<'_>) -> Option<RestraintClass> {
    let levels = section.choice("restraint", &RESTRAINTS);
    if let Some(Levels::Class(class)) = levels {
        for key in ["own_forward_g", "own_side_g"] {
            section.needless(key, "The class brings its own levels.");
        }
        return Some(class);
    }
    let own = levels == Some(Levels::Own);
    for key in ["own_forward_g", "own_side_g"].iter().filter(|key| own && !section.has(key)) {
        section.missing(key, "Write the level that is asked for, in multiples of g.");
    }
    let forward = section.maybe_decimal("own_forward_g", "0.5 to 100");
    let side = section.maybe_decimal("own_side_g", "0.5 to 100");
    let (forward_g, side_g) = forward.zip(side)?;
    own.then(|| RestraintClass::Own { forward_g: physical(forward_g), side_g: physical(side_g) })
}

/// A rating without its meaning is worthless, and the other way round.
fn surface_rating(section: &Section<'_>) -> (Option<Decimal>, Option<RatingKind>) {
    let rating = section.maybe_decimal("surface_rating_kg", "1 to 20000");
    let kinds = RatingKind::ALL.map(|kind| (kind.word(), kind));
    let kind = section.maybe_choice("rating_kind", &kinds);
    match (section.has("surface_rating_kg"), section.has("rating_kind")) {
        (true, false) => {
            let instead = "Write rating_kind = \"crash\" or \"driving\": they differ twentyfold.";
            section.missing("rating_kind", instead);
        }
        (false, true) => {
            section.needless("rating_kind", "There is no surface_rating_kg to explain.");
        }
        _ => {}
    }
    (rating, kind)
}

fn backing(section: &Section<'_>) -> Option<Backing> {
    match section.choice("backing", &BACKINGS) {
        Some(Spread::Washers) => {
            section.needless("backing_mm", "Washers alone are no plate.");
            Some(Backing::Washers)
        }
        Some(Spread::Plate) => {
            let thickness_mm = section.decimal("backing_mm", "0.5 to 50")?;
            Some(Backing::Plate { thickness_mm })
        }
        None => {
            section.maybe_decimal("backing_mm", "0.5 to 50");
            None
        }
    }
}
