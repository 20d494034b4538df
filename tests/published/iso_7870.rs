//! The individuals chart: constants of ISO 7870-2 (from memory) and the example of the NIST/SEMATECH
//! e-Handbook of Statistical Methods, 6.3.2.2 (from memory).

use fusewright::engineering::control_chart::{RUN_LENGTH, control_chart};

use super::assert_near;

/// Flow rates of ten batches, in their order.
const FLOW_RATES: [f64; 10] = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];

#[test]
fn the_handbooks_example_has_its_centre_and_its_limits() {
    let chart = control_chart(&FLOW_RATES).unwrap();
    assert_near(chart.centre, 50.81, 0.005);
    assert_near(chart.range_centre, 1.8778, 0.000_05);
    assert_near(chart.upper, 55.8041, 0.000_05);
    assert_near(chart.lower, 45.8159, 0.000_05);
    assert_eq!(chart.signals, []);
}

/// Two points that differ by one have a mean range of one, so that their limits are the constants
/// themselves: E2 = 3/d2 = 2.660 and D4 = 3.267 of two values.
#[test]
fn the_constants_are_those_of_ranges_of_two() {
    let chart = control_chart(&[0.0, 1.0]).unwrap();
    assert_near(chart.upper - chart.centre, 2.660, 0.0005);
    assert_near(chart.centre - chart.lower, 2.660, 0.0005);
    assert_near(chart.range_upper, 3.267, 0.0005);
}

/// ISO 7870-2:2013, rules for special causes (from memory): one point beyond a limit; seven in a row on one side
/// of the centre line; seven in a row rising or falling. ISO 8258:1991, the standard before it, had nine and six
/// (from memory): a chart of ours speaks a little earlier of a run.
#[test]
fn a_run_and_a_trend_are_of_seven() {
    assert_eq!(RUN_LENGTH, 7);
}

/// The limits of the handbook's example follow from the constants: 50.81 ± 3 × 1.8778 / 1.128, and the limit of a
/// range is 3.267 × 1.8778 = 6.1347.
#[test]
fn the_handbooks_example_has_the_limit_of_its_ranges() {
    let chart = control_chart(&FLOW_RATES).unwrap();
    assert_near(chart.range_upper, 6.1347, 0.0005);
}

/// Ranges of two values of a normal population, worked out: mean 2/√π, standard deviation √(2 − 4/π) of the
/// population's. So d2 = 1.128 and D4 = 1 + 3 · d3 / d2 = 3.267 in the printed digits.
#[test]
fn the_printed_constants_are_those_of_the_normal_distribution() {
    let pi = std::f64::consts::PI;
    let d2 = 2.0 / pi.sqrt();
    let d3 = (2.0 - 4.0 / pi).sqrt();
    assert_near(d2, 1.128, 0.0005);
    let chart = control_chart(&[0.0, 1.0]).unwrap();
    assert_near(chart.upper - chart.centre, 3.0 / d2, 0.002);
    assert_near(chart.range_upper, 1.0 + 3.0 * d3 / d2, 0.0005);
}

/// By chance alone seven on one side come once in 64 stretches of seven, and seven that rise or fall once in
/// 2520: rarer than one in fifty, which is what a signal is for.
#[test]
fn seven_in_a_row_are_rare_by_chance() {
    let length = i32::try_from(RUN_LENGTH).unwrap();
    let on_one_side = 2.0 * 0.5_f64.powi(length);
    let orders: f64 = (1..=length).map(f64::from).product();
    assert_near(on_one_side, 1.0 / 64.0, 1e-12);
    assert_near(2.0 / orders, 1.0 / 2520.0, 1e-12);
    assert!(on_one_side < 0.02);
}
