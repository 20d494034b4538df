//! What is drawn of a circuit adds up to what its findings say.

use fusewright::domain::curves::{DropPath, FuseCurve, drop_path, fuse_curve};
use fusewright::domain::figures::{self, CircuitFigures};
use fusewright::domain::findings::findings;
use fusewright::domain::kit::Kit;
use fusewright::domain::plan::Plan;
use proptest::prelude::*;

use super::any_plan::any_plan;
use super::cast::{dec, kit, plan};

/// Every circuit that can be worked out.
fn circuits<'a>(kit: &'a Kit, plan: &'a Plan) -> Vec<CircuitFigures<'a>> {
    figures::circuits(kit, plan)
}

fn curve(circuit: &CircuitFigures<'_>, plan: &Plan) -> Option<FuseCurve> {
    let pick = circuit.plan.fuse?;
    let faults = figures::faults(&plan.vehicle, circuit.plan, pick).ok().flatten();
    fuse_curve(circuit, faults.as_ref())
}

fn path_of(at: usize) -> DropPath {
    let (kit, plan) = (kit(), plan());
    drop_path(&circuits(&kit, &plan)[at])
}

/// By hand: 3.4 m and 3.6 m of 0.780 mΩ/m · 1.1041 and 0.5 mΩ of joints each way, 40 A: 0.117 V,
/// 0.020 V, 0.020 V and 0.124 V.
#[test]
fn the_way_by_cable_has_four_parts_in_the_order_of_the_current() {
    let path = path_of(0);
    let said: Vec<(&str, String, String)> = path
        .parts
        .iter()
        .map(|part| (part.name, format!("{:.1}", part.length_m), format!("{:.3}", part.drop_v)))
        .collect();
    let part = |name, length: &str, drop: &str| (name, length.to_owned(), drop.to_owned());
    assert_eq!(
        said,
        [
            part("cable out", "3.4", "0.117"),
            part("joints out", "0.0", "0.020"),
            part("joints back", "0.0", "0.020"),
            part("cable back", "3.6", "0.124"),
        ]
    );
    assert!((path.length_m() - 7.0).abs() < 1e-12 && (path.gear_at_m - 3.4).abs() < 1e-12);
    assert!((path.allowed_v - 0.36).abs() < 1e-12);
}

/// By hand: 41.60 mΩ of cable, both joints on the way out, and the bond of 2.5 mΩ, at 0.2 A.
#[test]
fn the_way_by_the_body_has_three_parts_and_all_joints_on_the_way_out() {
    let path = path_of(1);
    let said: Vec<(&str, String)> = path
        .parts
        .iter()
        .map(|part| (part.name, format!("{:.2}", part.resistance_milliohm)))
        .collect();
    let part = |name, milliohm: &str| (name, milliohm.to_owned());
    let wanted =
        [part("cable out", "41.60"), part("joints out", "1.00"), part("body and bonds", "2.50")];
    assert_eq!(said, wanted);
}

/// By hand: k = 87.572 (105 to 160 °C), 25 mm²: 2189.3 A for 1 s, so 979.1 A for 5 s and 6923 A for
/// 0.1 s; a strip fuse of 50 A has printed times at 1, 1.5, 2, 3 and 5 times its rating.
#[test]
fn a_fuse_is_drawn_at_its_printed_multiples_and_the_cable_where_the_law_holds() {
    let (kit, mut plan) = (kit(), plan());
    plan.vehicle.battery_milliohm = Some(dec("6"));
    let circuits = circuits(&kit, &plan);
    let drawn = curve(&circuits[0], &plan).unwrap();
    let currents: Vec<f64> = drawn.gate.iter().map(|point| point.current_a).collect();
    assert_eq!(currents, [50.0, 75.0, 100.0, 150.0, 250.0]);
    let longest: Vec<Option<f64>> = drawn.gate.iter().map(|point| point.longest_s).collect();
    assert_eq!(longest, [None, Some(3600.0), Some(100.0), Some(3.0), Some(1.0)]);
    let cable: Vec<String> = drawn.cable.iter().map(|(a, s)| format!("{a:.0} A {s} s")).collect();
    assert_eq!(cable, ["979 A 5 s", "6923 A 0.1 s"]);
    // 12.6 V over 6 mΩ and the cold path: 7 m of 0.780 mΩ and 1 mΩ, or 140 mm.
    let (at_fuse, far_end) = drawn.faults.unwrap();
    assert_eq!((format!("{at_fuse:.0}"), format!("{far_end:.0}")), ("2062".into(), "1011".into()));
    let marks: Vec<&str> = drawn.marks().into_iter().map(|(_, words)| words).collect();
    assert_eq!(marks, ["load", "fuse", "cable carries", "short, far end", "short, at fuse"]);
    assert!((drawn.largest_a() - drawn.cable[1].0).abs() < 1e-9);
}

#[test]
fn a_circuit_without_a_fuse_has_no_curve_and_an_unknown_source_no_short_circuit() {
    let (kit, plan) = (kit(), plan());
    let circuits = circuits(&kit, &plan);
    assert_eq!(curve(&circuits[2], &plan), None);
    let drawn = curve(&circuits[0], &plan).unwrap();
    assert_eq!((drawn.faults, drawn.marks().len()), (None, 3));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn the_parts_of_any_path_sum_to_the_drop_that_is_told(any in any_plan()) {
        let plan = any.plan();
        let all = findings(&any.kit, &plan);
        for circuit in circuits(&any.kit, &plan) {
            let path = drop_path(&circuit);
            let id = format!("{}.drop", circuit.kit.id);
            let told = all.iter().find(|finding| finding.id == id).unwrap();
            prop_assert!((path.lost_v() - told.value).abs() <= 1e-9 * told.value, "{}", id);
            let by_resistance: f64 = path
                .parts
                .iter()
                .map(|part| part.resistance_milliohm / 1000.0 * circuit.current.0)
                .sum();
            prop_assert!((path.lost_v() - by_resistance).abs() <= 1e-9 * told.value, "{}", id);
            prop_assert!(path.parts.iter().all(|part| part.drop_v >= -1e-12), "{:?}", path);
            prop_assert!(path.gear_at_m <= path.length_m() + 1e-9, "{:?}", path);
        }
    }

    #[test]
    fn the_marks_of_any_curve_are_sorted_and_none_is_larger_than_the_largest(any in any_plan()) {
        let plan = any.plan();
        for circuit in circuits(&any.kit, &plan) {
            let Some(drawn) = curve(&circuit, &plan) else { continue };
            let marks: Vec<f64> = drawn.marks().into_iter().map(|(current, _)| current).collect();
            prop_assert!(marks.is_sorted(), "{:?}", marks);
            prop_assert!(marks.iter().all(|mark| *mark > 0.0 && *mark <= drawn.largest_a()));
            prop_assert_eq!(marks.len(), if drawn.faults.is_some() { 5 } else { 3 });
            for pair in drawn.gate.windows(2) {
                prop_assert!(pair[0].current_a < pair[1].current_a);
                prop_assert!(pair[0].shortest_s >= pair[1].shortest_s);
            }
        }
    }
}
