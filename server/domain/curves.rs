//! What is drawn of a circuit: where the voltage is lost, and the times of fuse and cable.

use serde::Serialize;

use super::figures::{self, CircuitFigures, Faults};
use super::number::physical;
use super::plan::{Back, Vehicle};
use crate::engineering::OutOfRange;
use crate::engineering::fault::damage_curve;
use crate::engineering::fuse::gate_points;

/// Everything that is drawn of one circuit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CircuitCurves {
    pub id: String,
    pub title: String,
    pub path: DropPath,
    /// Nothing for a circuit without a fuse.
    pub fuse: Option<FuseCurve>,
}

/// The curves of one circuit in this vehicle.
pub fn circuit_curves(vehicle: &Vehicle, circuit: &CircuitFigures<'_>) -> CircuitCurves {
    let faults = circuit
        .plan
        .fuse
        .and_then(|pick| figures::faults(vehicle, circuit.plan, pick).ok().flatten());
    CircuitCurves {
        id: circuit.kit.id.clone(),
        title: circuit.kit.title.clone(),
        path: drop_path(circuit),
        fuse: fuse_curve(circuit, faults.as_ref()),
    }
}

/// One part of the path, in the order of the current.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PathPart {
    pub name: &'static str,
    pub length_m: f64,
    pub resistance_milliohm: f64,
    pub drop_v: f64,
}

/// The path of a circuit at its planned current.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DropPath {
    pub parts: Vec<PathPart>,
    /// Way from the source to the gear.
    pub gear_at_m: f64,
    pub allowed_v: f64,
}

impl DropPath {
    pub fn lost_v(&self) -> f64 {
        self.parts.iter().map(|part| part.drop_v).sum()
    }

    pub fn length_m(&self) -> f64 {
        self.parts.iter().map(|part| part.length_m).sum()
    }
}

/// Cable and joints of the way out, then of the way back.
pub fn drop_path(circuit: &CircuitFigures<'_>) -> DropPath {
    let out_m = physical(circuit.plan.length_out_m);
    let r = &circuit.resistance;
    let joints_out = circuit.out_with_joints().0 - r.out.0;
    let joints_back = circuit.back_with_joints().0 - r.back.0;
    let part = |name, length_m, ohm: f64| PathPart {
        name,
        length_m,
        resistance_milliohm: ohm * 1000.0,
        drop_v: ohm * circuit.current.0,
    };
    let mut parts = vec![part("cable out", out_m, r.out.0), part("joints out", 0.0, joints_out)];
    match circuit.plan.back {
        Back::Cable { length_m } => {
            parts.push(part("joints back", 0.0, joints_back));
            parts.push(part("cable back", physical(length_m), r.back.0));
        }
        // The body is as long as the cable out, for the drawing alone.
        Back::Chassis { .. } => parts.push(part("body and bonds", out_m, r.back.0)),
    }
    DropPath { parts, gear_at_m: out_m, allowed_v: circuit.allowed_drop.0 }
}

/// The times between which the fuse opens at one current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GatePoint {
    pub current_a: f64,
    pub shortest_s: f64,
    pub longest_s: Option<f64>,
}

/// A fuse and the cable behind it, over the current.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FuseCurve {
    pub rating_a: f64,
    pub continuous_a: f64,
    pub ampacity_a: f64,
    /// At the printed multiples of the rating; empty for a form without a printed gate.
    pub gate: Vec<GatePoint>,
    /// Current and time that the cable stands, where the adiabatic law holds.
    pub cable: Vec<(f64, f64)>,
    /// Short circuit at the fuse and at the far end, where the source is known.
    pub faults: Option<(f64, f64)>,
}

impl FuseCurve {
    /// The currents that are marked, with the word for each, from small to large.
    pub fn marks(&self) -> Vec<(f64, &'static str)> {
        let mut all = vec![
            (self.continuous_a, "load"),
            (self.rating_a, "fuse"),
            (self.ampacity_a, "cable carries"),
        ];
        if let Some((at_fuse, far_end)) = self.faults {
            all.extend([(far_end, "short, far end"), (at_fuse, "short, at fuse")]);
        }
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    }

    pub fn largest_a(&self) -> f64 {
        let marks = self.marks().into_iter().map(|(current, _)| current);
        let gate = self.gate.iter().map(|point| point.current_a);
        let cable = self.cable.iter().map(|(current, _)| *current);
        marks.chain(gate).chain(cable).fold(0.0, f64::max)
    }
}

/// Nothing for a circuit without a fuse.
pub fn fuse_curve(circuit: &CircuitFigures<'_>, faults: Option<&Faults>) -> Option<FuseCurve> {
    let rating_a = physical(circuit.plan.fuse?.rating_a);
    let form = circuit.kit.fuse?.form;
    let gate = gate_points(form)
        .map(|point| GatePoint {
            current_a: point.multiple * rating_a,
            shortest_s: point.shortest.0,
            longest_s: point.longest.map(|longest| longest.0),
        })
        .collect();
    Some(FuseCurve {
        rating_a,
        continuous_a: circuit.current.0,
        ampacity_a: circuit.ampacity.value.0,
        gate,
        cable: short_time_limit(circuit).unwrap_or_default(),
        faults: faults.map(|faults| (faults.at_fuse.0, faults.far_end.0)),
    })
}

/// Both ends of the law, 5 s and 0.1 s: a straight line on logarithmic axes.
fn short_time_limit(circuit: &CircuitFigures<'_>) -> Result<Vec<(f64, f64)>, OutOfRange> {
    let ends = damage_curve(circuit.short_circuit_k()?, circuit.plan.cable.area(), 2)?;
    Ok(ends.into_iter().map(|end| (end.current.0, end.time.0)).collect())
}
