//! Washers: each fits its bolt, covers its head, and the next one is wider.

use fusewright::engineering::thread::Thread;
use fusewright::engineering::units::Millimetres;
use fusewright::engineering::washer::{WasherSeries, next_larger, washer};
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};

proptest! {
    #![proptest_config(settings())]

    /// No washer of the thread lies between the given diameter and the one that is named.
    #[test]
    fn the_next_larger_is_the_narrowest_that_is_wider(
        thread in prop::sample::select(Thread::ALL.to_vec()),
        outer in 0.0_f64..60.0,
    ) {
        let next = next_larger(thread, Millimetres(outer)).unwrap();
        for series in WasherSeries::ALL {
            let Some(other) = washer(series, thread) else { continue };
            match next {
                Some(next) => {
                    prop_assert!(next.outer.0 > outer);
                    prop_assert!(other.outer.0 <= outer || other.outer >= next.outer);
                }
                None => prop_assert!(other.outer.0 <= outer),
            }
        }
    }
}

/// An independent bound: the bolt passes, its hexagon stands on the washer, and a wider series is
/// wider and no thinner.
#[test]
fn every_washer_fits_its_bolt() {
    for thread in Thread::ALL {
        let all: Vec<_> =
            WasherSeries::ALL.into_iter().filter_map(|series| washer(series, thread)).collect();
        for one in &all {
            let slack = one.inner.0 - thread.diameter().0;
            assert!((0.15..=1.5).contains(&slack), "{one}: {slack} mm of play");
            assert!(one.outer > thread.head_mean_diameter(), "{one} is hidden by its head");
            let slenderness = one.outer.0 / one.thickness.0;
            assert!((6.0..=16.0).contains(&slenderness), "{one}: {slenderness}");
        }
        for pair in all.windows(2) {
            assert!(pair[0].outer < pair[1].outer, "{} {}", pair[0], pair[1]);
            assert!(pair[0].thickness <= pair[1].thickness, "{} {}", pair[0], pair[1]);
        }
    }
}

#[test]
fn beyond_the_widest_there_is_none() {
    let next = |outer| next_larger(Thread::M8, Millimetres(outer)).unwrap();
    assert_eq!(next(27.9).unwrap().series, WasherSeries::ExtraLarge);
    assert_eq!(next(28.0), None);
    // ISO 7094 begins at M5.
    assert_eq!(next_larger(Thread::M4, Millimetres(12.0)).unwrap(), None);
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        assert_refused(next_larger(Thread::M8, Millimetres(wrong)), "diameter of the washer");
    }
}
