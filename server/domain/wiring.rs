//! The wiring as fitted: what the kit asks for, what the plan chose for this vehicle, and what was
//! read back on it. Papers and drawings print this; nothing here judges.

use super::entry::Payload;
use super::figures;
use super::job::{JobState, Recorded, StepState};
use super::kit::{Circuit, Kit, Pole, Purpose, Terminal};
use super::number::Decimal;
use super::plan::{Back, CircuitPlan, Plan};
use crate::engineering::fuse::FuseForm;
use crate::engineering::units::Volts;

/// Every circuit in the kit's order, and the row of terminals.
#[derive(Debug, Clone)]
pub struct Wiring<'a> {
    pub circuits: Vec<WiredCircuit<'a>>,
    pub row: Option<TerminalOrder<'a>>,
}

/// One circuit from its source to what it feeds.
#[derive(Debug, Clone)]
pub struct WiredCircuit<'a> {
    pub kit: &'a Circuit,
    pub run: &'a CircuitPlan,
    pub fuse: Option<FittedFuse>,
    /// Calculated at the circuit's current; nothing where the plan cannot be worked out.
    pub drop: Option<CircuitDrop>,
    /// Terminals of the gear that it ends on, in the order of the row.
    pub terminals: Vec<&'a Terminal>,
}

/// What is lost out and back, and what may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CircuitDrop {
    pub calculated: Volts,
    pub allowed: Volts,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FittedFuse {
    pub form: FuseForm,
    pub rating_a: Decimal,
    /// The rating was read off the fuse; otherwise it is the planned one.
    pub read_back: bool,
    /// Along the cable from the source.
    pub distance_mm: Decimal,
    pub covered: bool,
}

/// The row of terminals as it was read back, left to right.
#[derive(Debug, Clone)]
pub struct TerminalOrder<'a> {
    pub result: &'a Recorded,
    pub places: Vec<TerminalPlace<'a>>,
}

#[derive(Debug, Clone)]
pub struct TerminalPlace<'a> {
    /// As it was read.
    pub label: &'a str,
    /// Nothing where the kit has no such label.
    pub terminal: Option<&'a Terminal>,
    pub circuit: Option<&'a Circuit>,
}

/// What is fitted by this kit, this plan and the record of this job.
pub fn wiring<'a>(kit: &'a Kit, plan: &'a Plan, state: &'a JobState) -> Wiring<'a> {
    let wired = |run: &'a CircuitPlan| {
        let circuit = kit.circuit(&run.circuit)?;
        Some(WiredCircuit {
            kit: circuit,
            run,
            fuse: fuse(circuit, run, state),
            drop: drop_of(kit, plan, &run.circuit),
            terminals: kit.terminals.iter().filter(|t| t.circuit == run.circuit).collect(),
        })
    };
    Wiring {
        circuits: plan.circuits.iter().filter_map(wired).collect(),
        row: terminal_order(kit, state),
    }
}

/// The row of terminals, where it was read back.
pub fn terminal_order<'a>(kit: &'a Kit, state: &'a JobState) -> Option<TerminalOrder<'a>> {
    let result = state.step("terminate.order").and_then(StepState::result)?;
    let Payload::Order { labels } = &result.body.payload else { return None };
    let place = |label: &'a String| {
        let terminal = kit.terminals.iter().find(|terminal| terminal.label == *label);
        let circuit = terminal.and_then(|terminal| kit.circuit(&terminal.circuit));
        TerminalPlace { label, terminal, circuit }
    };
    Some(TerminalOrder { result, places: labels.iter().map(place).collect() })
}

/// The rating that was read wins over the planned one: the paper tells what is in the holder.
fn fuse(circuit: &Circuit, run: &CircuitPlan, state: &JobState) -> Option<FittedFuse> {
    let (asked, pick) = circuit.fuse.zip(run.fuse)?;
    let read = state.step(&format!("protect.{}.fuse", circuit.id)).and_then(StepState::result);
    let read = read.and_then(|result| match result.body.payload {
        Payload::Fuse { rating_a } => Some(rating_a),
        _ => None,
    });
    Some(FittedFuse {
        form: asked.form,
        rating_a: read.unwrap_or(pick.rating_a),
        read_back: read.is_some(),
        distance_mm: pick.distance_mm,
        covered: pick.covered,
    })
}

fn drop_of(kit: &Kit, plan: &Plan, circuit: &str) -> Option<CircuitDrop> {
    let figures = figures::circuit(kit, plan, circuit).ok().flatten()?;
    Some(CircuitDrop { calculated: figures.drop, allowed: figures.allowed_drop })
}

impl WiredCircuit<'_> {
    /// Where the current comes from.
    pub fn from(&self) -> &'static str {
        match self.kit.purpose {
            Purpose::Supply => "vehicle battery",
            Purpose::Sense => "vehicle wiring",
            Purpose::Solar => "solar module",
            Purpose::Load => "gear",
        }
    }

    /// What it feeds.
    pub fn to(&self) -> &'static str {
        match self.kit.purpose {
            Purpose::Supply | Purpose::Sense | Purpose::Solar => "gear",
            Purpose::Load => "load",
        }
    }

    pub fn by_chassis(&self) -> bool {
        matches!(self.run.back, Back::Chassis { .. })
    }

    /// The terminal that the current arrives at, or leaves from.
    pub fn live(&self) -> Option<&Terminal> {
        self.terminals.iter().find(|terminal| terminal.pole != Pole::Negative).copied()
    }

    /// The terminal of the way back, which a circuit by the body may lack.
    pub fn negative(&self) -> Option<&Terminal> {
        self.terminals.iter().find(|terminal| terminal.pole == Pole::Negative).copied()
    }
}

/// The colours of a conductor, each by its two letters of IEC 60757: `GNYE` is `GN`, `YE`.
pub fn colour_codes(letters: &str) -> Vec<String> {
    let letters: Vec<char> = letters.chars().filter(char::is_ascii_alphabetic).collect();
    letters.chunks(2).map(|pair| pair.iter().collect::<String>().to_uppercase()).collect()
}
