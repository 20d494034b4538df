//! Steps around the vehicle: before the work and at hand-over.

use super::{Making, Phase, Step, StepKind, limits, step};
use crate::domain::number::Decimal;
use crate::domain::step::{Limits, Unit};

const ISOLATE: &str = "A battery can drive thousands of amperes through a spanner. Rings and \
    watches off, insulated tools, negative off first.";
const LINES: &str = "Know where airbag, fuel, brake and high-voltage (orange) lines run before you \
    touch a panel. Work on high-voltage vehicles is for people trained for it.";
const LEAD_ACID: &str =
    "Lead-acid batteries give off explosive gas. Ventilate, no sparks, goggles.";

pub(super) fn before(making: Making<'_>, steps: &mut Vec<Step>) {
    let vehicle = &making.plan.vehicle;
    let kit = making.kit;
    let who = format!(
        "Compare registration {} and the end of the VIN ({}) with the vehicle, and the kit's plate \
         with {} edition {}.",
        vehicle.registration, vehicle.vin_tail, kit.code, kit.edition
    );
    let confirm = StepKind::Confirm;
    let before = Phase::Before;
    steps.push(step(before, "identity", "Right vehicle, right kit", &who, confirm));
    steps.push(step(
        before,
        "serial",
        "Serial number of the kit",
        "Type it as it stands on the plate.",
        StepKind::Note,
    ));
    steps.push(step(
        before,
        "condition",
        "Photograph the vehicle's condition",
        "All sides, and the place where the gear goes. Old damage shows now or never.",
        StepKind::Photo,
    ));
    steps.push(step(
        before,
        "lamps",
        "Warning lamps and fault memory",
        "Ignition on. Write down every lamp that stays lit, or \"none\".",
        StepKind::Note,
    ));
    steps.push(battery_rested(making));
    isolation(steps);
}

/// What must be known and switched off before a tool is taken in hand.
fn isolation(steps: &mut Vec<Step>) {
    let before = Phase::Before;
    let confirm = StepKind::Confirm;
    steps.push(
        step(
            before,
            "lines",
            "Lines and sensors located",
            "Airbags, fuel, brake and high-voltage lines near every place you will drill or clip.",
            confirm.clone(),
        )
        .caution(LINES),
    );
    steps.push(
        step(
            before,
            "isolate",
            "Both batteries isolated and locked off",
            "Negative first. **Tag it, so that nobody reconnects.**",
            confirm,
        )
        .caution(ISOLATE),
    );
    steps.push(proved_dead());
}

fn battery_rested(making: Making<'_>) -> Step {
    let vehicle = &making.plan.vehicle;
    let limits = limits::battery_rested(vehicle.battery, vehicle.nominal_voltage_v);
    let rested = step(
        Phase::Before,
        "battery_rested",
        "Vehicle battery, rested",
        "Meter on the posts. An hour or more after the last drive or charge.",
        StepKind::Reading { unit: Unit::Volt, limits },
    )
    .because(&format!("{}, {}.", vehicle.battery.label(), limits::BATTERY_SOURCE));
    if vehicle.battery == crate::domain::plan::Chemistry::Lfp {
        rested
    } else {
        rested.caution(LEAD_ACID)
    }
}

fn proved_dead() -> Step {
    step(
        Phase::Before,
        "dead",
        "Proved dead",
        "Meter proved on a live source, then on the feed point, then on the live source again. Type \
         the figure from the feed point.",
        StepKind::Reading {
            unit: Unit::Volt,
            limits: Limits::between(Decimal::new(-5, 1), Decimal::new(5, 1)),
        },
    )
    .because("Isolated means under half a volt. Common practice, no source.")
}

pub(super) fn hand_over(steps: &mut Vec<Step>) {
    let over = Phase::HandOver;
    let confirm = StepKind::Confirm;
    steps.push(step(
        over,
        "tools",
        "Tools and lamps accounted for",
        "Count them back into the box. Panels back on, nothing rattles.",
        confirm.clone(),
    ));
    steps.push(step(
        over,
        "finished",
        "Photograph the finished work",
        "Gear, fuse and isolation point, as the customer will find them.",
        StepKind::Photo,
    ));
    steps.push(step(
        over,
        "shown",
        "Customer shown how it works",
        "They switch it on and off once themselves.",
        confirm.clone(),
    ));
    steps.push(step(
        over,
        "isolation_shown",
        "Customer shown how to isolate it",
        "Show the fuse and the isolation point, and say when to use them.",
        confirm.clone(),
    ));
    steps.push(step(
        over,
        "papers",
        "Maker's papers handed over",
        "Instructions, warranty card and the spare fuse.",
        confirm,
    ));
}
