//! What a plan's figures come to: each finding at its limit and just beyond, and what all have in common.

use std::collections::BTreeSet;

use fusewright::domain::change::smallest_change;
use fusewright::domain::figures::circuits;
use fusewright::domain::finding::{Finding, Outcome, three_digits};
use fusewright::domain::findings::{findings, longest_runs, worst};
use fusewright::domain::kit::Kit;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan::Plan;
use fusewright::domain::plan_file::read_plan;
use proptest::prelude::*;

use super::any_plan::any_plan;
use super::cast::{kit, plan};

mod bolt;
mod charge;
mod circuit;
mod fault;
mod fuse;
mod mount;
mod solar;
mod weight;

/// Value and limit as printed, and the outcome.
type Said = (String, String, Outcome);

fn named<'a>(all: &'a [Finding], id: &str) -> &'a Finding {
    all.iter().find(|finding| finding.id == id).unwrap_or_else(|| {
        let ids: Vec<&str> = all.iter().map(|finding| finding.id.as_str()).collect();
        unreachable!("{id} is not among {ids:?}")
    })
}

/// The finding of the tray in the van, after a change of kit or plan.
#[track_caller]
fn after(id: &str, change: impl FnOnce(&mut Kit, &mut Plan)) -> Finding {
    named(&all_after(change), id).clone()
}

fn all_after(change: impl FnOnce(&mut Kit, &mut Plan)) -> Vec<Finding> {
    let (mut kit, mut plan) = (kit(), plan());
    change(&mut kit, &mut plan);
    findings(&kit, &plan)
}

fn is_told(id: &str, change: impl FnOnce(&mut Kit, &mut Plan)) -> bool {
    all_after(change).iter().any(|finding| finding.id == id)
}

fn said(finding: &Finding) -> Said {
    (finding.value_text(), finding.limit_text(), finding.outcome)
}

fn says(value: &str, limit: &str, outcome: Outcome) -> Said {
    (value.to_owned(), limit.to_owned(), outcome)
}

/// The formula with this plan's figures in it.
#[track_caller]
fn has_formula(finding: &Finding, figures: &[&str]) {
    for figure in figures {
        assert!(finding.formula.contains(figure), "{figure} is not in {}", finding.formula);
    }
}

/// Every source in order, up to its sureness.
fn sources(finding: &Finding) -> Vec<String> {
    finding.sources.iter().map(ToString::to_string).collect()
}

#[test]
fn a_sound_plan_has_no_stop() {
    assert_ne!(worst(&findings(&kit(), &plan())), Outcome::Stop);
}

#[test]
fn the_worst_comes_first() {
    let all = all_after(|_, plan| {
        plan.mounting.layers = 2;
        plan.mounting.removable = true;
    });
    let outcomes: Vec<Outcome> = all.iter().map(|finding| finding.outcome).collect();
    assert!(outcomes.is_sorted_by(|a, b| a >= b), "{outcomes:?}");
    assert_eq!(outcomes[..3], [Outcome::Stop, Outcome::Caution, Outcome::Ok]);
    assert_eq!(worst(&all), Outcome::Stop);
    assert_eq!(worst(&[]), Outcome::Ok);
}

#[test]
fn the_plans_made_to_stop_and_to_warn_do() {
    let tray = read_kit(super::cast::KIT).unwrap();
    let stop = include_str!("../../server/cli/demo/plans/tray-40-estate-stop.toml");
    let stop = read_plan(stop, &tray).unwrap();
    assert_eq!(worst(&findings(&tray, &stop)), Outcome::Stop);
    let cool = read_kit(include_str!("../../server/cli/demo/kits/cool-12.toml")).unwrap();
    let warn = include_str!("../../server/cli/demo/plans/cool-12-composite-caution.toml");
    let warn = read_plan(warn, &cool).unwrap();
    assert_eq!(worst(&findings(&cool, &warn)), Outcome::Caution);
}

#[test]
fn the_planned_size_is_marked_and_a_larger_one_runs_farther() {
    let (kit, plan) = (kit(), plan());
    let circuits = circuits(&kit, &plan);
    assert_eq!(circuits.len(), kit.circuits.len());
    for circuit in &circuits {
        let (title, runs) = (&circuit.kit.title, longest_runs(circuit));
        assert_eq!(runs.iter().filter(|run| run.is_planned).count(), 1, "{title}");
        let metres: Vec<f64> = runs.iter().filter_map(|run| run.run).map(|run| run.0).collect();
        assert!(metres.is_sorted(), "{title}: {metres:?}");
    }
}

#[test]
fn three_digits_print_without_an_exponent() {
    for (value, text) in [
        (0.434, "0.434"),
        (12.634, "12.6"),
        (4903.3, "4900"),
        (0.0, "0"),
        (0.0361, "0.0361"),
        (9.994, "9.99"),
        (9.996, "10.0"),
        (0.99951, "1.00"),
        (99.96, "100"),
        (999.6, "1000"),
        (-9.996, "−10.0"),
        (1e-9, "0.000000"),
    ] {
        assert_eq!(three_digits(value), text);
    }
}

/// What must be true of any finding at all.
fn fault_in(finding: &Finding) -> Option<&'static str> {
    let limits = [Some(finding.value), finding.lower, finding.upper];
    let unnamed = finding.sources.iter().any(|basis| {
        basis.text.trim().is_empty()
            || ![
                "from memory",
                "seen in a public copy",
                "computed",
                "maker's figure",
                "as planned",
                "common practice, no source",
            ]
            .contains(&basis.sureness)
    });
    let faults = [
        (!finding.reason.ends_with('.'), "the reason is no sentence"),
        (finding.sources.is_empty(), "no source"),
        (unnamed, "a source without its sureness"),
        (limits.into_iter().flatten().any(|figure| !figure.is_finite()), "not finite"),
        (!finding.unit.is_empty() && finding.formula.is_empty(), "a figure without its formula"),
        (["NaN", "inf "].iter().any(|odd| finding.formula.contains(odd)), "an odd formula"),
        (finding.outcome != Outcome::Ok && finding.remedy.is_none(), "a stop without a remedy"),
        (finding.outcome == Outcome::Ok && finding.remedy.is_some(), "a remedy for nothing"),
    ];
    faults.into_iter().find(|(wrong, _)| *wrong).map(|(_, what)| what)
}

/// Whether outcome and limits say the same; two findings are more than their figure.
fn agrees(finding: &Finding) -> bool {
    // What a driving rating stands in a crash is not known; the window of a string fuse is open.
    if ["mount.rating", "solar.string_fuse"].contains(&finding.id.as_str()) {
        return true;
    }
    let judged = finding.lower.is_some() || finding.upper.is_some();
    let hair = |limit: f64| 1e-9 * limit.abs();
    let over = finding.upper.is_some_and(|most| finding.value > most + hair(most));
    let under = finding.lower.is_some_and(|least| finding.value < least - hair(least));
    !judged || (over || under) == (finding.outcome != Outcome::Ok)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// It does not panic either: that is the first thing this shows.
    #[test]
    fn every_finding_of_any_plan_is_whole(any in any_plan()) {
        let all = findings(&any.kit, &any.plan());
        let mut ids = BTreeSet::new();
        for finding in &all {
            prop_assert_eq!(fault_in(finding), None, "{:#?}", finding);
            prop_assert!(agrees(finding), "{:#?}", finding);
            prop_assert!(ids.insert(&finding.id), "{} is told twice", finding.id);
        }
        // Each circuit is told, whatever the others come to.
        for circuit in &any.kit.circuits {
            let of_it = |id: &&String| id.starts_with(&format!("{}.", circuit.id));
            prop_assert!(ids.iter().any(of_it), "nothing of {}", circuit.id);
        }
        for finding in &all {
            if finding.outcome == Outcome::Ok {
                prop_assert_eq!(smallest_change(&any.kit, &any.plan(), finding), None);
            }
        }
    }
}
