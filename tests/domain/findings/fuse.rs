//! The fuse of one circuit: against load and cable, the maker's, its place and voltage.

use fusewright::domain::finding::Finding;
use fusewright::domain::finding::Outcome::{Caution, Ok, Stop};
use fusewright::domain::plan::{FusePick, Plan};
use fusewright::engineering::conductor::ConductorSize;
use fusewright::engineering::fuse::FuseForm;

use super::super::cast::dec;
use super::{after, all_after, has_formula, is_told, said, says, sources};

fn pick(plan: &mut Plan) -> &mut FusePick {
    plan.circuits[0].fuse.as_mut().unwrap()
}

/// By hand: 0.8 · 50 A = 40 A; of 60 A, the next rating, 48 A. The largest strip of 30 mm, 200 A,
/// carries 160 A.
#[test]
fn a_fuse_carries_four_fifths_of_its_rating_and_no_more() {
    let drawing =
        |amps: &str| after("supply.fuse_load", |kit, _| kit.circuits[0].continuous_a = dec(amps));
    assert_eq!(said(&drawing("40")), says("40.0 A", "at most 40.0 A", Ok));
    let beyond = drawing("40.01");
    assert_eq!(said(&beyond), says("40.0 A", "at most 40.0 A", Stop));
    has_formula(&beyond, &["0.8 · 50 A = 40.0 A"]);
    assert_eq!(beyond.remedy.unwrap(), "The next rating that carries it is 60 A.");
    assert_eq!(drawing("160").remedy.unwrap(), "The next rating that carries it is 200 A.");
    let none = drawing("160.1").remedy.unwrap();
    assert!(none.starts_with("No fuse of this form carries it"), "{none}");
}

/// By hand: 6 mm² carries 60 A (ISO 10133, 105 °C; from memory) in air of 30 °C, alone.
#[test]
fn a_fuse_is_at_most_what_its_cable_carries() {
    let picked = |amps: &str| {
        after("supply.fuse_cable", |_, plan| {
            let run = &mut plan.circuits[0];
            run.cable = ConductorSize::parse("6 mm2").unwrap();
            (run.ambient_c, run.circuits_bundled) = (dec("30"), 1);
            pick(plan).rating_a = dec(amps);
        })
    };
    assert_eq!(said(&picked("60")), says("60.0 A", "at most 60.0 A", Ok));
    let beyond = picked("70");
    assert_eq!(said(&beyond), says("70.0 A", "at most 60.0 A", Stop));
    // The other rules are told beside it: 1.25 · 60 A and 1.5 · 60 A.
    has_formula(&beyond, &["70 A against 60.0 A", "75.0 A", "90.0 A"]);
    // 10 mm² and 16 mm² carry 70 A, but lose more than 0.36 V on the way.
    assert!(beyond.remedy.unwrap().starts_with("Take 25 mm²"));
    assert_eq!(sources(&picked("60")).len(), 1);
}

/// By hand: a strip fuse of 30 mm is sure to open from 1.5 · In on (ISO 8820-5; from memory); 6 mm² of
/// 60 A stand 1.45 · 60 A = 87 A (IEC 60364-4-43, 433.1) = 1.5 · 58 A.
#[test]
fn a_fuse_is_sure_to_open_before_a_lasting_overload_harms_the_cable_or_warns() {
    let picked = |amps: &str| {
        after("supply.fuse_overload", |_, plan| {
            let run = &mut plan.circuits[0];
            run.cable = ConductorSize::parse("6 mm2").unwrap();
            (run.ambient_c, run.circuits_bundled) = (dec("30"), 1);
            pick(plan).rating_a = dec(amps);
        })
    };
    assert_eq!(said(&picked("58")), says("87.0 A", "at most 87.0 A", Ok));
    let beyond = picked("58.01");
    assert_eq!(said(&beyond), says("87.0 A", "at most 87.0 A", Caution));
    has_formula(&beyond, &["1.5 · In = 87.0 A", "1.45 · Iz = 87.0 A"]);
    assert!(beyond.remedy.is_some());
    assert_eq!(sources(&beyond).len(), 2);
    // A form without a printed gate is not judged.
    assert!(!is_told("supply.fuse_overload", |kit, _| {
        kit.circuits[0].fuse.as_mut().unwrap().form = FuseForm::SingleBolt;
    }));
}

#[test]
fn another_fuse_than_the_makers_is_never_silent() {
    let picked = |amps: &str| {
        let amps = dec(amps);
        after("supply.fuse_asked", |_, plan| pick(plan).rating_a = amps)
    };
    assert!(!is_told("supply.fuse_asked", |_, plan| pick(plan).rating_a = dec("50.0")));
    let smaller = picked("40");
    assert_eq!(said(&smaller), says("40.0 A", "at least 50.0 A", Caution));
    has_formula(&smaller, &["picked 40 A, maker 50 A"]);
    let larger = picked("60");
    assert_eq!(said(&larger), says("60.0 A", "at most 50.0 A", Stop));
    for found in [smaller, larger] {
        assert_eq!(found.remedy.as_deref(), Some("Pick the maker's 50 A."));
        assert_eq!(sources(&found), ["Kit, page 9 (maker's figure)"]);
    }
}

fn placed(maker_mm: &str, at_mm: &str, covered: bool) -> Finding {
    let (maker, at) = (dec(maker_mm), dec(at_mm));
    after("supply.fuse_place", |kit, plan| {
        kit.circuits[0].fuse.as_mut().unwrap().distance_max_mm = maker;
        (pick(plan).distance_mm, pick(plan).covered) = (at, covered);
    })
}

/// 200 mm, or covered all the way: ISO 13297 (from memory); the maker's figure in any case.
#[test]
fn a_fuse_sits_where_maker_and_standard_want_it() {
    for (maker, at, covered, limit, outcome) in [
        ("180", "180", true, "at most 180 mm", Ok),
        ("180", "180.1", true, "at most 180 mm", Stop),
        ("180", "180", false, "at most 180 mm", Ok),
        ("180", "180.1", false, "at most 180 mm", Stop),
        ("250", "200", false, "at most 200 mm", Ok),
        ("250", "200.1", false, "at most 200 mm", Stop),
        ("250", "250", true, "at most 250 mm", Ok),
        ("250", "250.1", true, "at most 250 mm", Stop),
    ] {
        let found = placed(maker, at, covered);
        assert_eq!(
            (found.limit_text().as_str(), found.outcome),
            (limit, outcome),
            "{at} {covered}"
        );
    }
    has_formula(
        &placed("180", "140", true),
        &["140 mm along", "200 mm or covered", "maker 180 mm"],
    );
}

#[test]
fn a_fuse_too_far_away_is_covered_where_that_is_enough_and_moved_otherwise() {
    let covered = placed("250", "230", false).remedy.unwrap();
    assert_eq!(covered, "Cover the cable all the way to the fuse, or move the fuse closer.");
    // The figure is not rounded up beyond the limit.
    let moved = placed("180.6", "230", true).remedy.unwrap();
    assert_eq!(moved, "Move the fuse to within 180.6 mm of the source.");
}

/// By hand: 1.25 · 25.6 V = 32 V, what strip and blade fuses are rated for; 1.25 · 46.4 V = 58 V.
#[test]
fn a_fuse_is_rated_for_the_highest_voltage() {
    let at = |form: FuseForm, volts: &str| {
        let volts = dec(volts);
        after("supply.fuse_voltage", |kit, _| {
            kit.nominal_voltage_v = volts;
            kit.circuits[0].fuse.as_mut().unwrap().form = form;
        })
    };
    assert_eq!(said(&at(FuseForm::Strip30, "12")), says("15.0 V", "at most 32.0 V", Ok));
    assert_eq!(said(&at(FuseForm::Strip30, "25.6")), says("32.0 V", "at most 32.0 V", Ok));
    let beyond = at(FuseForm::Blade, "25.7");
    assert_eq!(said(&beyond), says("32.1 V", "at most 32.0 V", Stop));
    has_formula(&beyond, &["1.25 · 25.7 V against 32 V"]);
    assert_eq!(at(FuseForm::SingleBolt, "46.4").outcome, Ok);
    assert_eq!(at(FuseForm::SingleBolt, "48").outcome, Stop);
}

#[test]
fn a_circuit_without_a_fuse_has_no_finding_of_one() {
    let all = all_after(|_, _| {});
    assert!(all.iter().any(|finding| finding.id.starts_with("supply.fuse_")));
    assert!(!all.iter().any(|finding| finding.id.starts_with("solar.fuse_")));
}
