//! How each circuit of the kit runs in this vehicle.

use crate::domain::document::{Section, listed};
use crate::domain::kit::{Circuit, Kit};
use crate::domain::kit_check::{SIZE_EXPECTED, conductor_size, rating};
use crate::domain::number::{Decimal, physical};
use crate::domain::plan::{Back, CircuitPlan, FusePick};
use crate::engineering::ampacity::{Insulation, Place};

/// More sections than any kit has circuits are not looked at.
const SECTIONS_MAX: usize = 24;

/// One way of a run, in metres; a truck is no longer.
const LENGTH_RANGE_M: &str = "0.05 to 30";

/// Which way the current goes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Cable,
    Chassis,
}

const RETURNS: [(&str, Way); 2] = [("cable", Way::Cable), ("chassis", Way::Chassis)];

const PLACES: [(&str, Place); 2] =
    [("outside", Place::Outside), ("engine_space", Place::EngineSpace)];

/// One plan for each circuit, in the kit's order.
pub(super) fn circuits(top: &Section<'_>, kit: &Kit) -> Option<Vec<CircuitPlan>> {
    let sections = top.named_sections("circuits", 0..=SECTIONS_MAX);
    let ids: Vec<&str> = kit.circuits.iter().map(|circuit| circuit.id.as_str()).collect();
    for (_, stranger) in sections.iter().filter(|(id, _)| !ids.contains(&id.as_str())) {
        stranger.let_stand();
        let instead = format!("Leave it out; the kit's circuits are {}.", listed(&ids));
        stranger.fault("", "The kit has no such circuit.", instead);
    }
    let planned: Vec<_> = kit
        .circuits
        .iter()
        .map(|circuit| match sections.iter().find(|(id, _)| *id == circuit.id) {
            Some((_, section)) => planned(section, circuit),
            None => unplanned(top, circuit),
        })
        .collect();
    planned.into_iter().collect()
}

fn unplanned(top: &Section<'_>, circuit: &Circuit) -> Option<CircuitPlan> {
    let key = format!("circuits.{}", circuit.id);
    let instead = format!("Write [{key}] and its keys beneath, for “{}”.", circuit.title);
    top.missing(&key, instead);
    None
}

fn planned(section: &Section<'_>, circuit: &Circuit) -> Option<CircuitPlan> {
    let length_out_m = section.decimal("length_out_m", LENGTH_RANGE_M);
    let back = back(section);
    let cable = section.parsed("cable", SIZE_EXPECTED, conductor_size);
    let insulation = insulation(section);
    let ambient_c = ambient(section, insulation);
    let place = section.choice("place", &PLACES);
    let circuits_bundled = section.whole("circuits_bundled", 1..=20);
    let joints = joints(section);
    let fuse = fuse(section, circuit, length_out_m);
    Some(CircuitPlan {
        circuit: circuit.id.clone(),
        cable: cable?,
        insulation: insulation?,
        length_out_m: length_out_m?,
        back: back?,
        ambient_c: ambient_c?,
        place: place?,
        circuits_bundled: circuits_bundled?,
        joints,
        fuse,
    })
}

/// Without a word, one lug at each end of the way out: two.
fn joints(section: &Section<'_>) -> u32 {
    if section.has("joints") { section.whole("joints", 0..=20).unwrap_or(2) } else { 2 }
}

fn insulation(section: &Section<'_>) -> Option<Insulation> {
    let figure = section.decimal("insulation_c", "60 to 200")?;
    let class = Insulation::parse_celsius(physical(figure)).ok();
    if class.is_none() {
        let classes = Insulation::ALL.map(|class| class.max().0.to_string());
        let wrong = format!("{figure} °C is not a temperature class of cables.");
        section.fault("insulation_c", wrong, format!("Write {}.", listed(&classes)));
    }
    class
}

/// The conductor is never cooler than the air, so the air must be below what the insulation stands.
fn ambient(section: &Section<'_>, insulation: Option<Insulation>) -> Option<Decimal> {
    let ambient = section.decimal("ambient_c", "-20 to 120")?;
    if let Some(most) =
        insulation.map(|class| class.max().0).filter(|most| physical(ambient) >= *most)
    {
        let wrong = format!("The insulation stands {most} °C, so air of {ambient} °C ruins it.");
        section.fault("ambient_c", wrong, "Write cooler air, or a higher insulation_c.");
    }
    Some(ambient)
}

fn back(section: &Section<'_>) -> Option<Back> {
    match section.choice("return", &RETURNS) {
        Some(Way::Cable) => {
            section.needless("bond_milliohm", "A return by cable has no bond to the body.");
            let length_m = section.decimal("length_back_m", LENGTH_RANGE_M)?;
            Some(Back::Cable { length_m })
        }
        Some(Way::Chassis) => {
            section.needless("length_back_m", "A return by the body has no cable back.");
            let bond_milliohm = section.decimal("bond_milliohm", "0.01 to 100")?;
            Some(Back::Chassis { bond_milliohm })
        }
        None => {
            section.maybe_decimal("length_back_m", LENGTH_RANGE_M);
            section.maybe_decimal("bond_milliohm", "0.01 to 100");
            None
        }
    }
}

/// The fuse that was picked, where the kit asks for one.
fn fuse(
    section: &Section<'_>,
    circuit: &Circuit,
    length_out_m: Option<Decimal>,
) -> Option<FusePick> {
    let Some(ask) = circuit.fuse else {
        for key in ["fuse_a", "fuse_distance_mm", "fuse_covered"] {
            section.needless(key, "The kit asks for no fuse in this circuit.");
        }
        return None;
    };
    let figure = section.decimal("fuse_a", "0.5 to 500");
    let rating_a = figure.and_then(|figure| rating(section, "fuse_a", figure, ask.form));
    let distance_mm = section.decimal("fuse_distance_mm", "0 to 5000");
    let whole_mm = length_out_m.map(|metres| metres * Decimal::ONE_THOUSAND);
    if let Some((distance, whole)) = distance_mm.zip(whole_mm).filter(|(at, whole)| at > whole) {
        let wrong = format!("A cable of {} mm has no place {distance} mm away.", whole.normalize());
        section.fault("fuse_distance_mm", wrong, "Write the way along the cable to the fuse.");
    }
    let covered = section.flag("fuse_covered");
    Some(FusePick { rating_a: rating_a?, distance_mm: distance_mm?, covered: covered? })
}
