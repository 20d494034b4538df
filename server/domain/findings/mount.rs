//! Findings about the place and the fasteners: a first mount check.

use crate::domain::finding::{Finding, Outcome, three_digits};
use crate::domain::kit::Kit;
use crate::domain::number::physical;
use crate::domain::plan::{Backing, MountingPlan, Plan, RatingKind, Surface};
use crate::engineering::OutOfRange;
use crate::engineering::fastener_pattern::{FastenerPattern, Position};
use crate::engineering::mount_check::{
    Fastening, ModeUse, MountCase, MountCheck, MountMode, MountSurface, check_mount,
};
use crate::engineering::mount_remedy::{Remedies, mount_remedies};
use crate::engineering::mounting::surface_rating_needed;
use crate::engineering::sheet_metal::{
    ALUMINIUM_TENSILE, MILD_STEEL_TENSILE, SHEET_THICKNESS_MIN, Sheet,
};
use crate::engineering::thread::{PropertyClass, Thread};
use crate::engineering::units::{Kilograms, Millimetres};

pub(super) fn findings(kit: &Kit, plan: &Plan) -> Vec<Finding> {
    let place = &plan.mounting;
    let mut all = vec![thickness(kit, place), panel(place), layers(place), support(place)];
    all.extend(rating(kit, place));
    match place.surface {
        Surface::Steel | Surface::Aluminium => all.extend(fasteners(kit, place)),
        Surface::Plywood | Surface::Composite => all.push(no_rule(place)),
    }
    all
}

fn finding(name: &str, title: &str) -> Finding {
    Finding {
        id: format!("mount.{name}"),
        title: title.to_owned(),
        value: 0.0,
        unit: "",
        lower: None,
        upper: None,
        outcome: Outcome::Ok,
        reason: String::new(),
        formula: String::new(),
        source: "Common practice, no source; the maker's instructions come first".to_owned(),
        remedy: None,
    }
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
        source: format!(
            "Kit, {}; metal sheet never under {} mm (common practice, no source)",
            kit.mounting.page, SHEET_THICKNESS_MIN.0
        ),
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
    let (outcome, reason) = if given < least {
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
        source: format!(
            "{} ({}); kit, {}",
            place.restraint.source().text,
            place.restraint.source().sureness,
            kit.mounting.page
        ),
        remedy: (outcome != Outcome::Ok).then(|| {
            "Ask the maker of the surface for its crash figure, or choose a frame.".to_owned()
        }),
        ..finding("rating", "Rating of the surface")
    })
}

/// Bolts and sheet under the forces of the restraint class; the weakest decides.
fn fasteners(kit: &Kit, place: &MountingPlan) -> Vec<Finding> {
    match check(kit, place) {
        Ok((check, remedy)) => {
            check.modes.iter().map(|used| mode(place, &check, used, &remedy)).collect()
        }
        Err(refused) => vec![super::cannot_work_out(&refused)],
    }
}

/// One mode; the remedy stands beside every one that gives way.
fn mode(place: &MountingPlan, check: &MountCheck, used: &ModeUse, remedy: &str) -> Finding {
    let stop = used.utilisation > 1.0;
    let largest = check.largest_loads();
    Finding {
        id: format!("mount.{}", mode_key(used.mode)),
        value: used.utilisation * 100.0,
        unit: "%",
        upper: Some(100.0),
        outcome: if stop { Outcome::Stop } else { Outcome::Ok },
        reason: mode_reason(stop, used.mode == check.governing.mode),
        formula: format!(
            "forward {} N, sideways {} N; per fastener shear {} N, tension {} N",
            three_digits(check.forces.forward.0),
            three_digits(check.forces.side.0),
            three_digits(largest.shear.0),
            three_digits(largest.tension.0),
        ),
        source: format!(
            "{} ({}); levels: {}",
            used.mode.source().text,
            used.mode.source().sureness,
            place.restraint.source().text
        ),
        remedy: stop.then(|| remedy.to_owned()),
        ..finding("", &format!("Mounting, {}", used.mode.label()))
    }
}

/// The least change of each kind that makes the mount hold on its own.
fn remedy_sentence(place: &MountingPlan, remedies: &Remedies) -> String {
    let backing = remedies.backing_plate.map(|added| added.0 + backing_mm(place));
    let ways: Vec<String> = [
        remedies.washer.map(|washer| format!("{} mm washers ({})", washer.outer.0, washer.series)),
        backing.map(|mm| format!("a backing plate of {} mm under all fasteners", three_digits(mm))),
        remedies.fasteners.map(|count| format!("{count} fasteners")),
        remedies.thread.map(|larger| format!("{} bolts", larger.thread)),
    ]
    .into_iter()
    .flatten()
    .collect();
    match ways.as_slice() {
        [] => "No washer, plate or bolt alone makes it hold: a frame to the beams.".to_owned(),
        ways => format!("It would hold with {}.", ways.join(", or with ")),
    }
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

fn mode_reason(stop: bool, governs: bool) -> String {
    match (stop, governs) {
        (true, _) => "It gives way under the forces of the chosen restraint class.".to_owned(),
        (false, true) => "It holds; this is the weakest link.".to_owned(),
        (false, false) => "It holds, with more in hand than the weakest link.".to_owned(),
    }
}

/// Thickness of the plate that is planned behind the sheet.
fn backing_mm(place: &MountingPlan) -> f64 {
    match place.backing {
        Backing::Washers => 0.0,
        Backing::Plate { thickness_mm } => physical(thickness_mm),
    }
}

/// The check, and what would make the mount hold where it does not.
fn check(kit: &Kit, place: &MountingPlan) -> Result<(MountCheck, String), OutOfRange> {
    let case = mount_case(kit, place)?;
    let found = mount_remedies(&case)?;
    let remedy = found.map(|remedies| remedy_sentence(place, &remedies)).unwrap_or_default();
    Ok((check_mount(&case)?, remedy))
}

fn mount_case(kit: &Kit, place: &MountingPlan) -> Result<MountCase, OutOfRange> {
    let mounting = &kit.mounting;
    let tensile =
        if place.surface == Surface::Steel { MILD_STEEL_TENSILE } else { ALUMINIUM_TENSILE };
    let thickness = Millimetres(physical(place.thickness_mm) + backing_mm(place));
    Ok(MountCase {
        mass: Kilograms(physical(kit.mass_kg)),
        class: place.restraint,
        upward_g: None,
        height: Millimetres(physical(place.centre_of_mass_mm)),
        offset: Position::default(),
        pattern: FastenerPattern::rectangle(
            mounting.count,
            Millimetres(physical(mounting.pattern_length_mm)),
            Millimetres(physical(mounting.pattern_width_mm)),
        )?,
        fastening: Fastening {
            thread: Thread::parse(&mounting.thread)?,
            property_class: PropertyClass::parse(&mounting.class)?,
            surface: MountSurface::Metal(Sheet { thickness, tensile }),
            washer: Some(Millimetres(physical(mounting.washer_mm))),
            edge: Millimetres(physical(place.edge_distance_mm)),
        },
    })
}

/// No published rule for wood or composite is built in: say so, and never pass it silently.
fn no_rule(place: &MountingPlan) -> Finding {
    Finding {
        outcome: Outcome::Caution,
        reason: format!(
            "How {} holds under washers is not worked out here. The maker of the surface or of the \
             kit must say.",
            place.surface.label().to_lowercase()
        ),
        remedy: Some(
            "A metal backing plate through to the frame, by the maker's drawing.".to_owned(),
        ),
        ..finding("material", "Strength of the surface")
    }
}
