//! Findings about the solar input: the coldest morning, the hottest afternoon, current, cable, fuses.

use crate::domain::finding::{Basis, Finding, Outcome};
use crate::domain::kit::{Kit, SolarInput};
use crate::domain::number::physical;
use crate::domain::plan::{Plan, SolarPlan};
use crate::engineering::units::{Celsius, Volts};
use crate::engineering::{OutOfRange, Source, solar};

const COLD_SOURCE: Source = Source::from_memory("NEC table 690.7(A) for crystalline silicon");

pub(super) fn findings(kit: &Kit, plan: &Plan) -> Vec<Finding> {
    let Some((input, modules)) = kit.solar.as_ref().zip(plan.solar.as_ref()) else {
        return Vec::new();
    };
    vec![cold_voltage(input, modules)]
}

/// The coldest morning must not break the input.
fn cold_voltage(input: &SolarInput, modules: &SolarPlan) -> Finding {
    let coldest = physical(modules.coldest_c);
    let by_module = match solar_voltage(modules, coldest) {
        Ok(volts) => volts,
        Err(refused) => return super::cannot_work_out(&refused),
    };
    let string = physical(modules.module_voc_v) * f64::from(modules.in_series);
    let factor = solar::cold_factor(Celsius(coldest));
    let by_table = string * factor;
    // Never silently the smaller of the two: the module's own coefficient only where it is larger.
    let value = by_module.max(by_table);
    let most = physical(input.voltage_max_v);
    let stop = value > most;
    Finding {
        value,
        unit: "V",
        upper: Some(most),
        outcome: if stop { Outcome::Stop } else { Outcome::Ok },
        reason: if stop {
            format!("At {coldest:.0} °C the modules give more than the input takes.")
        } else {
            format!("The input takes what the modules give at {coldest:.0} °C.")
        },
        formula: format!(
            "by the module's coefficient {by_module:.1} V; by table {string:.1} V · {factor:.2} = \
             {by_table:.1} V; the larger counts"
        ),
        sources: vec![COLD_SOURCE.into(), Basis::kit(&input.page)],
        remedy: stop.then(|| "Fewer modules in series, or modules of a lower voltage.".to_owned()),
        ..Finding::named("solar.cold_voltage", "Solar voltage on the coldest morning")
    }
}

/// Open-circuit voltage of the whole string at a cell temperature [V].
pub fn solar_voltage(plan: &SolarPlan, cell_c: f64) -> Result<f64, OutOfRange> {
    let module = Volts(physical(plan.module_voc_v));
    let own = plan.voc_percent_per_k.map(|percent| physical(percent) / 100.0);
    let coefficient = own.unwrap_or(solar::VOC_COEFFICIENT_SILICON);
    let one = solar::open_circuit_voltage(module, coefficient, Celsius(cell_c))?;
    Ok(one.0 * f64::from(plan.in_series))
}
