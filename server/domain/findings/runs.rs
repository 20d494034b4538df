//! How far each cable size may run in this vehicle, so that a longer run can still be judged.

use super::circuit::demand;
use crate::domain::figures::CircuitFigures;
use crate::domain::number::physical;
use crate::domain::plan::Back;
use crate::engineering::cable_choice::{RunBack, longest_run};
use crate::engineering::conductor::ConductorSize;
use crate::engineering::units::{Metres, Ohms};

/// The longest run of one size in one circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct LongestRun {
    pub size: ConductorSize,
    /// One way; nothing where the size cannot carry the current or is not protected by the fuse.
    pub run: Option<Metres>,
    pub is_planned: bool,
}

/// Every size of the planned cable's family.
pub fn longest_runs(circuit: &CircuitFigures<'_>) -> Vec<LongestRun> {
    let back = match circuit.plan.back {
        Back::Cable { .. } => RunBack::SameCable,
        Back::Chassis { bond_milliohm } => RunBack::Chassis(Ohms(physical(bond_milliohm) / 1000.0)),
    };
    let asked = demand(circuit);
    ConductorSize::all(circuit.plan.cable.family())
        .filter_map(|size| {
            let run = longest_run(size, &asked, back).ok()?;
            Some(LongestRun { size, run, is_planned: size == circuit.plan.cable })
        })
        .collect()
}
