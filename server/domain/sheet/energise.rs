//! Steps that put the circuits under voltage, in a safe order.

use super::{Making, Phase, Step, StepKind, step};
use crate::domain::limit_choice::Choosable;
use crate::domain::step::{Limits, Unit};

const SPARK: &str = "First contact can spark and a wrong polarity can burn. Face away, one hand, \
    insulated tool; stop at smoke, smell or a warm joint.";

pub(super) fn energise(making: Making<'_>, steps: &mut Vec<Step>) {
    let kit_least = making.kit.insulation_least_megohm;
    let least = kit_least.unwrap_or(making.workshop.insulation_least_megohm);
    let whose = if kit_least.is_some() { "The kit's figure." } else { "The workshop's figure." };
    let basis = format!("{whose} IEC 62446-1, table 2, for up to 120 V (from memory).");
    let basis = match kit_least {
        Some(_) => basis,
        None => making.workshop.told(&basis, Choosable::Insulation),
    };
    steps.push(step(
        Phase::Energise,
        "polarity",
        "Polarity right at every terminal",
        "Fuses out. Follow each conductor from end to end with the meter.",
        StepKind::Confirm,
    ));
    steps.push(
        step(
            Phase::Energise,
            "insulation",
            "Insulation, conductors to body",
            "Fuses out, electronics unplugged as the maker says. Insulation tester at its lowest \
             suitable voltage.",
            StepKind::Reading { unit: Unit::Megohm, limits: Limits::at_least(least) },
        )
        .because(&basis),
    );
    steps.push(
        step(
            Phase::Energise,
            "reconnect",
            "Vehicle battery reconnected",
            "Positive first, negative last. Warning lamps as before.",
            StepKind::Confirm,
        )
        .caution(SPARK),
    );
    fuses_in(making, steps);
}

/// One circuit after the other, so that a fault shows which it is.
fn fuses_in(making: Making<'_>, steps: &mut Vec<Step>) {
    for plan in making.plan.circuits.iter().filter(|plan| plan.fuse.is_some()) {
        let title = making.kit.circuit(&plan.circuit).map_or("", |circuit| circuit.title.as_str());
        steps.push(step(
            Phase::Energise,
            &format!("{}.fuse_in", plan.circuit),
            &format!("Fuse in: {title}"),
            "One circuit at a time. Wait a minute: no spark, no smell, no warm joint.",
            StepKind::Confirm,
        ));
    }
}
