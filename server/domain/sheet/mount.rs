//! Steps that fix the gear to the vehicle.

use super::{Making, Phase, Step, StepKind, step};

const DRILL: &str = "Eye protection on, swarf kept off wiring. Look under the panel before the bit \
    goes through. Sealed airbag, brake and seat anchorages are never used.";
const UNDER: &str = "Support the vehicle before you go under it. A jack alone is not a support.";

pub(super) fn mount(making: Making<'_>, steps: &mut Vec<Step>) {
    clearances(making, steps);
    surface(making, steps);
    holes(steps);
    fasteners(making, steps);
}

fn clearances(making: Making<'_>, steps: &mut Vec<Step>) {
    for (at, clearance) in making.kit.clearances.iter().enumerate() {
        let how = format!(
            "Leave at least {} mm for air and hands ({}).",
            clearance.least_mm.normalize(),
            clearance.page
        );
        let title = format!("Free space, {}", clearance.side);
        steps.push(step(
            Phase::Mount,
            &format!("clearance_{}", at + 1),
            &title,
            &how,
            StepKind::Confirm,
        ));
    }
}

fn surface(making: Making<'_>, steps: &mut Vec<Step>) {
    let plan = &making.plan.mounting;
    let confirm = StepKind::Confirm;
    let layers = if plan.layers > 1 { "spacers between the layers" } else { "a single layer" };
    let how = format!(
        "{} of {} mm, flat, {layers}, not loose and not a panel that comes off. Handles and inputs \
         within reach.",
        making.plan.mounting.surface.label(),
        plan.thickness_mm.normalize()
    );
    steps.push(step(Phase::Mount, "surface", "The place is as planned", &how, confirm));
    steps.push(
        step(
            Phase::Mount,
            "beneath",
            "Photograph what lies underneath",
            "Every place a fastener comes through: no line, tank or beam edge in its way.",
            StepKind::Photo,
        )
        .caution(UNDER),
    );
}

fn holes(steps: &mut Vec<Step>) {
    let confirm = StepKind::Confirm;
    steps.push(step(
        Phase::Mount,
        "template",
        "Template laid and holes marked",
        "Marked, centre-punched, and looked at once more from beneath.",
        confirm.clone(),
    ));
    steps.push(
        step(
            Phase::Mount,
            "drilled",
            "Holes drilled and deburred",
            "Both sides smooth, swarf sucked up.",
            confirm.clone(),
        )
        .caution(DRILL),
    );
    steps.push(step(
        Phase::Mount,
        "rust",
        "Bare metal protected against rust",
        "Primer or wax on every cut edge before anything covers it.",
        confirm,
    ));
}

fn fasteners(making: Making<'_>, steps: &mut Vec<Step>) {
    let kit = &making.kit.mounting;
    let limits = kit.torque.limits();
    for at in 1..=kit.count {
        let how = format!(
            "{} class {}, {} mm washer, prevailing-torque nut. One smooth pull, then a paint mark.",
            kit.thread,
            kit.class,
            kit.washer_mm.normalize()
        );
        let basis = format!(
            "{} N·m ± {} %, {}.",
            kit.torque.target_nm.normalize(),
            kit.torque.tolerance_percent.normalize(),
            kit.page
        );
        steps.push(
            step(
                Phase::Mount,
                &format!("fastener_{at}.torque"),
                &format!("Fastener {at} of {}", kit.count),
                &how,
                StepKind::Torque { limits: limits.clone() },
            )
            .because(&basis),
        );
    }
}
