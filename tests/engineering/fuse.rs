//! Fuses: never above the cap of the named rule, gates that only close.

use fusewright::engineering::conductor::ConductorSize;
use fusewright::engineering::fuse::{
    FUSE_PLACES, FuseForm, FuseRule, OVERLOAD_MULTIPLE, cap_by_rule, caps, choices, continuous_max,
    gate, gate_points, nearest_rating, overload_protected, sure_opening, vehicle_code_max,
};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};

fn any_form() -> impl Strategy<Value = FuseForm> {
    prop::sample::select(FuseForm::ALL.to_vec())
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn the_nearest_rating_carries_the_current_and_no_smaller_one_does(
        form in any_form(),
        current in 0.0_f64..500.0,
    ) {
        match nearest_rating(form, Amps(current)) {
            Ok(rating) => {
                prop_assert!(continuous_max(rating).unwrap().0 >= current);
                for smaller in form.ratings().iter().filter(|other| **other < rating) {
                    prop_assert!(continuous_max(*smaller).unwrap().0 < current);
                }
            }
            Err(_) => prop_assert!(
                form.ratings().iter().all(|rating| continuous_max(*rating).unwrap().0 < current)
            ),
        }
    }

    #[test]
    fn no_cap_is_above_its_rule(ampacity in 1.0_f64..500.0) {
        let cap = |rule| cap_by_rule(rule, Amps(ampacity)).unwrap().0;
        prop_assert!(cap(FuseRule::ConductorAmpacity) <= ampacity);
        prop_assert!(cap(FuseRule::Fleet125) <= 1.25 * ampacity);
        prop_assert!(cap(FuseRule::Cfr150) <= 1.5 * ampacity);
    }

    /// The law of passenger vessels and the fleet's go one standard size up, the others to their
    /// multiple: no rating of the form above a cap's is within its rule.
    #[test]
    fn a_cap_is_the_largest_standard_rating_within_its_rule(
        form in any_form(),
        ampacity in 1.0_f64..600.0,
    ) {
        let size_up = form.ratings().iter().find(|rating| rating.0 >= ampacity);
        for cap in caps(form, Amps(ampacity)).unwrap() {
            let within = |rating: Amps| {
                let one_up = !cap.rule.is_next_size() || size_up.is_none_or(|up| rating <= *up);
                rating.0 <= cap.rule.multiple() * ampacity && one_up
            };
            prop_assert_eq!(cap.highest, cap_by_rule(cap.rule, Amps(ampacity)).unwrap());
            let largest = form.ratings().iter().copied().rfind(|rating| within(*rating));
            prop_assert_eq!(cap.rating, largest, "{:?}", cap.rule);
        }
    }

    #[test]
    fn a_chosen_fuse_carries_the_load_and_is_within_its_rule(
        form in any_form(),
        current in 0.0_f64..400.0,
        ampacity in 1.0_f64..600.0,
    ) {
        for choice in choices(form, Amps(current), Amps(ampacity)).unwrap() {
            let fits = |rating: &&Amps| {
                rating.0 * 4.0 / 5.0 >= current && choice.cap.rating.is_some_and(|most| **rating <= most)
            };
            prop_assert_eq!(choice.rating(), form.ratings().iter().find(fits).copied());
        }
    }

    #[test]
    fn stricter_rules_never_allow_more(form in any_form(), ampacity in 1.0_f64..600.0) {
        let found = caps(form, Amps(ampacity)).unwrap().map(|cap| cap.rating);
        prop_assert!(found.is_sorted(), "{:?}", found);
    }

    /// IEC 60364-4-43, 433.1: with In ≤ Iz blades and the 51 mm strip always open in time.
    #[test]
    fn a_fuse_within_the_ampacity_protects_against_overload(
        ampacity in 1.0_f64..600.0,
        share in 0.01_f64..=1.0,
    ) {
        for form in FuseForm::ALL {
            let found = overload_protected(form, Amps(share * ampacity), Amps(ampacity)).unwrap();
            let expected = match form {
                FuseForm::SingleBolt => None,
                FuseForm::Strip30 => Some(1.5 * (share * ampacity) <= OVERLOAD_MULTIPLE * ampacity),
                _ => Some(true),
            };
            prop_assert_eq!(found, expected, "{}", form);
        }
    }

    #[test]
    fn a_larger_current_never_takes_longer(
        form in any_form(),
        multiple in 0.1_f64..12.0,
        more in 0.0_f64..3.0,
    ) {
        prop_assume!(form != FuseForm::SingleBolt);
        let (slow, fast) = (gate(form, multiple).unwrap(), gate(form, multiple + more).unwrap());
        prop_assert!(fast.shortest <= slow.shortest);
        if let Some(longest) = slow.longest {
            prop_assert!(fast.longest.unwrap() <= longest);
        }
    }

    #[test]
    fn a_gate_opens_before_it_closes(form in any_form(), multiple in 0.1_f64..12.0) {
        if let Some(Some(longest)) = gate(form, multiple).map(|found| found.longest) {
            prop_assert!(gate(form, multiple).unwrap().shortest < longest);
        }
    }
}

#[test]
fn the_strictest_rule_comes_first_and_is_the_default() {
    assert_eq!(FuseRule::default(), FuseRule::ConductorAmpacity);
    assert!(FuseRule::ALL.is_sorted_by(|strict, lax| strict.multiple() <= lax.multiple()));
}

/// Between two printed multiples the gate is as wide as both allow.
#[test]
fn between_printed_multiples_the_gate_is_the_wider_one() {
    let between = gate(FuseForm::Blade, 2.5).unwrap();
    assert_eq!(between.shortest, Seconds(0.04));
    assert_eq!(between.longest, Some(Seconds(5.0)));
    let just_below = gate(FuseForm::Blade, 1.999).unwrap();
    assert_eq!(just_below.longest, Some(Seconds(50.0)));
    let just_above = gate(FuseForm::Blade, 2.001).unwrap();
    assert_eq!(just_above.shortest, Seconds(0.04));
}

#[test]
fn beyond_the_table_only_one_side_is_known() {
    let far = gate(FuseForm::Blade, 12.0).unwrap();
    assert_eq!((far.shortest, far.longest), (Seconds(0.0), Some(Seconds(0.1))));
    let idle = gate(FuseForm::Blade, 0.5).unwrap();
    assert_eq!((idle.shortest, idle.longest), (Seconds(360_000.0), None));
    let rated = gate(FuseForm::Blade, 1.2).unwrap();
    assert_eq!((rated.shortest, rated.longest), (Seconds(0.75), None));
}

#[test]
fn a_form_is_read_by_the_word_of_the_kit_file_only() {
    for form in FuseForm::ALL {
        assert_eq!(FuseForm::parse(form.key()).unwrap(), form);
        assert!(form.label().contains("fuse"));
    }
    for wrong in ["", "Blade", "blade fuse, medium", "glass"] {
        assert_refused(FuseForm::parse(wrong), "form of the fuse");
    }
    assert!(FuseForm::parse("glass").unwrap_err().allowed.contains("single_bolt"));
}

/// 40 A · 0.8 is 32 A: 32 A is carried, a hair more is not, and says how much would be.
#[test]
fn a_current_beyond_the_form_is_refused_with_the_largest_that_it_carries() {
    assert_eq!(nearest_rating(FuseForm::Blade, Amps(32.0)).unwrap(), Amps(40.0));
    let refused = nearest_rating(FuseForm::Blade, Amps(32.1)).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "The continuous current is 32.1 A; it must be at most 32 A for a blade fuse, medium."
    );
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        assert_refused(continuous_max(Amps(wrong)), "fuse rating");
        assert_refused(cap_by_rule(FuseRule::Cfr150, Amps(wrong)), "ampacity");
        assert_refused(nearest_rating(FuseForm::Blade, Amps(wrong)), "continuous current");
        assert_eq!(gate(FuseForm::Blade, wrong), None);
    }
    assert_refused(continuous_max(Amps(0.0)), "fuse rating");
    assert_eq!(gate(FuseForm::Blade, 0.0), None);
}

/// The points for drawing are the gate at the printed multiples.
#[test]
fn drawn_points_are_the_gate_itself() {
    for form in FuseForm::ALL {
        let points: Vec<_> = gate_points(form).collect();
        assert_eq!(points.is_empty(), form == FuseForm::SingleBolt, "{form}");
        assert!(points.is_sorted_by(|low, high| low.multiple < high.multiple), "{form}");
        for point in &points {
            let found = gate(form, point.multiple).unwrap();
            assert_eq!((found.shortest, found.longest), (point.shortest, point.longest), "{form}");
        }
        let sure = points.iter().copied().find(|point| point.longest.is_some());
        assert_eq!(sure_opening(form), sure, "{form}");
    }
}

/// By hand: 1.50 · 145 A = 217.5 A = 1.45 · 150 A.
#[test]
fn overload_is_judged_at_the_limit_and_just_beyond() {
    let strip = |rating| overload_protected(FuseForm::Strip30, Amps(rating), Amps(150.0)).unwrap();
    assert_eq!(strip(145.0), Some(true));
    assert_eq!(strip(145.1), Some(false));
}

#[test]
fn a_conductor_that_carries_less_than_the_smallest_fuse_has_no_cap() {
    let found = caps(FuseForm::Strip51, Amps(59.0)).unwrap().map(|cap| cap.rating);
    assert_eq!(found, [None, Some(Amps(60.0)), Some(Amps(60.0)), Some(Amps(80.0))]);
    let none = caps(FuseForm::Strip51, Amps(30.0)).unwrap().map(|cap| cap.rating);
    assert_eq!(none, [None; 4]);
}

/// 50 A is a standard size: the next size is 50 A itself, only the plain 150 % goes above.
#[test]
fn an_ampacity_that_is_a_standard_size_is_not_exceeded_by_next_size_rules() {
    let found = caps(FuseForm::BladeHigh, Amps(50.0)).unwrap().map(|cap| cap.rating);
    assert_eq!(found, [50.0, 50.0, 50.0, 70.0].map(|rating| Some(Amps(rating))));
}

#[test]
fn a_load_beyond_the_form_leaves_no_choice() {
    let found = choices(FuseForm::Blade, Amps(33.0), Amps(500.0)).unwrap();
    for choice in found {
        assert_eq!((choice.least, choice.rating()), (None, None));
        assert_eq!(choice.cap.rating, Some(Amps(40.0)));
    }
}

#[test]
fn places_stand_strictest_first_and_allow_up_to_their_distance() {
    let distances: Vec<_> = FUSE_PLACES.iter().filter_map(|place| place.distance).collect();
    assert!(distances.is_sorted());
    assert_eq!(distances.len(), FUSE_PLACES.len() - 1);
    for place in FUSE_PLACES {
        assert!(!place.condition.is_empty() && !place.source.text.is_empty());
        let Some(most) = place.distance else {
            assert_eq!(place.allows(Millimetres(1.0)), None);
            continue;
        };
        assert_eq!(place.allows(most), Some(true));
        assert_eq!(place.allows(Millimetres(most.0 + 0.1)), Some(false));
        for wrong in NONSENSE {
            assert_eq!(place.allows(Millimetres(wrong)), Some(false));
        }
    }
}

/// The code of vehicles is stricter than the ampacity of the tables for every gauge it names.
#[test]
fn the_vehicle_code_names_five_gauges() {
    let named = ConductorSize::all_awg().filter_map(vehicle_code_max).count();
    assert_eq!(named, 5);
    assert_eq!(ConductorSize::all_metric().filter_map(vehicle_code_max).count(), 0);
}

#[test]
fn rules_side_by_side_refuse_nonsense() {
    for wrong in NONSENSE {
        assert_refused(caps(FuseForm::Blade, Amps(wrong)), "ampacity");
        assert_refused(choices(FuseForm::Blade, Amps(wrong), Amps(1.0)), "continuous current");
        assert_refused(choices(FuseForm::Blade, Amps(1.0), Amps(wrong)), "ampacity");
        let rating = overload_protected(FuseForm::Blade, Amps(wrong), Amps(1.0));
        assert_refused(rating, "fuse rating");
        let ampacity = overload_protected(FuseForm::Blade, Amps(1.0), Amps(wrong));
        assert_refused(ampacity, "ampacity");
    }
}
