//! Battery Council International: rest voltage and state of charge, flooded, at 26.7 °C (seen in two
//! public copies).

use fusewright::engineering::Sureness;
use fusewright::engineering::battery::{
    Chemistry, REST_SOURCE, RestCharge, charge_at_rest, rest_voltage,
};
use fusewright::engineering::units::Volts;

use super::assert_near;

/// State of charge, volts of a 12 V battery, specific gravity.
const TABLE: [(f64, f64, f64); 5] = [
    (1.00, 12.65, 1.265),
    (0.75, 12.45, 1.225),
    (0.50, 12.24, 1.190),
    (0.25, 12.06, 1.155),
    (0.00, 11.89, 1.120),
];

fn charge(nominal: f64, rest: f64) -> f64 {
    match charge_at_rest(Chemistry::Flooded, Volts(nominal), Volts(rest)).unwrap() {
        RestCharge::Share(share) => share,
        other => panic!("{rest} V should lie in the table, but is {other:?}"),
    }
}

#[test]
fn every_line_reads_both_ways_for_every_nominal_voltage() {
    for (share, volts, _) in TABLE {
        for times in [1.0, 2.0, 4.0] {
            let nominal = 12.0 * times;
            assert_near(charge(nominal, volts * times), share, 1e-9);
            let back = rest_voltage(Chemistry::Flooded, Volts(nominal), share).unwrap();
            assert_near(back.0, volts * times, 1e-9);
        }
    }
    assert_eq!(REST_SOURCE.sureness, Sureness::Seen);
}

/// Golden case G17, second half: 12.45 V at rest is 75 % ± 2 % (seen in two public copies).
#[test]
fn twelve_point_four_five_volts_are_75_percent() {
    assert_near(charge(12.0, 12.45), 0.75, 0.02);
}

/// The voltage follows the acid: 6 · (gravity + 0.845) fits to 0.1 V (computed: 12.66, 12.42, 12.21,
/// 12.00, 11.79).
#[test]
fn the_voltage_follows_the_specific_gravity() {
    for ((_, volts, gravity), computed) in
        TABLE.into_iter().zip([12.66, 12.42, 12.21, 12.00, 11.79])
    {
        assert_near(6.0 * (gravity + 0.845), computed, 0.005);
        assert_near(computed, volts, 0.1 + 1e-9);
    }
}
