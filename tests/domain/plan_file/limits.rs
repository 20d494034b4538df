//! Figures of a plan at the ends of their ranges and beyond, each with its line and what to write instead.

use fusewright::domain::document::Fault;
use fusewright::domain::kit::Kit;
use fusewright::domain::plan::{Backing, OffCentre, Plan, WeightPlan};
use fusewright::domain::plan_file::read_plan;
use fusewright::engineering::mounting::RestraintClass;

use super::{changed, figure, tray};

/// A section's heading as it stands in the plan, and the same with one line more.
fn with((kit, text): (Kit, &str), heading: &str, lines: &str) -> Result<Plan, Vec<Fault>> {
    read_plan(&changed(text, heading, &format!("{heading}\n{lines}")), &kit)
}

/// The line of a passage, counted from 1.
fn line_of(text: &str, passage: &str) -> usize {
    text.lines().position(|line| line.starts_with(passage)).unwrap() + 1
}

#[track_caller]
fn only(found: Result<Plan, Vec<Fault>>) -> Fault {
    let mut faults = found.unwrap_err();
    assert_eq!(faults.len(), 1, "{faults:#?}");
    faults.remove(0)
}

/// Heading, key, and the figures: just below, least, most, just beyond.
type Range = (&'static str, &'static str, [&'static str; 4]);

const RANGES: [Range; 12] = [
    ("[vehicle]", "battery_milliohm", ["0.09", "0.1", "200", "200.1"]),
    ("[vehicle]", "cold_cranking_a", ["49.9", "50", "3000", "3000.1"]),
    ("[vehicle]", "battery_c", ["-40.1", "-40", "60", "60.1"]),
    ("[mounting]", "off_ahead_mm", ["-2000.1", "-2000", "2000", "2000.1"]),
    ("[mounting]", "off_right_mm", ["-2000.1", "-2000", "2000", "2000.1"]),
    ("[solar]", "module_fuse_max_a", ["0.9", "1", "100", "100.1"]),
    ("[solar]", "noct_c", ["29.9", "30", "70", "70.1"]),
    ("[weights]", "payload_left_kg", ["-0.1", "0", "40000", "40000.1"]),
    ("[weights]", "further_kg", ["-0.1", "0", "5000", "5000.1"]),
    ("[weights]", "front_left_kg", ["-0.1", "0", "20000", "20000.1"]),
    ("[weights]", "rear_left_kg", ["-0.1", "0", "40000", "40000.1"]),
    ("[weights]", "behind_front_mm", ["-2000.1", "-2000", "12000", "12000.1"]),
];

/// The van's plan without the weights that it has.
fn bare() -> (Kit, &'static str) {
    let (kit, text) = tray();
    let until = text.find("[weights]").unwrap() + "[weights]".len();
    (kit, &text[..until])
}

#[test]
fn a_figure_is_taken_up_to_both_ends_of_its_range_and_not_beyond() {
    for (heading, key, [below, least, most, beyond]) in RANGES {
        // The lever of the axles wants both lengths.
        let beside = match key {
            "front_left_kg" | "rear_left_kg" => "wheelbase_mm = 3000\nbehind_front_mm = 1500\n",
            "behind_front_mm" => "wheelbase_mm = 3000\n",
            _ => "",
        };
        let typed = |value: &str| with(bare(), heading, &format!("{key} = {value}\n{beside}"));
        for sound in [least, most] {
            assert!(typed(sound).is_ok(), "{key} = {sound}: {:#?}", typed(sound));
        }
        let line = line_of(bare().1, heading) + 1;
        let path = format!("{}.{key}", heading.trim_matches(['[', ']']));
        let words = [(below, format!("less than {least}")), (beyond, format!("more than {most}"))];
        for (bad, words) in words {
            let fault = only(typed(bad));
            assert_eq!((fault.line, fault.key.as_str()), (line, path.as_str()));
            assert_eq!(fault.wrong, format!("{bad} is {words}."));
            assert_eq!(fault.instead, format!("Write a number from {least} to {most}."));
        }
    }
}

#[test]
fn what_was_typed_is_what_the_plan_holds() {
    let mut plan = with(bare(), "[vehicle]", "cold_cranking_a = 760\nbattery_c = -4.5").unwrap();
    let vehicle = &plan.vehicle;
    let held = (vehicle.cold_cranking_a, vehicle.battery_c);
    assert_eq!(held, (Some(figure("760")), Some(figure("-4.5"))));
    plan = with(bare(), "[solar]", "module_fuse_max_a = 15\nnoct_c = 44").unwrap();
    let modules = plan.solar.unwrap();
    assert_eq!(
        (modules.module_fuse_max_a, modules.noct_c),
        (Some(figure("15")), Some(figure("44")))
    );
    plan = with(bare(), "[mounting]", "off_ahead_mm = -12\nwasher_mm = 24").unwrap();
    assert_eq!(plan.mounting.washer_mm, Some(figure("24")));
    let off = OffCentre { ahead_mm: figure("-12"), right_mm: figure("0") };
    assert_eq!(plan.mounting.off_centre, off);
    assert_eq!(plan.weights, WeightPlan::default());
}

#[test]
fn joints_are_whole_from_none_to_twenty_and_two_where_nobody_says() {
    let typed = |value: &str| with(tray(), "[circuits.supply]", &format!("joints = {value}"));
    assert_eq!(tray_plan().circuits[0].joints, 2);
    for (value, held) in [("0", 0), ("20", 20), ("7", 7)] {
        assert_eq!(typed(value).unwrap().circuits[0].joints, held);
    }
    for bad in ["-1", "21", "2.5"] {
        let fault = only(typed(bad));
        let line = line_of(tray().1, "[circuits.supply]") + 1;
        assert_eq!((fault.line, fault.key.as_str()), (line, "circuits.supply.joints"));
        assert_eq!(fault.wrong, format!("{bad} is not such a number."));
        assert_eq!(fault.instead, "Write a whole number from 0 to 20.");
    }
}

fn tray_plan() -> Plan {
    let (kit, text) = tray();
    read_plan(text, &kit).unwrap()
}

/// M6 of the kit: one and a half times 6 mm.
#[test]
fn other_washers_lie_around_the_bolt() {
    let typed = |value: &str| with(tray(), "[mounting]", &format!("washer_mm = {value}"));
    for sound in ["9", "200"] {
        assert!(typed(sound).is_ok(), "{sound}");
    }
    for (bad, wrong, instead) in [
        ("4.9", "4.9 is less than 5.", "Write a number from 5 to 200."),
        (
            "8.9",
            "A washer of 8.9 mm is too small for M6.",
            "Write its outer diameter, at least 9.0.",
        ),
        ("200.1", "200.1 is more than 200.", "Write a number from 5 to 200."),
    ] {
        let fault = only(typed(bad));
        assert_eq!(fault.line, line_of(tray().1, "[mounting]") + 1);
        assert_eq!(fault.key, "mounting.washer_mm");
        assert_eq!((fault.wrong.as_str(), fault.instead.as_str()), (wrong, instead));
    }
}

#[test]
fn a_fuse_sits_on_its_cable() {
    let at = |mm: &str| {
        let (kit, text) = tray();
        let text = changed(text, "fuse_distance_mm = 140", &format!("fuse_distance_mm = {mm}"));
        read_plan(&text, &kit)
    };
    for sound in ["0", "3400"] {
        assert!(at(sound).is_ok(), "{sound}");
    }
    let fault = only(at("3400.1"));
    assert_eq!(fault.line, line_of(tray().1, "fuse_distance_mm = 140"));
    assert_eq!(fault.key, "circuits.supply.fuse_distance_mm");
    assert_eq!(fault.wrong, "A cable of 3400 mm has no place 3400.1 mm away.");
    assert_eq!(fault.instead, "Write the way along the cable to the fuse.");
    assert_eq!(only(at("5000.1")).wrong, "5000.1 is more than 5000.");
    assert_eq!(only(at("-0.1")).wrong, "-0.1 is less than 0.");
}

/// The plan with other words for how hard the mount must hold.
fn restrained(words: &str) -> Result<Plan, Vec<Fault>> {
    let (kit, text) = tray();
    read_plan(&changed(text, "restraint = \"M1N1\"", words), &kit)
}

#[test]
fn levels_of_ones_own_are_both_given_from_half_a_g_to_a_hundred() {
    let own = |forward: &str, side: &str| {
        restrained(&format!("restraint = \"own\"\nown_forward_g = {forward}\nown_side_g = {side}"))
    };
    for (forward, side) in [("0.5", "100"), ("100", "0.5"), ("20", "8")] {
        let level = |text: &str| text.parse::<f64>().unwrap();
        let class = RestraintClass::Own { forward_g: level(forward), side_g: level(side) };
        assert_eq!(own(forward, side).unwrap().mounting.restraint, class);
    }
    for (forward, side, key) in [
        ("0.4", "8", "own_forward_g"),
        ("100.1", "8", "own_forward_g"),
        ("20", "0.4", "own_side_g"),
        ("20", "100.1", "own_side_g"),
    ] {
        let fault = only(own(forward, side));
        let after = if key == "own_forward_g" { 1 } else { 2 };
        assert_eq!(fault.line, line_of(tray().1, "restraint") + after);
        assert_eq!(fault.key, format!("mounting.{key}"));
        assert_eq!(fault.instead, "Write a number from 0.5 to 100.");
    }
    let both = restrained("restraint = \"own\"").unwrap_err();
    let keys: Vec<&str> = both.iter().map(|fault| fault.key.as_str()).collect();
    assert_eq!(keys, ["mounting.own_forward_g", "mounting.own_side_g"]);
    let one = only(restrained("restraint = \"own\"\nown_forward_g = 20"));
    assert_eq!((one.key.as_str(), one.wrong.as_str()), ("mounting.own_side_g", "This is missing."));
    assert_eq!(one.instead, "Write the level that is asked for, in multiples of g.");
}

#[test]
fn a_class_brings_its_own_levels() {
    for key in ["own_forward_g", "own_side_g"] {
        let fault = only(restrained(&format!("restraint = \"M1N1\"\n{key} = 20")));
        assert_eq!(fault.key, format!("mounting.{key}"));
        assert_eq!(fault.line, line_of(tray().1, "restraint") + 1);
        assert_eq!(fault.wrong, "The class brings its own levels.");
        assert_eq!(fault.instead, "Leave it out.");
    }
}

#[test]
fn figures_of_the_axles_want_both_lengths_of_the_lever() {
    let typed = |lines: &str| with(bare(), "[weights]", lines);
    for sound in ["1000", "9000"] {
        let axles = typed(&format!("wheelbase_mm = {sound}\nbehind_front_mm = 0")).unwrap();
        assert_eq!(axles.weights.axles.unwrap().wheelbase_mm, figure(sound));
    }
    for bad in ["999.9", "9000.1"] {
        let fault = only(typed(&format!("wheelbase_mm = {bad}\nbehind_front_mm = 0")));
        assert_eq!(fault.key, "weights.wheelbase_mm");
        assert_eq!(fault.instead, "Write a number from 1000 to 9000.");
    }
    for (given, wanted) in [
        ("wheelbase_mm = 3000", vec!["behind_front_mm"]),
        ("behind_front_mm = 1500", vec!["wheelbase_mm"]),
        ("front_left_kg = 200", vec!["wheelbase_mm", "behind_front_mm"]),
        ("rear_left_kg = 200", vec!["wheelbase_mm", "behind_front_mm"]),
    ] {
        let faults = typed(given).unwrap_err();
        let keys: Vec<&str> = faults.iter().map(|fault| fault.key.as_str()).collect();
        let wanted: Vec<String> = wanted.iter().map(|key| format!("weights.{key}")).collect();
        assert_eq!(keys, wanted);
        assert!(
            faults.iter().all(|fault| fault.instead.starts_with("Write it, or leave all four"))
        );
        assert!(faults.iter().all(|fault| fault.line == line_of(bare().1, "[weights]")));
    }
}

#[test]
fn a_plate_is_a_figure_and_not_another_word() {
    let plan = tray_plan();
    assert_eq!(plan.mounting.backing, Backing::Plate { thickness_mm: figure("3") });
    for word in ["true", "\"3\"", "[3]", "0x10", "nan", "inf", "1e400"] {
        let (kit, text) = tray();
        let text = changed(text, "backing_mm = 3", &format!("backing_mm = {word}"));
        let fault = only(read_plan(&text, &kit));
        assert_eq!(fault.key, "mounting.backing_mm", "{word}");
        assert_eq!(fault.instead, "Write a number from 0.5 to 50.");
    }
}
