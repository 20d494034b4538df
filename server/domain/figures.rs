//! The figures of one planned circuit: what findings judge and the sheet's limits rest on.

mod mount;

pub use mount::{Mount, mount};
use rust_decimal::prelude::ToPrimitive;

use super::finding::Basis;
use super::kit::{Circuit, Kit};
use super::number::{Decimal, physical};
use super::plan::{Back, Chemistry, CircuitPlan, FusePick, Plan, SolarPlan, Vehicle};
use crate::engineering::OutOfRange;
use crate::engineering::ampacity::{Ampacity, Surroundings, ampacity};
use crate::engineering::conductor::{ConductorLoad, conductor_temperature};
use crate::engineering::fault::{
    CRANKING_SOURCE, FaultLoop, k_factor, prospective_current, short_circuit_limit,
    source_resistance_from_cranking,
};
use crate::engineering::fuse::{FuseChoice, choices};
use crate::engineering::solar_string::SolarString;
use crate::engineering::units::{Amps, Celsius, Metres, Ohms, Volts};
use crate::engineering::voltage_drop::{Leg, Path, PathResistance, Return, path_resistance};

/// What one sound bolted or crimped joint adds; the plan's margin covers the scatter. Common
/// practice, no source.
pub const JOINT: Ohms = Ohms(0.0005);

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

/// Works out every circuit of a plan that can be: of any other one a finding tells why not.
pub fn circuits<'a>(kit: &'a Kit, plan: &'a Plan) -> Vec<CircuitFigures<'a>> {
    let each = plan.circuits.iter().map(|run| circuit(kit, plan, &run.circuit));
    each.filter_map(|found| found.ok().flatten()).collect()
}

/// Works out one circuit of a plan; nothing where kit or plan has none of this id.
pub fn circuit<'a>(
    kit: &'a Kit,
    plan: &'a Plan,
    id: &str,
) -> Result<Option<CircuitFigures<'a>>, OutOfRange> {
    let found = kit.circuit(id).zip(plan.circuit(id));
    found.map(|(circuit, run)| figures(kit, circuit, run)).transpose()
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
    Path { out: leg(plan.length_out_m), back, joints: joints(plan) }
}

/// All joints of the path together.
pub fn joints(plan: &CircuitPlan) -> Ohms {
    Ohms(JOINT.0 * f64::from(plan.joints))
}

/// What a short circuit draws, at the fuse and at the far end of the cable, everything cold.
#[derive(Debug, Clone, PartialEq)]
pub struct Faults {
    pub voltage: Volts,
    pub source: Ohms,
    /// A tester gave the source's resistance; otherwise it is an estimate.
    pub measured: bool,
    /// Where it comes from.
    pub basis: Basis,
    /// From the source to the fuse; the return counts as free, which gives the larger current.
    pub to_fuse: Ohms,
    /// The whole way out and back.
    pub whole: Ohms,
    pub at_fuse: Amps,
    pub far_end: Amps,
}

/// The short circuits of a circuit with a fuse, where the source's resistance is known.
pub fn faults(
    vehicle: &Vehicle,
    run: &CircuitPlan,
    pick: FusePick,
) -> Result<Option<Faults>, OutOfRange> {
    let Some((source, basis)) = source_resistance(vehicle)? else { return Ok(None) };
    let cold = Celsius(20.0);
    let leg = Leg { size: run.cable, length: Metres(physical(pick.distance_mm) / 1e3) };
    let near = Path { out: leg, back: Return::Chassis(Ohms(0.0)), joints: Ohms(0.0) };
    let (to_fuse, whole) =
        (path_resistance(&near, cold)?.total, path_resistance(&path(run), cold)?.total);
    let voltage = Volts(physical(vehicle.nominal_voltage_v) * full_over_nominal(vehicle.battery));
    let drawn = |path| prospective_current(FaultLoop { voltage, source, path });
    let (at_fuse, far_end) = (drawn(to_fuse)?, drawn(whole)?);
    let measured = vehicle.battery_milliohm.is_some();
    Ok(Some(Faults { voltage, source, measured, basis, to_fuse, whole, at_fuse, far_end }))
}

/// Open-circuit voltage of a full battery over its nominal voltage: 12.6 V of lead-acid, 13.4 V of
/// lithium iron phosphate in a 12 V system (reference battery council table; handbooks).
fn full_over_nominal(battery: Chemistry) -> f64 {
    if battery == Chemistry::Lfp { 13.4 / 12.0 } else { 12.6 / 12.0 }
}

/// What a tester gave; else, for lead-acid alone, the estimate from the cold cranking current.
fn source_resistance(vehicle: &Vehicle) -> Result<Option<(Ohms, Basis)>, OutOfRange> {
    if let Some(measured) = vehicle.battery_milliohm {
        let basis = Basis::plan("battery resistance by a tester");
        return Ok(Some((Ohms(physical(measured) / 1000.0), basis)));
    }
    let Some(cranking) = vehicle.cold_cranking_a.filter(|_| vehicle.battery != Chemistry::Lfp)
    else {
        return Ok(None);
    };
    let count = (vehicle.nominal_voltage_v / Decimal::from(12)).to_u32().unwrap_or(1);
    let source = source_resistance_from_cranking(Amps(physical(cranking)), count)?;
    Ok(Some((source, CRANKING_SOURCE.into())))
}

impl CircuitFigures<'_> {
    /// The k of the cable in a short circuit that begins when it is as hot as its insulation stands.
    pub fn short_circuit_k(&self) -> Result<f64, OutOfRange> {
        let insulation = self.plan.insulation;
        k_factor(insulation.max(), short_circuit_limit(insulation))
    }

    /// What every named rule leaves to choose from as a fuse, the strictest first; none for a circuit
    /// without a fuse.
    pub fn fuse_choices(&self) -> Vec<FuseChoice> {
        let found = self.kit.fuse.map(|ask| choices(ask.form, self.current, self.ampacity.value));
        found.and_then(Result::ok).map_or_else(Vec::new, Vec::from)
    }

    /// What the way out has in cable and joints. The joints are shared by both legs, or all on the
    /// way out where the body carries the current back.
    pub fn out_with_joints(&self) -> Ohms {
        Ohms(self.resistance.out.0 + self.resistance.joints.0 * self.share_out())
    }

    /// What the way back has in cable, or body, and joints.
    pub fn back_with_joints(&self) -> Ohms {
        Ohms(self.resistance.back.0 + self.resistance.joints.0 * (1.0 - self.share_out()))
    }

    fn share_out(&self) -> f64 {
        match self.plan.back {
            Back::Cable { .. } => 0.5,
            Back::Chassis { .. } => 1.0,
        }
    }
}

/// One string of the planned modules.
pub fn solar_string(plan: &SolarPlan) -> SolarString {
    SolarString {
        module: Volts(physical(plan.module_voc_v)),
        coefficient: plan.voc_percent_per_k.map(|percent| physical(percent) / 100.0),
        in_series: plan.in_series,
    }
}
