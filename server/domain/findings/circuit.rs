//! Findings about the cable of one circuit: drop, ampacity, the maker's least size.

use super::{fault, fuse};
use crate::domain::figures::{self, CircuitFigures};
use crate::domain::finding::{Basis, Finding, Outcome, beyond, three_digits};
use crate::domain::kit::Kit;
use crate::domain::number::physical;
use crate::domain::plan::{Back, Plan};
use crate::engineering::cable_choice::{self, Demand, Protection, least_size};
use crate::engineering::fuse::FuseRule;
use crate::engineering::units::{Amps, Metres, Ohms};

/// Everything there is to say about one circuit.
pub(super) fn findings(kit: &Kit, plan: &Plan, circuit: &CircuitFigures<'_>) -> Vec<Finding> {
    let mut all = vec![drop(circuit), ampacity(circuit)];
    all.extend(least_size_asked(circuit));
    all.extend(fuse::findings(kit, circuit));
    all.extend(fault::findings(plan, circuit));
    all
}

/// A finding about this circuit.
pub(super) fn finding(circuit: &CircuitFigures<'_>, name: &str, title: &str) -> Finding {
    let id = format!("{}.{name}", circuit.kit.id);
    Finding { unit: "A", ..Finding::named(id, format!("{title}: {}", circuit.kit.title)) }
}

pub(super) fn stop_if(stop: bool) -> Outcome {
    if stop { Outcome::Stop } else { Outcome::Ok }
}

/// What the circuit asks of its cable, as the cable tables take it.
pub(super) fn demand(circuit: &CircuitFigures<'_>) -> Demand {
    Demand {
        current: circuit.current,
        allowed_drop: circuit.allowed_drop,
        insulation: circuit.plan.insulation,
        surroundings: circuit.surroundings,
        joints: figures::joints(circuit.plan),
        protection: circuit.plan.fuse.map(|pick| Protection {
            rating: Amps(physical(pick.rating_a)),
            rule: FuseRule::ConductorAmpacity,
        }),
    }
}

/// The least size of the cable's family that would do, as a sentence.
pub(super) fn larger_cable(circuit: &CircuitFigures<'_>) -> Option<String> {
    let back = match circuit.plan.back {
        Back::Cable { length_m } => cable_choice::Back::SameSize(Metres(physical(length_m))),
        Back::Chassis { bond_milliohm } => {
            cable_choice::Back::Chassis(Ohms(physical(bond_milliohm) / 1000.0))
        }
    };
    let out = Metres(physical(circuit.plan.length_out_m));
    let found = least_size(circuit.plan.cable.family(), &demand(circuit), out, back).ok()?;
    Some(match found {
        Some(fits) => format!("Take {}: it meets drop, ampacity and fuse.", fits.size.label()),
        None => "No size of this family does it: shorten the run or lower the fuse.".to_owned(),
    })
}

fn drop(circuit: &CircuitFigures<'_>) -> Finding {
    let stop = beyond(circuit.drop.0, circuit.allowed_drop.0);
    let r = &circuit.resistance;
    Finding {
        value: circuit.drop.0,
        unit: "V",
        upper: Some(circuit.allowed_drop.0),
        outcome: stop_if(stop),
        reason: if stop {
            "More is lost on the way than the kit allows.".to_owned()
        } else {
            "The gear gets the voltage it needs.".to_owned()
        },
        formula: format!(
            "I·(R_out + R_back + R_joints) = {} A · ({:.2} + {:.2} + {:.2}) mΩ = {} V at {:.0} °C \
             conductor temperature",
            three_digits(circuit.current.0),
            r.out.0 * 1000.0,
            r.back.0 * 1000.0,
            r.joints.0 * 1000.0,
            three_digits(circuit.drop.0),
            circuit.conductor_temperature.0,
        ),
        sources: vec![
            circuit.plan.cable.source().into(),
            Basis::kit(&format!(
                "{}: at most {} % of nominal",
                circuit.kit.page,
                circuit.kit.allowed_drop_percent.normalize()
            )),
        ],
        remedy: stop.then(|| larger_cable(circuit)).flatten(),
        ..finding(circuit, "drop", "Voltage drop, out and back")
    }
}

fn ampacity(circuit: &CircuitFigures<'_>) -> Finding {
    let carries = circuit.ampacity.value;
    let stop = beyond(circuit.current.0, carries.0);
    Finding {
        value: circuit.current.0,
        upper: Some(carries.0),
        outcome: stop_if(stop),
        reason: if stop {
            format!("{} gets too hot at this current here.", circuit.plan.cable.label())
        } else {
            format!("{} carries the current in these surroundings.", circuit.plan.cable.label())
        },
        formula: format!(
            "Iz = I_table · k_ambient · k_group = {} A · {:.2} · {:.2} = {} A",
            three_digits(circuit.ampacity.base.0),
            circuit.ampacity.ambient_factor,
            circuit.ampacity.grouping_factor,
            three_digits(carries.0),
        ),
        sources: [
            circuit.ampacity.source,
            circuit.ampacity.ambient_source,
            circuit.ampacity.grouping_source,
        ]
        .map(Basis::from)
        .into(),
        remedy: stop.then(|| larger_cable(circuit)).flatten(),
        ..finding(circuit, "ampacity", "Current against ampacity")
    }
}

fn least_size_asked(circuit: &CircuitFigures<'_>) -> Option<Finding> {
    let asked = circuit.kit.least_size?;
    let stop = circuit.plan.cable.area() < asked.area();
    Some(Finding {
        value: circuit.plan.cable.area().0,
        unit: "mm²",
        lower: Some(asked.area().0),
        outcome: stop_if(stop),
        reason: if stop {
            "The maker asks for a larger conductor area.".to_owned()
        } else {
            "The conductor area is at least the maker's.".to_owned()
        },
        formula: format!("{} against {}", circuit.plan.cable.label(), asked.label()),
        sources: vec![Basis::kit(&circuit.kit.page)],
        remedy: stop.then(|| format!("Take {} or larger.", asked.label())),
        ..finding(circuit, "least_size", "Conductor area asked for")
    })
}
