//! Charging and standing: there and back, monotone, and what is refused.

use fusewright::engineering::Sureness;
use fusewright::engineering::charging::{
    AlternatorLoad, Feed, Filling, HOT_FACTOR, HOT_FACTOR_SOURCE, Standing, alternator_margin,
    feed_power, hours_to_full, least_charging_current, pack_energy, standing_days,
};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

const FEED: Feed = Feed { source: Volts(14.0), drop: Volts(0.4), efficiency: 0.9 };
const FILLING: Filling = Filling { pack: WattHours(1280.0), start: 0.2 };
const LOAD: AlternatorLoad = AlternatorLoad {
    rated: Amps(150.0),
    hot_factor: HOT_FACTOR,
    base_load: Amps(45.0),
    feed: Amps(50.0),
};
const STANDING: Standing =
    Standing { capacity: AmpereHours(60.0), from: 1.0, down_to: 0.5, current: Amps(0.05) };

/// By hand: 100 Ah at 12.8 V are 1280 Wh, and half the capacity holds half of that.
#[test]
fn a_pack_holds_capacity_times_voltage() {
    for (capacity, energy) in [(100.0, 1280.0), (50.0, 640.0)] {
        let found = pack_energy(AmpereHours(capacity), Volts(12.8)).unwrap();
        assert_near(found.0, energy, 1e-9);
    }
}

proptest! {
    #![proptest_config(settings())]

    /// The least current fills the pack in just the planned time.
    #[test]
    fn the_planned_time_comes_back_from_the_least_current(
        pack in 100.0_f64..10_000.0,
        start in 0.0_f64..0.99,
        drop in 0.0_f64..3.0,
        efficiency in 0.5_f64..=1.0,
        planned in 0.1_f64..48.0,
    ) {
        let filling = Filling { pack: WattHours(pack), start };
        let feed = Feed { drop: Volts(drop), efficiency, ..FEED };
        let least = least_charging_current(filling, feed, Hours(planned)).unwrap();
        let hours = hours_to_full(filling, feed_power(feed, least).unwrap()).unwrap();
        prop_assert!((hours.0 - planned).abs() <= planned * 1e-9);
    }

    #[test]
    fn more_drop_and_a_worse_converter_never_give_more_power(
        current in 0.1_f64..200.0,
        drop in 0.0_f64..3.0,
        efficiency in 0.5_f64..1.0,
        more in 0.0_f64..0.4,
    ) {
        let power = |drop: f64, efficiency: f64| {
            feed_power(Feed { drop: Volts(drop), efficiency, ..FEED }, Amps(current)).unwrap()
        };
        prop_assert!(power(drop + more, efficiency) <= power(drop, efficiency));
        prop_assert!(power(drop, efficiency - more) <= power(drop, efficiency));
        // No more arrives than leaves.
        prop_assert!(power(drop, efficiency).0 <= 14.0 * current);
    }

    #[test]
    fn a_fuller_start_and_more_power_never_take_longer(
        start in 0.0_f64..0.5,
        power in 10.0_f64..2000.0,
        more in 0.0_f64..0.5,
    ) {
        let hours = |start: f64, power: f64| {
            hours_to_full(Filling { start, ..FILLING }, Watts(power)).unwrap()
        };
        prop_assert!(hours(start + more, power) <= hours(start, power));
        prop_assert!(hours(start, power + more) <= hours(start, power));
    }

    /// An ampere more of feed or of base load is an ampere less of margin.
    #[test]
    fn the_margin_falls_with_every_ampere(more in 0.0_f64..200.0, factor in 0.1_f64..=1.0) {
        let load = AlternatorLoad { hot_factor: factor, ..LOAD };
        let margin = alternator_margin(load).unwrap().0;
        let feed = AlternatorLoad { feed: Amps(LOAD.feed.0 + more), ..load };
        let base = AlternatorLoad { base_load: Amps(LOAD.base_load.0 + more), ..load };
        for heavier in [feed, base] {
            prop_assert!((margin - alternator_margin(heavier).unwrap().0 - more).abs() < 1e-9);
        }
        let whole = AlternatorLoad { hot_factor: 1.0, ..LOAD };
        prop_assert!(alternator_margin(whole).unwrap().0 >= margin);
    }

    /// The days times the current give the ampere-hours back.
    #[test]
    fn the_charge_comes_back_from_the_days(
        capacity in 10.0_f64..400.0,
        from in 0.5_f64..=1.0,
        down_to in 0.0_f64..=0.5,
        current in 0.001_f64..1.0,
    ) {
        let battery =
            Standing { capacity: AmpereHours(capacity), from, down_to, current: Amps(current) };
        let used = standing_days(battery).unwrap().0 * 24.0 * current;
        prop_assert!((used - capacity * (from - down_to)).abs() < 1e-9);
    }
}

#[test]
fn a_full_pack_takes_no_time_and_an_empty_one_all_its_energy() {
    let full = Filling { start: 1.0, ..FILLING };
    assert_eq!(hours_to_full(full, Watts(100.0)).unwrap(), Hours(0.0));
    assert_eq!(least_charging_current(full, FEED, Hours(2.0)).unwrap(), Amps(0.0));
    let empty = Filling { start: 0.0, ..FILLING };
    assert_near(hours_to_full(empty, Watts(128.0)).unwrap().0, 10.0, 1e-12);
    assert_eq!(feed_power(FEED, Amps(0.0)).unwrap(), Watts(0.0));
}

/// By hand: 0.8 × 150 − 45 = 75 A, so that a feed of 75 A leaves nothing and 75.1 A lacks 0.1 A.
#[test]
fn an_alternator_that_is_used_up_shows_zero_and_beyond_it_less() {
    let with = |feed| alternator_margin(AlternatorLoad { feed: Amps(feed), ..LOAD }).unwrap().0;
    assert_near(with(75.0), 0.0, 1e-9);
    assert_near(with(75.1), -0.1, 1e-9);
    assert_eq!(HOT_FACTOR_SOURCE.sureness, Sureness::FromMemory);
    assert!(HOT_FACTOR_SOURCE.text.contains("no source"));
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        assert_refused(pack_energy(AmpereHours(wrong), Volts(12.8)), "capacity");
        assert_refused(pack_energy(AmpereHours(100.0), Volts(wrong)), "voltage of the pack");
        let feed = Feed { source: Volts(wrong), ..FEED };
        assert_refused(feed_power(feed, Amps(10.0)), "voltage of the source");
        let feed = Feed { drop: Volts(wrong), ..FEED };
        assert_refused(feed_power(feed, Amps(10.0)), "voltage drop");
        assert_refused(feed_power(FEED, Amps(wrong)), "current of the feed");
        let filling = Filling { pack: WattHours(wrong), ..FILLING };
        assert_refused(hours_to_full(filling, Watts(100.0)), "energy of the pack");
        assert_refused(hours_to_full(FILLING, Watts(wrong)), "charging power");
        let least = least_charging_current(FILLING, FEED, Hours(wrong));
        assert_refused(least, "planned charging time");
        let load = AlternatorLoad { rated: Amps(wrong), ..LOAD };
        assert_refused(alternator_margin(load), "rated current of the alternator");
        let load = AlternatorLoad { base_load: Amps(wrong), ..LOAD };
        assert_refused(alternator_margin(load), "base load");
        let load = AlternatorLoad { feed: Amps(wrong), ..LOAD };
        assert_refused(alternator_margin(load), "current of the feed");
        let battery = Standing { capacity: AmpereHours(wrong), ..STANDING };
        assert_refused(standing_days(battery), "capacity");
        let battery = Standing { current: Amps(wrong), ..STANDING };
        assert_refused(standing_days(battery), "standing current");
    }
    assert_refused(hours_to_full(FILLING, Watts(0.0)), "charging power");
    let asleep = Standing { current: Amps(0.0), ..STANDING };
    assert_refused(standing_days(asleep), "standing current");
}

/// At each limit the figure is taken, just beyond it is refused.
#[test]
fn the_ranges_end_where_they_say() {
    let eta = |efficiency| feed_power(Feed { efficiency, ..FEED }, Amps(10.0));
    assert!(eta(0.01).is_ok() && eta(1.0).is_ok());
    for wrong in [0.009, 1.001, 90.0, f64::NAN] {
        assert_refused(eta(wrong), "efficiency");
    }
    let drop = |drop| feed_power(Feed { drop: Volts(drop), ..FEED }, Amps(10.0));
    assert!(drop(13.999).is_ok());
    assert_refused(drop(14.0), "voltage drop");
    let hot = |hot_factor| alternator_margin(AlternatorLoad { hot_factor, ..LOAD });
    assert!(hot(0.1).is_ok() && hot(1.0).is_ok());
    for wrong in [0.099, 1.001, f64::NAN] {
        assert_refused(hot(wrong), "hot factor of the alternator");
    }
    for wrong in [-0.001, 1.001, 20.0, f64::NAN] {
        let filling = Filling { start: wrong, ..FILLING };
        assert_refused(hours_to_full(filling, Watts(100.0)), "state of charge at the start");
        let battery = Standing { from: wrong, down_to: 0.0, ..STANDING };
        assert_refused(standing_days(battery), "state of charge at the start");
    }
    let from_to = |from, down_to| standing_days(Standing { from, down_to, ..STANDING });
    assert_eq!(from_to(0.6, 0.6).unwrap(), Days(0.0));
    for wrong in [0.601, -0.001, f64::NAN] {
        assert_refused(from_to(0.6, wrong), "state of charge to come down to");
    }
}
