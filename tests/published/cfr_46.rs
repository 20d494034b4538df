//! 46 CFR 120.380(d) and 183.380(d), American law for passenger vessels (seen in public copies).

use fusewright::engineering::Source;
use fusewright::engineering::fuse::{FuseForm, FuseRule, cap_by_rule, caps};
use fusewright::engineering::units::Amps;

/// The next standard size where the ampacity is none, if it is at most 150 % (seen). Worked by hand:
/// 62 A: 70 A is the next size, within 93 A, though 80 A and 90 A would be within too.
#[test]
fn the_next_standard_size_up_to_150_percent() {
    assert_eq!(cap_by_rule(FuseRule::NextSize150, Amps(62.0)).unwrap(), Amps(93.0));
    let found = caps(FuseForm::BladeHigh, Amps(62.0)).unwrap();
    let of = |rule| found.iter().find(|cap| cap.rule == rule).and_then(|cap| cap.rating);
    assert_eq!(of(FuseRule::NextSize150), Some(Amps(70.0)));
    assert_eq!(of(FuseRule::Cfr150), Some(Amps(80.0)));
    assert_eq!(FuseRule::NextSize150.source(), Source::seen("46 CFR 120.380(d)"));
}

/// 18 A and strips from 30 A: 30 A is above 27 A, so that no strip protects it.
#[test]
fn a_next_size_above_150_percent_is_not_allowed() {
    let found = caps(FuseForm::Strip30, Amps(18.0)).unwrap();
    assert!(found.iter().all(|cap| cap.rating.is_none()));
    let just = caps(FuseForm::Strip30, Amps(20.0)).unwrap();
    let ratings = just.map(|cap| cap.rating);
    assert_eq!(ratings, [None, None, Some(Amps(30.0)), Some(Amps(30.0))]);
}
