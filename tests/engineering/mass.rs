//! Added mass: the axles carry all of it, wherever it sits.

use fusewright::engineering::mass::{
    AxleCase, Axles, Payload, PlacedMass, added_mass, axle_shares, axles_left, payload_left,
};
use fusewright::engineering::units::{Kilograms, Metres};
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

fn part(mass: f64, behind: f64) -> PlacedMass {
    PlacedMass { mass: Kilograms(mass), behind_front_axle: Metres(behind) }
}

fn axles(front: f64, rear: f64) -> Axles {
    Axles { front: Kilograms(front), rear: Kilograms(rear) }
}

fn shares(mass: f64, behind: f64) -> Axles {
    axle_shares(&[part(mass, behind)], Metres(3.2)).unwrap()
}

const CASE: AxleCase = AxleCase {
    permitted: Axles { front: Kilograms(1650.0), rear: Kilograms(1900.0) },
    before: Axles { front: Kilograms(1400.0), rear: Kilograms(1500.0) },
    added: Axles { front: Kilograms(-10.0), rear: Kilograms(50.0) },
};

/// Parts anywhere on a vehicle of 3.2 m wheelbase, also ahead of and behind its axles.
fn any_parts() -> impl Strategy<Value = Vec<PlacedMass>> {
    let one = (0.0_f64..500.0, -3.2_f64..6.4).prop_map(|(mass, behind)| part(mass, behind));
    proptest::collection::vec(one, 0..8)
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn the_axles_carry_the_whole_mass(parts in any_parts()) {
        let found = axle_shares(&parts, Metres(3.2)).unwrap();
        let masses: Vec<Kilograms> = parts.iter().map(|part| part.mass).collect();
        let sum = added_mass(&masses).unwrap().0;
        prop_assert!((found.front.0 + found.rear.0 - sum).abs() < 1e-9);
    }

    /// Moments about the front axle: the rear axle's share times the wheelbase is what the parts make.
    #[test]
    fn the_moments_balance(parts in any_parts()) {
        let found = axle_shares(&parts, Metres(3.2)).unwrap();
        let moment: f64 = parts.iter().map(|part| part.mass.0 * part.behind_front_axle.0).sum();
        prop_assert!((found.rear.0 * 3.2 - moment).abs() < 1e-8);
    }

    #[test]
    fn further_back_is_never_less_on_the_rear(
        mass in 0.0_f64..500.0,
        behind in -3.2_f64..5.4,
        more in 0.0_f64..1.0,
    ) {
        prop_assert!(shares(mass, behind + more).rear >= shares(mass, behind).rear);
        prop_assert!(shares(mass, behind + more).front <= shares(mass, behind).front);
    }

    #[test]
    fn every_kilogram_added_is_one_less_left(before in 0.0_f64..1000.0, added in 0.0_f64..1000.0) {
        let payload = Payload { left_before: Kilograms(before), added: Kilograms(added) };
        let left = payload_left(payload).unwrap().0;
        prop_assert!((left + added - before).abs() < 1e-9);
        prop_assert_eq!(left < 0.0, added > before);
    }
}

#[test]
fn over_an_axle_that_axle_carries_all_and_between_them_half_each() {
    assert_eq!(shares(40.0, 0.0), axles(40.0, 0.0));
    assert_eq!(shares(40.0, 3.2), axles(0.0, 40.0));
    assert_eq!(shares(40.0, 1.6), axles(20.0, 20.0));
}

/// By hand: 40 × 4.0 / 3.2 = 50 kg; 40 × −0.8 / 3.2 = −10 kg.
#[test]
fn beyond_an_axle_the_other_is_relieved() {
    let behind = shares(40.0, 4.0);
    assert_near(behind.front.0, -10.0, 1e-9);
    assert_near(behind.rear.0, 50.0, 1e-9);
    let ahead = shares(40.0, -0.8);
    assert_near(ahead.front.0, 50.0, 1e-9);
    assert_near(ahead.rear.0, -10.0, 1e-9);
}

#[test]
fn nothing_added_changes_nothing() {
    assert_eq!(added_mass(&[]).unwrap(), Kilograms(0.0));
    assert_eq!(axle_shares(&[], Metres(3.2)).unwrap(), axles(0.0, 0.0));
}

/// By hand: 1900 − 1500 = 400 kg: 400 kg uses the axle up, 400.1 kg overloads it by 0.1 kg.
#[test]
fn an_axle_that_is_used_up_shows_zero_and_beyond_it_less() {
    let rear = |added| {
        let case = AxleCase { added: axles(0.0, added), ..CASE };
        axles_left(case).unwrap().rear.0
    };
    assert_near(rear(400.0), 0.0, 1e-9);
    assert_near(rear(400.1), -0.1, 1e-9);
    let relieved = axles_left(CASE).unwrap().front.0;
    assert_near(relieved, 260.0, 1e-9);
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        let kg = Kilograms(wrong);
        assert_refused(added_mass(&[Kilograms(1.0), kg]), "mass");
        let payload = Payload { left_before: kg, added: Kilograms(1.0) };
        assert_refused(payload_left(payload), "payload before the work");
        let payload = Payload { left_before: Kilograms(1.0), added: kg };
        assert_refused(payload_left(payload), "added mass");
        assert_refused(axle_shares(&[part(wrong, 1.0)], Metres(3.2)), "mass");
        assert_refused(axle_shares(&[part(1.0, 1.0)], Metres(wrong)), "wheelbase");
        let front = AxleCase { permitted: axles(wrong, 1900.0), ..CASE };
        let rear = AxleCase { permitted: axles(1650.0, wrong), ..CASE };
        for bad in [front, rear] {
            assert_refused(axles_left(bad), "permitted axle load");
        }
        let bad = AxleCase { before: axles(1400.0, wrong), ..CASE };
        assert_refused(axles_left(bad), "axle load before the work");
    }
    for wrong in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -100_000.1, 100_000.1] {
        let bad = AxleCase { added: axles(wrong, 0.0), ..CASE };
        assert_refused(axles_left(bad), "share of the added mass");
    }
}

/// At each limit the figure is taken, just beyond it is refused.
#[test]
fn the_ranges_end_where_they_say() {
    let at = |behind, wheelbase| axle_shares(&[part(10.0, behind)], Metres(wheelbase));
    assert!(at(1.0, 1.0).is_ok() && at(1.0, 10.0).is_ok());
    for wrong in [0.999, 10.001] {
        assert_refused(at(1.0, wrong), "wheelbase");
    }
    assert!(at(-3.0, 3.0).is_ok() && at(6.0, 3.0).is_ok());
    for wrong in [-3.001, 6.001, f64::NAN] {
        assert_refused(at(wrong, 3.0), "distance behind the front axle");
    }
}
