//! Kit files: every demo kit is sound, and each rule of the check has a case that breaks it.

use fusewright::domain::document::Fault;
use fusewright::domain::kit::{Pole, Purpose};
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::number::Decimal;
use fusewright::domain::step::{Phase, Unit};

mod inputs;
mod mounting;
mod terminals;

const TRAY: &str = include_str!("../../server/cli/demo/kits/tray-40.toml");
const DUO: &str = include_str!("../../server/cli/demo/kits/duo-24.toml");
const COOL: &str = include_str!("../../server/cli/demo/kits/cool-12.toml");

/// The text with one passage changed, which must be there.
fn changed(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "{from:?} is not in the kit");
    text.replacen(from, to, 1)
}

/// The only fault of a kit with one passage changed, as `key: wrong`.
fn only(text: &str, from: &str, to: &str) -> String {
    match read_kit(&changed(text, from, to)).err().unwrap_or_default().as_slice() {
        [fault] => {
            assert!(fault.instead.starts_with(char::is_uppercase), "{}", fault.instead);
            format!("{}: {}", fault.key, fault.wrong)
        }
        others => panic!("not one fault: {others:#?}"),
    }
}

fn is_sound(text: &str, from: &str, to: &str) -> bool {
    read_kit(&changed(text, from, to)).is_ok()
}

/// The line of a passage, counted from 1.
fn line_of(text: &str, passage: &str) -> usize {
    let before = text.lines().take_while(|line| !line.contains(passage)).count();
    assert!(before < text.lines().count(), "{passage:?} is not in the kit");
    before + 1
}

#[expect(clippy::unwrap_used, reason = "a figure written in this file")]
fn figure(text: &str) -> Decimal {
    text.parse().unwrap()
}

#[test]
fn every_demo_kit_reads_without_a_fault() {
    let kits = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("server/cli/demo/kits");
    let mut codes = Vec::new();
    for file in std::fs::read_dir(kits).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        codes.push(read_kit(&text).unwrap_or_else(|faults| panic!("{faults:#?}")).code);
    }
    codes.sort();
    assert_eq!(codes, ["COOL-12", "DUO-24", "TRAY-40"]);
}

#[test]
fn a_kit_holds_what_its_file_says_digit_by_digit() {
    let kit = read_kit(TRAY).unwrap();
    assert_eq!(kit.mass_kg, figure("29.5"));
    let labels: Vec<_> = kit.terminals.iter().map(|one| one.label.as_str()).collect();
    assert_eq!(labels, ["IN+", "IN-", "RUN", "PV+", "PV-"]);
    let ids: Vec<_> = kit.circuits.iter().map(|one| one.id.as_str()).collect();
    assert_eq!(ids, ["supply", "sense", "solar"]);
    let supply = kit.circuit("supply").unwrap();
    assert_eq!(supply.purpose, Purpose::Supply);
    assert_eq!(supply.least_size.unwrap().label(), "10 mm²");
    assert_eq!(supply.fuse.unwrap().distance_max_mm, figure("180"));
    assert_eq!(kit.terminals[1].pole, Pole::Negative);
    assert_eq!(kit.terminals[0].torque.as_ref().unwrap().target_nm, figure("5.5"));
    assert_eq!(kit.terminals[2].torque, None);
    assert_eq!(kit.mounting.count, 8);
    assert_eq!(kit.extra_readings[0].unit, Unit::Millimetre);
    assert_eq!(kit.extra_readings[0].limits.upper, Some(figure("0.6")));
    assert_eq!(kit.extra_steps[1].phase, Phase::Route);
    assert_eq!(kit.charging.unwrap().current_least_a, figure("32"));
}

#[test]
fn a_page_number_becomes_words_and_a_text_stays() {
    assert_eq!(read_kit(TRAY).unwrap().mounting.page, "page 7");
    assert_eq!(read_kit(COOL).unwrap().mounting.page, "leaflet, panel 1");
    assert_eq!(only(DUO, "page = 2\n", "page = 0\n"), "mounting.page: 0 is no page.");
}

#[test]
fn a_file_with_twelve_faults_reports_all_twelve_at_their_lines() {
    let faults = [
        ("code = \"TRAY-40\"", "code = \"tray 40\"", "code"),
        ("mass_kg = 29.5", "mass_kg = \"29.5\"", "mass_kg"),
        ("standing_current_ma", "standing_curent_ma", "standing_curent_ma"),
        ("label = \"RUN\"", "label = \"in -\"", "terminals.3.label"),
        ("colour = \"BN\"", "colour = \"BROWN\"", "terminals.4.colour"),
        (
            "label = \"PV-\"\ncircuit = \"solar\"",
            "label = \"PV-\"\ncircuit = \"sun\"",
            "terminals.5.circuit",
        ),
        ("peak_a = 46", "peak_a = 36", "circuits.supply.peak_a"),
        ("rating_a = 50", "rating_a = 55", "circuits.supply.fuse.rating_a"),
        ("count = 8", "count = 1", "mounting.count"),
        ("off_most_v = 2", "off_most_v = 12", "sense.off_most_v"),
        ("voltage_max_v = 55", "voltage_max_v = 15", "solar.voltage_max_v"),
        ("unit = \"mm\"", "unit = \"inch\"", "extra_readings.1.unit"),
    ];
    let text = faults.iter().fold(TRAY.to_owned(), |text, (from, to, _)| changed(&text, from, to));
    let found = read_kit(&text).unwrap_err();
    let found: Vec<_> = found.iter().map(|fault| (fault.line, fault.key.as_str())).collect();
    let expected: Vec<_> = faults
        .iter()
        .map(|(_, to, key)| (line_of(&text, to.lines().last().unwrap()), *key))
        .collect();
    assert_eq!(found, expected);
    assert_eq!(found.len(), 12);
}

#[test]
fn every_fault_says_what_to_write_instead() {
    let found = read_kit("").unwrap_err();
    let keys: Vec<_> = found.iter().map(|fault| fault.key.as_str()).collect();
    let wanted = [
        "code",
        "edition",
        "title",
        "maker",
        "manual",
        "mass_kg",
        "nominal_voltage_v",
        "circuits",
        "terminals",
        "mounting",
    ];
    assert_eq!(keys, wanted);
    assert!(found.iter().all(|fault: &Fault| fault.instead.starts_with("Write ")));
}

#[test]
fn a_code_is_made_of_capitals_digits_and_hyphens() {
    assert!(is_sound(DUO, "\"DUO-24\"", "\"D2\""));
    for bad in ["D", "duo-24", "DUO 24", "-DUO", "DUO-", "DUO-24-DUO-24-DUO-24-"] {
        assert!(only(DUO, "DUO-24", bad).starts_with("code: "), "{bad}");
    }
}

#[test]
fn the_nominal_voltage_is_one_that_vehicles_have() {
    assert!(is_sound(COOL, "nominal_voltage_v = 12", "nominal_voltage_v = 48"));
    assert_eq!(
        only(COOL, "nominal_voltage_v = 12", "nominal_voltage_v = 36"),
        "nominal_voltage_v: 36 V is not a nominal voltage of vehicles."
    );
}

#[test]
fn clearances_name_each_side_once() {
    assert_eq!(
        only(DUO, "Below, cable entry", "above, Cooling fins"),
        "clearances.2.side: “above, Cooling fins” stands twice."
    );
}

#[test]
fn a_tolerance_is_between_two_and_thirty_percent() {
    for sound in ["2", "30"] {
        let to = format!("torque_nm = 8.5\ntolerance_percent = {sound}\nleast");
        assert!(is_sound(DUO, "torque_nm = 8.5\ntolerance_percent = 15\nleast", &to), "{sound}");
    }
    for bad in ["1.9", "30.1"] {
        let to = format!("torque_nm = 8.5\ntolerance_percent = {bad}\nleast");
        let found = only(DUO, "torque_nm = 8.5\ntolerance_percent = 15\nleast", &to);
        assert!(found.starts_with("mounting.tolerance_percent: "), "{found}");
    }
}

#[test]
fn a_circuit_has_an_id_that_the_sheet_does_not_use_itself() {
    let renamed = |to: &str| DUO.replace("cab_battery", to);
    assert!(read_kit(&renamed("house")).is_ok());
    let wrong = |to: &str| read_kit(&renamed(to)).unwrap_err().remove(0).wrong;
    assert_eq!(wrong("battery"), "The name battery is taken by the sheet.");
    assert_eq!(wrong("Cab-Battery"), "This name cannot be an id.");
}

#[test]
fn a_supply_has_a_fuse_at_its_battery() {
    let line = "fuse = { form = \"single_bolt\", rating_a = 40, distance_max_mm = 190 }\n";
    assert_eq!(only(DUO, line, ""), "circuits.starter_feed.fuse: This is missing.");
}

#[test]
fn a_fuse_has_a_rating_that_its_form_is_made_with() {
    assert_eq!(
        only(COOL, "rating_a = 25", "rating_a = 22"),
        "circuits.supply.fuse.rating_a: 22 A is not a rating of the blade fuse, medium."
    );
    assert_eq!(
        only(COOL, "form = \"blade\"", "form = \"glass\""),
        "circuits.supply.fuse.form: “glass” is not one of the choices."
    );
}

#[test]
fn a_fuse_carries_the_continuous_current_at_least() {
    assert!(is_sound(COOL, "continuous_a = 18", "continuous_a = 25"));
    assert_eq!(
        only(COOL, "continuous_a = 18", "continuous_a = 25.1"),
        "circuits.supply.fuse.rating_a: A fuse of 25 A does not carry 25.1 A continuously."
    );
}

#[test]
fn a_peak_is_not_below_the_continuous_current() {
    assert!(is_sound(COOL, "peak_a = 26", "peak_a = 18"));
    assert_eq!(
        only(COOL, "peak_a = 26", "peak_a = 17.9"),
        "circuits.supply.peak_a: A peak of 17.9 A is below the continuous 18 A."
    );
}

#[test]
fn sense_thresholds_stand_in_order_and_within_what_the_wire_has() {
    assert!(is_sound(DUO, "on_least_v = 22", "on_least_v = 4.1"));
    assert_eq!(
        only(DUO, "on_least_v = 22", "on_least_v = 4"),
        "sense.off_most_v: Off at 4 V and on at 4 V cannot be told apart."
    );
    assert!(is_sound(DUO, "on_least_v = 22", "on_least_v = 31.2"));
    assert_eq!(
        only(DUO, "on_least_v = 22", "on_least_v = 31.3"),
        "sense.on_least_v: The wire never has 31.3 V."
    );
}

#[test]
fn a_window_has_its_lower_end_below_its_upper_one() {
    assert!(is_sound(TRAY, "voltage_start_v = 15", "voltage_start_v = 54.9"));
    assert_eq!(
        only(TRAY, "voltage_start_v = 15", "voltage_start_v = 55"),
        "solar.voltage_max_v: 55 is not above voltage_start_v = 55."
    );
    assert_eq!(
        only(DUO, "voltage_least_v = 27.2", "voltage_least_v = 28.8"),
        "charging.voltage_most_v: 28.8 is not above voltage_least_v = 28.8."
    );
}

#[test]
fn the_least_charge_current_is_one_that_the_fuse_carries_continuously() {
    assert!(is_sound(DUO, "current_least_a = 18", "current_least_a = 30"));
    assert_eq!(
        only(DUO, "current_least_a = 18", "current_least_a = 30.1"),
        "charging.current_least_a: The circuit and its fuse carry 30 A continuously, not 30.1 A."
    );
}

#[test]
fn a_solar_circuit_wants_its_window_and_a_window_its_circuit() {
    let start = TRAY.find("[solar]").unwrap();
    let end = TRAY.find("[charging]").unwrap();
    let without = format!("{}{}", &TRAY[..start], &TRAY[end..]);
    assert_eq!(read_kit(&without).unwrap_err().remove(0).key, "solar");
    let window = format!("{DUO}\n{}", &TRAY[start..end]);
    let found = read_kit(&window).unwrap_err();
    assert_eq!(found[0].key, "solar.circuit");
    assert_eq!(found[0].instead, "Write a circuit of purpose \"solar\" first.");
}

#[test]
fn a_kit_that_nothing_feeds_is_refused() {
    let found = only(DUO, "purpose = \"supply\"", "purpose = \"load\"");
    assert_eq!(found, "circuits: Nothing feeds the gear.");
}

#[test]
fn fasteners_are_two_to_twenty_with_washers_wider_than_their_thread() {
    for sound in ["2", "20"] {
        assert!(is_sound(DUO, "count = 4", &format!("count = {sound}")), "{sound}");
    }
    for bad in ["1", "21"] {
        assert!(only(DUO, "count = 4", &format!("count = {bad}")).starts_with("mounting.count: "));
    }
    assert!(is_sound(DUO, "washer_mm = 18", "washer_mm = 9"));
    assert_eq!(
        only(DUO, "washer_mm = 18", "washer_mm = 8.9"),
        "mounting.washer_mm: A washer of 8.9 mm is too small for M6."
    );
}

#[test]
fn a_property_class_is_one_that_the_physics_knows() {
    for sound in ["10.9", "A2-70", "A4-80"] {
        assert!(is_sound(DUO, "class = \"8.8\"", &format!("class = \"{sound}\"")), "{sound}");
    }
    assert_eq!(
        only(DUO, "class = \"8.8\"", "class = \"4.6\""),
        "mounting.class: “4.6” is not one of the choices."
    );
}

#[test]
fn an_id_stands_once_among_circuits_joints_steps_and_readings() {
    assert_eq!(
        only(TRAY, "id = \"lock_play\"", "id = \"slide_locks\""),
        "extra_readings.1.id: The id slide_locks stands twice."
    );
    assert_eq!(
        only(TRAY, "id = \"body_earth\"", "id = \"supply\""),
        "joints.1.id: The id supply stands twice."
    );
    assert_eq!(
        only(TRAY, "id = \"lock_play\"", "id = \"9\""),
        "extra_readings.1.id: “9” does not fit here."
    );
}

#[test]
fn an_extra_reading_has_a_limit_and_a_unit_that_can_be_typed() {
    for unit in ["Nm", "mohm", "C", "N·m", "MΩ"] {
        assert!(is_sound(TRAY, "unit = \"mm\"", &format!("unit = \"{unit}\"")), "{unit}");
    }
    assert_eq!(only(TRAY, "upper = 0.6\n", ""), "extra_readings.1.upper: This is missing.");
    assert!(is_sound(TRAY, "upper = 0.6", "lower = 0.1"));
    assert_eq!(
        only(TRAY, "upper = 0.6", "lower = 0.6\nupper = 0.6"),
        "extra_readings.1.upper: 0.6 is not above lower = 0.6."
    );
}

#[test]
fn a_list_has_a_greatest_length() {
    let one = "\n[[joints]]\nid = \"j@\"\ntitle = \"A\"\ntorque_nm = 5\n\
               tolerance_percent = 15\npage = 1\n";
    let with = |count: usize| {
        let joints: String = (0..count).map(|n| one.replace('@', &n.to_string())).collect();
        read_kit(&format!("{DUO}{joints}"))
    };
    assert!(with(24).is_ok());
    assert_eq!(with(25).unwrap_err().remove(0).key, "joints");
}

#[test]
fn a_torque_of_every_demo_kit_can_be_proven_with_an_ordinary_wrench() {
    // Common practice, no source: a wrench of ±6 % (ISO 6789, up to 10 N·m; from memory) has an
    // expanded uncertainty of 2 · 6 % / √3 = 6.9 %; a tolerance of 15 % leaves room at both ends.
    for text in [TRAY, DUO, COOL] {
        let kit = read_kit(text).unwrap();
        let studs = kit.terminals.iter().filter_map(|one| one.torque.as_ref());
        let joints = kit.joints.iter().map(|one| &one.torque);
        for torque in studs.chain(joints).chain([&kit.mounting.torque]) {
            assert!(torque.tolerance_percent >= figure("15"));
        }
    }
}
