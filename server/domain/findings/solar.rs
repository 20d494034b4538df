//! Findings about the solar input: the coldest morning, the hottest afternoon, current, cable, fuses.

use crate::domain::figures::{CircuitFigures, solar_string};
use crate::domain::finding::{Basis, Finding, Outcome, beyond, three_digits};
use crate::domain::kit::{Kit, SolarInput};
use crate::domain::number::physical;
use crate::domain::plan::{Plan, SolarPlan};
use crate::engineering::solar::{conductor_current, maximum_current};
use crate::engineering::solar_cell::{Daylight, cell_temperature_by_noct};
use crate::engineering::solar_string::{StringCurrents, coldest_voltage, string_fuse_window};
use crate::engineering::units::{Amps, Celsius, WattsPerSquareMetre};
use crate::engineering::{OutOfRange, Source};

const COLD_SOURCE: Source = Source::from_memory("NEC table 690.7(A) for crystalline silicon");
const COEFFICIENT_SOURCE: Source = Source::seen("NEC 690.7(A)(1), by the module's coefficient");
const CURRENT_SOURCE: Source = Source::seen("NEC 690.8, 1.25 · Isc and 1.25 again for the cable");
const NOCT_SOURCE: Source = Source::computed("cell temperature from NOCT at 1000 W/m²");
const STRING_FUSE_SOURCE: Source = Source::from_memory("IEC 62548, string fuses");

/// Nominal operating cell temperature where the data sheet is missing [°C]. Common practice, no source.
const NOCT_USUAL_C: f64 = 45.0;

/// Full sun on the hottest day.
const FULL_SUN: WattsPerSquareMetre = WattsPerSquareMetre(1000.0);

/// From so many strings on, one string's fault is fed by the others.
const STRINGS_FUSED_FROM: u32 = 3;

pub(super) fn findings(kit: &Kit, plan: &Plan, circuits: &[CircuitFigures<'_>]) -> Vec<Finding> {
    let Some((input, modules)) = kit.solar.as_ref().zip(plan.solar.as_ref()) else {
        return Vec::new();
    };
    let cable = circuits.iter().find(|circuit| circuit.kit.id == input.circuit);
    let fused = modules.in_parallel >= STRINGS_FUSED_FROM;
    let all = [
        Some(("cold_voltage", cold_voltage(input, modules))),
        Some(("hot_voltage", hot_voltage(input, modules))),
        Some(("current", current(input, modules))),
        cable.map(|circuit| ("cable", cable_current(modules, circuit))),
        fused.then(|| ("string_fuse", string_fuse(modules))),
    ];
    let told = |(name, found): (&str, Result<Finding, OutOfRange>)| {
        let refused = |refused| super::cannot_work_out(&format!("solar.{name}"), &refused);
        found.unwrap_or_else(refused)
    };
    all.into_iter().flatten().map(told).collect()
}

fn finding(name: &str, title: &str) -> Finding {
    Finding::named(format!("solar.{name}"), title)
}

/// The coldest morning must not break the input.
fn cold_voltage(input: &SolarInput, modules: &SolarPlan) -> Result<Finding, OutOfRange> {
    let coldest = physical(modules.coldest_c);
    let found = coldest_voltage(solar_string(modules), Celsius(coldest))?;
    // Never silently the smaller of the two.
    let value = found.larger().0;
    let most = physical(input.voltage_max_v);
    let stop = beyond(value, most);
    Ok(Finding {
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
            "by the module's coefficient {:.1}; by table {:.1} · {:.2} = {:.1}; the larger counts",
            found.by_coefficient, found.standard_test, found.table_factor, found.by_table
        ),
        sources: vec![COEFFICIENT_SOURCE.into(), COLD_SOURCE.into(), Basis::kit(&input.page)],
        remedy: stop.then(|| "Fewer modules in series, or modules of a lower voltage.".to_owned()),
        ..finding("cold_voltage", "Solar voltage on the coldest morning")
    })
}

/// How hot the cells get in full sun on the hottest day.
fn hottest_cell(modules: &SolarPlan) -> Result<Celsius, OutOfRange> {
    let noct = Celsius(modules.noct_c.map_or(NOCT_USUAL_C, physical));
    let air = Celsius(physical(modules.hottest_c));
    cell_temperature_by_noct(Daylight { air, irradiance: FULL_SUN }, noct)
}

/// On the hottest afternoon the input should still start.
fn hot_voltage(input: &SolarInput, modules: &SolarPlan) -> Result<Finding, OutOfRange> {
    let cell = hottest_cell(modules)?;
    let value = solar_string(modules).open_circuit(cell)?.0;
    let least = physical(input.voltage_start_v);
    let low = beyond(least, value);
    let noct = if modules.noct_c.is_some() {
        Basis::plan("operating cell temperature by the data sheet")
    } else {
        Basis::practice(format!("operating cell temperature {NOCT_USUAL_C:.0} °C"))
    };
    Ok(Finding {
        value,
        unit: "V",
        lower: Some(least),
        outcome: if low { Outcome::Caution } else { Outcome::Ok },
        reason: if low {
            "Hot modules do not reach the voltage at which the input starts.".to_owned()
        } else {
            "Even hot modules reach the voltage at which the input starts.".to_owned()
        },
        formula: format!(
            "{} in series · Voc · (1 + β·(T − 25)) = {value:.1} V with cells at {:.0} °C",
            modules.in_series, cell.0
        ),
        sources: vec![NOCT_SOURCE.into(), noct, Basis::kit(&input.page)],
        remedy: low.then(|| "More modules in series, as far as the cold allows.".to_owned()),
        ..finding("hot_voltage", "Solar voltage on the hottest afternoon")
    })
}

fn current(input: &SolarInput, modules: &SolarPlan) -> Result<Finding, OutOfRange> {
    let short = Amps(physical(modules.module_isc_a));
    let value = maximum_current(short, modules.in_parallel)?.0;
    let most = physical(input.current_max_a);
    let over = beyond(value, most);
    Ok(Finding {
        value,
        unit: "A",
        upper: Some(most),
        outcome: if over { Outcome::Caution } else { Outcome::Ok },
        reason: if over {
            "The modules can give more than the input is rated for. Some inputs limit it, others \
             are harmed: the maker must say which."
                .to_owned()
        } else {
            "The input is rated for the current in the brightest sun.".to_owned()
        },
        formula: format!(
            "1.25 · Isc · strings = 1.25 · {} A · {} = {} A",
            three_digits(short.0),
            modules.in_parallel,
            three_digits(value)
        ),
        sources: vec![CURRENT_SOURCE.into(), Basis::kit(&input.page)],
        remedy: over.then(|| "Fewer strings in parallel, or a word of the maker.".to_owned()),
        ..finding("current", "Solar current in the brightest sun")
    })
}

/// The cable carries it all day long.
fn cable_current(modules: &SolarPlan, circuit: &CircuitFigures<'_>) -> Result<Finding, OutOfRange> {
    let short = Amps(physical(modules.module_isc_a));
    let value = conductor_current(short, modules.in_parallel)?.0;
    let carries = circuit.ampacity.value.0;
    let stop = beyond(value, carries);
    Ok(Finding {
        value,
        unit: "A",
        upper: Some(carries),
        outcome: if stop { Outcome::Stop } else { Outcome::Ok },
        reason: if stop {
            "The cable is too small for a long bright day.".to_owned()
        } else {
            "The cable carries the current of a long bright day.".to_owned()
        },
        formula: format!(
            "1.5625 · Isc · strings = {} A; {} carries {} A here",
            three_digits(value),
            circuit.plan.cable.label(),
            three_digits(carries)
        ),
        sources: vec![CURRENT_SOURCE.into(), circuit.ampacity.source.into()],
        remedy: stop.then(|| "A larger cable, or fewer strings.".to_owned()),
        ..finding("cable", "Solar current against the cable")
    })
}

/// With three strings or more each one wants its own fuse: which ratings do.
fn string_fuse(modules: &SolarPlan) -> Result<Finding, OutOfRange> {
    let told = finding("string_fuse", "Fuse of each solar string");
    let Some(largest) = modules.module_fuse_max_a else {
        return Ok(Finding {
            outcome: Outcome::Caution,
            reason:
                "Three strings or more feed a fault in one of them: each wants a fuse, and the \
                     data sheet's largest string fuse is not given."
                    .to_owned(),
            sources: vec![STRING_FUSE_SOURCE.into()],
            remedy: Some("Fill in the largest string fuse, from the data sheet.".to_owned()),
            ..told
        });
    };
    let short_circuit = Amps(physical(modules.module_isc_a));
    let series_fuse_max = Amps(physical(largest));
    let window = string_fuse_window(StringCurrents { short_circuit, series_fuse_max })?;
    let most = window.below.0.min(window.at_most.0);
    // The window is open below: a fuse at its lower end is none.
    let none = !beyond(most, window.above.0);
    Ok(Finding {
        value: window.above.0,
        unit: "A",
        upper: Some(most),
        outcome: if none { Outcome::Stop } else { Outcome::Ok },
        reason: if none {
            "No fuse is large enough for the sun and small enough for the module.".to_owned()
        } else {
            format!(
                "Each string wants a fuse above {} and up to {} A.",
                window.above,
                three_digits(most)
            )
        },
        formula: format!(
            "1.5 · Isc = {:.1} < In < 2.4 · Isc = {:.1}, and at most {:.1}",
            window.above, window.below, window.at_most
        ),
        sources: vec![STRING_FUSE_SOURCE.into(), Basis::plan("largest fuse by the data sheet")],
        remedy: none.then(|| "Fewer strings, or other modules.".to_owned()),
        ..told
    })
}
