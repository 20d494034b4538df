//! 33 CFR part 183, American law for the wiring of small craft below 50 V.

use fusewright::engineering::ampacity::{
    Ampacity, Insulation, Place, Surroundings, ambient_factor, ampacity, base_ampacity,
};
use fusewright::engineering::conductor::ConductorSize;
use fusewright::engineering::fuse::{
    FUSE_DISTANCE_CFR, FUSE_DISTANCE_CFR_BATTERY, FUSE_DISTANCE_CFR_SHEATHED, FuseRule, cap_by_rule,
};
use fusewright::engineering::mounting::battery_pull_33cfr;
use fusewright::engineering::units::*;
use fusewright::engineering::{Source, Sureness};

use super::{assert_near, size};

/// Columns of table 5 and of its note.
const CLASSES: [f64; 7] = [60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0];

/// 183.425, table 5 (seen in two public copies): single conductors, 30 °C [A].
const TABLE_5: [(&str, [f64; 7]); 15] = [
    ("18 AWG", [10.0, 10.0, 15.0, 20.0, 20.0, 25.0, 25.0]),
    ("16 AWG", [15.0, 15.0, 20.0, 25.0, 25.0, 30.0, 35.0]),
    ("14 AWG", [20.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    ("12 AWG", [25.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    ("10 AWG", [40.0, 40.0, 50.0, 55.0, 60.0, 70.0, 70.0]),
    ("8 AWG", [55.0, 65.0, 70.0, 70.0, 80.0, 90.0, 100.0]),
    ("6 AWG", [80.0, 95.0, 100.0, 100.0, 120.0, 125.0, 135.0]),
    ("4 AWG", [105.0, 125.0, 130.0, 135.0, 160.0, 170.0, 180.0]),
    ("3 AWG", [120.0, 145.0, 150.0, 155.0, 180.0, 195.0, 210.0]),
    ("2 AWG", [140.0, 170.0, 175.0, 180.0, 210.0, 225.0, 240.0]),
    ("1 AWG", [165.0, 195.0, 210.0, 210.0, 245.0, 265.0, 280.0]),
    ("1/0 AWG", [195.0, 230.0, 245.0, 245.0, 285.0, 305.0, 325.0]),
    ("2/0 AWG", [225.0, 265.0, 285.0, 285.0, 330.0, 355.0, 370.0]),
    ("3/0 AWG", [260.0, 310.0, 330.0, 330.0, 385.0, 410.0, 430.0]),
    ("4/0 AWG", [300.0, 360.0, 385.0, 385.0, 445.0, 475.0, 510.0]),
];

/// Note 1 to table 5: factor in engine spaces, 50 °C. 0.85 seen, the others from memory.
const ENGINE_SPACE: [f64; 7] = [0.58, 0.75, 0.78, 0.82, 0.85, 0.89, 1.00];

#[expect(clippy::expect_used, reason = "a helper of tests; the table covers what it is asked")]
fn in_engine_space(size: ConductorSize, insulation: Insulation) -> Ampacity {
    let hot =
        Surroundings { ambient: Celsius(50.0), place: Place::EngineSpace, circuits_bundled: 1 };
    ampacity(size, insulation, hot).expect("the table covers it")
}

#[test]
fn every_gauge_carries_what_table_5_prints() {
    for (label, row) in TABLE_5 {
        for (class, printed) in CLASSES.into_iter().zip(row) {
            let insulation = Insulation::parse_celsius(class).unwrap();
            let found = base_ampacity(size(label), insulation).unwrap();
            assert_eq!(found, Amps(printed), "{label} at {class} °C");
        }
    }
}

#[test]
fn table_5_covers_every_gauge_there_is() {
    let ours: Vec<_> = ConductorSize::all_awg().map(ConductorSize::label).collect();
    assert_eq!(ours, TABLE_5.map(|(label, _)| label));
}

/// A larger gauge or a better insulation never carries less: a slipped digit in both copies of the
/// table would break that.
#[test]
fn table_5_rises_with_the_gauge_and_with_the_class() {
    for (smaller, larger) in TABLE_5.iter().zip(TABLE_5.iter().skip(1)) {
        assert!(smaller.1.iter().zip(larger.1).all(|(less, more)| *less < more), "{}", larger.0);
    }
    for (label, row) in TABLE_5 {
        assert!(row.is_sorted(), "{label}");
    }
}

#[test]
fn engine_spaces_have_the_factor_of_note_1() {
    for (class, printed) in CLASSES.into_iter().zip(ENGINE_SPACE) {
        let insulation = Insulation::parse_celsius(class).unwrap();
        let found = ambient_factor(insulation, Celsius(50.0), Place::EngineSpace).unwrap();
        assert_near(found, printed, 0.0);
    }
}

/// The formula gives 0.577, 0.745, 0.775, 0.816, 0.856, 0.889 and 0.939 at 50 °C (computed): the
/// printed factors follow it, but for the last, which is not the physical one.
#[test]
fn the_factors_of_note_1_follow_the_formula_up_to_125_degrees() {
    let computed = [0.577, 0.745, 0.775, 0.816, 0.856, 0.889, 0.939];
    for ((class, printed), formula) in CLASSES.into_iter().zip(ENGINE_SPACE).zip(computed) {
        let insulation = Insulation::parse_celsius(class).unwrap();
        let found = ambient_factor(insulation, Celsius(50.0), Place::Outside).unwrap();
        assert_near(found, formula, 0.0005);
        assert_near(printed, formula, if class > 125.0 { 0.062 } else { 0.0065 });
    }
}

/// Values for 105 °C in engine spaces as printed, truncated to whole amperes (seen in two public
/// copies): 18 AWG 17, 10 AWG 51, 2 AWG 178, 4/0 AWG 378.
#[test]
fn printed_engine_space_values_are_ours_truncated() {
    for (label, printed) in
        [("18 AWG", 17.0), ("10 AWG", 51.0), ("2 AWG", 178.0), ("4/0 AWG", 378.0)]
    {
        let found = in_engine_space(size(label), Insulation::C105).value.0;
        assert_near((found + 1e-9).floor(), printed, 0.0);
    }
}

/// Golden case G06: 10 AWG, 105 °C insulation (183.425 and 183.455(c)(1), seen; the last rule from
/// memory): outside 60 A, engine space 51 A, fuse up to 90 A by this law, 60 A by IEC and ISO.
#[test]
fn ten_gauge_outside_in_the_engine_space_and_with_its_fuses() {
    let base = base_ampacity(size("10 AWG"), Insulation::C105).unwrap();
    assert_eq!(base, Amps(60.0));
    assert_near(in_engine_space(size("10 AWG"), Insulation::C105).value.0, 51.0, 1e-9);
    assert_eq!(cap_by_rule(FuseRule::Cfr150, base).unwrap(), Amps(90.0));
    assert_eq!(cap_by_rule(FuseRule::ConductorAmpacity, base).unwrap(), Amps(60.0));
}

/// One US state's rule for its fleet: next size if at most 125 % (seen in a public copy).
#[test]
fn the_fleet_rule_allows_125_percent() {
    assert_eq!(cap_by_rule(FuseRule::Fleet125, Amps(60.0)).unwrap(), Amps(75.0));
}

/// 183.455(b)(1): 7 in; (b)(2): 40 in (both seen); 183.460: 72 in (from memory).
#[test]
fn a_fuse_is_within_7_or_40_or_72_inches() {
    assert_eq!(FUSE_DISTANCE_CFR, Millimetres(177.8));
    assert_eq!(FUSE_DISTANCE_CFR_SHEATHED, Millimetres(1016.0));
    assert_eq!(FUSE_DISTANCE_CFR_BATTERY, Millimetres(1828.8));
}

/// Golden case G14, second half: 183.420(a) (seen in three copies). 90 lbf is 400.3 N, and governs
/// over twice the weight of 25 kg, 490 N; a battery of 12 kg is pulled with twice its weight,
/// 235.4 N.
#[test]
fn a_battery_is_pulled_with_90_pounds_or_twice_its_weight() {
    assert_near(battery_pull_33cfr(Kilograms(25.0)).unwrap().0, 400.3, 0.1);
    assert_near(battery_pull_33cfr(Kilograms(12.0)).unwrap().0, 235.4, 0.1);
}

#[test]
fn the_source_says_what_was_seen_and_what_was_recalled() {
    let alone = in_engine_space(size("10 AWG"), Insulation::C105);
    assert_eq!(alone.source, Source::seen("33 CFR 183.425, table 5"));
    assert_eq!(alone.ambient_source.sureness, Sureness::Seen);
    let recalled = in_engine_space(size("10 AWG"), Insulation::C90);
    assert_eq!(recalled.sureness(), Sureness::FromMemory);
}
