//! The way of the current through one leg of a circuit, point by point, as probes can reach it: built
//! from kit and plan alone.

use crate::domain::figures::{self, CircuitFigures};
use crate::domain::kit::{Kit, Pole, Purpose};
use crate::domain::number::physical;
use crate::domain::plan::{Back, Plan};
use crate::domain::step::Phase;
use crate::engineering::conductor::resistance_at;
use crate::engineering::units::{Ohms, OhmsPerMetre};

/// One leg of a circuit, from where the current enters it to where it leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitPath {
    /// Where probes go, in words that follow "from" and "to". One more than there are segments.
    pub points: Vec<String>,
    pub segments: Vec<Segment>,
}

/// What lies between two neighbouring points.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// In words that begin a sentence: `The joint at the battery's positive post`.
    pub name: String,
    pub kind: SegmentKind,
    pub planned: Ohms,
}

/// What a segment is, for what to look at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SegmentKind {
    /// A lug on its stud, or an end in its clamp.
    Joint,
    /// A fuse in its holder.
    Fuse,
    /// A length of cable with a crimp at either end.
    Cable { per_metre: OhmsPerMetre },
}

/// A leg whose drop is measured under load, and the name its step carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Leg {
    Out,
    Back,
}

/// The last part of a step's key for the positive path, or for the return path.
pub fn loaded_leg_key(circuit: &str, is_return: bool) -> String {
    let name = if is_return { "drop_back" } else { "drop_out" };
    format!("{circuit}.{name}")
}

/// The circuit whose leg the step of this key measures; nothing for other steps.
pub fn loaded_circuit(key: &str) -> Option<&str> {
    let (phase, leg) = key.split_once('.')?;
    let (circuit, _) = leg.rsplit_once('.')?;
    let is_leg = [false, true].iter().any(|is_return| loaded_leg_key(circuit, *is_return) == leg);
    (phase == Phase::Prove.word() && is_leg).then_some(circuit)
}

/// The path that the step of this key measures; nothing for other steps.
pub fn circuit_path(kit: &Kit, plan: &Plan, key: &str) -> Option<CircuitPath> {
    let of_step = |circuit: &str, leg: Leg| {
        key == format!("{}.{}", Phase::Prove.word(), loaded_leg_key(circuit, leg == Leg::Back))
    };
    figures::circuits(kit, plan).iter().find_map(|circuit| {
        let leg = [Leg::Out, Leg::Back].into_iter().find(|leg| of_step(&circuit.kit.id, *leg))?;
        let is_loaded = matches!(circuit.kit.purpose, Purpose::Supply | Purpose::Load);
        let is_cable = leg == Leg::Out || matches!(circuit.plan.back, Back::Cable { .. });
        (is_loaded && is_cable).then(|| built(kit, circuit, leg)).flatten()
    })
}

/// Joints of a lug or a clamped end.
const END_CONTACTS: f64 = 1.0;
/// A fuse is held at both ends.
const FUSE_CONTACTS: f64 = 2.0;

fn built(kit: &Kit, circuit: &CircuitFigures<'_>, leg: Leg) -> Option<CircuitPath> {
    let per_metre =
        resistance_at(circuit.plan.cable.resistance_20c(), circuit.conductor_temperature).ok()?;
    let [start, end] = ends(kit, circuit, leg);
    let (cable, whole) = match leg {
        Leg::Out => (circuit.resistance.out, circuit.out_with_joints()),
        Leg::Back => (circuit.resistance.back, circuit.back_with_joints()),
    };
    let to_fuse = if leg == Leg::Out { to_fuse(circuit, per_metre, cable) } else { None };
    let contacts = 2.0 * END_CONTACTS + to_fuse.map_or(0.0, |_| FUSE_CONTACTS);
    let a_contact = Ohms((whole.0 - cable.0) / contacts);
    let mut path = CircuitPath { points: vec![start.post.clone()], segments: Vec::new() };
    path.joint(&start, start.cable_end.clone(), a_contact);
    match to_fuse {
        None => path.cable(&start.cable_end, end.cable_end.clone(), cable, per_metre),
        Some(near) => {
            path.cable(&start.cable_end, NEAR_FUSE.to_owned(), near, per_metre);
            path.push(
                FAR_FUSE.to_owned(),
                Segment {
                    name: "The fuse in its holder".to_owned(),
                    kind: SegmentKind::Fuse,
                    planned: Ohms(FUSE_CONTACTS * a_contact.0),
                },
            );
            let rest = Ohms(cable.0 - near.0);
            path.cable(FAR_FUSE, end.cable_end.clone(), rest, per_metre);
        }
    }
    path.joint(&end, end.post.clone(), a_contact);
    Some(path)
}

const NEAR_FUSE: &str = "the fuse's near side";
const FAR_FUSE: &str = "the fuse's far side";

/// The cable before the fuse; nothing without a fuse, or where it would lie beyond the cable's end.
fn to_fuse(circuit: &CircuitFigures<'_>, per_metre: OhmsPerMetre, cable: Ohms) -> Option<Ohms> {
    let near = physical(circuit.plan.fuse?.distance_mm) / 1e3 * per_metre.0;
    (near < cable.0).then_some(Ohms(near))
}

impl CircuitPath {
    fn push(&mut self, point: String, segment: Segment) {
        self.points.push(point);
        self.segments.push(segment);
    }

    fn joint(&mut self, end: &End, to: String, planned: Ohms) {
        let name = format!("The joint at {}", end.post);
        self.push(to, Segment { name, kind: SegmentKind::Joint, planned });
    }

    fn cable(&mut self, from: &str, to: String, planned: Ohms, per_metre: OhmsPerMetre) {
        let name = format!("The cable from {from} to {to}, with a crimp at either end,");
        self.push(to, Segment { name, kind: SegmentKind::Cable { per_metre }, planned });
    }
}

/// Where a leg begins or ends.
struct End {
    /// `the battery's positive post`
    post: String,
    /// `the lug on the battery's positive post`
    cable_end: String,
}

/// In the order of the current.
fn ends(kit: &Kit, circuit: &CircuitFigures<'_>, leg: Leg) -> [End; 2] {
    let pole = if leg == Leg::Out { Pole::Positive } else { Pole::Negative };
    let (gear, other) = (gear_end(kit, circuit, pole), other_end(circuit, pole));
    // A supply flows from the battery to the gear and back, a load the other way.
    let from_gear = (circuit.kit.purpose == Purpose::Load) == (leg == Leg::Out);
    if from_gear { [gear, other] } else { [other, gear] }
}

fn gear_end(kit: &Kit, circuit: &CircuitFigures<'_>, pole: Pole) -> End {
    let mut of_circuit = kit.terminals.iter().filter(|t| t.circuit == circuit.kit.id);
    let Some(terminal) = of_circuit.find(|terminal| terminal.pole == pole) else {
        let post = format!("the gear's {} terminal", pole_word(pole));
        return End { cable_end: format!("the cable's end at {post}"), post };
    };
    let post = format!("gear terminal {}", terminal.label);
    let end = if terminal.stud.is_some() { "the lug on" } else { "the conductor at" };
    End { cable_end: format!("{end} {post}"), post }
}

fn other_end(circuit: &CircuitFigures<'_>, pole: Pole) -> End {
    let pole = pole_word(pole);
    if circuit.kit.purpose == Purpose::Load {
        let post = format!("the {pole} terminal of what is fed");
        return End { cable_end: format!("the cable's end at {post}"), post };
    }
    let post = format!("the battery's {pole} post");
    End { cable_end: format!("the lug on {post}"), post }
}

fn pole_word(pole: Pole) -> &'static str {
    if pole == Pole::Positive { "positive" } else { "negative" }
}
