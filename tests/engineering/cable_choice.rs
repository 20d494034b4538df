//! Choosing a cable: the least size really is the least, the longest run really the longest.

use fusewright::engineering::ampacity::{Insulation, Place, Surroundings};
use fusewright::engineering::cable_choice::{
    Back, Demand, Protection, RunBack, check_size, least_size, longest_run, reach_of_every_size,
};
use fusewright::engineering::conductor::{ConductorSize, Family};
use fusewright::engineering::fuse::FuseRule;
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, air, any_insulation, any_size, assert_refused, settings};
use crate::published::size;

fn demand() -> Demand {
    Demand {
        current: Amps(30.0),
        allowed_drop: Volts(0.5),
        insulation: Insulation::C105,
        surroundings: air(30.0),
        joints: Ohms(0.0),
        protection: None,
    }
}

fn any_demand() -> impl Strategy<Value = Demand> {
    let fuse = prop::option::of(1.0_f64..400.0);
    let circuits = (-20.0_f64..55.0, 1_u32..=9);
    (1.0_f64..300.0, 0.05_f64..2.0, any_insulation(), 0.0_f64..0.002, fuse, circuits).prop_map(
        |(current, drop, insulation, joints, fuse, (ambient, circuits_bundled))| Demand {
            current: Amps(current),
            allowed_drop: Volts(drop),
            insulation,
            surroundings: Surroundings {
                ambient: Celsius(ambient),
                place: Place::Outside,
                circuits_bundled,
            },
            joints: Ohms(joints),
            protection: fuse.map(|rating| Protection {
                rating: Amps(rating),
                rule: FuseRule::ConductorAmpacity,
            }),
        },
    )
}

fn any_family() -> impl Strategy<Value = Family> {
    prop::sample::select(vec![Family::Metric, Family::Awg])
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn the_least_size_fits_and_no_smaller_one_does(
        family in any_family(),
        demand in any_demand(),
        out in 0.2_f64..8.0,
        back in 0.2_f64..8.0,
    ) {
        let (out, back) = (Metres(out), Back::SameSize(Metres(back)));
        let found = least_size(family, &demand, out, back).unwrap();
        let area = found.map_or(SquareMillimetres(f64::INFINITY), |found| found.size.area());
        if let Some(found) = found {
            prop_assert!(found.carries && found.protected && found.within_drop);
            prop_assert!(found.drop.unwrap() <= demand.allowed_drop);
            prop_assert!(found.ampacity.value >= demand.current);
            prop_assert!(found.temperature.unwrap() <= demand.insulation.max());
        }
        let covered = |size: &ConductorSize| size.label() != "0.5 mm²" && size.area() < area;
        for smaller in ConductorSize::all(family).filter(covered) {
            prop_assert!(!check_size(smaller, &demand, out, back).unwrap().fits(), "{smaller}");
        }
    }

    #[test]
    fn the_longest_run_fits_and_a_longer_one_does_not(
        size in any_size(),
        demand in any_demand(),
        chassis in prop::option::of(0.0_f64..0.002),
    ) {
        let back = chassis.map_or(RunBack::SameCable, |body| RunBack::Chassis(Ohms(body)));
        let at = |run: f64| {
            let same = Back::SameSize(Metres(run));
            let back = chassis.map_or(same, |body| Back::Chassis(Ohms(body)));
            check_size(size, &demand, Metres(run), back).unwrap().fits()
        };
        match longest_run(size, &demand, back).unwrap() {
            Some(run) => {
                prop_assert!(run.0 > 0.0);
                prop_assert!(at(run.0 * 0.999_999));
                prop_assert!(!at(run.0 * 1.000_001));
            }
            None => prop_assert!(!at(0.001)),
        }
    }
}

proptest! {
    #![proptest_config(settings())]

    /// The table over all sizes is the single answers, in order, and no larger size goes less far.
    #[test]
    fn every_size_reaches_its_own_longest_run(family in any_family(), demand in any_demand()) {
        let all = reach_of_every_size(family, &demand, RunBack::SameCable).unwrap();
        let covered = ConductorSize::all(family).filter(|size| size.label() != "0.5 mm²");
        let sizes: Vec<_> = covered.collect();
        prop_assert_eq!(all.iter().map(|reach| reach.size).collect::<Vec<_>>(), sizes);
        for reach in &all {
            let alone = longest_run(reach.size, &demand, RunBack::SameCable).unwrap();
            prop_assert_eq!(reach.run, alone);
            let back = Back::SameSize(Metres(1.0));
            let checked = check_size(reach.size, &demand, Metres(1.0), back).unwrap();
            prop_assert_eq!(reach.ampacity, checked.ampacity);
        }
        prop_assert!(all.is_sorted_by(|small, large| small.run <= large.run));
    }
}

/// The same size may be enough by drop and too small for the fuse: 10 mm² carries 90 A.
#[test]
fn a_fuse_above_the_cable_asks_for_a_larger_one() {
    let with = |rating, rule| {
        let protection = Some(Protection { rating: Amps(rating), rule });
        let back = Back::SameSize(Metres(4.0));
        let asked = Demand { protection, ..demand() };
        least_size(Family::Metric, &asked, Metres(4.0), back).unwrap().unwrap().size
    };
    assert_eq!(with(90.0, FuseRule::ConductorAmpacity), size("10 mm²"));
    assert_eq!(with(90.1, FuseRule::ConductorAmpacity), size("16 mm²"));
    assert_eq!(with(112.5, FuseRule::Fleet125), size("10 mm²"));
    assert_eq!(with(112.6, FuseRule::Fleet125), size("16 mm²"));
    assert_eq!(with(135.0, FuseRule::Cfr150), size("10 mm²"));
    assert_eq!(with(135.1, FuseRule::Cfr150), size("16 mm²"));
}

/// No figure is made up for a conductor that would overheat.
#[test]
fn a_size_that_cannot_carry_the_current_has_no_drop_and_no_run() {
    let asked = Demand { current: Amps(91.0), allowed_drop: Volts(100.0), ..demand() };
    let ten = size("10 mm²");
    let found = check_size(ten, &asked, Metres(1.0), Back::SameSize(Metres(1.0))).unwrap();
    assert!(!found.carries && !found.fits());
    assert_eq!((found.temperature, found.drop), (None, None));
    assert_eq!(longest_run(ten, &asked, RunBack::SameCable).unwrap(), None);
    let just = Demand { current: Amps(90.0), ..asked };
    assert!(check_size(ten, &just, Metres(1.0), Back::SameSize(Metres(1.0))).unwrap().fits());
}

#[test]
fn a_fuse_that_does_not_protect_leaves_no_run() {
    let protection = Some(Protection { rating: Amps(91.0), rule: FuseRule::ConductorAmpacity });
    let asked = Demand { protection, ..demand() };
    assert_eq!(longest_run(size("10 mm²"), &asked, RunBack::SameCable).unwrap(), None);
}

/// Joints of 17 mΩ lose 0.51 V of the 0.5 V at 30 A.
#[test]
fn joints_that_lose_it_all_leave_no_run() {
    let asked = Demand { joints: Ohms(0.017), ..demand() };
    assert_eq!(longest_run(size("95 mm²"), &asked, RunBack::SameCable).unwrap(), None);
    let back = Back::SameSize(Metres(0.0));
    assert_eq!(least_size(Family::Metric, &asked, Metres(0.0), back).unwrap(), None);
}

#[test]
fn more_than_the_largest_size_carries_finds_none() {
    let asked = Demand { current: Amps(1000.0), ..demand() };
    let back = Back::SameSize(Metres(1.0));
    assert_eq!(least_size(Family::Metric, &asked, Metres(1.0), back).unwrap(), None);
    assert_eq!(least_size(Family::Awg, &asked, Metres(1.0), back).unwrap(), None);
}

#[test]
fn nonsense_is_refused() {
    let (one, ten) = (Metres(1.0), size("10 mm²"));
    let same = Back::SameSize(one);
    for wrong in NONSENSE {
        let current = Demand { current: Amps(wrong), ..demand() };
        assert_refused(least_size(Family::Metric, &current, one, same), "current");
        assert_refused(longest_run(ten, &current, RunBack::SameCable), "current");
        let drop = Demand { allowed_drop: Volts(wrong), ..demand() };
        assert_refused(longest_run(ten, &drop, RunBack::SameCable), "allowed voltage drop");
        let joints = Demand { joints: Ohms(wrong), ..demand() };
        let quantity = "resistance of the joints";
        assert_refused(longest_run(ten, &joints, RunBack::SameCable), quantity);
        let body = RunBack::Chassis(Ohms(wrong));
        assert_refused(longest_run(ten, &demand(), body), "resistance of the chassis");
        assert_refused(check_size(ten, &demand(), Metres(wrong), same), "length");
        let back = Back::SameSize(Metres(wrong));
        assert_refused(check_size(ten, &demand(), one, back), "length");
        // Also where the size cannot carry the current at all.
        let small = size("0.75 mm²");
        assert_refused(check_size(small, &demand(), Metres(wrong), same), "length");
    }
    let body = RunBack::Chassis(Ohms(-1.0));
    assert_refused(reach_of_every_size(Family::Awg, &demand(), body), "resistance of the chassis");
    let none = Demand { current: Amps(0.0), ..demand() };
    assert_refused(longest_run(ten, &none, RunBack::SameCable), "current");
}
