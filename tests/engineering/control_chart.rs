//! The individuals chart: each signal at its length and one short of it, and no signal of chance alone.

use fusewright::engineering::control_chart::{
    POINTS_MAX, RUN_LENGTH, Signal, SignalKind, control_chart,
};
use proptest::prelude::*;

use super::{assert_refused, settings};

fn signals(points: &[f64]) -> Vec<Signal> {
    control_chart(points).unwrap().signals
}

fn of(kind: SignalKind, first: usize, last: usize, upward: bool) -> Signal {
    Signal { kind, first, last, upward }
}

/// Swings about ten, so that the limits are wide.
fn swinging(count: usize) -> Vec<f64> {
    (0..count).map(|at| if at % 2 == 0 { 9.0 } else { 11.0 }).collect()
}

#[test]
fn a_point_beyond_a_limit_is_told_and_one_within_is_not() {
    let mut points = swinging(40);
    points[21] = 15.0;
    assert_eq!(signals(&points), []);
    points[21] = 18.0;
    assert_eq!(signals(&points), [of(SignalKind::Beyond, 21, 21, true)]);
    points[21] = 2.0;
    assert_eq!(signals(&points), [of(SignalKind::Beyond, 21, 21, false)]);
}

/// Every other point keeps the order from rising or falling.
fn with_a_run(length: usize) -> Vec<f64> {
    let mut points = swinging(20);
    points.extend((0..length).map(|at| if at % 2 == 0 { 11.5 } else { 10.9 }));
    points.extend(swinging(20));
    points
}

#[test]
fn seven_on_one_side_are_a_run_and_six_are_none() {
    // The swing before ends above the line too: it belongs to the run.
    assert_eq!(signals(&with_a_run(RUN_LENGTH - 2)), []);
    let found = signals(&with_a_run(RUN_LENGTH - 1));
    assert_eq!(found, [of(SignalKind::Run, 19, 25, true)]);
    let mirrored: Vec<f64> = with_a_run(RUN_LENGTH - 1).iter().map(|point| -point).collect();
    assert_eq!(signals(&mirrored), [of(SignalKind::Run, 19, 25, false)]);
}

/// Rises through the centre, so that no run comes of it.
fn with_a_rise(length: usize) -> Vec<f64> {
    let mut points = swinging(21);
    points.extend((0..length - 1).map(|at| 9.3 + 0.27 * f64::from(u8::try_from(at).unwrap())));
    points.extend(swinging(21));
    points
}

#[test]
fn seven_that_rise_are_a_trend_and_six_are_none() {
    assert_eq!(signals(&with_a_rise(RUN_LENGTH - 1)), []);
    assert_eq!(signals(&with_a_rise(RUN_LENGTH)), [of(SignalKind::Trend, 20, 26, true)]);
    let falling: Vec<f64> = with_a_rise(RUN_LENGTH).iter().map(|point| -point).collect();
    assert_eq!(signals(&falling), [of(SignalKind::Trend, 20, 26, false)]);
}

#[test]
fn points_that_are_all_alike_show_nothing() {
    let chart = control_chart(&[0.1; 30]).unwrap();
    assert_eq!((chart.signals, chart.range_centre), (Vec::new(), 0.0));
}

#[test]
fn too_few_too_many_and_what_is_no_number_are_refused() {
    assert_refused(control_chart(&[1.0]), "number of points");
    assert_refused(control_chart(&vec![1.0; POINTS_MAX + 1]), "number of points");
    for wrong in [f64::NAN, f64::INFINITY, -1.1e9] {
        assert_refused(control_chart(&[1.0, wrong]), "point of the chart");
    }
}

proptest! {
    #![proptest_config(settings())]

    /// Another unit or another zero moves the lines with the points and shows the same signals.
    #[test]
    fn the_chart_does_not_care_for_unit_or_zero(
        points in proptest::collection::vec(0_i32..1000, 2..60),
        scale in 1_i32..8, shift in -1000_i32..1000,
    ) {
        // Whole numbers and powers of two: nothing is rounded on the way.
        let scale = 2_f64.powi(scale);
        let plain: Vec<f64> = points.iter().copied().map(f64::from).collect();
        let moved: Vec<f64> = plain.iter().map(|p| p * scale + f64::from(shift)).collect();
        let (one, other) = (control_chart(&plain).unwrap(), control_chart(&moved).unwrap());
        let near = |a: f64, b: f64| (a * scale + f64::from(shift) - b).abs() < 1e-6;
        prop_assert!(near(one.centre, other.centre) && near(one.upper, other.upper));
        let long = |found: Vec<Signal>| -> Vec<Signal> {
            found.into_iter().filter(|signal| signal.kind == SignalKind::Trend).collect()
        };
        prop_assert_eq!(long(one.signals), long(other.signals));
    }
}
