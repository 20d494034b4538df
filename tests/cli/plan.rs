//! Findings on the command line: the table, the JSON, and what the exit code says.

use std::fs;

use fusewright::domain::findings::findings;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan_file::read_plan;
use tempfile::TempDir;

use super::program::{Said, ask, example, text};

fn plan(kit: &str, plan: &str, more: &[&str]) -> Said {
    let (kit, plan) =
        (example(&format!("kits/{kit}.toml")), example(&format!("plans/{plan}.toml")));
    ask(&[&["plan", text(&kit), text(&plan)], more].concat())
}

#[test]
fn the_exit_code_is_the_worst_outcome() {
    assert_eq!(plan("tray-40", "tray-40-van", &[]).code, 0);
    assert_eq!(plan("cool-12", "cool-12-composite-caution", &[]).code, 1);
    assert_eq!(plan("tray-40", "tray-40-estate-stop", &[]).code, 2);
}

#[test]
fn value_limit_and_outcome_stand_in_columns() {
    let said = plan("tray-40", "tray-40-van", &[]);
    // Two figures that the kit itself gives: the fuse may stand 180 mm off, the plan has it at 140.
    let place = said.out.lines().find(|line| line.contains("140 mm")).unwrap();
    assert!(place.starts_with("ok  ") && place.ends_with("at most 180 mm"), "{place}");
    let limits = said
        .out
        .lines()
        .filter_map(|line| line.find("at most").map(|byte| line[..byte].chars().count()));
    let columns: std::collections::BTreeSet<usize> = limits.collect();
    assert_eq!(columns.len(), 1, "the limits do not stand below each other:\n{}", said.out);
    assert!(!said.out.contains("Source: "));
}

#[test]
fn a_stop_says_why_and_what_to_change() {
    let said = plan("tray-40", "tray-40-estate-stop", &[]);
    let mut lines = said.out.lines().skip_while(|line| !line.starts_with("stop"));
    assert!(lines.next().unwrap().contains("Voltage drop"), "{}", said.out);
    assert!(lines.next().unwrap().contains("More is lost on the way than the kit allows."));
    assert!(lines.next().unwrap().contains("Take "));
    assert!(said.out.trim_end().lines().last().unwrap().contains(" stop, "));
}

#[test]
fn the_working_shows_formula_and_source_of_every_finding() {
    let said = plan("duo-24", "duo-24-truck", &["--working"]);
    let sources = said.out.lines().filter(|line| line.trim_start().starts_with("Source: "));
    let told = |line: &&str| line.starts_with("ok ") || line.starts_with("figure ");
    let count = said.out.lines().filter(told).count();
    assert!(count > 10, "{}", said.out);
    assert_eq!(sources.count(), count);
}

#[test]
fn json_gives_the_findings_themselves_with_changes_and_curves() {
    let said = plan("tray-40", "tray-40-estate-stop", &["--json"]);
    assert_eq!(said.code, 2);
    let printed: serde_json::Value = serde_json::from_str(&said.out).unwrap();
    let kit = read_kit(&fs::read_to_string(example("kits/tray-40.toml")).unwrap()).unwrap();
    let text = fs::read_to_string(example("plans/tray-40-estate-stop.toml")).unwrap();
    let expected = findings(&kit, &read_plan(&text, &kit).unwrap());
    let told = printed["findings"].as_array().unwrap();
    assert_eq!(told.len(), expected.len());
    for (told, expected) in told.iter().zip(&expected) {
        let mut told = told.clone();
        told.as_object_mut().unwrap().remove("change").unwrap();
        // Through text, as it was printed: reading a float back may change its last digit.
        let expected = serde_json::to_string(expected).unwrap();
        assert_eq!(told, serde_json::from_str::<serde_json::Value>(&expected).unwrap());
    }
    // The plan's first stop is its drop: the cable that mends it can be typed into the plan.
    assert_eq!(told[0]["change"]["fields"][0][0], "circuits.supply.cable");
    let circuits = printed["circuits"].as_array().unwrap();
    assert_eq!(circuits.len(), kit.circuits.len());
    let drops = circuits[0]["path"]["parts"].as_array().unwrap();
    let lost: f64 = drops.iter().map(|part| part["drop_v"].as_f64().unwrap()).sum();
    assert!((lost - told[0]["value"].as_f64().unwrap()).abs() < 1e-9);
    assert!(circuits[0]["longest_runs"].as_array().unwrap().len() > 5);
    assert_eq!(circuits[0]["fuse_rules"].as_array().unwrap().len(), 4);
    // Nothing lies off the middle, so that the fasteners' shears add up to the whole force.
    let mount = &printed["mount"];
    let fasteners = mount["fasteners"].as_array().unwrap();
    assert_eq!(fasteners.len(), 8);
    let shear: f64 = fasteners.iter().map(|one| one["shear_n"].as_f64().unwrap()).sum();
    assert!((shear - mount["force_n"].as_f64().unwrap()).abs() < 1e-6, "{mount}");
}

/// By hand: 35 A · 0.8 = 28 A hot, less 60 A and 18 A.
#[test]
fn what_is_below_zero_is_printed_with_a_minus_sign() {
    let place = TempDir::new().unwrap();
    let source = fs::read_to_string(example("plans/cool-12-camper.toml")).unwrap();
    let weak = source.replace("alternator_a = 180", "alternator_a = 35");
    assert_ne!(weak, source);
    let file = place.path().join("plan.toml");
    fs::write(&file, weak).unwrap();
    let said = ask(&["plan", text(&example("kits/cool-12.toml")), text(&file), "--working"]);
    assert!(said.out.contains("= \u{2212}50.0 A"), "{}", said.out);
    let mut after_hyphen = said.out.split(" -").skip(1);
    assert!(!after_hyphen.any(|after| after.starts_with(|c: char| c.is_ascii_digit())));
}

#[test]
fn faults_of_the_plan_are_all_listed_with_their_lines() {
    let place = TempDir::new().unwrap();
    let source = fs::read_to_string(example("plans/tray-40-van.toml")).unwrap();
    let broken = source
        .replace("battery = \"agm\"", "battery = \"acid\"")
        .replace("length_out_m = 3.4", "length_out_m = -3.4");
    let file = place.path().join("plan.toml");
    fs::write(&file, &broken).unwrap();
    let said = ask(&["plan", text(&example("kits/tray-40.toml")), text(&file)]);
    assert_eq!((said.code, said.out.as_str()), (3, ""));
    let line = |start: &str| 1 + broken.lines().position(|line| line.starts_with(start)).unwrap();
    for (start, key) in [
        ("battery = \"acid\"", "vehicle.battery"),
        ("length_out_m = -3.4", "circuits.supply.length_out_m"),
    ] {
        assert!(said.err.contains(&format!("line {}, {key}: ", line(start))), "{}", said.err);
    }
}

#[test]
fn a_plan_of_a_faulty_kit_is_not_worked_out() {
    let place = TempDir::new().unwrap();
    let file = place.path().join("kit.toml");
    fs::write(&file, "code = \"TRAY-40\"\n").unwrap();
    let said = ask(&["plan", text(&file), text(&example("plans/tray-40-van.toml"))]);
    assert_eq!(said.code, 3);
    assert!(said.err.contains("the kit it belongs to has faults"), "{}", said.err);
    assert!(said.err.contains("mounting: This is missing."), "{}", said.err);
}
