//! The payload and both axles.

use fusewright::domain::finding::Outcome::{Ok, Stop};
use fusewright::domain::plan::{AxlePlan, WeightPlan};

use super::super::cast::dec;
use super::{after, all_after, has_formula, named, said, says, sources};

/// By hand: 29.5 kg of the kit and 22 kg besides it: 51.5 kg.
#[test]
fn what_is_added_is_at_most_the_payload_left() {
    let left = |kg: &str| {
        let kg = Some(dec(kg));
        after("weight.payload", |_, plan| plan.weights.payload_left_kg = kg)
    };
    assert_eq!(said(&left("51.5")), says("51.5 kg", "at most 51.5 kg", Ok));
    let beyond = left("51.4");
    assert_eq!(said(&beyond), says("51.5 kg", "at most 51.4 kg", Stop));
    has_formula(&beyond, &["51.4 kg left − 51.5 kg added = −0.100 kg"]);
    assert!(beyond.remedy.unwrap().starts_with("0.100 kg must stay out"));
    let full = left("0");
    assert_eq!(said(&full), says("51.5 kg", "at most 0 kg", Stop));
}

fn axles(behind_front_mm: &str, front_kg: &str, rear_kg: &str) -> AxlePlan {
    AxlePlan {
        wheelbase_mm: dec("3500"),
        behind_front_mm: dec(behind_front_mm),
        front_left_kg: Some(dec(front_kg)),
        rear_left_kg: Some(dec(rear_kg)),
    }
}

/// By hand: in the middle of the wheelbase each axle gets 25.75 kg.
#[test]
fn each_axle_takes_its_share_and_no_more() {
    for (id, at, beyond) in [
        ("weight.front_axle", axles("1750", "25.75", "100"), axles("1750", "25.74", "100")),
        ("weight.rear_axle", axles("1750", "100", "25.75"), axles("1750", "100", "25.74")),
    ] {
        let found = after(id, |_, plan| plan.weights.axles = Some(at));
        assert_eq!(said(&found), says("25.8 kg", "at most 25.8 kg", Ok), "{id}");
        let found = after(id, |_, plan| plan.weights.axles = Some(beyond));
        assert_eq!(said(&found), says("25.8 kg", "at most 25.7 kg", Stop), "{id}");
        has_formula(&found, &["51.5 kg at 1.75 m of 3.50 m", "front 25.8 kg, rear 25.8 kg"]);
        assert_eq!(sources(&found)[0], "lever about the axles (computed)");
    }
}

/// By hand: 700 mm behind the rear axle: 51.5 · 4200/3500 = 61.8 kg rear, so −10.3 kg in front.
#[test]
fn gear_behind_the_rear_axle_lifts_the_front_one() {
    let all = all_after(|_, plan| plan.weights.axles = Some(axles("4200", "0", "61.8")));
    assert_eq!(said(named(&all, "weight.front_axle")), says("−10.3 kg", "at most 0 kg", Ok));
    assert_eq!(said(named(&all, "weight.rear_axle")), says("61.8 kg", "at most 61.8 kg", Ok));
}

/// The lever is good for a wheelbase before the front axle and one behind the rear one.
#[test]
fn gear_that_sits_nowhere_near_the_vehicle_stops_and_hides_no_payload() {
    for (place, is_sound) in [("-3500", true), ("7000", true), ("-3501", false), ("7001", false)] {
        let all = all_after(|_, plan| plan.weights.axles = Some(axles(place, "900", "900")));
        let refused = all.iter().find(|finding| finding.id == "weight.axles");
        assert_eq!(refused.map(|one| one.outcome), (!is_sound).then_some(Stop), "{place}");
        assert_eq!(named(&all, "weight.payload").outcome, Ok);
    }
}

#[test]
fn what_nobody_looked_up_is_not_judged() {
    let all = all_after(|_, plan| plan.weights = WeightPlan::default());
    assert!(!all.iter().any(|finding| finding.id.starts_with("weight.")));
}
