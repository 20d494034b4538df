//! Conductors, fuses, batteries, alternators and the sun.

use super::{RuleGroup, number, rule};
use crate::engineering::Source;
use crate::engineering::ampacity::{
    AMBIENT_SOURCE, CFR_SOURCE, ENGINE_SPACE_AMBIENT, ENGINE_SPACE_SOURCE, GROUPING_SOURCE,
    ISO_SOURCE, TABLE_AMBIENT,
};
use crate::engineering::battery::{LFP_CELL_LEAST, LFP_CELL_LEAST_IN_USE};
use crate::engineering::charging::{HOT_FACTOR, HOT_FACTOR_SOURCE};
use crate::engineering::conductor::{AWG_SOURCE, METRIC_SOURCE};
use crate::engineering::fault::{ADIABATIC_LONGEST, ADIABATIC_SHORTEST, CRANKING_SOURCE};
use crate::engineering::fuse::{
    FUSE_PLACES, FuseForm, OVERLOAD_MULTIPLE, OVERLOAD_SOURCE, VEHICLE_CODE_SOURCE, gate_source,
};
use crate::engineering::solar::{BRIGHT_SUN_FACTOR, CONTINUOUS_FACTOR, VOC_COEFFICIENT_SILICON};
use crate::engineering::solar_cell::POWER_COEFFICIENT_SILICON;
use crate::engineering::solar_string::STRING_TOLERANCE;

pub(super) fn groups() -> Vec<RuleGroup> {
    vec![conductors(), cables_in_heat(), fuses(), batteries(), sun()]
}

fn conductors() -> RuleGroup {
    RuleGroup {
        title: "Cables",
        rules: vec![
            rule("Highest resistance at 20 °C, metric sizes", "table", METRIC_SOURCE),
            rule("The same, American sizes", "table", AWG_SOURCE),
            rule("Current a cable carries, American law", "table", CFR_SOURCE),
            rule("Current a cable carries, international", "table", ISO_SOURCE),
        ],
    }
}

/// What warm air and a short circuit do to a cable.
fn cables_in_heat() -> RuleGroup {
    let adiabatic = Source::from_memory("IEC 60364-4-43, 434.5.2");
    RuleGroup {
        title: "Cables, warm and at a short circuit",
        rules: vec![
            rule("Air that both tables refer to", number(TABLE_AMBIENT.0, "°C"), CFR_SOURCE),
            rule(
                "Air of an engine space",
                number(ENGINE_SPACE_AMBIENT.0, "°C"),
                ENGINE_SPACE_SOURCE,
            ),
            rule("Factor for warm air", "formula", AMBIENT_SOURCE),
            rule("Factors for cables together", "table", GROUPING_SOURCE),
            rule(
                "Short circuit that a cable stands: I²·t within k²·S²",
                format!("{} to {} s", ADIABATIC_SHORTEST.0, ADIABATIC_LONGEST.0),
                adiabatic,
            ),
            rule(
                "Source behind a short circuit, from its cranking current",
                "formula",
                CRANKING_SOURCE,
            ),
        ],
    }
}

fn fuses() -> RuleGroup {
    let mut rules = vec![
        rule(
            "What a cable stands while its fuse opens",
            number(OVERLOAD_MULTIPLE, "times its rating"),
            OVERLOAD_SOURCE,
        ),
        rule("Largest fuse for a cable, by vehicle code", "table", VEHICLE_CODE_SOURCE),
    ];
    rules.extend(FuseForm::ALL.into_iter().filter_map(|form| {
        let source = gate_source(form)?;
        Some(rule(format!("Opening times: {}", form.label()), "table", source))
    }));
    rules.extend(FUSE_PLACES.iter().map(|place| {
        let figure = place.distance.map_or_else(|| "–".to_owned(), |most| number(most.0, "mm"));
        rule(format!("Fuse from its source: {}", place.condition), figure, place.source)
    }));
    RuleGroup { title: "Fuses", rules }
}

fn batteries() -> RuleGroup {
    let guides = Source::seen("General guides");
    RuleGroup {
        title: "Batteries and alternators",
        rules: vec![
            rule(
                "Lithium iron phosphate, cell: harmed below",
                number(LFP_CELL_LEAST.0, "V"),
                guides,
            ),
            rule(
                "Lithium iron phosphate, cell: empty below",
                number(LFP_CELL_LEAST_IN_USE.0, "V"),
                guides,
            ),
            rule(
                "Share of its rating that a hot alternator gives",
                number(HOT_FACTOR * 100.0, "%"),
                HOT_FACTOR_SOURCE,
            ),
        ],
    }
}

fn sun() -> RuleGroup {
    let slope = Source::from_memory("NEC table 690.7(A) down to −25 °C");
    RuleGroup {
        title: "Solar",
        rules: vec![
            rule(
                "Open-circuit voltage of silicon by temperature",
                number(VOC_COEFFICIENT_SILICON * 100.0, "%/K"),
                slope,
            ),
            rule(
                "Power of silicon by temperature",
                number(POWER_COEFFICIENT_SILICON * 100.0, "%/K"),
                Source::from_memory("usual for crystalline silicon"),
            ),
            rule(
                "Sun brighter than the test",
                number(BRIGHT_SUN_FACTOR, "times"),
                Source::seen("NEC 690.8(A); IEC 62548 has the same"),
            ),
            rule(
                "Current that flows for hours",
                number(CONTINUOUS_FACTOR, "times"),
                Source::seen("NEC 690.8(B)"),
            ),
            rule(
                "Strings that are alike",
                number(STRING_TOLERANCE * 100.0, "%"),
                Source::from_memory("IEC 62446-1, open-circuit voltage test"),
            ),
        ],
    }
}
