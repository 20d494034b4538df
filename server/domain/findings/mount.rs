//! Findings about the place and the fasteners: a first mount check.

use crate::domain::figures::{self, Mount};
use crate::domain::finding::{Basis, Finding, Outcome, beyond, three_digits};
use crate::domain::kit::Kit;
use crate::domain::number::physical;
use crate::domain::plan::{MountingPlan, Plan, RatingKind, Surface};
use crate::engineering::mount_check::{ModeUse, MountMode};
use crate::engineering::mount_remedy::mount_remedies;
use crate::engineering::mounting::surface_rating_needed;
use crate::engineering::sheet_metal::SHEET_THICKNESS_MIN;
use crate::engineering::units::Kilograms;

pub(super) fn findings(kit: &Kit, plan: &Plan) -> Vec<Finding> {
    let place = &plan.mounting;
    let mut all = vec![thickness(kit, place), panel(place), layers(place), support(place)];
    all.extend(rating(kit, place));
    all.extend(recalled_strength(place));
    all.extend(fasteners(kit, place));
    all
}

fn finding(name: &str, title: &str) -> Finding {
    let practice = Basis::practice("the maker's instructions come first");
    Finding { sources: vec![practice], ..Finding::named(format!("mount.{name}"), title) }
}

fn thickness(kit: &Kit, place: &MountingPlan) -> Finding {
    let least = physical(kit.mounting.least_thickness_mm);
    let metal = matches!(place.surface, Surface::Steel | Surface::Aluminium);
    let least = if metal { least.max(SHEET_THICKNESS_MIN.0) } else { least };
    let value = physical(place.thickness_mm);
    let stop = value < least;
    Finding {
        value,
        unit: "mm",
        lower: Some(least),
        outcome: if stop { Outcome::Stop } else { Outcome::Ok },
        reason: if stop {
            "The surface is too thin to hold the fasteners.".to_owned()
        } else {
            "The surface is thick enough.".to_owned()
        },
        formula: format!("{} of {value} mm against {least} mm", place.surface.label()),
        sources: vec![
            Basis::kit(&kit.mounting.page),
            Basis::practice(format!("metal sheet never under {SHEET_THICKNESS_MIN}")),
        ],
        remedy: stop.then(|| "Another place, or a frame to the beams beneath.".to_owned()),
        ..finding("thickness", "Thickness of the surface")
    }
}

fn panel(place: &MountingPlan) -> Finding {
    Finding {
        outcome: if place.removable { Outcome::Stop } else { Outcome::Ok },
        reason: if place.removable {
            "A panel that comes off or moves cannot hold the gear.".to_owned()
        } else {
            "The panel is fixed to the vehicle.".to_owned()
        },
        remedy: place.removable.then(|| "Choose a fixed part of the body.".to_owned()),
        ..finding("panel", "Fixed or removable panel")
    }
}

fn layers(place: &MountingPlan) -> Finding {
    let several = place.layers > 1;
    Finding {
        value: f64::from(place.layers),
        unit: "layers",
        upper: Some(1.0),
        formula: format!("{} planned, 1 wanted", place.layers),
        outcome: if several { Outcome::Caution } else { Outcome::Ok },
        reason: if several {
            "Layers that are not bonded crush together and the bolts lose their clamp force."
                .to_owned()
        } else {
            "A single layer keeps the clamp force.".to_owned()
        },
        remedy: several.then(|| "Spacers between the layers, and say so in writing.".to_owned()),
        ..finding("layers", "Layers under the fasteners")
    }
}

fn support(place: &MountingPlan) -> Finding {
    Finding {
        outcome: if place.supported { Outcome::Ok } else { Outcome::Caution },
        reason: if place.supported {
            "Beams or a frame carry the panel.".to_owned()
        } else {
            "Nothing carries the panel from beneath: it bends before its fasteners fail.".to_owned()
        },
        remedy: (!place.supported).then(|| "A backing plate that reaches the beams.".to_owned()),
        ..finding("support", "Support from beneath")
    }
}

/// "Holds N kg" against the mass times the g of the restraint class.
fn rating(kit: &Kit, place: &MountingPlan) -> Option<Finding> {
    let given = physical(place.surface_rating_kg?);
    let mass = Kilograms(physical(kit.mass_kg));
    let needed = surface_rating_needed(mass, place.restraint).ok()?.0;
    let asked = kit.mounting.least_surface_rating_kg.map(physical);
    let least = asked.map_or(needed, |asked| asked.max(needed));
    let driving = place.rating_kind == Some(RatingKind::Driving);
    let (outcome, reason) = if beyond(least, given) {
        (Outcome::Stop, "The surface is rated for less than a crash asks of it.")
    } else if driving {
        (Outcome::Caution, "The rating is for driving; what it withstands in a crash is not known.")
    } else {
        (Outcome::Ok, "The surface is rated for what a crash asks of it.")
    };
    Some(Finding {
        value: given,
        unit: "kg",
        lower: Some(least),
        outcome,
        reason: reason.to_owned(),
        formula: format!(
            "m · n = {} kg · {} g = {} kg; kit asks {}",
            mass.0,
            place.restraint.levels().map_or(0.0, |levels| levels.forward_g),
            three_digits(needed),
            asked.map_or("nothing more".to_owned(), |kg| format!("{} kg", three_digits(kg)))
        ),
        sources: vec![place.restraint.source().into(), Basis::kit(&kit.mounting.page)],
        remedy: (outcome != Outcome::Ok).then(|| {
            "Ask the maker of the surface for its crash figure, or choose a frame.".to_owned()
        }),
        ..finding("rating", "Rating of the surface")
    })
}

/// Bolts and surface under the forces of the restraint class; the weakest decides.
fn fasteners(kit: &Kit, place: &MountingPlan) -> Vec<Finding> {
    match figures::mount(kit, place) {
        Ok(mount) => {
            let remedy = remedy(&mount);
            let told = |used: &ModeUse| Finding {
                remedy: remedy.clone().filter(|_| beyond(used.utilisation, 1.0)),
                ..mode(kit, place, &mount, used)
            };
            mount.check.modes.iter().map(told).collect()
        }
        Err(refused) => vec![Finding {
            remedy: Some(
                "Change the figure in the plan; if it is the kit's, ask its maker how it is held."
                    .to_owned(),
            ),
            ..super::cannot_work_out("mount.range", &refused)
        }],
    }
}

/// What would make the whole mount hold, each alone and checked anew; nothing where it holds. Some
/// of it is the kit maker's to allow.
fn remedy(mount: &Mount) -> Option<String> {
    let found = mount_remedies(&mount.case).ok()??;
    let ways: Vec<String> = [
        found.washer.map(|washer| format!("washers of {:.0} ({})", washer.outer, washer.series)),
        found.backing_plate.map(|plate| format!("{plate} more of plate under all fasteners")),
        found.fasteners.map(|count| format!("{count} fasteners")),
        found.thread.map(|larger| format!("{} bolts", larger.thread)),
    ]
    .into_iter()
    .flatten()
    .collect();
    Some(match ways.as_slice() {
        [] => "No washer, plate or bolt alone makes it hold: a frame to the beams.".to_owned(),
        ways => format!("It would hold with {}.", ways.join(", or with ")),
    })
}

fn mode(kit: &Kit, place: &MountingPlan, mount: &Mount, used: &ModeUse) -> Finding {
    let stop = beyond(used.utilisation, 1.0);
    Finding {
        value: used.utilisation * 100.0,
        unit: "%",
        upper: Some(100.0),
        outcome: if stop { Outcome::Stop } else { Outcome::Ok },
        reason: mode_reason(stop, used, mount),
        formula: mode_formula(mount, used),
        sources: vec![
            used.mode.source().into(),
            place.restraint.source().into(),
            Basis::kit(&kit.mounting.page),
        ],
        ..finding(mode_key(used.mode), &format!("Mounting, {}", used.mode.label()))
    }
}

/// The force in the worst direction, and what the worst fastener gets of it.
fn mode_formula(mount: &Mount, used: &ModeUse) -> String {
    let case = &mount.case;
    let worst = mount.check.in_direction(used.direction);
    let force = worst.map_or(0.0, |loads| loads.force.0);
    let loads = worst.and_then(|loads| loads.fasteners.get(used.fastener)).map(|f| f.loads());
    let (shear, tension) = loads.map_or((0.0, 0.0), |loads| (loads.shear.0, loads.tension.0));
    format!(
        "F = m·a·g0 = {} N {}, {:.0} above the surface, {} fasteners; fastener {} gets {} N shear \
         and {} N tension, {} % of what it stands",
        three_digits(force),
        used.direction,
        case.height,
        case.pattern.positions().len(),
        used.fastener + 1,
        three_digits(shear),
        three_digits(tension),
        three_digits(used.utilisation * 100.0),
    )
}

fn mode_key(mode: MountMode) -> &'static str {
    match mode {
        MountMode::Bolt => "bolt",
        MountMode::Bearing => "bearing",
        MountMode::Punching => "punching",
        MountMode::PullThrough => "pull_through",
        MountMode::Embedment => "embedment",
        MountMode::WasherPressure => "washer_pressure",
        MountMode::BoardPunching => "board_punching",
        MountMode::LaminateBearing => "laminate_bearing",
        MountMode::LaminatePunching => "laminate_punching",
    }
}

fn mode_reason(stop: bool, used: &ModeUse, mount: &Mount) -> String {
    if stop {
        format!("It gives way {} under the forces of the chosen restraint class.", used.direction)
    } else if used.mode == mount.check.governing.mode {
        "It holds; this is the weakest link.".to_owned()
    } else {
        "It holds, with more in hand than the weakest link.".to_owned()
    }
}

/// What is reckoned for a board or laminate is recalled and cautious: its maker must say.
fn recalled_strength(place: &MountingPlan) -> Option<Finding> {
    if matches!(place.surface, Surface::Steel | Surface::Aluminium) {
        return None;
    }
    Some(Finding {
        outcome: Outcome::Caution,
        reason: format!(
            "The strength of {} is reckoned with cautious figures from memory. The maker of the \
             surface or of the kit must confirm that it holds.",
            place.surface.label().to_lowercase()
        ),
        remedy: Some(
            "A metal backing plate through to the frame, by the maker's drawing.".to_owned(),
        ),
        sources: vec![Basis::plan("no data sheet of the surface is known here")],
        ..finding("material", "Strength of the surface")
    })
}
