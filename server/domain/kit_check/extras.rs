//! Steps and readings that a kit wants beyond those every sheet has.

use std::collections::BTreeSet;

use super::circuits::CircuitSection;
use super::{all, id};
use crate::domain::document::Section;
use crate::domain::kit::{ExtraKind, ExtraReading, ExtraStep};
use crate::domain::step::{Limits, Phase, Unit};

const EXTRAS_MAX: usize = 40;
const HOW_CHARS_MAX: usize = 400;

const KINDS: [(&str, ExtraKind); 3] =
    [("confirm", ExtraKind::Confirm), ("photo", ExtraKind::Photo), ("note", ExtraKind::Note)];

/// Reads both lists; no two of them, of the joints or of the circuits may share an id.
pub(super) fn extras(
    top: &Section<'_>,
    circuits: &[CircuitSection<'_>],
    joints: &[Section<'_>],
) -> (Option<Vec<ExtraStep>>, Option<Vec<ExtraReading>>) {
    let step_sections = top.sections("extra_steps", 0..=EXTRAS_MAX);
    let reading_sections = top.sections("extra_readings", 0..=EXTRAS_MAX);
    let steps = all(step_sections.iter().map(step));
    let readings = all(reading_sections.iter().map(reading));
    let mut seen: BTreeSet<&str> = circuits.iter().map(|circuit| circuit.id.as_str()).collect();
    for section in joints.iter().chain(&step_sections).chain(&reading_sections) {
        if let Some(id) = section.peek("id").filter(|id| !seen.insert(id)) {
            section.fault("id", format!("The id {id} stands twice."), "Write an id of its own.");
        }
    }
    (steps, readings)
}

fn phase(section: &Section<'_>) -> Option<Phase> {
    section.choice("phase", &Phase::ALL.map(|phase| (phase.word(), phase)))
}

fn step(section: &Section<'_>) -> Option<ExtraStep> {
    let id = id(section);
    let phase = phase(section);
    let kind = section.choice("kind", &KINDS);
    let title = section.text("title", 1..=80);
    let how = section.text("how", 1..=HOW_CHARS_MAX);
    let caution = section.maybe_text("caution", 1..=HOW_CHARS_MAX);
    Some(ExtraStep { id: id?, phase: phase?, kind: kind?, title: title?, how: how?, caution })
}

fn reading(section: &Section<'_>) -> Option<ExtraReading> {
    let id = id(section);
    let phase = phase(section);
    let title = section.text("title", 1..=80);
    let how = section.text("how", 1..=HOW_CHARS_MAX);
    let unit = section.parsed("unit", &unit_expected(), Unit::parse);
    let limits = limits(section);
    let page = section.page();
    Some(ExtraReading {
        id: id?,
        phase: phase?,
        title: title?,
        how: how?,
        unit: unit?,
        limits,
        page: page?,
    })
}

fn unit_expected() -> String {
    let symbols = Unit::ALL.map(Unit::symbol);
    format!("a unit in quotes: {}", symbols.join(", "))
}

fn limits(section: &Section<'_>) -> Limits {
    let lower = section.maybe_decimal("lower", "-100000 to 100000");
    let upper = section.maybe_decimal("upper", "-100000 to 100000");
    if !section.has("lower") && !section.has("upper") {
        section.missing("upper", "Write lower = … or upper = …, or both: a reading wants a limit.");
    }
    if let Some((lower, upper)) = lower.zip(upper).filter(|(lower, upper)| lower >= upper) {
        let wrong = format!("{upper} is not above lower = {lower}.");
        section.fault("upper", wrong, format!("Write more than {lower}."));
    }
    Limits { lower, upper }
}
