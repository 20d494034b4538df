//! The figures of one planned circuit: what findings judge and the sheet's limits rest on.

use super::kit::{Circuit, Kit};
use super::number::{Decimal, physical};
use super::plan::{Back, CircuitPlan, Plan};
use crate::engineering::OutOfRange;
use crate::engineering::ampacity::{Ampacity, Surroundings, ampacity};
use crate::engineering::conductor::{ConductorLoad, conductor_temperature};
use crate::engineering::units::{Amps, Celsius, Metres, Ohms, Volts};
use crate::engineering::voltage_drop::{Leg, Path, PathResistance, Return, path_resistance};

/// What two bolted joints of a leg add; the plan's margin covers their scatter. Common practice,
/// no source: half a milliohm each.
pub const JOINTS_OHM: Ohms = Ohms(0.001);

/// A circuit of the kit with its plan and the physics of both.
#[derive(Debug, Clone)]
pub struct CircuitFigures<'a> {
    pub kit: &'a Circuit,
    pub plan: &'a CircuitPlan,
    /// The current it is planned for.
    pub current: Amps,
    pub surroundings: Surroundings,
    pub ampacity: Ampacity,
    pub conductor_temperature: Celsius,
    pub resistance: PathResistance,
    pub drop: Volts,
    pub allowed_drop: Volts,
}

/// Works out every circuit of a plan that carries current enough to matter.
pub fn circuits<'a>(kit: &'a Kit, plan: &'a Plan) -> Result<Vec<CircuitFigures<'a>>, OutOfRange> {
    plan.circuits
        .iter()
        .filter_map(|run| kit.circuit(&run.circuit).map(|circuit| (circuit, run)))
        .map(|(circuit, run)| figures(kit, circuit, run))
        .collect()
}

fn figures<'a>(
    kit: &Kit,
    circuit: &'a Circuit,
    plan: &'a CircuitPlan,
) -> Result<CircuitFigures<'a>, OutOfRange> {
    let current = Amps(physical(circuit.continuous_a));
    let ambient = Celsius(physical(plan.ambient_c));
    let surroundings =
        Surroundings { ambient, place: plan.place, circuits_bundled: plan.circuits_bundled };
    let ampacity = ampacity(plan.cable, plan.insulation, surroundings)?;
    // An overloaded cable is a finding of its own; its drop is told at the insulation's limit.
    let load = Amps(current.0.min(ampacity.value.0));
    let temperature = conductor_temperature(ConductorLoad {
        ambient,
        insulation_max: plan.insulation.max(),
        current: load,
        ampacity: ampacity.value,
    })?;
    let resistance = path_resistance(&path(plan), temperature)?;
    let allowed = physical(kit.nominal_voltage_v * circuit.allowed_drop_percent) / 100.0;
    Ok(CircuitFigures {
        kit: circuit,
        plan,
        current,
        surroundings,
        ampacity,
        conductor_temperature: temperature,
        drop: Volts(current.0 * resistance.total.0),
        resistance,
        allowed_drop: Volts(allowed),
    })
}

/// The way of the current, out and back.
pub fn path(plan: &CircuitPlan) -> Path {
    let leg = |length: Decimal| Leg { size: plan.cable, length: Metres(physical(length)) };
    let back = match plan.back {
        Back::Cable { length_m } => Return::Cable(leg(length_m)),
        Back::Chassis { bond_milliohm } => Return::Chassis(Ohms(physical(bond_milliohm) / 1000.0)),
    };
    Path { out: leg(plan.length_out_m), back, joints: JOINTS_OHM }
}
