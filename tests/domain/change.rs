//! What is offered as the smallest change really is one: it helps, and nothing smaller does.

use fusewright::domain::change::{Change, smallest_change};
use fusewright::domain::finding::{Finding, Outcome};
use fusewright::domain::findings::findings;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan::{Back, Plan};
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::plan_form::{form_to_toml, toml_to_form};
use fusewright::engineering::conductor::ConductorSize;

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
