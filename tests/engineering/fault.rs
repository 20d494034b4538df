//! Short circuits: more resistance, less current; and when no verdict is given.

use fusewright::engineering::Sureness;
use fusewright::engineering::fault::{
    CRANKING_SOURCE, CURVE_POINTS_MAX, Clearing, ClearingCase, FaultLoop, cable_withstand,
    clearing, damage_curve, k_factor, let_through, prospective_along, prospective_current,
    source_resistance_from_cranking, withstand_time,
};
use fusewright::engineering::fuse::FuseForm;
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::{assert_near, assert_within_percent};

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn more_resistance_never_raises_the_current(
        source in 0.001_f64..0.05,
        path in 0.0_f64..0.05,
        more in 0.0_f64..0.05,
    ) {
        let current = |source, path| {
            let voltage = Volts(12.6);
            prospective_current(FaultLoop { voltage, source: Ohms(source), path: Ohms(path) })
                .unwrap()
        };
        prop_assert!(current(source + more, path) <= current(source, path));
        prop_assert!(current(source, path + more) <= current(source, path));
    }

    /// The withstand time is the time in which the let-through reaches what the conductor takes up.
    #[test]
    fn after_the_withstand_time_the_conductor_is_full(
        k in 80.0_f64..150.0,
        area in 1.0_f64..95.0,
        current in 100.0_f64..5000.0,
    ) {
        let area = SquareMillimetres(area);
        let time = withstand_time(k, area, Amps(current)).unwrap();
        let heat = let_through(Amps(current), time).unwrap().0;
        let full = cable_withstand(k, area).unwrap().0;
        prop_assert!((heat - full).abs() <= full * 1e-12);
    }

    /// Each point of the curve is what the conductor stands, from 5 s to 0.1 s.
    #[test]
    fn a_damage_curve_is_the_withstand_time_drawn(
        k in 80.0_f64..150.0,
        area in 0.5_f64..95.0,
        points in 2_u32..=CURVE_POINTS_MAX,
    ) {
        let area = SquareMillimetres(area);
        let curve = damage_curve(k, area, points).unwrap();
        prop_assert_eq!(curve.len(), usize::try_from(points).unwrap());
        prop_assert!((curve[0].time.0 - 5.0).abs() < 1e-12);
        prop_assert!((curve[curve.len() - 1].time.0 - 0.1).abs() < 1e-12);
        for point in &curve {
            let stands = withstand_time(k, area, point.current).unwrap().0;
            prop_assert!((stands - point.time.0).abs() <= 1e-9 * stands);
        }
        let ratio = curve[1].time.0 / curve[0].time.0;
        for pair in curve.windows(2) {
            prop_assert!(pair[0].current < pair[1].current);
            prop_assert!((pair[1].time.0 / pair[0].time.0 - ratio).abs() < 1e-9);
        }
    }

    /// Each section has its current as if the loop ended there, and none farther out has more.
    #[test]
    fn currents_along_a_path_are_those_of_each_loop(
        source in 0.001_f64..0.05,
        sections in prop::collection::vec(0.0_f64..0.02, 0..6),
    ) {
        let ohms: Vec<Ohms> = sections.iter().copied().map(Ohms).collect();
        let found = prospective_along(Volts(12.6), Ohms(source), &ohms).unwrap();
        prop_assert_eq!(found.len(), sections.len());
        for (end, current) in found.iter().enumerate() {
            let path = sections[..=end].iter().sum::<f64>();
            prop_assert!((current.0 - 12.6 / (source + path)).abs() < 1e-6);
        }
        prop_assert!(found.is_sorted_by(|near, far| near >= far));
    }

    #[test]
    fn a_warmer_start_leaves_less_k(initial in 0.0_f64..150.0, rise in 0.1_f64..9.0) {
        let k = |start| k_factor(Celsius(start), Celsius(160.0)).unwrap();
        prop_assert!(k(initial + rise) < k(initial));
    }
}

fn case(form: FuseForm, rating: f64, current: f64, area: f64) -> ClearingCase {
    let area = SquareMillimetres(area);
    ClearingCase { form, rating: Amps(rating), current: Amps(current), k: 115.0, area }
}

/// By hand: 20 A blade at 200 %: up to 5 s; 1 mm² with k 115 at 40 A stands (115/40)² = 8.27 s;
/// 0.75 mm² stands (86.25/40)² = 4.65 s.
#[test]
fn a_conductor_holds_or_fails_by_the_longest_time_of_the_gate() {
    let held = clearing(case(FuseForm::Blade, 20.0, 40.0, 1.0)).unwrap();
    let Clearing::Holds { longest, withstand } = held else { panic!("{held:?}") };
    assert_eq!(longest, Seconds(5.0));
    assert_near(withstand.0, 8.27, 0.005);
    let failed = clearing(case(FuseForm::Blade, 20.0, 40.0, 0.75)).unwrap();
    let Clearing::Fails { longest, withstand } = failed else { panic!("{failed:?}") };
    assert_eq!(longest, Seconds(5.0));
    assert_near(withstand.0, 4.65, 0.005);
}

#[test]
fn outside_the_laws_range_there_is_no_verdict() {
    // 600 s at 135 %, 50 s at 160 %, no upper end at 110 %, no table for the single bolt.
    for (form, current) in [
        (FuseForm::Blade, 27.0),
        (FuseForm::Blade, 32.0),
        (FuseForm::Blade, 22.0),
        (FuseForm::SingleBolt, 400.0),
    ] {
        assert_eq!(clearing(case(form, 20.0, current, 95.0)).unwrap(), Clearing::NotJudged);
    }
    // SF 51 at 200 %: 15 s; at 350 % 5 s, which is the last that is judged.
    let strip = |current| clearing(case(FuseForm::Strip51, 100.0, current, 95.0)).unwrap();
    assert_eq!(strip(200.0), Clearing::NotJudged);
    assert!(matches!(strip(350.0), Clearing::Holds { .. }));
}

/// By hand: 0.5 × (12.6 − 7.2) / 540 = 5.00 mΩ; two in series 10.0 mΩ. An assumption, so marked.
#[test]
fn a_source_estimated_from_its_cold_cranking_current() {
    let inside = |count| source_resistance_from_cranking(Amps(540.0), count).unwrap();
    assert_within_percent(inside(1).to_milliohms(), 5.0, 1e-9);
    assert_within_percent(inside(2).to_milliohms(), 10.0, 1e-9);
    assert_eq!(CRANKING_SOURCE.sureness, Sureness::FromMemory);
}

#[test]
fn nonsense_is_refused() {
    let area = SquareMillimetres(16.0);
    let short = FaultLoop { voltage: Volts(12.6), source: Ohms(0.006), path: Ohms(0.007) };
    for wrong in NONSENSE {
        let bad = FaultLoop { voltage: Volts(wrong), ..short };
        assert_refused(prospective_current(bad), "voltage of the source");
        let bad = FaultLoop { source: Ohms(wrong), ..short };
        assert_refused(prospective_current(bad), "resistance of the source");
        let bad = FaultLoop { path: Ohms(wrong), ..short };
        assert_refused(prospective_current(bad), "resistance of the path");
        assert_refused(withstand_time(wrong, area, Amps(1.0)), "k of the conductor");
        assert_refused(withstand_time(115.0, area, Amps(wrong)), "prospective current");
        assert_refused(cable_withstand(115.0, SquareMillimetres(wrong)), "conductor area");
        assert_refused(let_through(Amps(wrong), Seconds(1.0)), "prospective current");
        assert_refused(let_through(Amps(1.0), Seconds(wrong)), "duration");
        let cranking = source_resistance_from_cranking(Amps(wrong), 1);
        assert_refused(cranking, "cold cranking current");
        let bad = ClearingCase { rating: Amps(wrong), ..case(FuseForm::Blade, 20.0, 40.0, 1.0) };
        assert_refused(clearing(bad), "fuse rating");
    }
    for wrong in NONSENSE {
        assert_refused(damage_curve(wrong, area, 10), "k of the conductor");
        assert_refused(damage_curve(115.0, SquareMillimetres(wrong), 10), "conductor area");
        let sections = [Ohms(0.001), Ohms(wrong)];
        let found = prospective_along(Volts(12.6), Ohms(0.006), &sections);
        assert_refused(found, "resistance of the path");
        let source = prospective_along(Volts(12.6), Ohms(wrong), &[Ohms(0.0)]);
        assert_refused(source, "resistance of the source");
    }
    for points in [0, 1, CURVE_POINTS_MAX + 1] {
        assert_refused(damage_curve(115.0, area, points), "number of points");
    }
    let nothing = FaultLoop { source: Ohms(0.0), path: Ohms(0.0), ..short };
    assert_refused(prospective_current(nothing), "resistance of source and path together");
    for count in [0, 5] {
        let found = source_resistance_from_cranking(Amps(700.0), count);
        assert_refused(found, "number of batteries in series");
    }
}

#[test]
fn a_limit_that_is_not_above_the_start_is_refused() {
    let limit = "limit temperature of the insulation";
    assert_refused(k_factor(Celsius(160.0), Celsius(160.0)), limit);
    assert_refused(k_factor(Celsius(160.0), Celsius(70.0)), limit);
    assert_refused(k_factor(Celsius(70.0), Celsius(f64::NAN)), limit);
    assert_refused(k_factor(Celsius(f64::NAN), Celsius(160.0)), "initial conductor temperature");
}
