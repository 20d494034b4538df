//! Plan files: every demo plan is sound against its kit, and each rule has a case that breaks it.

use fusewright::domain::kit::Kit;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::number::Decimal;
use fusewright::domain::plan::{Back, Backing, Chemistry, RatingKind, Surface};
use fusewright::domain::plan_file::read_plan;
use fusewright::engineering::ampacity::{Insulation, Place};
use fusewright::engineering::mounting::RestraintClass;

mod limits;

const TRAY_KIT: &str = include_str!("../../server/cli/demo/kits/tray-40.toml");
const DUO_KIT: &str = include_str!("../../server/cli/demo/kits/duo-24.toml");
const COOL_KIT: &str = include_str!("../../server/cli/demo/kits/cool-12.toml");
const TRAY: &str = include_str!("../../server/cli/demo/plans/tray-40-van.toml");
const DUO: &str = include_str!("../../server/cli/demo/plans/duo-24-truck.toml");
const COOL: &str = include_str!("../../server/cli/demo/plans/cool-12-camper.toml");

#[expect(clippy::unwrap_used, reason = "the demo kits are sound")]
fn tray() -> (Kit, &'static str) {
    (read_kit(TRAY_KIT).unwrap(), TRAY)
}

#[expect(clippy::unwrap_used, reason = "the demo kits are sound")]
fn duo() -> (Kit, &'static str) {
    (read_kit(DUO_KIT).unwrap(), DUO)
}

#[expect(clippy::unwrap_used, reason = "the demo kits are sound")]
fn cool() -> (Kit, &'static str) {
    (read_kit(COOL_KIT).unwrap(), COOL)
}

/// The text with one passage changed, which must be there.
fn changed(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "{from:?} is not in the plan");
    text.replacen(from, to, 1)
}

/// The only fault of a plan with one passage changed, as `key: wrong`.
fn only((kit, text): (Kit, &str), from: &str, to: &str) -> String {
    match read_plan(&changed(text, from, to), &kit).err().unwrap_or_default().as_slice() {
        [fault] => format!("{}: {}", fault.key, fault.wrong),
        others => panic!("not one fault: {others:#?}"),
    }
}

fn is_sound((kit, text): (Kit, &str), from: &str, to: &str) -> bool {
    read_plan(&changed(text, from, to), &kit).is_ok()
}

#[expect(clippy::unwrap_used, reason = "a figure written in this file")]
fn figure(text: &str) -> Decimal {
    text.parse().unwrap()
}

#[test]
fn every_demo_plan_reads_without_a_fault_against_its_kit() {
    let plans = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("server/cli/demo/plans");
    let kits = [TRAY_KIT, DUO_KIT, COOL_KIT].map(|text| read_kit(text).unwrap());
    let mut count = 0;
    for file in std::fs::read_dir(plans).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        let kit = kits.iter().find(|kit| text.contains(&format!("\"{}\"", kit.code))).unwrap();
        read_plan(&text, kit).unwrap_or_else(|faults| panic!("{faults:#?}"));
        count += 1;
    }
    assert!(count >= 5, "{count}");
}

#[test]
fn a_plan_holds_what_its_file_says_in_the_order_of_the_kit() {
    let (kit, text) = tray();
    let plan = read_plan(text, &kit).unwrap();
    assert_eq!((plan.kit_code.as_str(), plan.kit_edition), ("TRAY-40", 1));
    assert_eq!(plan.vehicle.battery, Chemistry::Agm);
    assert!(plan.vehicle.smart_alternator);
    let ids: Vec<_> = plan.circuits.iter().map(|one| one.circuit.as_str()).collect();
    assert_eq!(ids, ["supply", "sense", "solar"]);
    let supply = plan.circuit("supply").unwrap();
    assert_eq!(supply.cable.label(), "25 mm²");
    assert_eq!(supply.insulation, Insulation::C105);
    assert_eq!(supply.back, Back::Cable { length_m: figure("3.6") });
    assert_eq!(supply.place, Place::Outside);
    assert_eq!(supply.fuse.unwrap().distance_mm, figure("140"));
    assert_eq!(plan.circuits[1].back, Back::Chassis { bond_milliohm: figure("2.5") });
    assert_eq!(plan.circuits[2].fuse, None);
}

#[test]
fn the_mounting_and_the_modules_are_read_as_written() {
    let (kit, text) = tray();
    let plan = read_plan(text, &kit).unwrap();
    assert_eq!(plan.mounting.surface, Surface::Steel);
    assert_eq!(plan.mounting.backing, Backing::Plate { thickness_mm: figure("3") });
    assert_eq!(plan.mounting.restraint, RestraintClass::M1N1);
    assert_eq!(plan.solar.unwrap().voc_percent_per_k, Some(figure("-0.28")));
}

#[test]
fn a_plan_is_for_this_kit_and_this_edition() {
    assert_eq!(only(duo(), "\"DUO-24\"", "\"DUO-12\""), "kit: This is a plan for the kit DUO-12.");
    assert_eq!(
        only(duo(), "edition = 1", "edition = 2"),
        "edition: This is a plan for edition 2 of the kit."
    );
}

#[test]
fn the_vehicle_has_the_nominal_voltage_of_the_kit() {
    assert_eq!(
        only(duo(), "nominal_voltage_v = 24", "nominal_voltage_v = 12"),
        "vehicle.nominal_voltage_v: The kit is made for 24 V, not 12 V."
    );
}

#[test]
fn the_end_of_the_vehicle_number_is_four_to_seventeen_letters_and_digits() {
    for sound in ["4073", "wvwzzz1jz3w386752"] {
        assert!(is_sound(tray(), "K4073318", sound), "{sound}");
    }
    for bad in ["407", "WVWZZZ1JZ3W3867521", "40 73", "40-73"] {
        assert!(only(tray(), "K4073318", bad).starts_with("vehicle.vin_tail: "), "{bad}");
    }
}

#[test]
fn every_circuit_of_the_kit_is_planned_and_no_stranger() {
    let (kit, text) = duo();
    let renamed = changed(text, "[circuits.running]", "[circuits.sense]");
    let found = read_plan(&renamed, &kit).unwrap_err();
    let said: Vec<_> = found.iter().map(|one| (one.key.as_str(), one.wrong.as_str())).collect();
    assert_eq!(
        said,
        [
            ("circuits.running", "This is missing."),
            ("circuits.sense", "The kit has no such circuit."),
        ]
    );
}

#[test]
fn a_run_is_five_centimetres_to_thirty_metres_long() {
    for sound in ["0.05", "30"] {
        assert!(is_sound(duo(), "length_out_m = 5.4", &format!("length_out_m = {sound}")));
    }
    for bad in ["0.04", "30.1"] {
        let found = only(duo(), "length_out_m = 5.4", &format!("length_out_m = {bad}"));
        assert!(found.starts_with("circuits.running.length_out_m: "), "{found}");
    }
}

#[test]
fn a_cable_is_a_size_of_one_of_the_two_families() {
    for sound in ["16", "16 mm²", "4 AWG", "2/0 AWG"] {
        assert!(is_sound(duo(), "25 mm2", sound), "{sound}");
    }
    let found = only(duo(), "25 mm2", "17 mm2");
    assert_eq!(found, "circuits.starter_feed.cable: “17 mm2” does not fit here.");
}

#[test]
fn insulation_is_one_of_the_classes_and_stands_the_air_around_it() {
    assert_eq!(
        only(duo(), "insulation_c = 105", "insulation_c = 100"),
        "circuits.starter_feed.insulation_c: 100 °C is not a temperature class of cables."
    );
    assert!(is_sound(duo(), "ambient_c = 45", "ambient_c = 104.9"));
    assert_eq!(
        only(duo(), "ambient_c = 45", "ambient_c = 105"),
        "circuits.starter_feed.ambient_c: The insulation stands 105 °C, so air of 105 °C ruins it."
    );
    for bad in ["-20.1", "120.1"] {
        let found = only(duo(), "ambient_c = 45", &format!("ambient_c = {bad}"));
        assert!(found.starts_with("circuits.starter_feed.ambient_c: "), "{found}");
    }
}

#[test]
fn the_way_back_has_its_own_figure_and_not_the_other_ones() {
    assert_eq!(
        only(tray(), "length_back_m = 3.6\n", ""),
        "circuits.supply.length_back_m: This is missing."
    );
    assert_eq!(
        only(tray(), "length_back_m = 3.6", "length_back_m = 3.6\nbond_milliohm = 2"),
        "circuits.supply.bond_milliohm: A return by cable has no bond to the body."
    );
    assert_eq!(
        only(duo(), "bond_milliohm = 1.2\n", ""),
        "circuits.starter_feed.bond_milliohm: This is missing."
    );
    assert_eq!(
        only(duo(), "bond_milliohm = 1.2", "bond_milliohm = 1.2\nlength_back_m = 6"),
        "circuits.starter_feed.length_back_m: A return by the body has no cable back."
    );
    // Which of the two figures belongs there is not known, so only the choice is at fault.
    assert_eq!(
        only(tray(), "return = \"cable\"", "return = \"wire\""),
        "circuits.supply.return: “wire” is not one of the choices."
    );
}

#[test]
fn a_fuse_is_planned_where_the_kit_asks_for_one_and_nowhere_else() {
    assert_eq!(only(duo(), "fuse_a = 40\n", ""), "circuits.starter_feed.fuse_a: This is missing.");
    assert_eq!(
        only(duo(), "fuse_a = 40", "fuse_a = 45"),
        "circuits.starter_feed.fuse_a: 45 A is not a rating of the single-bolt fuse."
    );
    assert!(is_sound(duo(), "fuse_a = 40", "fuse_a = 30"));
    let running = "length_out_m = 5.4";
    assert_eq!(
        only(duo(), running, "length_out_m = 5.4\nfuse_a = 30"),
        "circuits.running.fuse_a: The kit asks for no fuse in this circuit."
    );
}

#[test]
fn a_surface_rating_goes_with_its_meaning() {
    let (kit, text) = cool();
    let plan = read_plan(text, &kit).unwrap();
    assert_eq!(plan.mounting.rating_kind, Some(RatingKind::Crash));
    assert_eq!(
        only(cool(), "rating_kind = \"crash\"\n", ""),
        "mounting.rating_kind: This is missing."
    );
    assert_eq!(
        only(cool(), "surface_rating_kg = 90\n", ""),
        "mounting.rating_kind: There is no surface_rating_kg to explain."
    );
    assert!(is_sound(cool(), "surface_rating_kg = 90\nrating_kind = \"crash\"\n", ""));
}

#[test]
fn a_plate_has_a_thickness_and_washers_have_none() {
    assert_eq!(only(tray(), "backing_mm = 3\n", ""), "mounting.backing_mm: This is missing.");
    assert_eq!(
        only(duo(), "backing = \"washers\"", "backing = \"washers\"\nbacking_mm = 3"),
        "mounting.backing_mm: Washers alone are no plate."
    );
}

#[test]
fn solar_is_planned_if_and_only_if_the_kit_has_an_input() {
    let (kit, text) = tray();
    let start = text.find("[solar]").unwrap();
    let found = read_plan(&text[..start], &kit).unwrap_err();
    assert_eq!((found.len(), found[0].key.as_str()), (1, "solar"));
    let (kit, other) = duo();
    let found = read_plan(&format!("{other}\n{}", &text[start..]), &kit).unwrap_err();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].wrong, "The kit has no solar input.");
}

#[test]
fn the_coldest_day_is_colder_than_the_hottest() {
    assert!(is_sound(tray(), "coldest_c = -18", "coldest_c = 37.9"));
    assert_eq!(
        only(tray(), "coldest_c = -18", "coldest_c = 38"),
        "solar.hottest_c: 38 °C is not above coldest_c = 38."
    );
}

#[test]
fn a_coefficient_is_negative_or_left_out() {
    assert!(is_sound(tray(), "voc_percent_per_k = -0.28\n", ""));
    let found = only(tray(), "voc_percent_per_k = -0.28", "voc_percent_per_k = 0.28");
    assert_eq!(found, "solar.voc_percent_per_k: 0.28 is more than -0.05.");
}

#[test]
fn an_unknown_key_of_a_plan_is_a_fault_at_its_line() {
    let (kit, text) = duo();
    let text = changed(text, "removable = false", "removeable = false");
    let found = read_plan(&text, &kit).unwrap_err();
    let keys: Vec<_> = found.iter().map(|one| one.key.as_str()).collect();
    assert_eq!(keys, ["mounting.removable", "mounting.removeable"]);
    let line = text.lines().position(|line| line.starts_with("removeable")).unwrap() + 1;
    assert_eq!(found[1].line, line);
    assert_eq!(found[1].instead, "Did you mean removable? Write that, or leave it out.");
}

#[test]
fn a_plan_without_anything_names_every_section_that_is_missing() {
    let (kit, _) = tray();
    let found = read_plan("", &kit).unwrap_err();
    let keys: Vec<_> = found.iter().map(|one| one.key.as_str()).collect();
    let wanted = [
        "kit",
        "edition",
        "vehicle",
        "circuits.supply",
        "circuits.sense",
        "circuits.solar",
        "mounting",
        "solar",
    ];
    assert_eq!(keys, wanted);
}
