//! What is offered as the smallest change really is one: it helps, and nothing smaller does.

use std::collections::BTreeMap;

use fusewright::domain::change::{Change, smallest_change};
use fusewright::domain::finding::{Finding, Outcome};
use fusewright::domain::findings::findings;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan::{Back, Backing, Plan, SolarPlan, Surface};
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::plan_form::{form_to_toml, toml_to_form};
use fusewright::engineering::conductor::ConductorSize;
use proptest::prelude::*;

use super::any_plan::{AnyPlan, Typed, any_plan, read_typed};
use super::cast::{KIT, PLAN, dec, kit, plan};

fn finding(plan: &Plan, id: &str) -> Finding {
    findings(&kit(), plan).into_iter().find(|finding| finding.id == id).unwrap()
}

fn offered(plan: &Plan, id: &str) -> Change {
    smallest_change(&kit(), plan, &finding(plan, id)).unwrap()
}

/// The plan as its form gives it, with the offered figures typed in.
fn typed_in(text: &str, change: &Change) -> Plan {
    let mut fields = toml_to_form(text);
    for (key, value) in &change.fields {
        fields.retain(|(name, _)| name != key);
        fields.push((key.clone(), value.clone()));
    }
    read_plan(&form_to_toml(&kit(), &fields), &kit()).unwrap()
}

#[test]
fn a_finding_that_is_ok_wants_no_change() {
    assert_eq!(smallest_change(&kit(), &plan(), &finding(&plan(), "supply.drop")), None);
}

#[test]
fn the_next_cable_that_loses_little_enough_is_offered_and_the_one_below_would_not_do() {
    let mut long = plan();
    long.circuits[0].length_out_m = dec("9.5");
    let stopped = finding(&long, "supply.drop");
    assert_eq!(stopped.outcome, Outcome::Stop);
    let change = offered(&long, "supply.drop");
    let [(key, size)] = change.fields.as_slice() else { panic!("{change:?}") };
    assert_eq!(key, "circuits.supply.cable");
    let offered = ConductorSize::parse(size).unwrap();
    let outcome = |size| {
        let mut plan = long.clone();
        plan.circuits[0].cable = size;
        finding(&plan, "supply.drop").outcome
    };
    assert_eq!(outcome(offered), Outcome::Ok);
    let below = ConductorSize::all_metric().take_while(|size| *size != offered).last().unwrap();
    assert_eq!(outcome(below), Outcome::Stop);
}

#[test]
fn a_run_that_no_cable_serves_is_offered_shorter() {
    let mut long = plan();
    long.circuits[0].length_out_m = dec("29");
    long.circuits[0].back = Back::Cable { length_m: dec("29") };
    long.circuits[0].cable = ConductorSize::all_metric().last().unwrap();
    assert_eq!(finding(&long, "supply.drop").outcome, Outcome::Stop);
    let change = offered(&long, "supply.drop");
    assert!(change.words.starts_with("Shorten the run to "), "{}", change.words);
}

#[test]
fn a_fuse_that_is_too_large_for_the_cable_is_offered_smaller_or_with_a_larger_cable() {
    let mut plan = plan();
    plan.circuits[0].fuse.as_mut().unwrap().rating_a = dec("200");
    let change = offered(&plan, "supply.fuse_cable");
    assert!(change.fields.iter().any(|(key, _)| key == "circuits.supply.fuse_a"), "{change:?}");
}

#[test]
fn a_fuse_too_far_away_is_covered_or_moved() {
    let mut plan = plan();
    let pick = plan.circuits[1].fuse.as_mut().unwrap();
    (pick.distance_mm, pick.covered) = (dec("900"), false);
    let change = offered(&plan, "sense.fuse_place");
    assert!(change.words.starts_with("Move the fuse to "), "{}", change.words);
}

#[test]
fn modules_that_are_too_many_in_a_row_are_offered_fewer() {
    let mut plan = plan();
    plan.solar.as_mut().unwrap().in_series = 9;
    assert_eq!(finding(&plan, "solar.cold_voltage").outcome, Outcome::Stop);
    let change = offered(&plan, "solar.cold_voltage");
    let [(key, count)] = change.fields.as_slice() else { panic!("{change:?}") };
    assert_eq!(key, "solar.in_series");
    let count: u32 = count.parse().unwrap();
    plan.solar.as_mut().unwrap().in_series = count;
    assert_eq!(finding(&plan, "solar.cold_voltage").outcome, Outcome::Ok);
    plan.solar.as_mut().unwrap().in_series = count + 1;
    assert_eq!(finding(&plan, "solar.cold_voltage").outcome, Outcome::Stop);
}

/// Every stop and caution of a bad plan: what is offered, typed into the form, helps and harms nothing.
#[test]
fn what_is_offered_can_be_typed_into_the_form_and_makes_nothing_worse() {
    let stop = include_str!("../../server/cli/demo/plans/tray-40-estate-stop.toml");
    let thin = PLAN.replace("cable = \"25 mm2\"", "cable = \"4 mm2\"");
    let tray = read_kit(KIT).unwrap();
    let mut tried = 0;
    for text in [stop, thin.as_str()] {
        let before = findings(&tray, &read_plan(text, &tray).unwrap());
        for bad in before.iter().filter(|finding| finding.outcome != Outcome::Ok) {
            let plan = read_plan(text, &tray).unwrap();
            let Some(change) = smallest_change(&tray, &plan, bad) else { continue };
            tried += 1;
            for after in findings(&tray, &typed_in(text, &change)) {
                let was = before.iter().find(|one| one.id == after.id).map(|one| one.outcome);
                assert!(after.outcome <= was.unwrap_or(Outcome::Ok), "{change:?}: {}", after.id);
                assert!(after.id != bad.id || after.outcome < bad.outcome, "{change:?}");
            }
        }
    }
    assert!(tried >= 4, "only {tried} changes were offered");
}

fn with_modules(edit: impl FnOnce(&mut SolarPlan)) -> Plan {
    let mut plan = plan();
    edit(plan.solar.as_mut().unwrap());
    plan
}

/// By hand: 14 V · (1 − 0.0028 · 44.25) = 12.3 V does not start an input of 15 V, twice that does.
#[test]
fn modules_that_are_too_few_to_start_are_offered_more_as_far_as_the_cold_allows() {
    let few = with_modules(|modules| (modules.module_voc_v, modules.in_series) = (dec("14"), 1));
    let change = offered(&few, "solar.hot_voltage");
    assert_eq!(change.words, "Take 2 modules in series.");
    assert_eq!(change.fields, [("solar.in_series".to_owned(), "2".to_owned())]);
    // Two of 40 V are more than 55 V on the coldest morning.
    let mut kit = kit();
    kit.solar.as_mut().unwrap().voltage_start_v = dec("50");
    let high = with_modules(|modules| (modules.module_voc_v, modules.in_series) = (dec("40"), 1));
    let all = findings(&kit, &high);
    let hot = all.iter().find(|finding| finding.id == "solar.hot_voltage").unwrap();
    assert_eq!(hot.outcome, Outcome::Caution);
    assert_eq!(smallest_change(&kit, &high, hot), None);
}

#[test]
fn one_module_or_string_is_named_alone() {
    let cold = with_modules(|modules| modules.module_voc_v = dec("40"));
    assert_eq!(offered(&cold, "solar.cold_voltage").words, "Take 1 module alone.");
    // 1.25 · 8 A · 2 is more than 14 A.
    let bright = with_modules(|modules| {
        (modules.module_isc_a, modules.in_parallel) = (dec("8"), 2);
    });
    assert_eq!(offered(&bright, "solar.current").words, "Take 1 string alone.");
}

#[test]
fn a_string_that_no_fuse_fits_is_offered_fewer_neighbours_and_a_missing_figure_is_not() {
    let most = |figure: Option<&str>| {
        let figure = figure.map(dec);
        with_modules(|modules| {
            (modules.in_parallel, modules.module_fuse_max_a) = (4, figure);
            modules.module_isc_a = dec("2");
        })
    };
    let none_fits = most(Some("3"));
    assert_eq!(offered(&none_fits, "solar.string_fuse").words, "Take 2 strings in parallel.");
    let unknown = most(None);
    let found = finding(&unknown, "solar.string_fuse");
    assert_eq!(smallest_change(&kit(), &unknown, &found), None);
}

/// A board whose washers press in is offered larger ones or a plate; one that is crushed by its bolts is
/// not: only another place helps.
#[test]
fn a_board_is_offered_what_spreads_the_load_where_that_helps() {
    let mut kit = kit();
    let mut plan = plan();
    (plan.mounting.surface, plan.mounting.thickness_mm) = (Surface::Plywood, dec("18"));
    plan.mounting.backing = Backing::Washers;
    // Pressure of 18 mm washers: 3·2.5·π/4·(18² − 7²)·0.9/1.3 = 1121 N; 895 N · 45/29.5 = 1365 N.
    kit.mass_kg = dec("45");
    let change = |id: &str| {
        let all = findings(&kit, &plan);
        let found = all.iter().find(|finding| finding.id == id).unwrap();
        (found.outcome, smallest_change(&kit, &plan, found))
    };
    let (outcome, pressed) = change("mount.washer_pressure");
    assert_eq!(outcome, Outcome::Stop);
    assert!(pressed.is_some());
    kit.mass_kg = dec("60");
    let all = findings(&kit, &plan);
    let crushed = all.iter().find(|finding| finding.id == "mount.embedment").unwrap();
    assert_eq!(crushed.outcome, Outcome::Stop);
    assert_eq!(smallest_change(&kit, &plan, crushed), None);
}

/// The largest cable, and joints that take nearly all of the allowed 9 mΩ.
fn with_joints(joints: u32, fuse_mm: &str, back_m: &str) -> Plan {
    let mut plan = plan();
    let run = &mut plan.circuits[0];
    run.cable = ConductorSize::all_metric().last().unwrap();
    (run.length_out_m, run.back) = (dec("30"), Back::Cable { length_m: dec(back_m) });
    run.joints = joints;
    run.fuse.as_mut().unwrap().distance_mm = dec(fuse_mm);
    plan
}

#[test]
fn a_way_back_that_is_short_already_stays_as_it_is() {
    let change = offered(&with_joints(6, "140", "0.18"), "supply.drop");
    let keys: Vec<&str> = change.fields.iter().map(|(key, _)| key.as_str()).collect();
    assert_eq!(keys, ["circuits.supply.length_out_m"], "{change:?}");
}

#[test]
fn a_run_is_not_offered_shorter_than_the_way_to_its_fuse() {
    // 17 joints are 8.5 mΩ; the rest is 1.1 m of the largest cable, there and back.
    let near = offered(&with_joints(17, "140", "30"), "supply.drop");
    assert!(near.words.starts_with("Shorten the run to 1."), "{}", near.words);
    let far = with_joints(17, "1500", "30");
    assert_eq!(smallest_change(&kit(), &far, &finding(&far, "supply.drop")), None);
}

#[test]
fn a_cable_too_small_for_the_tables_is_offered_larger() {
    let mut plan = plan();
    plan.circuits[2].cable = ConductorSize::parse("0.5 mm2").unwrap();
    let stopped = finding(&plan, "solar.range");
    let Some(change) = smallest_change(&kit(), &plan, &stopped) else { panic!("{stopped:?}") };
    assert!(change.words.ends_with(" instead of 0.5 mm²."), "{}", change.words);
}

/// The worst of each finding, by its id.
type Outcomes = BTreeMap<String, Outcome>;

fn outcomes(any: &AnyPlan, typed: &Typed) -> Outcomes {
    let all = findings(&any.kit, &read_typed(&any.kit, typed));
    all.into_iter().map(|finding| (finding.id, finding.outcome)).collect()
}

/// The form with the offered figures typed over the old ones.
fn typed_over(typed: &Typed, fields: &[(String, String)]) -> Typed {
    let stays = |(key, _): &&(String, String)| !fields.iter().any(|(name, _)| name == key);
    typed.iter().filter(stays).chain(fields).cloned().collect()
}

/// Whether the finding became better, to `at_most`, and no other one worse.
fn helps(id: &str, at_most: Outcome, before: &Outcomes, after: &Outcomes) -> bool {
    let was = |id: &String| before.get(id).copied().unwrap_or(Outcome::Ok);
    let now = after.get(id).copied().unwrap_or(Outcome::Ok);
    now <= at_most && after.iter().all(|(id, outcome)| *outcome <= was(id))
}

/// Every size of the family between the planned one and the offered one.
fn sizes_between(planned: ConductorSize, offered: ConductorSize) -> Vec<ConductorSize> {
    let above = std::iter::successors(planned.next_larger(), |size| size.next_larger());
    above.take_while(|size| *size != offered).collect()
}

proptest! {
    // Each case works out hundreds of changed plans.
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    fn what_is_offered_for_any_plan_can_be_typed_in_helps_and_harms_nothing(any in any_plan()) {
        let plan = any.plan();
        let before = outcomes(&any, &any.typed);
        for bad in findings(&any.kit, &plan) {
            let Some(change) = smallest_change(&any.kit, &plan, &bad) else { continue };
            prop_assert!(change.words.ends_with('.') && !change.fields.is_empty(), "{:?}", change);
            let after = outcomes(&any, &typed_over(&any.typed, &change.fields));
            let now = after.get(&bad.id).copied().unwrap_or(Outcome::Ok);
            prop_assert!(now < bad.outcome, "{}: {:?}", bad.id, change);
            prop_assert!(helps(&bad.id, now, &before, &after), "{}: {:?}", bad.id, change);
            let [(key, size)] = change.fields.as_slice() else { continue };
            let Some(id) = key.strip_prefix("circuits.").and_then(|key| key.strip_suffix(".cable"))
            else {
                continue;
            };
            let planned = plan.circuit(id).unwrap().cable;
            for smaller in sizes_between(planned, ConductorSize::parse(size).unwrap()) {
                let fields = [(key.clone(), smaller.label().to_owned())];
                let other = outcomes(&any, &typed_over(&any.typed, &fields));
                prop_assert!(
                    !helps(&bad.id, now, &before, &other),
                    "{} would do for {}, not {size}", smaller.label(), bad.id
                );
            }
        }
    }
}
