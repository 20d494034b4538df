//! The plan's form: it covers the whole plan, loses nothing that was typed, and comes back the same.

use std::collections::BTreeMap;

use fusewright::domain::kit::Kit;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::plan_form::{
    FieldKind, FormField, form_sections, form_start, form_to_toml, toml_to_form,
};
use fusewright::engineering::conductor::ConductorSize;
use proptest::prelude::*;

const KITS: [&str; 3] = [
    include_str!("../../server/cli/demo/kits/tray-40.toml"),
    include_str!("../../server/cli/demo/kits/duo-24.toml"),
    include_str!("../../server/cli/demo/kits/cool-12.toml"),
];

const PLANS: [(usize, &str); 5] = [
    (0, include_str!("../../server/cli/demo/plans/tray-40-van.toml")),
    (0, include_str!("../../server/cli/demo/plans/tray-40-estate-stop.toml")),
    (1, include_str!("../../server/cli/demo/plans/duo-24-truck.toml")),
    (2, include_str!("../../server/cli/demo/plans/cool-12-camper.toml")),
    (2, include_str!("../../server/cli/demo/plans/cool-12-composite-caution.toml")),
];

#[expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "the demo kits are sound")]
fn kit(at: usize) -> Kit {
    read_kit(KITS[at]).unwrap()
}

fn fields(kit: &Kit) -> Vec<FormField> {
    form_sections(kit).into_iter().flat_map(|section| section.fields).collect()
}

/// The prefilled form of a sound plan with one field typed over.
fn typed(kit: &Kit, plan: &str, key: &str, text: &str) -> Vec<(String, String)> {
    assert!(fields(kit).iter().any(|field| field.key == key), "{key} is no field");
    let mut form = toml_to_form(plan);
    form.retain(|(name, _)| name != key);
    form.push((key.to_owned(), text.to_owned()));
    form
}

#[test]
fn the_form_of_every_demo_plan_gives_the_same_plan_back() {
    for (at, text) in PLANS {
        let kit = kit(at);
        let again = form_to_toml(&kit, &toml_to_form(text));
        assert_eq!(read_plan(&again, &kit).unwrap(), read_plan(text, &kit).unwrap());
    }
}

#[test]
fn the_form_asks_in_the_order_of_the_work() {
    let titles: Vec<_> = form_sections(&kit(0)).into_iter().map(|section| section.title).collect();
    let wanted = [
        "Vehicle",
        "Feed from the starter battery",
        "Engine-running wire",
        "Roof modules",
        "Mounting",
        "Solar modules",
        "Weight",
    ];
    assert_eq!(titles, wanted);
    assert!(!form_sections(&kit(1)).iter().any(|section| section.path == "solar"));
}

#[test]
fn every_key_that_a_plan_may_hold_is_a_field_and_every_field_a_key() {
    for (at, text) in PLANS {
        let kit = kit(at);
        let keys: Vec<String> = fields(&kit).into_iter().map(|field| field.key).collect();
        for (key, _) in toml_to_form(text) {
            assert!(keys.contains(&key) || key == "kit" || key == "edition", "{key}");
        }
        // An unknown key would be a fault of its own name; a field is never one.
        let all: Vec<_> = keys.iter().map(|key| (key.clone(), "?".to_owned())).collect();
        let faults = read_plan(&form_to_toml(&kit, &all), &kit).unwrap_err();
        assert!(faults.iter().all(|fault| fault.wrong != "Nothing of this name belongs here."));
    }
}

#[test]
fn an_empty_form_is_answered_at_every_field_that_must_be_filled() {
    let kit = kit(0);
    let faults = read_plan(&form_to_toml(&kit, &[]), &kit).unwrap_err();
    let missing: Vec<_> = faults.iter().map(|fault| fault.key.clone()).collect();
    let must = fields(&kit).into_iter().filter(|field| !field.optional);
    let must: Vec<_> =
        must.filter(|field| field.kind != FieldKind::Flag).map(|field| field.key).collect();
    assert_eq!(missing, must);
}

#[test]
fn a_decimal_comma_is_taken_for_a_point() {
    let kit = kit(1);
    let form = typed(&kit, PLANS[2].1, "circuits.starter_feed.length_out_m", "6,25");
    let plan = read_plan(&form_to_toml(&kit, &form), &kit).unwrap();
    assert_eq!(plan.circuits[0].length_out_m.to_string(), "6.25");
}

#[test]
fn what_is_no_number_is_reported_at_its_field_and_stays_as_typed() {
    let kit = kit(1);
    for slip in ["6.2 m", "about 6", "6..2", "\"6\"", "6\u{7}2\\n"] {
        let form = typed(&kit, PLANS[2].1, "circuits.starter_feed.length_out_m", slip);
        let text = form_to_toml(&kit, &form);
        let faults = read_plan(&text, &kit).unwrap_err();
        assert_eq!(faults.len(), 1, "{faults:#?}");
        assert_eq!(faults[0].key, "circuits.starter_feed.length_out_m");
        let kept = toml_to_form(&text);
        let kept = kept.iter().find(|(key, _)| *key == faults[0].key).unwrap();
        assert_eq!(kept.1, slip);
    }
}

#[test]
fn a_choice_that_is_none_is_reported_at_its_field() {
    let kit = kit(1);
    for (key, slip) in [
        ("circuits.starter_feed.cable", "17 mm²"),
        ("circuits.starter_feed.insulation_c", "100"),
        ("circuits.starter_feed.fuse_a", "forty"),
        ("mounting.restraint", "N9"),
        ("mounting.removable", "perhaps"),
    ] {
        let form = typed(&kit, PLANS[2].1, key, slip);
        let faults = read_plan(&form_to_toml(&kit, &form), &kit).unwrap_err();
        assert_eq!(faults.iter().map(|fault| fault.key.as_str()).collect::<Vec<_>>(), [key]);
    }
}

#[test]
fn every_choice_that_the_form_offers_can_be_read() {
    let kit = kit(1);
    for field in fields(&kit) {
        let FieldKind::Choice(choices) = field.kind else { continue };
        assert!(!choices.is_empty());
        for (value, label) in choices {
            assert!(!label.is_empty());
            let form = typed(&kit, PLANS[2].1, &field.key, &value);
            let faults = read_plan(&form_to_toml(&kit, &form), &kit).err().unwrap_or_default();
            let here = faults.iter().filter(|fault| fault.key == field.key);
            // Another voltage or a rating without its figure is a matter of sense, not of the list.
            let excused = ["vehicle.nominal_voltage_v", "mounting.rating_kind"];
            assert!(
                excused.contains(&field.key.as_str()) || here.count() == 0,
                "{} {value}",
                field.key
            );
        }
    }
}

#[test]
fn a_box_that_was_not_sent_is_false_and_a_ticked_one_true() {
    let kit = kit(1);
    let mut form = toml_to_form(PLANS[2].1);
    form.retain(|(key, _)| key != "mounting.supported" && key != "mounting.removable");
    form.push(("mounting.removable".to_owned(), "on".to_owned()));
    let plan = read_plan(&form_to_toml(&kit, &form), &kit).unwrap();
    assert!(plan.mounting.removable && !plan.mounting.supported);
}

#[test]
fn the_last_of_a_key_that_comes_twice_counts_and_strangers_are_passed_over() {
    let kit = kit(1);
    let mut form = toml_to_form(PLANS[2].1);
    form.push(("vehicle.alternator_a".to_owned(), "95".to_owned()));
    form.push(("button".to_owned(), "save".to_owned()));
    let plan = read_plan(&form_to_toml(&kit, &form), &kit).unwrap();
    assert_eq!(plan.vehicle.alternator_a.to_string(), "95");
}

#[test]
fn a_new_plan_starts_with_the_figures_of_the_kit_alone() {
    let kit = kit(1);
    let start: BTreeMap<_, _> = form_start(&kit).into_iter().collect();
    assert_eq!(start["vehicle.nominal_voltage_v"], "24");
    assert_eq!(start["circuits.starter_feed.fuse_a"], "40");
    let keys: Vec<_> = fields(&kit).into_iter().map(|field| field.key).collect();
    assert!(start.keys().all(|key| keys.contains(key)));
}

/// What a person may leave in a field of this kind.
fn any_typed(kind: &FieldKind) -> BoxedStrategy<String> {
    let anything = "\\PC{0,12}".prop_map(|text: String| text.trim().to_owned());
    match kind {
        FieldKind::Number => prop_oneof!["-?[1-9][0-9]{0,3}(\\.[0-9]{1,3})?", anything].boxed(),
        FieldKind::Text => anything.boxed(),
        FieldKind::Choice(choices) => {
            let values: Vec<String> = choices.iter().map(|(value, _)| value.clone()).collect();
            prop_oneof![proptest::sample::select(values), anything].boxed()
        }
        FieldKind::Flag => prop_oneof![Just("true".to_owned()), Just("false".to_owned())].boxed(),
    }
}

fn any_form() -> impl Strategy<Value = (usize, Vec<(String, String)>)> {
    (0..KITS.len()).prop_flat_map(|at| {
        let each: Vec<_> = fields(&kit(at))
            .into_iter()
            .map(|field| any_typed(&field.kind).prop_map(move |text| (field.key.clone(), text)))
            .collect();
        each.prop_map(move |form| (at, form))
    })
}

proptest! {
    // Each case reads a kit and fills some forty fields.
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_form_comes_back_as_it_was_typed((at, form) in any_form()) {
        let kit = kit(at);
        let text = form_to_toml(&kit, &form);
        let back: BTreeMap<String, String> = toml_to_form(&text).into_iter().collect();
        for (key, typed) in &form {
            let kept = back.get(key).map_or("", String::as_str);
            // A figure or size may come back in another spelling (a comma, “4” of mm²), never as another
            // one.
            let figure = fusewright::domain::number::parse_typed;
            let size = |text: &str| ConductorSize::parse(text).ok().map(ConductorSize::label);
            let is_size = key.rsplit('.').next() == Some("cable") && size(typed).is_some();
            let same = (is_size && size(kept) == size(typed))
                || (figure(typed).is_some() && figure(kept) == figure(typed));
            prop_assert!(kept == typed || same, "{key}: {typed} became {kept}");
        }
        // And what has come back stays as it is.
        let again: Vec<_> = back.into_iter().collect();
        let text = form_to_toml(&kit, &again);
        prop_assert_eq!(form_to_toml(&kit, &toml_to_form(&text)), text);
    }

    #[test]
    fn a_form_with_anything_in_it_is_read_or_refused_at_its_fields((at, form) in any_form()) {
        let kit = kit(at);
        let keys: Vec<String> = fields(&kit).into_iter().map(|field| field.key).collect();
        for fault in read_plan(&form_to_toml(&kit, &form), &kit).err().unwrap_or_default() {
            prop_assert!(keys.contains(&fault.key), "{}", fault);
        }
    }
}

#[test]
fn every_demo_kit_makes_a_plan_of_assumed_figures_and_what_is_known_goes_before_them() {
    use fusewright::domain::plan_form::standard_plan;
    for text in [
        include_str!("../../server/cli/demo/kits/tray-40.toml"),
        include_str!("../../server/cli/demo/kits/duo-24.toml"),
        include_str!("../../server/cli/demo/kits/cool-12.toml"),
        include_str!("../../server/web/kits/new.toml"),
    ] {
        let kit = read_kit(text).unwrap();
        let plan = standard_plan(&kit, &[]).unwrap();
        assert_eq!(plan.circuits.len(), kit.circuits.len());
        let known = [("vehicle.registration".to_owned(), "HP 21 KLN".to_owned())];
        assert_eq!(standard_plan(&kit, &known).unwrap().vehicle.registration, "HP 21 KLN");
        let wrong = [("vehicle.battery_ah".to_owned(), "many".to_owned())];
        assert_eq!(standard_plan(&kit, &wrong).unwrap_err()[0].key, "vehicle.battery_ah");
    }
}
