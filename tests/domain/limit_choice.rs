//! The limits that a workshop chooses: their bands, what a sheet says of them, and the list of rules and factors.

use std::fs;
use std::path::Path;

use fusewright::domain::limit_choice::{Choosable, Chosen, WorkshopLimits};
use fusewright::domain::number::Decimal;
use fusewright::domain::rules::rules;
use fusewright::domain::sheet::{Making, Sheet, make_sheet};
use fusewright::domain::step::StepKind;

use super::cast::{dec, kit, plan};

fn sheet(workshop: &WorkshopLimits) -> Sheet {
    let mut kit = kit();
    kit.insulation_least_megohm = None;
    make_sheet(Making { kit: &kit, plan: &plan(), plan_edition: 1, edition: 1, workshop })
}

fn chosen(reason: &str) -> Chosen {
    let (day, by) = ("2026-11-25".to_owned(), "Mika Saari".to_owned());
    Chosen { day, by, reason: reason.to_owned() }
}

#[track_caller]
fn basis(sheet: &Sheet, key: &str) -> String {
    let step = sheet.steps.iter().find(|step| step.key.ends_with(key));
    step.and_then(|step| step.basis.clone()).unwrap_or_else(|| panic!("no step {key}"))
}

#[test]
fn the_usual_figures_are_inside_their_bands_and_not_looser_than_themselves() {
    for limit in Choosable::ALL {
        let (least, most) = limit.range();
        assert!(least < limit.usual() && limit.usual() < most, "{limit:?}");
        assert!(!limit.is_looser(limit.usual()));
        assert!(limit.is_looser(least) != limit.is_looser(most), "one end is the strict one");
    }
    assert!(Choosable::Insulation.is_looser(dec("0.49")));
    assert!(!Choosable::Insulation.is_looser(dec("0.51")));
    assert!(Choosable::PathMargin.is_looser(dec("15.1")));
    assert!(!Choosable::PathMargin.is_looser(dec("14.9")));
}

#[test]
fn a_choice_of_the_usual_figures_changes_no_sheet() {
    let chosen = WorkshopLimits { chosen: Some(chosen("")), ..WorkshopLimits::default() };
    assert_eq!(sheet(&chosen).text(), sheet(&WorkshopLimits::default()).text());
}

#[test]
fn a_stricter_choice_makes_its_limits_and_names_its_day_and_person() {
    let usual = sheet(&WorkshopLimits::default());
    let limits = WorkshopLimits {
        insulation_least_megohm: dec("2"),
        path_margin_percent: dec("10"),
        terminal_rise_most_k: dec("20"),
        string_tolerance_percent: dec("3"),
        chosen: Some(chosen("")),
    };
    let strict = sheet(&limits);
    for (key, words) in [
        (
            ".insulation",
            "2 MΩ is the workshop's choice of 2026-11-25 by Mika Saari, in place of 0.5 MΩ.",
        ),
        (".rise", "20 K is the workshop's choice of 2026-11-25 by Mika Saari, in place of 30 K."),
        (
            "drop_out",
            "10 % is the workshop's choice of 2026-11-25 by Mika Saari, in place of 15 %.",
        ),
        (
            "solar_string",
            "3 % is the workshop's choice of 2026-11-25 by Mika Saari, in place of 5 %.",
        ),
    ] {
        if !strict.steps.iter().any(|step| step.key.ends_with(key)) {
            continue;
        }
        assert!(basis(&strict, key).ends_with(words), "{}", basis(&strict, key));
        assert!(!basis(&usual, key).contains("choice"));
    }
}

/// Of the first path: the most it may have, and its plan.
fn first_path(sheet: &Sheet) -> Option<(Decimal, Decimal)> {
    sheet.steps.iter().find_map(|step| match &step.kind {
        StepKind::PathDrop { resistance_max_milliohm, planned_milliohm, .. } => {
            Some((*resistance_max_milliohm, *planned_milliohm))
        }
        _ => None,
    })
}

#[test]
fn a_smaller_margin_lowers_what_a_path_may_have_and_leaves_its_plan() {
    let strict = WorkshopLimits { path_margin_percent: dec("10"), ..WorkshopLimits::default() };
    let (strict_most, strict_planned) = first_path(&sheet(&strict)).unwrap();
    let (usual_most, usual_planned) = first_path(&sheet(&WorkshopLimits::default())).unwrap();
    assert_eq!(strict_planned, usual_planned);
    assert!(strict_most < usual_most, "{strict_most} {usual_most}");
}

#[test]
fn a_looser_choice_carries_its_reason_onto_the_sheet() {
    let limits = WorkshopLimits {
        terminal_rise_most_k: dec("40"),
        chosen: Some(chosen("Terminals rated for 120 °C.")),
        ..WorkshopLimits::default()
    };
    let loose = sheet(&limits);
    let words = "40 K is the workshop's choice of 2026-11-25 by Mika Saari, in place of 30 K: Terminals rated for 120 °C.";
    assert!(basis(&loose, ".rise").ends_with(words), "{}", basis(&loose, ".rise"));
    assert!(!basis(&loose, ".insulation").contains("choice"), "only what was chosen says so");
}

#[test]
fn a_kits_own_insulation_wins_over_the_workshops() {
    let mut kit = kit();
    kit.insulation_least_megohm = Some(dec("5"));
    let workshop = WorkshopLimits {
        insulation_least_megohm: dec("2"),
        chosen: Some(chosen("")),
        ..WorkshopLimits::default()
    };
    let making =
        Making { kit: &kit, plan: &plan(), plan_edition: 1, edition: 1, workshop: &workshop };
    let basis = basis(&make_sheet(making), ".insulation");
    assert!(basis.starts_with("The kit's figure.") && !basis.contains("choice"), "{basis}");
}

/// Constants that no limit or finding is made with, and why.
const ELSEWHERE: [(&str, &str); 20] = [
    ("UNCERTAINTY_DECIMALS", "how figures are kept"),
    ("EXPANDED_FACTOR", "2 / √3 in the list"),
    ("POINTS_MAX", "size of a chart"),
    ("POINTS_SETTLED", "control charts judge nothing"),
    ("RUN_LENGTH", "control charts judge nothing"),
    ("STANDARD_GRAVITY", "a definition"),
    ("MILLIMETRES_PER_INCH", "a definition"),
    ("METRES_PER_FOOT", "a definition"),
    ("NEWTONS_PER_POUND_FORCE", "a definition"),
    ("SQUARE_MILLIMETRES_PER_CIRCULAR_MIL", "a definition"),
    ("SEGMENTS_MAX", "size of a search"),
    ("FASTENERS_MAX", "size of a mount"),
    ("FASTENERS_MIN", "size of a mount"),
    ("CURVE_POINTS_MAX", "size of a drawing"),
    ("THICKNESS_STEP", "steps in which plates are offered"),
    ("FUSE_DISTANCE_MAX", "in FUSE_PLACES"),
    ("FUSE_DISTANCE_CFR", "in FUSE_PLACES"),
    ("FUSE_DISTANCE_CFR_SHEATHED", "in FUSE_PLACES"),
    ("FUSE_DISTANCE_CFR_BATTERY", "in FUSE_PLACES"),
    ("FUSE_DISTANCE_NEC_VEHICLE", "in FUSE_PLACES"),
];

#[test]
fn every_public_factor_of_the_code_stands_in_the_list_of_rules() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("server");
    let read = |path: &Path| fs::read_to_string(path).unwrap();
    let listed: String =
        ["rules.rs", "rules/electrical.rs", "rules/mechanical.rs", "limit_choice.rs"]
            .map(|file| read(&root.join("domain").join(file)))
            .concat();
    let mut files: Vec<_> = fs::read_dir(root.join("engineering"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.push(root.join("domain/limits.rs"));
    let mut seen = 0;
    for file in files {
        for line in read(&file).lines().filter_map(|line| line.strip_prefix("pub const ")) {
            let Some((name, rest)) = line.split_once(": ") else { continue };
            let is_figure = !name.starts_with("fn ")
                && !rest.starts_with("Source")
                && !rest.starts_with("&str");
            let elsewhere = ELSEWHERE.iter().any(|(known, _)| *known == name)
                || name == "FUSE_DISTANCE_MACHINES";
            seen += usize::from(is_figure);
            assert!(!is_figure || elsewhere || listed.contains(name), "{name} is in no list");
        }
    }
    assert!(seen > 40, "{seen}");
}

#[test]
fn every_rule_has_a_figure_a_source_and_how_sure_it_is() {
    let groups = rules();
    let all: Vec<_> = groups.iter().flat_map(|group| &group.rules).collect();
    assert!(all.len() > 60, "{}", all.len());
    for rule in all {
        assert!(!rule.name.is_empty() && !rule.figure.is_empty() && !rule.basis.text.is_empty());
        assert!(
            ["seen in a public copy", "from memory", "computed", "common practice, no source"]
                .contains(&rule.basis.sureness),
            "{}: {}",
            rule.name,
            rule.basis.sureness
        );
    }
    let path = groups[1].rules.iter().find(|rule| rule.name.starts_with("Resistance of a path"));
    assert_eq!(path.unwrap().figure, "15 %");
}
