//! Fuses: never above the cap of the named rule, gates that only close.

use fusewright::engineering::fuse::{
    FuseForm, FuseRule, cap_by_rule, continuous_max, gate, nearest_rating,
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
    assert!(FuseRule::ALL.is_sorted_by(|strict, lax| strict.multiple() < lax.multiple()));
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
