//! Bolts, torque and what a mount is fastened to.

use super::{RuleGroup, number, practice, rule};
use crate::domain::number::{Decimal, physical};
use crate::engineering::Source;
use crate::engineering::board::BOARD_DISTANCE_DIAMETERS;
use crate::engineering::bolt_resistance::{BOLT_SOURCE, GAMMA_M2};
use crate::engineering::laminate::{
    LAMINATE_BEARING_STRENGTH, LAMINATE_DISTANCE_DIAMETERS, LAMINATE_INTERLAMINAR_SHEAR,
    LAMINATE_SAFETY_FACTOR, LAMINATE_SOURCE,
};
use crate::engineering::mount_check::UPWARD_G_OF_EN_1789;
use crate::engineering::preload_band::{FRICTION_HIGH, FRICTION_LOW};
use crate::engineering::sheet_metal::{
    ALUMINIUM_TENSILE, MILD_STEEL_TENSILE, SHEET_THICKNESS_MIN, SHEET_WASHER_DIAMETER,
};
use crate::engineering::sheet_metal_aisi::{AISI_SOURCE, RESISTANCE_FACTOR, SAFETY_FACTOR};
use crate::engineering::tightening::{NUT_FACTOR_DRY, NUT_FACTOR_LUBRICATED};
use crate::engineering::torque_tool::{DEVIATION_STEP, USABLE_SHARE};
use crate::engineering::vdi_2230::{TIGHTENING_SOURCE, YIELD_SHARE};

pub(super) fn groups() -> Vec<RuleGroup> {
    vec![bolts(), tools(), sheets(), laminates()]
}

fn bolts() -> RuleGroup {
    let friction = Source::from_memory("VDI 2230-1, table A5");
    let nut = Source::from_memory("Shigley, Mechanical Engineering Design");
    RuleGroup {
        title: "Bolts",
        rules: vec![
            rule(
                "Share of the yield strength that tightening may use",
                number(YIELD_SHARE * 100.0, "%"),
                TIGHTENING_SOURCE,
            ),
            rule("Friction, oiled or waxed", number(FRICTION_LOW, ""), friction),
            rule("Friction, clean and dry", number(FRICTION_HIGH, ""), friction),
            rule("Nut factor, dry", number(NUT_FACTOR_DRY, ""), nut),
            rule("Nut factor, lubricated", number(NUT_FACTOR_LUBRICATED, ""), nut),
            rule(
                "Partial factor on the resistance of a joint",
                number(GAMMA_M2, ""),
                Source::seen("EN 1993-1-8, 2.2"),
            ),
            rule("Shear and tension of a bolt", "formulas", BOLT_SOURCE),
            rule(
                "Upward pull, where a workshop wants one",
                number(UPWARD_G_OF_EN_1789, "g"),
                Source::from_memory("EN 1789, 4.5.9"),
            ),
        ],
    }
}

fn tools() -> RuleGroup {
    let source = || Source::seen("ISO 6789:2003, kept in ISO 6789-1:2017");
    RuleGroup {
        title: "Torque tools",
        rules: vec![
            rule(
                "Torque up to which the wider deviation holds",
                format!("{DEVIATION_STEP} N·m"),
                source(),
            ),
            rule(
                "Share of its range below which a tool is not used",
                number(physical(USABLE_SHARE * Decimal::ONE_HUNDRED), "%"),
                source(),
            ),
        ],
    }
}

fn sheets() -> RuleGroup {
    RuleGroup {
        title: "Sheet metal and boards",
        rules: vec![
            rule(
                "Mild steel sheet that nobody knows",
                number(MILD_STEEL_TENSILE.0, "MPa"),
                Source::from_memory("EN 10130, DC01, lowest Rm"),
            ),
            rule(
                "Aluminium sheet that nobody knows",
                number(ALUMINIUM_TENSILE.0, "MPa"),
                Source::from_memory("EN 485-2, alloy 5754, soft"),
            ),
            rule(
                "Thinnest sheet without a backing plate",
                number(SHEET_THICKNESS_MIN.0, "mm"),
                practice("thinner sheet tears"),
            ),
            rule(
                "Washer under a bolt in sheet",
                number(SHEET_WASHER_DIAMETER.0, "mm"),
                practice("body washer"),
            ),
            rule(
                "Safety factor of a screw joint in service",
                number(SAFETY_FACTOR, ""),
                AISI_SOURCE,
            ),
            rule("Resistance factor of a screw joint", number(RESISTANCE_FACTOR, ""), AISI_SOURCE),
            rule(
                "Hole from the edge of a board, in bolt diameters",
                number(BOARD_DISTANCE_DIAMETERS, ""),
                Source::from_memory("EN 1995-1-1, table 8.4"),
            ),
        ],
    }
}

fn laminates() -> RuleGroup {
    RuleGroup {
        title: "Laminate",
        rules: vec![
            rule(
                "Bearing strength that nobody knows",
                number(LAMINATE_BEARING_STRENGTH.0, "MPa"),
                LAMINATE_SOURCE,
            ),
            rule(
                "Shear between layers that nobody knows",
                number(LAMINATE_INTERLAMINAR_SHEAR.0, "MPa"),
                LAMINATE_SOURCE,
            ),
            rule("Safety factor", number(LAMINATE_SAFETY_FACTOR, ""), LAMINATE_SOURCE),
            rule(
                "Hole from an edge, in bolt diameters",
                number(LAMINATE_DISTANCE_DIAMETERS, ""),
                practice("as for its neighbour"),
            ),
        ],
    }
}
