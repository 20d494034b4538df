//! Ratings as a mass: sums, safety factors, nonsense refused.

use fusewright::engineering::capacity_rating::{rated_capacity, rating_demand};
use fusewright::engineering::sheet_metal::utilisation;
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};

proptest! {
    #![proptest_config(settings())]

    /// Σ N ≥ Σ m · n is the same as capacity ≥ demand.
    #[test]
    fn the_comparison_in_kilograms_is_the_comparison_in_newtons(
        masses in prop::collection::vec(0.1_f64..100.0, 1..5),
        anchors in prop::collection::vec(1.0_f64..1000.0, 1..9),
        level in 0.5_f64..28.0,
    ) {
        let rated: f64 = anchors.iter().sum();
        let asked = masses.iter().sum::<f64>() * level;
        prop_assume!((rated - asked).abs() > 1e-6 * asked);
        let kilograms = |all: Vec<f64>| all.into_iter().map(Kilograms).collect::<Vec<_>>();
        let capacity = rated_capacity(&kilograms(anchors), 1.0).unwrap();
        let demand = rating_demand(&kilograms(masses), level).unwrap();
        prop_assert_eq!(utilisation(demand, capacity).unwrap() <= 1.0, rated >= asked);
    }

    #[test]
    fn a_safety_factor_divides(rating in 1.0_f64..1000.0, safety in 1.0_f64..20.0) {
        let plain = rated_capacity(&[Kilograms(rating)], 1.0).unwrap();
        let safe = rated_capacity(&[Kilograms(rating)], safety).unwrap();
        prop_assert!((safe.0 * safety - plain.0).abs() <= 1e-9 * plain.0);
    }
}

/// By hand: 500 kg just hold 25 kg at 20 g, 499 kg do not.
#[test]
fn five_hundred_kilograms_are_the_limit_for_a_pack_of_25() {
    let demand = rating_demand(&[Kilograms(25.0)], 20.0).unwrap();
    let used =
        |rating| utilisation(demand, rated_capacity(&[Kilograms(rating)], 1.0).unwrap()).unwrap();
    assert!(used(500.0) <= 1.0);
    assert!(used(499.0) > 1.0);
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        let kilograms = [Kilograms(1.0), Kilograms(wrong)];
        assert_refused(rated_capacity(&kilograms, 1.0), "rating of the anchor");
        assert_refused(rated_capacity(&[Kilograms(1.0)], wrong), "safety factor");
        assert_refused(rating_demand(&kilograms, 20.0), "mass");
        assert_refused(rating_demand(&[Kilograms(1.0)], wrong), "level, in g");
    }
    assert_refused(rated_capacity(&[Kilograms(1.0)], 0.99), "safety factor");
    assert_refused(rating_demand(&[Kilograms(1.0)], 100.1), "level, in g");
}
