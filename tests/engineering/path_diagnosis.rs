//! Path resistance and half-split: squares add, and one bad joint is always found.

use fusewright::engineering::path_diagnosis::{
    KnownStretch, LoadedDrop, Measured, NextProbe, PathSearch, SEGMENTS_MAX, SpanDrop, Standing,
    at_temperature, excess, known_stretches, measured_resistance, next_probe,
};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

fn reading() -> LoadedDrop {
    LoadedDrop {
        drop: Volts(0.3),
        drop_uncertainty: Volts(0.009),
        current: Amps(30.0),
        current_uncertainty: Amps(1.2),
    }
}

/// By hand: 0.3 / 30 = 10 mΩ; 3 % and 4 % make 5 %, 0.5 mΩ.
#[test]
fn relative_uncertainties_add_as_squares() {
    let found = measured_resistance(reading()).unwrap();
    assert_near(found.value.to_milliohms(), 10.0, 1e-12);
    assert_near(found.uncertainty.to_milliohms(), 0.5, 1e-12);
    let turned = LoadedDrop { drop: Volts(-0.3), ..reading() };
    assert_eq!(measured_resistance(turned).unwrap(), found);
}

/// A drop of nothing has the uncertainty of the voltmeter alone: 9 mV / 30 A = 0.3 mΩ.
#[test]
fn a_drop_of_nothing_has_an_uncertainty_too() {
    let none = LoadedDrop { drop: Volts(0.0), ..reading() };
    let found = measured_resistance(none).unwrap();
    assert_near(found.value.0, 0.0, 0.0);
    assert_near(found.uncertainty.to_milliohms(), 0.3, 1e-12);
}

/// At the limit itself it is not to be told, just beyond it is, on both sides.
#[test]
fn an_excess_is_told_only_beyond_its_uncertainty() {
    let with = |milliohms| Measured {
        value: Ohms::from_milliohms(milliohms),
        uncertainty: Ohms::from_milliohms(0.5),
    };
    let cases = [
        (0.0, Standing::WithinUncertainty),
        (0.5, Standing::WithinUncertainty),
        (0.51, Standing::More),
        (-0.5, Standing::WithinUncertainty),
        (-0.51, Standing::Less),
    ];
    for (milliohms, standing) in cases {
        assert_eq!(with(milliohms).standing(), standing, "{milliohms}");
    }
    let over = excess(with(10.0), Ohms::from_milliohms(7.0)).unwrap();
    assert_near(over.value.to_milliohms(), 3.0, 1e-12);
    assert_near(over.uncertainty.to_milliohms(), 0.5, 1e-12);
    let under = excess(with(6.0), Ohms::from_milliohms(7.0)).unwrap();
    assert_eq!(under.standing(), Standing::Less);
    assert_near(under.as_cable(OhmsPerMetre(0.002)).unwrap().0, -0.5, 1e-12);
    assert_near(under.as_joints(Ohms(0.000_5)).unwrap(), -2.0, 1e-12);
}

/// By hand: 10 mΩ at 20 °C are 10 × 294.5 / 254.5 = 11.57 mΩ at 60 °C.
#[test]
fn a_warmer_plan_has_more() {
    let cold = Measured { value: Ohms(0.010), uncertainty: Ohms(0.001) };
    let warm = at_temperature(cold, Celsius(20.0), Celsius(60.0)).unwrap();
    assert_near(warm.value.to_milliohms(), 11.57, 0.005);
    assert_near(warm.uncertainty.to_milliohms(), 1.157, 0.0005);
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn to_another_temperature_and_back_changes_nothing(
        milliohms in 0.0_f64..100.0,
        first in -40.0_f64..150.0,
        second in -40.0_f64..150.0,
    ) {
        let start = Measured { value: Ohms(milliohms / 1e3), uncertainty: Ohms(milliohms / 1e4) };
        let there = at_temperature(start, Celsius(first), Celsius(second)).unwrap();
        let back = at_temperature(there, Celsius(second), Celsius(first)).unwrap();
        prop_assert!((back.value.0 - start.value.0).abs() <= 1e-12);
        prop_assert!((back.uncertainty.0 - start.uncertainty.0).abs() <= 1e-12);
        prop_assert_eq!(there.value.0 > start.value.0, second > first && milliohms > 0.0);
    }

    #[test]
    fn a_worse_instrument_never_makes_the_resistance_surer(more in 0.0_f64..0.1) {
        let base = measured_resistance(reading()).unwrap().uncertainty;
        let volts = LoadedDrop { drop_uncertainty: Volts(0.009 + more), ..reading() };
        let amps = LoadedDrop { current_uncertainty: Amps(1.2 + more), ..reading() };
        prop_assert!(measured_resistance(volts).unwrap().uncertainty >= base);
        prop_assert!(measured_resistance(amps).unwrap().uncertainty >= base);
    }

    /// Every segment has its plan and a little of its own; one has a bad joint on top.
    #[test]
    fn one_bad_joint_is_found_in_few_measurements(
        own in prop::collection::vec((0.1_f64..5.0, -0.001_f64..0.001), 1..=SEGMENTS_MAX),
        bad in any::<prop::sample::Index>(),
        fault in 0.5_f64..20.0,
        current in 1.0_f64..100.0,
    ) {
        let bad = bad.index(own.len());
        let planned: Vec<Ohms> = own.iter().map(|(plan, _)| Ohms::from_milliohms(*plan)).collect();
        let mut real: Vec<f64> = own.iter().map(|(plan, more)| (plan + more) / 1e3).collect();
        real[bad] += fault / 1e3;
        let mut drops = vec![];
        let found = loop {
            let search = PathSearch { planned: &planned, drops: &drops, least: Ohms(0.000_2) };
            match next_probe(&search).unwrap() {
                NextProbe::Measure { from, to } => {
                    let drop = Volts(real[from..to].iter().sum::<f64>() * current);
                    drops.push(SpanDrop { from, to, drop, current: Amps(current) });
                }
                other => break other,
            }
        };
        let NextProbe::Segment { segment, excess, .. } = found else {
            return Err(TestCaseError::fail(format!("{found:?}")));
        };
        prop_assert_eq!(segment, bad);
        prop_assert!((excess.to_milliohms() - fault).abs() < 0.1);
        let most = own.len().next_power_of_two().ilog2() + 1;
        prop_assert!(drops.len() <= usize::try_from(most).unwrap(), "{} of {most}", drops.len());
    }
}

/// Segments of 1 mΩ each.
fn plan(segments: usize) -> Vec<Ohms> {
    vec![Ohms(0.001); segments]
}

/// Milliohms between two points, at 10 A.
fn span(from: usize, to: usize, milliohms: f64) -> SpanDrop {
    SpanDrop { from, to, drop: Volts(milliohms / 100.0), current: Amps(10.0) }
}

#[track_caller]
#[expect(clippy::expect_used, reason = "a helper of tests; the path is a plain one")]
fn next(segments: usize, drops: &[SpanDrop]) -> NextProbe {
    let search = PathSearch { planned: &plan(segments), drops, least: Ohms(0.000_25) };
    next_probe(&search).expect("a plain path")
}

/// Whole ohms and quarters, so that the limit itself is exact: up to 0.25 Ω too much does not count.
#[test]
fn a_path_as_planned_ends_the_search_and_one_just_above_does_not() {
    let planned = [Ohms(1.0); 4];
    let with = |drop| {
        let drops = [SpanDrop { from: 0, to: 4, drop: Volts(drop), current: Amps(1.0) }];
        next_probe(&PathSearch { planned: &planned, drops: &drops, least: Ohms(0.25) }).unwrap()
    };
    assert_eq!(with(4.25), NextProbe::AsPlanned);
    assert_eq!(with(3.0), NextProbe::AsPlanned);
    assert_eq!(with(4.26), NextProbe::Measure { from: 0, to: 2 });
    assert_eq!(next(4, &[]), NextProbe::Measure { from: 0, to: 4 });
}

/// Segments with exactly the excess that counts do not count; one just above does.
#[test]
fn a_segment_counts_only_beyond_the_least_excess() {
    let planned = [Ohms(1.0); 2];
    let with = |first, second| {
        let span = |from, drop| SpanDrop { from, to: from + 1, drop, current: Amps(1.0) };
        let drops = [span(0, Volts(first)), span(1, Volts(second))];
        next_probe(&PathSearch { planned: &planned, drops: &drops, least: Ohms(0.25) }).unwrap()
    };
    assert_eq!(with(1.25, 1.25), NextProbe::Spread { whole: Ohms(0.5) });
    assert!(matches!(with(1.25, 1.26), NextProbe::Segment { segment: 1, .. }));
}

#[test]
fn readings_chain_whatever_their_order_and_their_current() {
    let thirty = SpanDrop { from: 2, to: 4, drop: Volts(0.15), current: Amps(30.0) };
    // 2 to 4 has 5 mΩ, 0 to 2 has 2 mΩ: the excess of 3 mΩ lies in the last two segments.
    for drops in [[thirty, span(0, 2, 2.0)], [span(0, 2, 2.0), thirty]] {
        assert_eq!(next(4, &drops), NextProbe::Measure { from: 2, to: 3 });
    }
    // From the whole and its end, the start follows.
    let drops = [span(1, 4, 3.0), span(0, 4, 6.0)];
    let NextProbe::Segment { segment, excess, .. } = next(4, &drops) else { panic!("found") };
    assert_eq!(segment, 0);
    assert_near(excess.to_milliohms(), 2.0, 1e-9);
}

/// Readings that are not linked with the start do not stand in for the whole path.
#[test]
fn without_the_whole_path_the_whole_path_is_measured() {
    assert_eq!(next(4, &[span(1, 3, 9.0)]), NextProbe::Measure { from: 0, to: 4 });
    assert_eq!(next(4, &[span(0, 3, 9.0)]), NextProbe::Measure { from: 0, to: 4 });
}

#[test]
fn of_two_bad_joints_the_worse_is_found_and_the_rest_is_told() {
    // 2 mΩ too much in segment 0, 3 mΩ in segment 3.
    let mut drops = vec![span(0, 4, 9.0), span(0, 2, 4.0)];
    assert_eq!(next(4, &drops), NextProbe::Measure { from: 2, to: 3 });
    drops.push(span(2, 3, 1.0));
    let NextProbe::Segment { segment, excess, whole } = next(4, &drops) else { panic!("found") };
    assert_eq!(segment, 3);
    assert_near(excess.to_milliohms(), 3.0, 1e-9);
    assert_near(whole.to_milliohms(), 5.0, 1e-9);
}

/// 0.2 mΩ too much in each of four segments: 0.8 mΩ in all, but none that counts by itself.
#[test]
fn an_excess_that_is_spread_names_no_joint() {
    let drops = [span(0, 1, 1.2), span(1, 2, 1.2), span(2, 3, 1.2), span(3, 4, 1.2)];
    let NextProbe::Spread { whole } = next(4, &drops) else { panic!("spread") };
    assert_near(whole.to_milliohms(), 0.8, 1e-9);
}

#[test]
fn a_reading_that_says_nothing_new_is_not_used() {
    let mut drops = vec![span(0, 4, 7.0), span(0, 2, 2.0)];
    let before = next(4, &drops);
    drops.push(span(0, 2, 9.0));
    assert_eq!(next(4, &drops), before);
}

#[test]
fn a_path_of_one_segment_is_found_at_once() {
    let found = next(1, &[span(0, 1, 5.0)]);
    assert!(matches!(found, NextProbe::Segment { segment: 0, .. }), "{found:?}");
}

#[test]
fn nonsense_is_refused() {
    let good = Measured { value: Ohms(0.01), uncertainty: Ohms(0.001) };
    let planned = plan(2);
    let search = PathSearch { planned: &planned, drops: &[], least: Ohms(0.0) };
    for wrong in NONSENSE {
        let current = LoadedDrop { current: Amps(wrong), ..reading() };
        assert_refused(measured_resistance(current), "current");
        let volts = LoadedDrop { drop_uncertainty: Volts(wrong), ..reading() };
        assert_refused(measured_resistance(volts), "uncertainty of the voltage drop");
        let amps = LoadedDrop { current_uncertainty: Amps(wrong), ..reading() };
        assert_refused(measured_resistance(amps), "uncertainty of the current");
        assert_refused(excess(good, Ohms(wrong)), "resistance planned");
        let value = Measured { value: Ohms(wrong), ..good };
        assert_refused(excess(value, Ohms(0.01)), "resistance measured");
        assert_refused(at_temperature(value, Celsius(20.0), Celsius(20.0)), "resistance measured");
        let unsure = Measured { uncertainty: Ohms(wrong), ..good };
        assert_refused(excess(unsure, Ohms(0.01)), "uncertainty of the resistance");
        assert_refused(good.as_cable(OhmsPerMetre(wrong)), "conductor resistance");
        assert_refused(good.as_joints(Ohms(wrong)), "resistance of a joint");
        let least = PathSearch { least: Ohms(wrong), ..search };
        assert_refused(next_probe(&least), "excess that counts");
        let segment = PathSearch { planned: &[Ohms(wrong)], ..search };
        assert_refused(next_probe(&segment), "planned resistance of a segment");
        let drops = [SpanDrop { current: Amps(wrong), ..span(0, 1, 1.0) }];
        assert_refused(next_probe(&PathSearch { drops: &drops, ..search }), "current");
    }
    for wrong in [f64::NAN, f64::INFINITY] {
        let drop = LoadedDrop { drop: Volts(wrong), ..reading() };
        assert_refused(measured_resistance(drop), "voltage drop");
        let drops = [SpanDrop { drop: Volts(wrong), ..span(0, 1, 1.0) }];
        assert_refused(next_probe(&PathSearch { drops: &drops, ..search }), "voltage drop");
    }
    let hot = at_temperature(good, Celsius(301.0), Celsius(20.0));
    assert_refused(hot, "conductor temperature while measuring");
    let cold = at_temperature(good, Celsius(20.0), Celsius(-61.0));
    assert_refused(cold, "conductor temperature planned");
}

#[test]
fn a_path_has_from_1_to_100_segments_and_readings_lie_on_it() {
    let search = |planned: &[Ohms], drops: &[SpanDrop]| {
        next_probe(&PathSearch { planned, drops, least: Ohms(0.0) })
    };
    assert_refused(search(&[], &[]), "number of segments");
    assert_refused(search(&plan(SEGMENTS_MAX + 1), &[]), "number of segments");
    assert!(search(&plan(SEGMENTS_MAX), &[]).is_ok());
    for (from, to) in [(0, 3), (1, 1), (2, 1), (3, 4)] {
        assert_refused(search(&plan(2), &[span(from, to, 1.0)]), "pair of points");
    }
    assert!(search(&plan(2), &[span(0, 2, 1.0)]).is_ok());
}

fn known(segments: usize, drops: &[SpanDrop]) -> Vec<(usize, usize, f64, f64)> {
    let search = PathSearch { planned: &plan(segments), drops, least: Ohms(0.000_25) };
    let told = |stretch: KnownStretch| {
        let (planned, more) = (stretch.planned.to_milliohms(), stretch.excess.to_milliohms());
        (stretch.from, stretch.to, planned.round(), (more * 1e6).round() / 1e6)
    };
    known_stretches(&search).unwrap().into_iter().map(told).collect()
}

/// 1 mΩ a segment: 8 mΩ on four are 4 too much; 2 of them on the first half, so 2 on the second.
#[test]
fn stretches_are_known_by_measuring_and_by_taking_away() {
    assert_eq!(known(4, &[]), []);
    assert_eq!(known(4, &[span(0, 4, 8.0)]), [(0, 4, 4.0, 4.0)]);
    let halves = [span(0, 4, 8.0), span(0, 2, 4.0)];
    assert_eq!(known(4, &halves), [(0, 2, 2.0, 2.0), (2, 4, 2.0, 2.0)]);
    // What no reading links with the start says nothing yet.
    assert_eq!(known(4, &[span(2, 3, 5.0)]), []);
    // Readings that disagree leave a stretch with less than nothing: 1 − 6 is below its 2 planned.
    let disagreeing = [span(0, 4, 1.0), span(0, 2, 6.0)];
    assert_eq!(known(4, &disagreeing), [(0, 2, 2.0, 4.0), (2, 4, 2.0, -7.0)]);
}

#[test]
fn stretches_refuse_what_the_search_refuses() {
    for drops in [[span(0, 5, 1.0)], [span(2, 2, 1.0)], [span(3, 1, 1.0)]] {
        let search = PathSearch { planned: &plan(4), drops: &drops, least: Ohms(0.0) };
        assert_refused(known_stretches(&search), "pair of points");
    }
    let nothing = PathSearch { planned: &[], drops: &[], least: Ohms(0.0) };
    assert_refused(known_stretches(&nothing), "number of segments");
}
