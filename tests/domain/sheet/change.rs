//! What changed between two editions, in the words that people read.

use fusewright::domain::plan::{Back, Plan};
use fusewright::domain::sheet::change::{SheetChange, kind_change};
use fusewright::domain::step::{Limits, StepKind, Unit};

use crate::domain::cast::{dec, plan, sheet};

fn reading(limits: Limits) -> StepKind {
    StepKind::Reading { unit: Unit::Volt, limits }
}

/// The same plan with a longer supply.
pub(crate) fn longer() -> Plan {
    let mut plan = plan();
    plan.circuits[0].length_out_m += dec("0.4");
    if let Back::Cable { length_m } = &mut plan.circuits[0].back {
        *length_m += dec("0.4");
    }
    plan
}

fn fuse(rating: &str) -> StepKind {
    StepKind::Fuse { rating_a: dec(rating), choices_a: vec![dec("40"), dec("60.0")] }
}

fn order(expected: [&str; 2]) -> StepKind {
    let choices = vec!["A".to_owned(), "B".to_owned()];
    StepKind::Order { expected: expected.map(str::to_owned).into(), choices }
}

fn path(max: &str, planned: &str) -> StepKind {
    StepKind::PathDrop {
        resistance_max_milliohm: dec(max),
        planned_milliohm: dec(planned),
        milliohm_per_metre: dec("0.8"),
        current_a: dec("40.0"),
    }
}

fn solar(in_series: u32, upper: &str) -> StepKind {
    StepKind::SolarOpen {
        string_voc_v: dec("40"),
        in_series,
        percent_per_k: dec("-0.3"),
        tolerance_percent: dec("5"),
        upper_v: dec(upper),
    }
}

#[test]
fn the_limit_of_a_figure_is_told_as_it_was_and_as_it_is() {
    let words =
        kind_change(&reading(Limits::at_most(dec("0.36"))), &reading(Limits::at_most(dec("0.30"))));
    assert_eq!(words, "the limit was at most 0.36 V, now at most 0.30 V");
    let words = kind_change(
        &StepKind::Torque { limits: Limits::between(dec("9"), dec("11")) },
        &StepKind::Torque { limits: Limits::at_least(dec("9")) },
    );
    assert_eq!(words, "the limit was 9 to 11 N·m, now at least 9 N·m");
}

#[test]
fn each_thing_that_judges_is_named_and_no_other() {
    for (old, new, words) in [
        (fuse("60"), fuse("40.0"), "the rating was 60 A, now 40 A"),
        (order(["A", "B"]), order(["B", "A"]), "the order was A · B, now B · A"),
        (
            path("3", "2.5"),
            path("4", "3.1"),
            "the limit was at most 3 mΩ, now at most 4 mΩ; the planned resistance was 2.5 mΩ, now 3.1 mΩ",
        ),
        (path("3", "2.5"), path("3", "2.6"), "the planned resistance was 2.5 mΩ, now 2.6 mΩ"),
        (
            solar(2, "100"),
            solar(3, "90"),
            "the number of modules in series was 2, now 3; the input's maximum was 100 V, now 90 V",
        ),
        (StepKind::Confirm, StepKind::Photo, "the step wanted a tick, now a photo"),
        (StepKind::Note, fuse("60"), "the step wanted a note, now a fuse rating"),
        (StepKind::Note, StepKind::Note, "the limit was another one in between"),
    ] {
        assert_eq!(kind_change(&old, &new), words);
    }
}

#[test]
fn a_longer_cable_changes_its_own_steps_and_no_other() {
    let (old, new) = (sheet(1, &plan()), sheet(2, &longer()));
    let change = SheetChange::between(&old, &new);
    assert_eq!((change.from, change.to, change.new_plan), (1, 2, true));
    assert_eq!((change.added.len(), change.gone.len()), (0, 0));
    assert!(change.changes("prove.supply.drop_out"), "{change:?}");
    assert!(!change.changes("before.battery_rested"));
    for step in &change.changed {
        assert!(step.words.contains(" was ") && step.words.contains(", now "), "{step:?}");
        assert!(step.key.contains("supply"), "{step:?}");
    }
}

#[test]
fn added_and_gone_stand_in_the_order_of_their_sheets() {
    let old = sheet(1, &plan());
    let mut new = sheet(2, &plan());
    new.plan_edition = 1;
    let taken: Vec<String> = new.steps.drain(2..4).map(|step| step.key).collect();
    for key in ["kit.first", "kit.second"] {
        let mut step = old.steps[0].clone();
        step.key = key.to_owned();
        new.steps.push(step);
    }
    let change = SheetChange::between(&old, &new);
    assert_eq!(change.gone, taken);
    assert_eq!(change.added, ["kit.first", "kit.second"]);
    assert!(change.changed.is_empty());
    assert!(!change.new_plan);
    let none = SheetChange::between(&old, &old);
    assert!(none.added.is_empty() && none.gone.is_empty() && none.changed.is_empty());
}
