//! Steps that prove with meter and load that what was fitted is what was planned.

use super::{Making, Phase, Step, StepKind, limits, step};
use crate::domain::diagnosis::loaded_leg_key;
use crate::domain::figures::{self, CircuitFigures};
use crate::domain::kit::{Purpose, SolarInput};
use crate::domain::limit_choice::{Choosable, WorkshopLimits};
use crate::domain::number::{Decimal, physical, upper_limit};
use crate::domain::plan::{Back, SolarPlan, Vehicle};
use crate::domain::step::{Limits, Unit};
use crate::engineering::conductor::resistance_at;

const PROVE: Phase = Phase::Prove;

pub(super) fn prove(making: Making<'_>, steps: &mut Vec<Step>) {
    charging_battery(making, steps);
    // A plan whose figures cannot be worked out has stop findings and never gets here.
    let figures = figures::circuits(making.kit, making.plan);
    let loaded = |f: &&CircuitFigures<'_>| matches!(f.kit.purpose, Purpose::Supply | Purpose::Load);
    for circuit in figures.iter().filter(loaded) {
        drops(making.workshop, circuit, steps);
        bond(making.workshop, circuit, steps);
    }
    charge_current(making, steps);
    sense(making, steps);
    solar(making, steps);
    for circuit in figures.iter().filter(|f| f.kit.purpose == Purpose::Supply) {
        steps.push(terminal_rise(making.workshop, circuit));
    }
    standing(making, steps);
}

fn reading(name: &str, title: &str, how: &str, unit: Unit, limits: Limits) -> Step {
    step(PROVE, name, title, how, StepKind::Reading { unit, limits })
}

fn charging_battery(making: Making<'_>, steps: &mut Vec<Step>) {
    let vehicle = &making.plan.vehicle;
    steps.push(
        reading(
            "battery_charging",
            "Vehicle battery, engine running",
            "Fast idle, five minutes after start, meter on the posts.",
            Unit::Volt,
            limits::battery_charging(vehicle),
        )
        .because(&charging_basis(vehicle)),
    );
}

/// A steered alternator is its own master: neither table nor temperature sets its window.
fn charging_basis(vehicle: &Vehicle) -> String {
    let battery = vehicle.battery.label();
    if vehicle.smart_alternator {
        return format!("{battery}, steered alternator. {}.", limits::STEERED_SOURCE);
    }
    let warmth = vehicle.battery_c.filter(|_| vehicle.battery.is_lead_acid());
    let shift = warmth.map_or_else(String::new, |celsius| {
        format!(", here {celsius} °C: {}", limits::COMPENSATION_SOURCE)
    });
    format!("{battery}, fixed alternator. {}{shift}.", limits::BATTERY_SOURCE)
}

fn drops(workshop: &WorkshopLimits, circuit: &CircuitFigures<'_>, steps: &mut Vec<Step>) {
    let leg = |title: &str, is_return, ohm| drop(workshop, circuit, (title, is_return), ohm);
    let out = circuit.out_with_joints().0;
    steps.extend(leg("Drop, positive path", false, out));
    if matches!(circuit.plan.back, Back::Cable { .. }) {
        let back = circuit.back_with_joints().0;
        steps.extend(leg("Drop, return path", true, back));
    }
}

/// One leg: its planned resistance plus margin, and never more than its share of the allowed drop.
fn drop(
    workshop: &WorkshopLimits,
    circuit: &CircuitFigures<'_>,
    (title, is_return): (&str, bool),
    leg_ohm: f64,
) -> Option<Step> {
    let share_v = circuit.allowed_drop.0 * leg_ohm / circuit.resistance.total.0;
    let by_margin = leg_ohm * margin(workshop);
    let by_share = share_v / circuit.current.0;
    let most_ohm = by_margin.min(by_share);
    let basis = format!(
        "Planned {:.2} mΩ at {:.0} °C plus {} % makes {:.2} mΩ; the leg's share of the allowed \
         drop, {share_v:.3} V at {:.0} A, makes {:.2} mΩ. The smaller decides.",
        leg_ohm * 1000.0,
        circuit.conductor_temperature.0,
        workshop.path_margin_percent,
        by_margin * 1000.0,
        circuit.current.0,
        by_share * 1000.0,
    );
    let per_metre =
        resistance_at(circuit.plan.cable.resistance_20c(), circuit.conductor_temperature).ok()?;
    let kind = StepKind::PathDrop {
        resistance_max_milliohm: upper_limit(most_ohm * 1000.0, 2)?,
        planned_milliohm: upper_limit(leg_ohm * 1000.0, 2)?,
        milliohm_per_metre: upper_limit(per_metre.0 * 1000.0, 3)?,
        current_a: circuit.kit.continuous_a,
    };
    let how = "Path under load for two minutes, meter across the path from end to end, clamp \
               zeroed first. Type both figures.";
    let title = format!("{title}: {}", circuit.kit.title);
    let name = loaded_leg_key(&circuit.kit.id, is_return);
    let basis = workshop.told(&basis, Choosable::PathMargin);
    Some(step(PROVE, &name, &title, how, kind).because(&basis))
}

/// What a planned resistance is multiplied with.
fn margin(workshop: &WorkshopLimits) -> f64 {
    physical((Decimal::ONE_HUNDRED + workshop.path_margin_percent) / Decimal::ONE_HUNDRED)
}

fn bond(workshop: &WorkshopLimits, circuit: &CircuitFigures<'_>, steps: &mut Vec<Step>) {
    let Back::Chassis { bond_milliohm } = circuit.plan.back else { return };
    let Some(most) = upper_limit(physical(bond_milliohm) * margin(workshop), 2) else { return };
    let title = format!("Chassis bond: {}", circuit.kit.title);
    steps.push(
        reading(
            &format!("{}.bond", circuit.kit.id),
            &title,
            "Four-wire milliohm meter, from the lug to the battery's negative post.",
            Unit::Milliohm,
            Limits::at_most(most),
        )
        .because(&workshop.told(
            &format!(
                "Planned bond {} mΩ plus {} %.",
                bond_milliohm.normalize(),
                workshop.path_margin_percent
            ),
            Choosable::PathMargin,
        )),
    );
}

fn charge_current(making: Making<'_>, steps: &mut Vec<Step>) {
    let Some(charging) = &making.kit.charging else { return };
    let fuse = making.plan.circuit(&charging.circuit).and_then(|plan| plan.fuse);
    let most = fuse.map(|pick| pick.rating_a * Decimal::new(8, 1));
    let limits = Limits { lower: Some(charging.current_least_a), upper: most };
    let basis =
        format!("At least the kit's planned current, {}; at most 80 % of the fuse.", charging.page);
    steps.push(
        reading(
            "charge_current",
            "Charge current",
            "Engine running, what is charged not yet full. Clamp zeroed first.",
            Unit::Ampere,
            limits,
        )
        .because(&basis),
    );
    steps.push(
        reading(
            "charge_voltage",
            "Charge voltage",
            "At the terminals of what is charged, after five minutes.",
            Unit::Volt,
            Limits::between(charging.voltage_least_v, charging.voltage_most_v),
        )
        .because(&format!("The kit's charging window, {}.", charging.page)),
    );
}

fn sense(making: Making<'_>, steps: &mut Vec<Step>) {
    let Some(sense) = &making.kit.sense else { return };
    let because = format!("The kit's switching threshold, {}.", sense.page);
    steps.push(
        reading(
            "sense_on",
            "Sense wire, engine running",
            "Meter from the sense terminal to the negative terminal.",
            Unit::Volt,
            Limits::at_least(sense.on_least_v),
        )
        .because(&because),
    );
    steps.push(
        reading(
            "sense_off",
            "Sense wire, engine off",
            "Ignition off, two minutes later.",
            Unit::Volt,
            Limits::at_most(sense.off_most_v),
        )
        .because(&because),
    );
    if sense.cranking.lower.is_some() || sense.cranking.upper.is_some() {
        steps.push(
            reading(
                "sense_cranking",
                "Sense wire, starter turning",
                "Meter set to hold its lowest figure (or its highest, if that is limited); a second \
                 person turns the starter for three seconds.",
                Unit::Volt,
                sense.cranking.clone(),
            )
            .because(&because)
            .caution("Out of gear, brake on, hands and leads clear of belts and fans."),
        );
    }
}

/// The string against the voltage that its cells' measured temperature lets expect, never above the
/// input's maximum: also proves polarity.
fn solar(making: Making<'_>, steps: &mut Vec<Step>) {
    let Some((input, plan)) = making.kit.solar.as_ref().zip(making.plan.solar.as_ref()) else {
        return;
    };
    let percent_per_k = plan.voc_percent_per_k.unwrap_or(limits::SILICON_PERCENT_PER_K);
    let kind = StepKind::SolarOpen {
        string_voc_v: plan.module_voc_v * Decimal::from(plan.in_series),
        in_series: plan.in_series,
        percent_per_k,
        tolerance_percent: making.workshop.string_tolerance_percent,
        upper_v: input.voltage_max_v,
    };
    let how = "Modules in full light, input unplugged, red probe on plus: **a minus sign means wrong \
               polarity, stop**. Panel temperature with a shaded probe on the back of a module, in \
               its middle.";
    // `prove.solar_open` was one plain reading with a wide window. Sheets that hold it are judged by
    // it for ever, and a key is never reused for another meaning: the pair has a key of its own.
    steps.push(
        step(PROVE, "solar_string", "Solar, open circuit, with panel temperature", how, kind)
            .because(&making.workshop.told(
                &solar_basis(making.workshop, (input, plan), percent_per_k),
                Choosable::StringTolerance,
            ))
            .caution("A solar module in daylight is live and cannot be switched off."),
    );
}

fn solar_basis(
    workshop: &WorkshopLimits,
    (input, plan): (&SolarInput, &SolarPlan),
    percent_per_k: Decimal,
) -> String {
    let known = if plan.voc_percent_per_k.is_some() {
        "by the module's data sheet"
    } else {
        "for silicon, from memory, since the module's data sheet is missing"
    };
    format!(
        "{} in series of {} V at 25 °C, {} %/K {known}. Cells at the measured temperature let \
         expect so much, ±{} %: IEC 62446-1 (from memory). At most the input's maximum, {}.",
        plan.in_series,
        plan.module_voc_v.normalize(),
        percent_per_k.normalize(),
        workshop.string_tolerance_percent,
        input.page
    )
}

fn terminal_rise(workshop: &WorkshopLimits, circuit: &CircuitFigures<'_>) -> Step {
    reading(
        &format!("{}.rise", circuit.kit.id),
        &format!("Warmest terminal over the air: {}", circuit.kit.title),
        "After ten minutes at load: terminal temperature less air temperature.",
        Unit::Kelvin,
        Limits::at_most(workshop.terminal_rise_most_k),
    )
    .because(
        &workshop
            .told("The workshop's default. Common practice, no source.", Choosable::TerminalRise),
    )
}

fn standing(making: Making<'_>, steps: &mut Vec<Step>) {
    let Some(most) = making.kit.standing_current_ma else { return };
    let days = making.plan.vehicle.battery_ah / Decimal::TWO * Decimal::ONE_THOUSAND
        / most
        / Decimal::from(24);
    steps.push(
        reading(
            "standing",
            "Standing current, asleep",
            "Vehicle locked for thirty minutes, meter or clamp in the feed of the gear.",
            Unit::Milliampere,
            Limits::at_most(most),
        )
        .because(&format!(
            "The kit's figure. At this current half of {} Ah is gone in {} days.",
            making.plan.vehicle.battery_ah.normalize(),
            days.round_dp(0)
        )),
    );
}
