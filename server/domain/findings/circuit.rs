//! Findings about one circuit: drop, ampacity, fuse against load and cable, place of the fuse.

use crate::domain::figures::{CircuitFigures, JOINTS_OHM};
use crate::domain::finding::{Finding, Outcome, three_digits};
use crate::domain::kit::{FuseAsk, Kit};
use crate::domain::number::physical;
use crate::domain::plan::{Back, FusePick, Plan};
use crate::engineering::Source;
use crate::engineering::cable_choice::{self, Demand, Protection, least_size};
use crate::engineering::fault::{FaultLoop, prospective_current};
use crate::engineering::fuse::{
    FUSE_DISTANCE_MAX, FuseRule, cap_by_rule, continuous_max, nearest_rating,
};
use crate::engineering::units::Celsius;
use crate::engineering::units::{Amps, Metres, Ohms, Volts};
use crate::engineering::voltage_drop::{Leg, Path, Return, path_resistance};

/// Everything there is to say about one circuit.
pub(super) fn findings(kit: &Kit, plan: &Plan, circuit: &CircuitFigures<'_>) -> Vec<Finding> {
    let mut all = vec![drop(circuit), ampacity(circuit)];
    all.extend(least_size_asked(circuit));
    if let (Some(asked), Some(pick)) = (circuit.kit.fuse, circuit.plan.fuse) {
        all.push(fuse_load(circuit, asked, pick));
        all.push(fuse_cable(circuit, pick));
        all.extend(fuse_asked(circuit, asked, pick));
        all.push(fuse_place(circuit, asked, pick));
        all.extend(breaking(plan, circuit, asked, pick));
        all.push(fuse_voltage(kit, circuit, asked));
    }
    all
}

fn finding(circuit: &CircuitFigures<'_>, name: &str, title: &str) -> Finding {
    Finding {
        id: format!("{}.{name}", circuit.kit.id),
        title: format!("{title}: {}", circuit.kit.title),
        value: 0.0,
        unit: "A",
        lower: None,
        upper: None,
        outcome: Outcome::Ok,
        reason: String::new(),
        formula: String::new(),
        source: String::new(),
        remedy: None,
    }
}

fn stop_if(stop: bool) -> Outcome {
    if stop { Outcome::Stop } else { Outcome::Ok }
}

fn sourced(source: Source) -> String {
    format!("{} ({})", source.text, source.sureness)
}

/// What the circuit asks of its cable, as the cable tables take it.
pub(super) fn demand(circuit: &CircuitFigures<'_>) -> Demand {
    Demand {
        current: circuit.current,
        allowed_drop: circuit.allowed_drop,
        insulation: circuit.plan.insulation,
        surroundings: circuit.surroundings,
        joints: JOINTS_OHM,
        protection: circuit.plan.fuse.map(|pick| Protection {
            rating: Amps(physical(pick.rating_a)),
            rule: FuseRule::ConductorAmpacity,
        }),
    }
}

/// The least size of the cable's family that would do, as a sentence.
fn larger_cable(circuit: &CircuitFigures<'_>) -> Option<String> {
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
    let stop = circuit.drop.0 > circuit.allowed_drop.0;
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
        source: format!(
            "{}; allowed {} % of nominal: kit, {}",
            sourced(circuit.plan.cable.source()),
            circuit.kit.allowed_drop_percent.normalize(),
            circuit.kit.page
        ),
        remedy: stop.then(|| larger_cable(circuit)).flatten(),
        ..finding(circuit, "drop", "Voltage drop, out and back")
    }
}

fn ampacity(circuit: &CircuitFigures<'_>) -> Finding {
    let carries = circuit.ampacity.value;
    let stop = circuit.current.0 > carries.0;
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
        source: format!(
            "{}; {}; {}",
            sourced(circuit.ampacity.source),
            sourced(circuit.ampacity.ambient_source),
            sourced(circuit.ampacity.grouping_source)
        ),
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
        source: format!("Kit, {}", circuit.kit.page),
        remedy: stop.then(|| format!("Take {} or larger.", asked.label())),
        ..finding(circuit, "least_size", "Conductor area asked for")
    })
}

fn fuse_load(circuit: &CircuitFigures<'_>, asked: FuseAsk, pick: FusePick) -> Finding {
    let rating = Amps(physical(pick.rating_a));
    let most = continuous_max(rating).unwrap_or(Amps(0.0));
    let stop = circuit.current.0 > most.0 + 1e-9;
    Finding {
        value: circuit.current.0,
        upper: Some(most.0),
        outcome: stop_if(stop),
        reason: if stop {
            "The fuse would age and open under the steady current.".to_owned()
        } else {
            "The fuse carries the steady current.".to_owned()
        },
        formula: format!("0.8 · In = 0.8 · {} A = {} A", rating.0, three_digits(most.0)),
        source: "Fuse makers' selection notes after ISO 8820-2 (from memory)".to_owned(),
        remedy: stop
            .then(|| nearest_rating(asked.form, circuit.current).ok())
            .flatten()
            .map(|next| format!("The next rating that carries it is {} A.", next.0)),
        ..finding(circuit, "fuse_load", "Fuse against load")
    }
}

fn fuse_cable(circuit: &CircuitFigures<'_>, pick: FusePick) -> Finding {
    let rating = physical(pick.rating_a);
    let iz = circuit.ampacity.value;
    let stop = rating > iz.0 + 1e-9;
    let beside: Vec<String> = [FuseRule::Fleet125, FuseRule::Cfr150]
        .into_iter()
        .filter_map(|rule| cap_by_rule(rule, iz).ok().map(|cap| (rule, cap)))
        .map(|(rule, cap)| format!("{} would allow {} A", rule.source().text, three_digits(cap.0)))
        .collect();
    Finding {
        value: rating,
        upper: Some(iz.0),
        outcome: stop_if(stop),
        reason: if stop {
            "The cable could burn before the fuse opens.".to_owned()
        } else {
            "The fuse opens before the cable is harmed.".to_owned()
        },
        formula: format!(
            "In ≤ Iz: {rating} A against {} A. For comparison: {}",
            three_digits(iz.0),
            beside.join("; ")
        ),
        source: sourced(FuseRule::ConductorAmpacity.source()),
        remedy: stop.then(|| larger_cable(circuit)).flatten(),
        ..finding(circuit, "fuse_cable", "Fuse against cable")
    }
}

/// The maker's rating against the picked one: both are shown, and a difference is never silent.
fn fuse_asked(circuit: &CircuitFigures<'_>, asked: FuseAsk, pick: FusePick) -> Option<Finding> {
    if pick.rating_a == asked.rating_a {
        return None;
    }
    let larger = pick.rating_a > asked.rating_a;
    Some(Finding {
        value: physical(pick.rating_a),
        upper: Some(physical(asked.rating_a)),
        outcome: if larger { Outcome::Stop } else { Outcome::Caution },
        reason: if larger {
            "The picked fuse is larger than the maker's.".to_owned()
        } else {
            "The picked fuse is smaller than the maker's: safe, but it may open at full load."
                .to_owned()
        },
        formula: format!(
            "picked {} A, maker {} A",
            pick.rating_a.normalize(),
            asked.rating_a.normalize()
        ),
        source: format!("Kit, {}", circuit.kit.page),
        remedy: Some(format!("Pick the maker's {} A.", asked.rating_a.normalize())),
        ..finding(circuit, "fuse_asked", "Fuse picked against the maker's")
    })
}

fn fuse_place(circuit: &CircuitFigures<'_>, asked: FuseAsk, pick: FusePick) -> Finding {
    let distance = physical(pick.distance_mm);
    let maker = physical(asked.distance_max_mm);
    let most = if pick.covered { maker } else { maker.min(FUSE_DISTANCE_MAX.0) };
    let stop = distance > most;
    Finding {
        value: distance,
        unit: "mm",
        upper: Some(most),
        outcome: stop_if(stop),
        reason: if stop {
            "Too much cable between source and fuse has no protection.".to_owned()
        } else {
            "The fuse sits close enough to its source.".to_owned()
        },
        formula: format!(
            "{distance:.0} mm along the cable; {:.0} mm or covered to the fuse, maker {maker:.0} mm, \
             the smaller counts",
            FUSE_DISTANCE_MAX.0
        ),
        source: format!("ISO 13297 (from memory); kit, {}", circuit.kit.page),
        remedy: stop.then(|| {
            if distance <= maker {
                "Cover the cable all the way to the fuse, or move the fuse closer.".to_owned()
            } else {
                format!("Move the fuse to within {most:.0} mm of the source.")
            }
        }),
        ..finding(circuit, "fuse_place", "Distance of the fuse from its source")
    }
}

/// Only where the source's resistance is known: a guessed one would be a guessed safety.
fn breaking(
    plan: &Plan,
    circuit: &CircuitFigures<'_>,
    asked: FuseAsk,
    pick: FusePick,
) -> Option<Finding> {
    let source = Ohms(physical(plan.vehicle.battery_milliohm?) / 1000.0);
    let to_fuse =
        Leg { size: circuit.plan.cable, length: Metres(physical(pick.distance_mm) / 1e3) };
    let path = Path { out: to_fuse, back: Return::Chassis(Ohms(0.0)), joints: Ohms(0.0) };
    let cold = path_resistance(&path, Celsius(20.0)).ok()?;
    let voltage = Volts(physical(plan.vehicle.nominal_voltage_v) * 1.05);
    let current = prospective_current(FaultLoop { voltage, source, path: cold.total }).ok()?;
    let capacity = asked.form.breaking_capacity();
    let stop = current.0 > capacity.0;
    Some(Finding {
        value: current.0,
        upper: Some(capacity.0),
        outcome: stop_if(stop),
        reason: if stop {
            "At a short circuit here the fuse may burst instead of opening.".to_owned()
        } else {
            "The fuse can break the current of a short circuit.".to_owned()
        },
        formula: format!(
            "U/(R_source + R_path) = {:.1} V / ({:.1} + {:.2}) mΩ = {} A, return taken as free",
            voltage.0,
            source.0 * 1000.0,
            cold.total.0 * 1000.0,
            three_digits(current.0)
        ),
        source: sourced(asked.form.scope_source()),
        remedy: stop.then(|| {
            "A form with a higher breaking capacity at the source: ask the maker which.".to_owned()
        }),
        ..finding(circuit, "fuse_breaking", "Short-circuit current at the fuse")
    })
}

fn fuse_voltage(kit: &Kit, circuit: &CircuitFigures<'_>, asked: FuseAsk) -> Finding {
    // A 12 V system charges at up to 15 V, a 24 V system at twice that.
    let highest = physical(kit.nominal_voltage_v) * 1.25;
    let rated = asked.form.rated_voltage().0;
    let stop = highest > rated;
    Finding {
        value: highest,
        unit: "V",
        upper: Some(rated),
        outcome: stop_if(stop),
        reason: if stop {
            "The arc may not go out at this voltage.".to_owned()
        } else {
            "The fuse is rated for the voltage.".to_owned()
        },
        formula: format!("1.25 · {} V against {rated} V", kit.nominal_voltage_v.normalize()),
        source: sourced(asked.form.scope_source()),
        remedy: stop.then(|| "A fuse form that is rated for this voltage.".to_owned()),
        ..finding(circuit, "fuse_voltage", "Voltage of the fuse")
    }
}
