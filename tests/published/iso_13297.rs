//! ISO 13297 and, before it, ISO 10133:2012: metric conductors of small craft. All from memory: the
//! table could not be seen, so that the bound by American law (`engineering/ampacity.rs`) holds it.

use fusewright::engineering::Sureness;
use fusewright::engineering::ampacity::{
    Insulation, Place, Surroundings, ambient_factor, ampacity, base_ampacity,
};
use fusewright::engineering::fuse::FUSE_DISTANCE_MAX;
use fusewright::engineering::units::*;

use super::{assert_near, size};
use crate::engineering::ampacity::american_by_area;

/// Columns of the table; the third is headed 85–90 °C.
const CLASSES: [f64; 6] = [60.0, 70.0, 90.0, 105.0, 125.0, 200.0];

/// ISO 10133:2012, table A.2 (from memory): single conductors, 30 °C [A].
const TABLE: [(&str, [f64; 6]); 13] = [
    ("0.75 mm²", [6.0, 10.0, 12.0, 16.0, 20.0, 25.0]),
    ("1 mm²", [8.0, 14.0, 18.0, 20.0, 25.0, 35.0]),
    ("1.5 mm²", [12.0, 18.0, 21.0, 25.0, 30.0, 40.0]),
    ("2.5 mm²", [17.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    ("4 mm²", [22.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    ("6 mm²", [29.0, 45.0, 50.0, 60.0, 70.0, 75.0]),
    ("10 mm²", [40.0, 65.0, 70.0, 90.0, 100.0, 120.0]),
    ("16 mm²", [54.0, 90.0, 100.0, 130.0, 150.0, 170.0]),
    ("25 mm²", [71.0, 120.0, 140.0, 170.0, 185.0, 200.0]),
    ("35 mm²", [87.0, 160.0, 185.0, 210.0, 225.0, 240.0]),
    ("50 mm²", [105.0, 210.0, 230.0, 270.0, 300.0, 325.0]),
    ("70 mm²", [135.0, 265.0, 285.0, 330.0, 360.0, 375.0]),
    ("95 mm²", [165.0, 310.0, 330.0, 390.0, 410.0, 430.0]),
];

/// Each size carries the recalled figure or the American bound at its area, whichever is less.
#[test]
fn every_metric_size_carries_the_recalled_figure_or_the_bound() {
    for (label, row) in TABLE {
        for (class, printed) in CLASSES.into_iter().zip(row) {
            let insulation = Insulation::parse_celsius(class).unwrap();
            let found = base_ampacity(size(label), insulation).unwrap();
            let bound = american_by_area(size(label).area().0, insulation);
            assert_near(found.0, printed.min(bound), 1e-9);
        }
    }
}

/// Where the American bound does not bite, the recalled figure stands: in the whole 60 °C column,
/// and in the 105 °C column from 4 mm² to 16 mm², for four.
#[test]
fn the_recalled_figure_stands_where_the_bound_is_above_it() {
    for (label, row) in TABLE {
        let found = base_ampacity(size(label), Insulation::C60).unwrap();
        assert_near(found.0, row[0], 0.0);
    }
    for (label, printed) in [("4 mm²", 45.0), ("6 mm²", 60.0), ("10 mm²", 90.0), ("16 mm²", 130.0)]
    {
        let found = base_ampacity(size(label), Insulation::C105).unwrap();
        assert_eq!(found, Amps(printed), "{label}");
    }
}

/// A mark on a figure tells which of the two tables it is from.
#[test]
fn a_recalled_figure_is_marked_from_memory_and_a_bounded_one_computed() {
    let alone = Surroundings { ambient: Celsius(30.0), place: Place::Outside, circuits_bundled: 1 };
    let recalled = ampacity(size("16 mm²"), Insulation::C105, alone).unwrap();
    assert_eq!(recalled.source.sureness, Sureness::FromMemory);
    // 50 mm² at 70 °C: recalled 210 A; the American 60 °C column is lower at that area.
    let bounded = ampacity(size("50 mm²"), Insulation::C70, alone).unwrap();
    assert_eq!(bounded.source.sureness, Sureness::Computed);
    assert!(bounded.value < Amps(210.0));
}

/// Classes the table has no column for are read one column lower: 75 °C and 80 °C at 70 °C.
#[test]
fn seventy_five_and_eighty_degrees_count_as_seventy() {
    for class in [Insulation::C75, Insulation::C80] {
        assert_eq!(base_ampacity(size("6 mm²"), class).unwrap(), Amps(45.0));
    }
}

#[test]
fn the_table_begins_at_three_quarters_of_a_square_millimetre() {
    let refused = base_ampacity(size("0.5 mm²"), Insulation::C105).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "The conductor size is 0.5 mm²; it must be from 0.75 mm² to 95 mm² or from 18 AWG to \
         4/0 AWG, which the tables cover."
    );
}

/// ISO 10133, 8.1 (from memory; 200 mm repeated by others).
#[test]
fn a_fuse_is_within_200_millimetres_of_its_source() {
    assert_eq!(FUSE_DISTANCE_MAX, Millimetres(200.0));
}

/// Engine-space factors recalled for 60 °C air: 0.75 at 70 °C, 0.82, 0.86, 0.89, 1.00 at 200 °C (from
/// memory, doubtful). Physics gives them at 50 °C and not at 60 °C, and 0.75 belongs to 75 °C
/// insulation; the product goes by the American note and the formula instead.
#[test]
fn the_recalled_engine_space_factors_are_those_of_50_degrees() {
    let at = |class, celsius| ambient_factor(class, Celsius(celsius), Place::Outside).unwrap();
    for (class, recalled) in [
        (Insulation::C75, 0.75),
        (Insulation::C90, 0.82),
        (Insulation::C105, 0.86),
        (Insulation::C125, 0.89),
    ] {
        assert_near(at(class, 50.0), recalled, 0.0055);
        assert!(at(class, 60.0) < recalled - 0.04, "{class:?}");
    }
    for (class, at_60) in [
        (Insulation::C70, 0.50),
        (Insulation::C90, 0.707),
        (Insulation::C105, 0.775),
        (Insulation::C125, 0.83),
        (Insulation::C200, 0.91),
    ] {
        assert_near(at(class, 60.0), at_60, 0.0055);
    }
}
