//! What is drawn of a plan, each drawing with its table beside it: path, fuse and cable, longest runs.

use crate::documents::drawing::{drop_path, fastener_pattern, fuse_curve};
use crate::domain::curves::{CircuitCurves, FuseCurve, GatePoint, PathPart, circuit_curves};
use crate::domain::figures::{self, CircuitFigures};
use crate::domain::finding::three_digits;
use crate::domain::findings::{LongestRun, longest_runs};
use crate::domain::kit::Kit;
use crate::domain::plan::{Plan, Vehicle};
use crate::engineering::fuse::FuseChoice;
use crate::engineering::pattern_forces::FastenerForce;
use crate::engineering::units::Metres;
use crate::web::page::Svg;

/// Runs longer than this are all the same to a vehicle [m].
const RUN_SHOWN_MAX_M: f64 = 30.0;

/// A row of a table beside a drawing.
pub(super) struct Row {
    pub(super) name: String,
    pub(super) first: String,
    pub(super) second: String,
}

pub(super) struct RunView {
    pub(super) size: &'static str,
    pub(super) run: String,
    pub(super) class: &'static str,
}

/// A drawing with its table.
pub(super) struct Drawn {
    pub(super) svg: Svg,
    pub(super) rows: Vec<Row>,
}

/// Everything that is drawn of one circuit.
pub(super) struct CircuitView {
    pub(super) title: String,
    pub(super) path: Drawn,
    pub(super) fuse: Option<Drawn>,
    /// What each named rule allows for this cable.
    pub(super) rules: Vec<Row>,
    pub(super) runs: Vec<RunView>,
}

/// Without a circuit that cannot be worked out: a finding says so.
pub(super) fn circuits(kit: &Kit, plan: &Plan) -> Vec<CircuitView> {
    figures::circuits(kit, plan).iter().map(|figures| circuit(&plan.vehicle, figures)).collect()
}

fn circuit(vehicle: &Vehicle, circuit: &CircuitFigures<'_>) -> CircuitView {
    let curves = circuit_curves(vehicle, circuit);
    CircuitView {
        path: path(&curves),
        fuse: curves.fuse.as_ref().map(|curve| fuse(&curves.id, curve)),
        rules: rules(circuit),
        runs: longest_runs(circuit).iter().map(run_view).collect(),
        title: curves.title,
    }
}

fn path(curves: &CircuitCurves) -> Drawn {
    let row = |part: &PathPart| Row {
        name: part.name.to_owned(),
        first: format!("{:.2} mΩ", part.resistance_milliohm),
        second: format!("{} V", three_digits(part.drop_v)),
    };
    let svg = Svg(drop_path(&format!("path-{}", curves.id), &curves.path));
    Drawn { svg, rows: curves.path.parts.iter().map(row).collect() }
}

fn fuse(id: &str, curve: &FuseCurve) -> Drawn {
    let mark = |(current, name): (f64, &str)| Row {
        name: name.to_owned(),
        first: format!("{} A", three_digits(current)),
        second: String::new(),
    };
    let gate = |point: &GatePoint| Row {
        name: format!("fuse opens at {} A", three_digits(point.current_a)),
        first: point
            .longest_s
            .map_or("no limit".to_owned(), |long| format!("by {} s", three_digits(long))),
        second: format!("not before {} s", three_digits(point.shortest_s)),
    };
    let rows = curve.marks().into_iter().map(mark).chain(curve.gate.iter().map(gate)).collect();
    Drawn { svg: Svg(fuse_curve(&format!("fuse-{id}"), curve)), rows }
}

/// Every named rule side by side, the strictest first; the first one is the one that is followed.
fn rules(circuit: &CircuitFigures<'_>) -> Vec<Row> {
    let row = |choice: &FuseChoice| Row {
        name: choice.cap.rule.source().text.to_owned(),
        first: format!("up to {} A", three_digits(choice.cap.highest.0)),
        second: match choice.rating() {
            Some(rating) => format!("take {} A", three_digits(rating.0)),
            None => "no rating fits".to_owned(),
        },
    };
    circuit.fuse_choices().iter().map(row).collect()
}

/// Nothing for a mount that cannot be worked out: a finding says so.
pub(super) fn mount(kit: &Kit, plan: &Plan) -> Option<Drawn> {
    let mount = figures::mount(kit, &plan.mounting).ok()?;
    let svg = Svg(fastener_pattern("mount-pattern", &mount)?);
    let loads = mount.check.in_direction(mount.check.governing.direction)?;
    let row = |(number, force): (usize, &FastenerForce)| Row {
        name: format!("fastener {}", number + 1),
        first: format!("shear {} N", three_digits(force.loads().shear.0)),
        second: format!("tension {} N", three_digits(force.loads().tension.0)),
    };
    let rows = loads.fasteners.iter().enumerate().map(row).collect();
    Some(Drawn { svg, rows })
}

fn run_view(run: &LongestRun) -> RunView {
    RunView {
        size: run.size.label(),
        run: run.run.map_or("not allowed".to_owned(), run_words),
        class: if run.is_planned { "table__row--picked" } else { "" },
    }
}

/// Beyond what any vehicle is long, the figure says nothing more.
fn run_words(run: Metres) -> String {
    if run.0 > RUN_SHOWN_MAX_M {
        format!("over {RUN_SHOWN_MAX_M:.0} m")
    } else {
        format!("{:.1} m", run.0)
    }
}
