//! The cable of one circuit: drop, ampacity, the maker's least size.

use fusewright::domain::finding::Outcome::{Ok, Stop};
use fusewright::domain::findings::findings;
use fusewright::domain::kit::Kit;
use fusewright::domain::plan::Plan;
use fusewright::engineering::conductor::ConductorSize;

use super::super::cast::dec;
use super::{after, all_after, has_formula, is_told, named, said, says, sources};

/// Air as the tables have it, and no other circuit beside: the ampacity is the printed figure.
fn alone_at_30(size: &str) -> impl Fn(&mut Plan) {
    let cable = ConductorSize::parse(size).unwrap();
    move |plan: &mut Plan| {
        let run = &mut plan.circuits[0];
        (run.cable, run.ambient_c, run.circuits_bundled) = (cable, dec("30"), 1);
    }
}

/// By hand: 25 mm² has 0.780 mΩ/m at 20 °C. In air of 40 °C, carrying 40 A of 126.6 A, it gets
/// 40 + 65 · (40/126.6)² = 46.5 °C warm and has 1.1041 times as much. Out 3.4 m: 2.928 mΩ, back
/// 3.6 m: 3.100 mΩ, two joints: 1.000 mΩ. 40 A · 7.028 mΩ = 0.281131 V, of 12 V 2.342756 %.
#[test]
fn a_drop_at_what_is_allowed_passes_and_beyond_it_stops() {
    let allowing = |percent: &str| {
        after("supply.drop", |kit, _| kit.circuits[0].allowed_drop_percent = dec(percent))
    };
    assert_eq!(said(&allowing("3")), says("0.281 V", "at most 0.360 V", Ok));
    assert_eq!(said(&allowing("2.342756")), says("0.281 V", "at most 0.281 V", Ok));
    let beyond = allowing("2.342755");
    assert_eq!(said(&beyond), says("0.281 V", "at most 0.281 V", Stop));
    has_formula(&beyond, &["40.0 A", "2.93 + 3.10 + 1.00", "0.281 V", "46 °C"]);
    // 35 mm²: 0.554 mΩ/m · 7 m · 1.10 + 1 mΩ = 5.3 mΩ, 0.21 V.
    assert_eq!(beyond.remedy.unwrap(), "Take 35 mm²: it meets drop, ampacity and fuse.");
    let makers = sources(&allowing("3")).pop().unwrap();
    assert_eq!(makers, "Kit, page 9: at most 3 % of nominal (maker's figure)");
}

/// By hand: 2.9 m of 1.5 mm² of 13.3 mΩ/m at 40 °C, 1.0786 times as much: 41.60 mΩ; with a bond of
/// 2.5 mΩ and joints of 1 mΩ 45.10 mΩ. 0.2 A · 45.10 mΩ = 0.00902 V.
#[test]
fn the_way_back_by_the_body_is_its_bond() {
    let found = after("sense.drop", |_, _| {});
    assert_eq!(said(&found), says("0.00902 V", "at most 0.600 V", Ok));
    has_formula(&found, &["41.60 + 2.50 + 1.00"]);
}

/// By hand: each further joint adds 0.5 mΩ: 28 of them 14 mΩ, 40 A · 20.03 mΩ = 0.801 V.
#[test]
fn joints_lose_voltage_too() {
    let found = after("supply.drop", |_, plan| plan.circuits[0].joints = 28);
    assert_eq!(said(&found), says("0.801 V", "at most 0.360 V", Stop));
}

#[test]
fn a_run_that_no_cable_serves_says_so() {
    let found = after("supply.drop", |_, plan| plan.circuits[0].joints = 20);
    // 40 A · 10 mΩ is more than 0.36 V without any cable.
    assert_eq!(found.outcome, Stop);
    assert!(found.remedy.unwrap().starts_with("No size of this family does it"));
}

/// By hand: 170 A (ISO 10133, 105 °C; from memory) · 1 · 1 in air of 30 °C, alone.
#[test]
fn a_current_at_the_ampacity_passes_and_beyond_it_stops() {
    let drawing = |amps: &str| {
        after("supply.ampacity", |kit: &mut Kit, plan| {
            alone_at_30("25 mm2")(plan);
            kit.circuits[0].continuous_a = dec(amps);
        })
    };
    assert_eq!(said(&drawing("170")), says("170 A", "at most 170 A", Ok));
    let beyond = drawing("170.01");
    assert_eq!(said(&beyond), says("170 A", "at most 170 A", Stop));
    has_formula(&beyond, &["170 A · 1.00 · 1.00 = 170 A"]);
    assert!(beyond.remedy.is_some());
}

/// By hand: √((105 − 40)/(105 − 30)) = 0.931 for the air, 0.80 for two circuits: 126.6 A.
#[test]
fn warm_air_and_neighbours_take_from_the_ampacity() {
    let found = after("supply.ampacity", |_, _| {});
    assert_eq!(said(&found), says("40.0 A", "at most 127 A", Ok));
    has_formula(&found, &["170 A · 0.93 · 0.80 = 127 A"]);
    assert_eq!(found.sources.len(), 3);
}

/// 8 AWG has 8.37 mm², 6 AWG 13.3 mm² (ASTM B258).
#[test]
fn the_least_size_of_the_maker_is_compared_by_area() {
    let planned = |size: &str| {
        let size = ConductorSize::parse(size).unwrap();
        after("supply.least_size", |_, plan| plan.circuits[0].cable = size)
    };
    assert_eq!(said(&planned("10 mm2")), says("10.0 mm²", "at least 10.0 mm²", Ok));
    assert_eq!(said(&planned("6 AWG")), says("13.3 mm²", "at least 10.0 mm²", Ok));
    assert_eq!(said(&planned("6 mm2")), says("6.00 mm²", "at least 10.0 mm²", Stop));
    let american = planned("8 AWG");
    assert_eq!(said(&american), says("8.37 mm²", "at least 10.0 mm²", Stop));
    has_formula(&american, &["8 AWG against 10 mm²"]);
    assert_eq!(american.remedy.unwrap(), "Take 10 mm² or larger.");
    assert!(!is_told("supply.least_size", |kit, _| kit.circuits[0].least_size = None));
}

/// The ampacity tables begin at 0.75 mm².
#[test]
fn a_cable_that_the_tables_do_not_cover_stops_and_hides_no_other_circuit() {
    let thin = |_: &mut Kit, plan: &mut Plan| {
        plan.circuits[1].cable = ConductorSize::parse("0.5 mm2").unwrap();
    };
    let all = all_after(thin);
    let stopped = named(&all, "sense.range");
    assert_eq!(stopped.outcome, Stop);
    assert!(stopped.reason.contains("from 0.75 mm² to 95 mm²"), "{}", stopped.reason);
    for id in ["supply.drop", "solar.drop", "charge.hours", "alternator.margin"] {
        assert_eq!(named(&all, id).outcome, Ok);
    }
    let before = findings(&super::kit(), &super::plan());
    assert_eq!(named(&all, "alternator.margin"), named(&before, "alternator.margin"));
}

/// A supply whose cable cannot be worked out is drawn from the alternator all the same.
#[test]
fn what_the_alternator_gives_does_not_rest_on_the_cable() {
    let all = all_after(|_, plan| {
        plan.circuits[0].cable = ConductorSize::parse("0.5 mm2").unwrap();
    });
    assert_eq!(said(named(&all, "alternator.margin")), says("105 A", "at most 144 A", Ok));
}
