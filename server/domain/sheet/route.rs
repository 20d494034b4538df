//! Steps that bring the cables to their places.

use super::{Making, Phase, Step, StepKind, step};

/// Longest distance between two supports of a cable [mm]. ISO 10133:2012, 7.3 (seen in a preview).
const SUPPORT_EVERY_MM: u32 = 450;

pub(super) fn route(making: Making<'_>, steps: &mut Vec<Step>) {
    for circuit in &making.plan.circuits {
        let title = making.kit.circuit(&circuit.circuit).map_or("", |kit| kit.title.as_str());
        let how = format!(
            "{} along the planned way, {} m. Clear of heat, edges and moving parts.",
            circuit.cable.label(),
            circuit.length_out_m.normalize()
        );
        steps.push(step(
            Phase::Route,
            &format!("{}.path", circuit.circuit),
            &format!("Photograph the run: {title}"),
            &how,
            StepKind::Photo,
        ));
    }
    protection(steps);
}

/// What a cable needs on its way, whatever the circuit.
fn protection(steps: &mut Vec<Step>) {
    let confirm = StepKind::Confirm;
    steps.push(step(
        Phase::Route,
        "edges",
        "Every edge and hole protected",
        "Grommet in each hole, sleeve over each edge the cable touches.",
        confirm.clone(),
    ));
    steps.push(
        step(
            Phase::Route,
            "supports",
            "Supported all the way",
            &format!("A clip at least every {SUPPORT_EVERY_MM} mm, closer at bends."),
            confirm.clone(),
        )
        .because("ISO 10133:2012, 7.3 (seen in a preview)."),
    );
    steps.push(step(
        Phase::Route,
        "heat",
        "Away from heat and moving parts",
        "Exhaust, steering, pedals, seats and doors: move each one through its whole way.",
        confirm.clone(),
    ));
    steps.push(step(
        Phase::Route,
        "slack",
        "Slack, and no strain on terminals",
        "A loop before each terminal and at each part that moves.",
        confirm,
    ));
}
