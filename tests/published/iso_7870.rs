//! The individuals chart: constants of ISO 7870-2 (from memory) and the example of the NIST/SEMATECH
//! e-Handbook of Statistical Methods, 6.3.2.2 (from memory).

use fusewright::engineering::control_chart::control_chart;

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
