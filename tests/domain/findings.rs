//! What a plan's figures come to.

use fusewright::domain::finding::{Finding, Outcome, three_digits};
use fusewright::domain::findings::{findings, longest_runs, worst};
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan::Backing;
use fusewright::domain::plan_file::read_plan;

use super::cast::{dec, kit, plan};

fn named<'a>(all: &'a [Finding], id: &str) -> &'a Finding {
    all.iter().find(|finding| finding.id == id).unwrap_or_else(|| {
        let ids: Vec<&str> = all.iter().map(|finding| finding.id.as_str()).collect();
        unreachable!("{id} is not among {ids:?}")
    })
}

#[test]
fn a_sound_plan_has_no_stop() {
    assert_ne!(worst(&findings(&kit(), &plan())), Outcome::Stop);
}

#[test]
fn the_worst_comes_first() {
    let all = findings(&kit(), &plan());
    let outcomes: Vec<Outcome> = all.iter().map(|finding| finding.outcome).collect();
    assert!(outcomes.is_sorted_by(|a, b| a >= b), "{outcomes:?}");
}

#[test]
fn a_run_that_loses_too_much_stops_and_names_a_cable_that_does() {
    let mut plan = plan();
    plan.circuits[0].length_out_m = dec("25");
    let all = findings(&kit(), &plan);
    let drop = named(&all, &format!("{}.drop", plan.circuits[0].circuit));
    assert_eq!(drop.outcome, Outcome::Stop);
    assert!(drop.remedy.is_some());
    assert!(drop.value > drop.upper.unwrap());
}

#[test]
fn a_fuse_above_what_the_cable_carries_stops() {
    let mut plan = plan();
    plan.circuits[0].cable = "1 mm2".parse_size();
    let all = findings(&kit(), &plan);
    let id = &plan.circuits[0].circuit;
    assert_eq!(named(&all, &format!("{id}.fuse_cable")).outcome, Outcome::Stop);
    assert_eq!(named(&all, &format!("{id}.ampacity")).outcome, Outcome::Stop);
}

/// Common practice, no source: a tray is never bolted to sheet thinner than 1 mm.
#[test]
fn a_sheet_thinner_than_a_millimetre_stops() {
    let mut plan = plan();
    plan.mounting.thickness_mm = dec("0.9");
    let all = findings(&kit(), &plan);
    assert_eq!(named(&all, "mount.thickness").outcome, Outcome::Stop);
}

#[test]
fn a_removable_panel_stops_and_several_layers_are_a_caution() {
    let mut plan = plan();
    plan.mounting.removable = true;
    plan.mounting.layers = 2;
    let all = findings(&kit(), &plan);
    assert_eq!(named(&all, "mount.panel").outcome, Outcome::Stop);
    assert_eq!(named(&all, "mount.layers").outcome, Outcome::Caution);
}

/// A mass that the sheet does not hold stops, and the remedy names a plate that does.
#[test]
fn a_mount_that_gives_way_names_what_would_hold() {
    let mut kit = kit();
    let mut plan = plan();
    plan.mounting.backing = Backing::Washers;
    plan.mounting.thickness_mm = dec("1.2");
    kit.mass_kg = dec("180");
    let all = findings(&kit, &plan);
    let stopped: Vec<&Finding> = all
        .iter()
        .filter(|finding| finding.id.starts_with("mount.") && finding.unit == "%")
        .filter(|finding| finding.outcome == Outcome::Stop)
        .collect();
    assert!(!stopped.is_empty());
    for finding in stopped {
        assert!(finding.value > 100.0, "{}", finding.id);
        let remedy = finding.remedy.as_deref().unwrap();
        assert!(remedy.starts_with("It would hold with ") && remedy.contains("plate"), "{remedy}");
    }
    for id in ["mount.bolt", "mount.bearing", "mount.punching", "mount.pull_through"] {
        let held = named(&all, id);
        assert!(held.outcome == Outcome::Stop || held.remedy.is_none(), "{id}");
    }
}

/// What no washer and no plate holds, because the bolts break, is not given one.
#[test]
fn a_hopeless_mount_is_sent_to_a_frame() {
    let mut kit = kit();
    kit.mass_kg = dec("5000");
    let all = findings(&kit, &plan());
    let bolt = named(&all, "mount.bolt");
    assert_eq!(bolt.outcome, Outcome::Stop);
    assert!(bolt.remedy.as_deref().unwrap().contains("a frame to the beams"));
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
    for (title, runs) in longest_runs(&kit(), &plan()) {
        assert_eq!(runs.iter().filter(|run| run.is_planned).count(), 1, "{title}");
        let metres: Vec<f64> = runs.iter().filter_map(|run| run.run).map(|run| run.0).collect();
        assert!(metres.is_sorted(), "{title}: {metres:?}");
    }
}

#[test]
fn three_digits_print_without_an_exponent() {
    for (value, text) in
        [(0.434, "0.434"), (12.634, "12.6"), (4903.3, "4900"), (0.0, "0"), (0.0361, "0.0361")]
    {
        assert_eq!(three_digits(value), text);
    }
}

/// By hand: two modules of 22.4 V by table: 44.8 × 1.20 = 53.8 V at −25 °C, 44.8 × 1.23 = 55.1 V at
/// −35 °C, against 55 V. Below the table's end: 44.8 × 1.28 = 57.3 V.
#[test]
fn a_string_that_outgrows_the_input_on_the_coldest_morning_stops() {
    let at = |coldest: &str| {
        let mut plan = plan();
        plan.solar.as_mut().unwrap().coldest_c = dec(coldest);
        let all = findings(&kit(), &plan);
        let cold = named(&all, "solar.cold_voltage");
        (format!("{:.1}", cold.value), cold.outcome)
    };
    assert_eq!(at("-25"), ("53.8".to_owned(), Outcome::Ok));
    assert_eq!(at("-30"), ("54.2".to_owned(), Outcome::Ok));
    assert_eq!(at("-35"), ("55.1".to_owned(), Outcome::Stop));
    assert_eq!(at("-45"), ("57.3".to_owned(), Outcome::Stop));
}

trait ParseSize {
    fn parse_size(&self) -> fusewright::engineering::conductor::ConductorSize;
}

impl ParseSize for str {
    fn parse_size(&self) -> fusewright::engineering::conductor::ConductorSize {
        fusewright::engineering::conductor::ConductorSize::parse(self).unwrap()
    }
}
