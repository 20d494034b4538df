//! Short circuits: at the fuse and at the far end.

use fusewright::domain::finding::Finding;
use fusewright::domain::finding::Outcome::{Caution, Ok, Stop};
use fusewright::domain::plan::{Back, Chemistry, Plan};
use fusewright::engineering::conductor::ConductorSize;
use fusewright::engineering::fuse::FuseForm;

use super::super::cast::dec;
use super::{after, has_formula, is_told, said, says, sources};

/// The fuse on the battery's post: nothing but the battery limits the current.
fn at_the_post(change: impl FnOnce(&mut Plan)) -> Finding {
    after("supply.fuse_breaking", |_, plan| {
        plan.circuits[0].fuse.as_mut().unwrap().distance_mm = dec("0");
        change(plan);
    })
}

/// By hand: 12.6 V / 6.3 mΩ = 2000 A, what a strip fuse breaks (ISO 8820-5, scope); 12.6 V / 6.2 mΩ =
/// 2032 A. Lithium iron phosphate is full at 13.4 V: / 6.7 mΩ = 2000 A.
#[test]
fn a_short_circuit_at_the_fuse_is_at_most_what_it_breaks() {
    let measured = |milliohm: &str, battery: Chemistry| {
        let milliohm = Some(dec(milliohm));
        at_the_post(|plan| {
            (plan.vehicle.battery_milliohm, plan.vehicle.battery) = (milliohm, battery);
        })
    };
    assert_eq!(said(&measured("6.3", Chemistry::Agm)), says("2000 A", "at most 2000 A", Ok));
    let beyond = measured("6.2", Chemistry::Agm);
    assert_eq!(said(&beyond), says("2030 A", "at most 2000 A", Stop));
    has_formula(&beyond, &["12.6 V / (6.2 + 0.00) mΩ = 2030 A"]);
    assert_eq!(sources(&beyond)[0], "battery resistance by a tester (as planned)");
    assert_eq!(measured("6.7", Chemistry::Lfp).outcome, Ok);
    assert_eq!(measured("6.6", Chemistry::Lfp).outcome, Stop);
}

/// By hand: 0.5 · (12.6 − 7.2) V / 428 A = 6.31 mΩ, so 1997 A; of 430 A 2007 A. An estimate forbids
/// nothing.
#[test]
fn an_estimated_source_warns_and_does_not_stop() {
    let cranking = |amps: &str| {
        let amps = Some(dec(amps));
        at_the_post(|plan| plan.vehicle.cold_cranking_a = amps)
    };
    assert_eq!(said(&cranking("428")), says("2000 A", "at most 2000 A", Ok));
    let beyond = cranking("430");
    assert_eq!(said(&beyond), says("2010 A", "at most 2000 A", Caution));
    assert!(sources(&beyond)[0].ends_with("halved for a warm battery (from memory)"));
    assert!(beyond.remedy.is_some());
}

/// By hand: 140 mm of 25 mm², 0.780 mΩ/m, are 0.11 mΩ: 12.6 V / (6.3 + 0.11) mΩ = 1966 A.
#[test]
fn the_way_to_the_fuse_counts_and_the_return_does_not() {
    let found = after("supply.fuse_breaking", |_, plan| {
        plan.vehicle.battery_milliohm = Some(dec("6.3"));
        plan.circuits[0].back = Back::Chassis { bond_milliohm: dec("100") };
    });
    assert_eq!(said(&found), says("1970 A", "at most 2000 A", Ok));
}

#[test]
fn nothing_is_said_of_short_circuits_of_a_source_that_nobody_knows() {
    for id in ["supply.fuse_breaking", "supply.clearing"] {
        assert!(!is_told(id, |_, _| {}));
        // The estimate is for lead-acid alone.
        assert!(!is_told(id, |_, plan| {
            plan.vehicle.battery = Chemistry::Lfp;
            plan.vehicle.cold_cranking_a = Some(dec("600"));
        }));
    }
}

/// A metre there and back of 6 mm², 3.30 mΩ/m, with two joints: 7.6 mΩ.
fn far_end(size: &str, battery_milliohm: &str) -> Finding {
    let (size, milliohm) = (ConductorSize::parse(size).unwrap(), dec(battery_milliohm));
    after("supply.clearing", |_, plan| {
        plan.vehicle.battery_milliohm = Some(milliohm);
        let run = &mut plan.circuits[0];
        (run.cable, run.length_out_m) = (size, dec("1"));
        run.back = Back::Cable { length_m: dec("1") };
    })
}

/// By hand: k = 226 · √ln(1 + 55/339.5) = 87.572 from 105 to 160 °C; 6 mm² stands 1 s of 525.43 A,
/// for as long as a strip fuse of 50 A may take from 5 · In on (ISO 8820-5; from memory). 525.43 A
/// flow through 12.6 V / 525.43 A − 7.6 mΩ = 16.3803 mΩ.
#[test]
fn the_fuse_opens_before_the_insulation_is_harmed_or_warns() {
    let holds = far_end("6 mm2", "16.381");
    assert_eq!(said(&holds), says("1.00 s", "at most 1.00 s", Ok));
    let fails = far_end("6 mm2", "16.38");
    assert_eq!(said(&fails), says("1.00 s", "at most 1.00 s", Caution));
    has_formula(&fails, &["12.6 V / (16.4 + 7.60) mΩ = 525 A = 10.5 · In", "105", "160"]);
    assert_eq!(fails.sources.len(), 3);
}

/// What drop and load ask for may be less than what is planned: that is no answer to a short circuit.
#[test]
fn the_remedy_of_a_cable_that_gives_way_first_is_no_smaller_cable() {
    // 4 mm², 4.95 mΩ/m: 10.9 mΩ of path; 500 A for 1 s against (87.572 · 4 / 500)² = 0.491 s.
    let found = far_end("4 mm2", "14.3");
    assert_eq!(said(&found), says("1.00 s", "at most 0.491 s", Caution));
    assert!(found.remedy.unwrap().starts_with("A larger cable, a smaller fuse"));
}

/// By hand: 12.6 V / (90 + 7.6) mΩ = 129 A = 2.58 · In: from 2 · In on the fuse may take 100 s, beyond
/// the 5 s of the law (IEC 60364-4-43).
#[test]
fn a_short_circuit_too_weak_for_the_law_warns() {
    let found = far_end("6 mm2", "90");
    assert_eq!((found.value_text().as_str(), found.outcome), ("129 A", Caution));
    assert!(found.reason.contains("may flow for 100 s"), "{}", found.reason);
    assert_eq!(found.word(), "caution");
}

#[test]
fn where_no_longest_time_is_known_there_is_no_verdict() {
    // 12.6 V / 187.6 mΩ = 67 A = 1.34 · In: below the first printed longest time, at 1.5 · In.
    let weak = far_end("6 mm2", "180");
    assert_eq!((weak.outcome, weak.word()), (Ok, "figure"));
    assert!(weak.reason.starts_with("No verdict"), "{}", weak.reason);
    let bolt = after("supply.clearing", |kit, plan| {
        plan.vehicle.battery_milliohm = Some(dec("14"));
        kit.circuits[0].fuse.as_mut().unwrap().form = FuseForm::SingleBolt;
    });
    assert_eq!((bolt.outcome, bolt.word()), (Ok, "figure"));
    assert_eq!(bolt.sources.len(), 2, "a form without a gate names no source of one");
}
