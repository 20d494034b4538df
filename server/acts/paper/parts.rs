//! What was planned and fitted: supply, circuits, fasteners, terminals, findings, instruments.

use super::at;
use crate::acts::job::{JobFile, SavedPlan};
use crate::documents::drawing::{PaperDrawing, fastener_pattern_on_paper, fuse_curve_on_paper};
use crate::documents::paper::{
    CircuitLine, FastenerLine, FindingLine, FindingOutcome, InstrumentLine, Supply,
    TerminalPosition, TerminalRow,
};
use crate::domain::certificate::Record;
use crate::domain::curves::circuit_curves;
use crate::domain::figures;
use crate::domain::finding::{Outcome, three_digits};
use crate::domain::job::StepState;
use crate::domain::kit::Purpose;
use crate::domain::number::Decimal;
use crate::domain::plan::{Back, Plan};
use crate::domain::wiring::{CircuitDrop, WiredCircuit, Wiring};
use crate::engineering::units::Volts;

pub(in crate::acts) fn supply(file: &JobFile, plan: &Plan) -> Supply {
    let vehicle = &plan.vehicle;
    let chassis = plan.circuits.iter().any(|run| matches!(run.back, Back::Chassis { .. }));
    Supply {
        nominal_voltage: format!("{} V DC", file.kit.nominal_voltage_v.normalize()),
        source: format!(
            "Vehicle battery, {}, {} Ah",
            vehicle.battery.label(),
            vehicle.battery_ah.normalize()
        ),
        return_arrangement: if chassis {
            "By cable and, where the circuit table says so, through the body".to_owned()
        } else {
            "By cable, every circuit".to_owned()
        },
    }
}

pub(in crate::acts) fn circuits(wiring: &Wiring<'_>) -> Vec<CircuitLine> {
    wiring.circuits.iter().map(circuit).collect()
}

fn circuit(wired: &WiredCircuit<'_>) -> CircuitLine {
    let run = wired.run;
    let (length, convention) = match run.back {
        Back::Cable { length_m } => {
            (format!("{} + {} m", run.length_out_m.normalize(), length_m.normalize()), "out + back")
        }
        Back::Chassis { .. } => {
            (format!("{} m", run.length_out_m.normalize()), "out; back by the body")
        }
    };
    let fuse = wired.fuse;
    let volts = |of: fn(&CircuitDrop) -> Volts| {
        wired.drop.as_ref().map_or("–".to_owned(), |d| format!("{} V", three_digits(of(d).0)))
    };
    CircuitLine {
        purpose: wired.kit.title.clone(),
        from: wired.from().to_owned(),
        to: wired.to().to_owned(),
        cable: format!("{} Cu", run.cable.label()),
        insulation: format!("{:.0} °C", run.insulation.max().0),
        length,
        length_convention: convention.to_owned(),
        fuse_form: fuse.map_or("none".to_owned(), |fuse| fuse.form.label().to_owned()),
        fuse_rating: fuse.map_or(String::new(), |f| format!("{} A", f.rating_a.normalize())),
        fuse_distance: fuse.map_or(String::new(), |f| format!("{} mm", f.distance_mm.normalize())),
        drop_calculated: volts(|drop| drop.calculated),
        drop_allowed: volts(|drop| drop.allowed),
    }
}

/// Fasteners of the mounting as one line, then each terminal and joint.
pub(super) fn fasteners(file: &JobFile) -> Vec<FastenerLine> {
    let mounting = &file.kit.mounting;
    let of_mount: Vec<&StepState> = torques(file, "mount.fastener_").collect();
    let mut lines = vec![FastenerLine {
        place: "Mounting".to_owned(),
        fastener: format!(
            "{}, class {}, washer {} mm",
            mounting.thread,
            mounting.class,
            mounting.washer_mm.normalize()
        ),
        count: mounting.count.to_string(),
        torque: limit(of_mount.first().copied()),
        reached: reached(&of_mount),
        tool: tool(file, &of_mount),
    }];
    lines.extend(torques(file, "terminate.").map(|state| FastenerLine {
        place: state.step.title.clone(),
        fastener: "as the kit says".to_owned(),
        count: "1".to_owned(),
        torque: limit(Some(state)),
        reached: reached(&[state]),
        tool: tool(file, &[state]),
    }));
    lines
}

fn torques<'a>(file: &'a JobFile, prefix: &'a str) -> impl Iterator<Item = &'a StepState> {
    let is_torque = |state: &&StepState| state.step.kind.word() == "torque";
    file.state.steps.iter().filter(is_torque).filter(move |s| s.step.key.starts_with(prefix))
}

fn limit(state: Option<&StepState>) -> String {
    state.map(|state| state.step.kind.limit_words()).unwrap_or_default()
}

fn reached(states: &[&StepState]) -> String {
    let mut values: Vec<Decimal> = states
        .iter()
        .filter_map(|state| state.result()?.judged.as_ref().ok()?.figure)
        .map(|(figure, _)| figure)
        .collect();
    values.sort();
    match (values.first(), values.last()) {
        (Some(low), Some(high)) if low != high => format!("{low} to {high} N·m"),
        (Some(one), _) => format!("{one} N·m"),
        _ => "–".to_owned(),
    }
}

fn tool(file: &JobFile, states: &[&StepState]) -> String {
    let mut labels: Vec<&str> = states
        .iter()
        .filter_map(|state| state.result())
        .flat_map(|result| file.instrument_labels(&result.body.payload))
        .collect();
    labels.sort_unstable();
    labels.dedup();
    labels.join(", ")
}

/// The terminal row as it was read back.
pub(in crate::acts) fn terminals(file: &JobFile, wiring: &Wiring<'_>) -> Vec<TerminalRow> {
    let Some(row) = &wiring.row else { return Vec::new() };
    let positions = (1..).zip(&row.places).map(|(position, place)| TerminalPosition {
        position: position.to_string(),
        label: place.label.to_owned(),
        colour: place.terminal.map(|terminal| terminal.colour.clone()).unwrap_or_default(),
        conductor: place.circuit.map(|circuit| circuit.title.clone()).unwrap_or_default(),
    });
    vec![TerminalRow {
        place: format!("{}, left to right", file.kit.title),
        read_back: format!(
            "Read back by {}, {}",
            file.name_of(row.result.act.person),
            at(row.result.act.recorded)
        ),
        positions: positions.collect(),
    }]
}

pub(in crate::acts) fn findings(file: &JobFile, saved: &SavedPlan) -> Vec<FindingLine> {
    let edition = saved.row.edition;
    let line = |finding: &crate::domain::finding::Finding| FindingLine {
        title: finding.title.clone(),
        value: finding.value_text(),
        limit: finding.limit_text(),
        outcome: match finding.outcome {
            Outcome::Ok if !finding.is_judged() => FindingOutcome::Figure,
            Outcome::Ok => FindingOutcome::Ok,
            Outcome::Caution | Outcome::Stop => FindingOutcome::Caution,
        },
        formula: finding.formula.clone(),
        source: finding.source_text(),
        acknowledgement: file.state.acknowledged(edition, &finding.id).map(|accepted| {
            format!(
                "Accepted by {}, {}: {}",
                file.name_of(accepted.act.person),
                at(accepted.act.received),
                accepted.reason
            )
        }),
    };
    file.findings().iter().map(line).collect()
}

/// Fuse and cable of the first supply that has both, then the fasteners.
pub(super) fn drawings(file: &JobFile, plan: &Plan) -> Vec<PaperDrawing> {
    let circuits = figures::circuits(&file.kit, plan);
    let mut supplies = circuits.iter().filter(|circuit| circuit.kit.purpose == Purpose::Supply);
    let supply = supplies.find_map(|circuit| {
        let curves = circuit_curves(&plan.vehicle, circuit);
        Some((curves.fuse?, curves.title))
    });
    let fuse = supply.map(|(curve, title)| {
        let drawing = fuse_curve_on_paper(&curve);
        PaperDrawing { caption: format!("{}: {title}", drawing.caption), ..drawing }
    });
    let mount = figures::mount(&file.kit, &plan.mounting).ok();
    let fasteners = mount.and_then(|mount| fastener_pattern_on_paper(&mount));
    fuse.into_iter().chain(fasteners).collect()
}

pub(super) fn instruments(record: &Record) -> Vec<InstrumentLine> {
    let line = |line: &crate::domain::certificate::InstrumentLine| InstrumentLine {
        name: line.label.clone(),
        kind: line.kind.clone(),
        serial: line.serial.clone(),
        calibrated: line.calibrated.clone(),
        due: line.due.clone(),
        certificate: line.calibration.clone(),
    };
    record.instruments.iter().map(line).collect()
}
