//! What a sheet always holds, and that it is a pure function of kit and plan.

use std::collections::BTreeSet;

use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::sheet::{Making, Sheet, WorkshopLimits, make_sheet};
use fusewright::domain::step::{Phase, StepKind};

use super::cast::{dec, kit, plan, sheet};

mod again;
pub(crate) mod change;
mod prove;

/// All demo kits with their plans.
fn demo() -> Vec<(&'static str, &'static str)> {
    vec![
        (
            include_str!("../../server/cli/demo/kits/tray-40.toml"),
            include_str!("../../server/cli/demo/plans/tray-40-van.toml"),
        ),
        (
            include_str!("../../server/cli/demo/kits/duo-24.toml"),
            include_str!("../../server/cli/demo/plans/duo-24-truck.toml"),
        ),
        (
            include_str!("../../server/cli/demo/kits/cool-12.toml"),
            include_str!("../../server/cli/demo/plans/cool-12-camper.toml"),
        ),
    ]
}

fn sheets() -> Vec<Sheet> {
    demo()
        .into_iter()
        .map(|(kit, plan)| {
            let kit = read_kit(kit).unwrap();
            let plan = read_plan(plan, &kit).unwrap();
            make_sheet(Making {
                kit: &kit,
                plan: &plan,
                plan_edition: 1,
                edition: 1,
                workshop: &WorkshopLimits::default(),
            })
        })
        .collect()
}

#[test]
fn the_same_kit_and_plan_always_give_the_same_sheet() {
    assert_eq!(sheet(1, &plan()), sheet(1, &plan()));
    assert_eq!(sheet(1, &plan()).digest(), sheet(1, &plan()).digest());
}

#[test]
fn every_sheet_has_every_phase_in_order_and_no_key_twice() {
    for sheet in sheets() {
        let phases: Vec<Phase> = sheet.steps.iter().map(|step| step.phase).collect();
        assert!(phases.is_sorted(), "{}", sheet.kit_code);
        let distinct: BTreeSet<Phase> = phases.into_iter().collect();
        assert_eq!(distinct.len(), Phase::ALL.len(), "{}", sheet.kit_code);
        let keys: BTreeSet<&str> = sheet.steps.iter().map(|step| step.key.as_str()).collect();
        assert_eq!(keys.len(), sheet.steps.len(), "{}", sheet.kit_code);
    }
}

#[test]
fn isolation_is_proved_before_anything_is_mounted_and_fuses_go_in_after_insulation() {
    for sheet in sheets() {
        let at = |key: &str| sheet.steps.iter().position(|step| step.key == key).unwrap();
        assert!(at("before.isolate") < at("before.dead"));
        assert!(at("before.dead") < at("mount.surface"));
        assert!(at("energise.insulation") < at("energise.reconnect"));
        let first_fuse = sheet.steps.iter().position(|s| s.key.ends_with(".fuse_in")).unwrap();
        assert!(at("energise.reconnect") < first_fuse);
    }
}

#[test]
fn proved_dead_is_not_met_by_a_reversed_battery() {
    let sheet = sheet(1, &plan());
    let StepKind::Reading { limits, .. } = &sheet.step("before.dead").unwrap().kind else {
        unreachable!("a reading proves it dead");
    };
    assert_eq!(limits.lower, Some(dec("-0.5")));
    assert_eq!(limits.upper, Some(dec("0.5")));
}

#[test]
fn every_measuring_step_says_where_its_limit_comes_from() {
    for sheet in sheets() {
        for step in sheet.steps.iter().filter(|step| step.kind.is_measurement()) {
            assert!(step.basis.is_some(), "{} {}", sheet.kit_code, step.key);
        }
    }
}

#[test]
fn every_stud_fastener_and_joint_is_torqued_once() {
    let kit = kit();
    let torques = sheet(1, &plan())
        .steps
        .iter()
        .filter(|step| matches!(step.kind, StepKind::Torque { .. }))
        .count();
    let studs = kit.terminals.iter().filter(|terminal| terminal.torque.is_some()).count();
    assert_eq!(torques, studs + kit.joints.len() + kit.mounting.count as usize);
}

#[test]
fn the_planned_fuse_is_among_the_ratings_shown_and_not_always_at_the_same_place() {
    let mut places = BTreeSet::new();
    for sheet in sheets() {
        for step in &sheet.steps {
            if let StepKind::Fuse { rating_a, choices_a } = &step.kind {
                let place = choices_a.iter().position(|a| a == rating_a);
                assert!(place.is_some(), "{}: {rating_a} in {choices_a:?}", step.key);
                places.insert(place);
            }
        }
    }
    assert!(places.len() > 1, "the place must not give the answer away");
}

#[test]
fn a_path_limit_is_never_looser_than_the_allowed_drop() {
    for (kit, plan) in demo() {
        let kit = read_kit(kit).unwrap();
        let plan = read_plan(plan, &kit).unwrap();
        for circuit in fusewright::domain::figures::circuits(&kit, &plan) {
            let sheet = make_sheet(Making {
                kit: &kit,
                plan: &plan,
                plan_edition: 1,
                edition: 1,
                workshop: &WorkshopLimits::default(),
            });
            let limits: f64 = sheet
                .steps
                .iter()
                .filter(|step| step.key.starts_with(&format!("prove.{}.drop", circuit.kit.id)))
                .map(|step| match &step.kind {
                    StepKind::PathDrop { resistance_max_milliohm, .. } => {
                        fusewright::domain::number::physical(*resistance_max_milliohm) / 1000.0
                    }
                    other => unreachable!("a drop step is {other:?}"),
                })
                .sum();
            assert!(
                limits * circuit.current.0 <= circuit.allowed_drop.0 + 1e-9,
                "{}",
                circuit.kit.id
            );
        }
    }
}
