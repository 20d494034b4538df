//! What was planned and fitted: supply, circuits, fasteners, terminals, findings, instruments.

use crate::acts::job::{JobFile, SavedPlan};
use crate::documents::drawing::{PaperDrawing, fastener_pattern_on_paper, fuse_curve_on_paper};
use crate::documents::paper::{
    CircuitLine, FastenerLine, FindingLine, FindingOutcome, InstrumentLine, Supply,
    TerminalPosition, TerminalRow,
};
use crate::documents::voice::{Voice, end, fuse_words};
use crate::domain::certificate::Record;
use crate::domain::curves::circuit_curves;
use crate::domain::figures;
use crate::domain::finding::{Outcome, three_digits};
use crate::domain::job::StepState;
use crate::domain::kit::Purpose;
use crate::domain::number::Decimal;
use crate::domain::plan::{Back, Plan};
use crate::domain::wiring::{CircuitDrop, WiredCircuit, Wiring};
use crate::engineering::conductor::ConductorSize;
use crate::engineering::units::Volts;

pub(in crate::acts) fn supply(file: &JobFile, plan: &Plan) -> Supply {
    let vehicle = &plan.vehicle;
    let voice = file.voice();
    let chassis = plan.circuits.iter().any(|run| matches!(run.back, Back::Chassis { .. }));
    Supply {
        nominal_voltage: format!("{} V DC", file.kit.nominal_voltage_v.normalize()),
        source: voice.with(
            "supply-source",
            &[
                ("battery", &voice.say(&format!("battery-{}", vehicle.battery.word()))),
                ("capacity", &voice.figures(&format!("{} Ah", vehicle.battery_ah.normalize()))),
            ],
        ),
        return_arrangement: voice.say(if chassis { "return-mixed" } else { "return-cable" }),
    }
}

pub(in crate::acts) fn circuits(wiring: &Wiring<'_>, voice: &Voice) -> Vec<CircuitLine> {
    wiring.circuits.iter().map(|wired| circuit(wired, voice)).collect()
}

fn circuit(wired: &WiredCircuit<'_>, voice: &Voice) -> CircuitLine {
    let run = wired.run;
    let out = run.length_out_m.normalize();
    let (length, convention) = match run.back {
        Back::Cable { length_m } => (format!("{out} + {} m", length_m.normalize()), "length-cable"),
        Back::Chassis { .. } => (format!("{out} m"), "length-body"),
    };
    let fuse = wired.fuse;
    let volts = |of: fn(&CircuitDrop) -> Volts| {
        let words = |d| voice.figures(&format!("{} V", three_digits(of(d).0)));
        wired.drop.as_ref().map_or("–".to_owned(), words)
    };
    CircuitLine {
        purpose: wired.kit.title.clone(),
        from: voice.say(end(wired.from())),
        to: voice.say(end(wired.to())),
        cable: cable(run.cable, voice),
        insulation: voice.value(&format!("{:.0} °C", run.insulation.max().0)),
        length: voice.figures(&length),
        length_convention: voice.say(convention),
        fuse_form: fuse.map_or_else(|| voice.say("fuse-none"), |fuse| fuse_words(fuse.form, voice)),
        fuse_rating: figure(fuse.map(|fuse| (fuse.rating_a, "A")), voice),
        fuse_distance: figure(fuse.map(|fuse| (fuse.distance_mm, "mm")), voice),
        drop_calculated: volts(|drop| drop.calculated),
        drop_allowed: volts(|drop| drop.allowed),
    }
}

fn cable(size: ConductorSize, voice: &Voice) -> String {
    let metric = format!("{} Cu", voice.figures(size.label()));
    match voice.style.awg(size) {
        Some(awg) => format!("{metric} ({})", voice.with("awg-next", &[("size", &awg)])),
        None => metric,
    }
}

/// A figure with its unit, or nothing.
fn figure(figure: Option<(Decimal, &str)>, voice: &Voice) -> String {
    figure.map_or_else(String::new, |(figure, unit)| {
        voice.figures(&format!("{} {unit}", figure.normalize()))
    })
}

/// Fasteners of the mounting as one line, then each terminal and joint.
pub(super) fn fasteners(file: &JobFile) -> Vec<FastenerLine> {
    let (mounting, voice) = (&file.kit.mounting, file.voice());
    let of_mount: Vec<&StepState> = torques(file, "mount.fastener_").collect();
    let mut lines = vec![FastenerLine {
        place: voice.say("fastener-mounting"),
        fastener: voice.with(
            "fastener-mount",
            &[
                ("thread", mounting.thread.as_str()),
                ("class", mounting.class.as_str()),
                ("washer", &figure(Some((mounting.washer_mm, "mm")), &voice)),
            ],
        ),
        count: mounting.count.to_string(),
        torque: limit(of_mount.first().copied(), &voice),
        reached: reached(&of_mount, &voice),
        tool: tool(file, &of_mount),
    }];
    lines.extend(torques(file, "terminate.").map(|state| FastenerLine {
        place: state.step.title.clone(),
        fastener: voice.say("fastener-kit"),
        count: "1".to_owned(),
        torque: limit(Some(state), &voice),
        reached: reached(&[state], &voice),
        tool: tool(file, &[state]),
    }));
    lines
}

fn torques<'a>(file: &'a JobFile, prefix: &'a str) -> impl Iterator<Item = &'a StepState> {
    let is_torque = |state: &&StepState| state.step.kind.word() == "torque";
    file.state.steps.iter().filter(is_torque).filter(move |s| s.step.key.starts_with(prefix))
}

fn limit(state: Option<&StepState>, voice: &Voice) -> String {
    state.map(|state| voice.limit(&state.step.kind.limit_words())).unwrap_or_default()
}

fn reached(states: &[&StepState], voice: &Voice) -> String {
    let mut values: Vec<Decimal> = states
        .iter()
        .filter_map(|state| state.result()?.judged.as_ref().ok()?.figure)
        .map(|(figure, _)| figure)
        .collect();
    values.sort();
    match (values.first(), values.last()) {
        // As a value and not as a limit, so that it is rounded as one.
        (Some(low), Some(high)) if low != high => {
            let others = [low, high].map(|torque| voice.others(&format!("{torque} N·m")));
            let low = match others {
                [Some(other), _] => format!("{} N·m ({other})", voice.figures(&low.to_string())),
                _ => voice.figures(&low.to_string()),
            };
            let high = voice.value(&format!("{high} N·m"));
            voice.with("limit-between", &[("low", &low), ("high", &high)])
        }
        (Some(one), _) => voice.value(&format!("{one} N·m")),
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
    let voice = file.voice();
    let (by, at) = (file.name_of(row.result.act.person), voice.at(row.result.act.recorded));
    let positions = (1..).zip(&row.places).map(|(position, place)| TerminalPosition {
        position: position.to_string(),
        label: place.label.to_owned(),
        colour: place.terminal.map(|terminal| terminal.colour.clone()).unwrap_or_default(),
        conductor: place.circuit.map(|circuit| circuit.title.clone()).unwrap_or_default(),
    });
    vec![TerminalRow {
        place: voice.with("terminals-place", &[("kit", &file.kit.title)]),
        read_back: voice.with("read-back", &[("name", &by), ("at", &at)]),
        positions: positions.collect(),
    }]
}

pub(in crate::acts) fn findings(file: &JobFile, saved: &SavedPlan) -> Vec<FindingLine> {
    let (edition, voice) = (saved.row.edition, file.voice());
    let line = |finding: &crate::domain::finding::Finding| FindingLine {
        title: finding.title.clone(),
        value: voice.value(&finding.value_text()),
        limit: voice.limit(&finding.limit_text()),
        outcome: match finding.outcome {
            Outcome::Ok if !finding.is_judged() => FindingOutcome::Figure,
            Outcome::Ok => FindingOutcome::Ok,
            Outcome::Caution | Outcome::Stop => FindingOutcome::Caution,
        },
        formula: voice.figures(&finding.formula),
        source: finding.source_text(),
        acknowledgement: file.state.acknowledged(edition, &finding.id).map(|accepted| {
            voice.with(
                "accepted",
                &[
                    ("name", &file.name_of(accepted.act.person)),
                    ("at", &voice.at(accepted.act.received)),
                    ("reason", &accepted.reason),
                ],
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

pub(super) fn instruments(record: &Record, voice: &Voice) -> Vec<InstrumentLine> {
    let line = |line: &crate::domain::certificate::InstrumentLine| InstrumentLine {
        name: line.label.clone(),
        kind: line.kind.clone(),
        serial: line.serial.clone(),
        calibrated: voice.day(&line.calibrated),
        due: voice.day(&line.due),
        certificate: line.calibration.clone(),
    };
    record.instruments.iter().map(line).collect()
}
