//! The findings of a plan: each figure against its limit, worst first.

use super::figures;
use super::finding::{Finding, Outcome};
use super::kit::Kit;
use super::number::physical;
use super::plan::{Plan, SolarPlan};
use crate::engineering::OutOfRange;
use crate::engineering::solar_string::{ColdestVoltage, SolarString, coldest_voltage};
use crate::engineering::units::{Celsius, Volts};

mod circuit;
mod mount;
mod runs;

pub use runs::{LongestRun, longest_runs};

/// All findings of a plan, worst first and then in the order of the work.
pub fn findings(kit: &Kit, plan: &Plan) -> Vec<Finding> {
    let mut all = Vec::new();
    match figures::circuits(kit, plan) {
        Ok(circuits) => {
            for circuit in &circuits {
                all.extend(circuit::findings(kit, plan, circuit));
            }
        }
        Err(refused) => all.push(cannot_work_out(&refused)),
    }
    all.extend(mount::findings(kit, plan));
    all.extend(cold_voltage(kit, plan));
    all.sort_by_key(|finding| std::cmp::Reverse(finding.outcome));
    all
}

/// The worst outcome of a plan.
pub fn worst(findings: &[Finding]) -> Outcome {
    findings.iter().map(|finding| finding.outcome).max().unwrap_or(Outcome::Ok)
}

/// A figure outside what the formulas are good for stops the plan, in the formula's own words.
fn cannot_work_out(refused: &OutOfRange) -> Finding {
    Finding {
        id: "plan.range".to_owned(),
        title: "A figure the calculation cannot take".to_owned(),
        value: 0.0,
        unit: "",
        lower: None,
        upper: None,
        outcome: Outcome::Stop,
        reason: refused.to_string(),
        formula: String::new(),
        source: "The range is named with each formula.".to_owned(),
        remedy: Some("Change the figure so that it lies in the range.".to_owned()),
    }
}

/// The modules of a plan in a row.
fn string(plan: &SolarPlan) -> SolarString {
    SolarString {
        module: Volts(physical(plan.module_voc_v)),
        coefficient: plan.voc_percent_per_k.map(|percent| physical(percent) / 100.0),
        in_series: plan.in_series,
    }
}

/// Open-circuit voltage of the whole string at a cell temperature [V].
pub fn solar_voltage(plan: &SolarPlan, cell_c: f64) -> Result<f64, OutOfRange> {
    string(plan).open_circuit(Celsius(cell_c)).map(|volts| volts.0)
}

/// Both rules with their figures put in.
fn cold_formula(cold: ColdestVoltage) -> String {
    format!(
        "by the module's coefficient {:.1}; by table {:.1} · {:.2} = {:.1}; the larger counts",
        cold.by_coefficient, cold.standard_test, cold.table_factor, cold.by_table
    )
}

/// The coldest morning must not break the input.
fn cold_voltage(kit: &Kit, plan: &Plan) -> Option<Finding> {
    let (input, solar) = kit.solar.as_ref().zip(plan.solar.as_ref())?;
    let coldest = physical(solar.coldest_c);
    let cold = match coldest_voltage(string(solar), Celsius(coldest)) {
        Ok(cold) => cold,
        Err(refused) => return Some(cannot_work_out(&refused)),
    };
    let value = cold.larger().0;
    let most = physical(input.voltage_max_v);
    let stop = value > most;
    Some(Finding {
        id: "solar.cold_voltage".to_owned(),
        title: "Solar voltage on the coldest morning".to_owned(),
        value,
        unit: "V",
        lower: None,
        upper: Some(most),
        outcome: if stop { Outcome::Stop } else { Outcome::Ok },
        reason: if stop {
            format!("At {coldest:.0} °C the modules give more than the input takes.")
        } else {
            format!("The input takes what the modules give at {coldest:.0} °C.")
        },
        formula: cold_formula(cold),
        source: format!(
            "NEC 690.7(A) table for crystalline silicon (from memory); input: {}",
            input.page
        ),
        remedy: stop.then(|| "Fewer modules in series, or modules of a lower voltage.".to_owned()),
    })
}
