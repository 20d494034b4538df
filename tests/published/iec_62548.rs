//! IEC 62548: fuses of solar strings (from memory, not sure).

use fusewright::engineering::solar::maximum_current;
use fusewright::engineering::solar_string::{StringCurrents, string_fuse_window};
use fusewright::engineering::units::Amps;

use super::assert_near;

/// 1.5 · Isc < In < 2.4 · Isc, and not above the module's largest series fuse (from memory). Both
/// ends are outside, the maker's figure is inside.
#[test]
fn a_string_fuse_lies_between_1_5_and_2_4_times_the_short_circuit_current() {
    let module = StringCurrents { short_circuit: Amps(10.0), series_fuse_max: Amps(20.0) };
    let window = string_fuse_window(module).unwrap();
    assert_near(window.above.0, 15.0, 1e-12);
    assert_near(window.below.0, 24.0, 1e-12);
    let suits = [15.0, 15.1, 20.0, 20.1, 23.9].map(|rating| window.admits(Amps(rating)));
    assert_eq!(suits, [false, true, true, false, false]);
    let module = StringCurrents { series_fuse_max: Amps(30.0), ..module };
    let window = string_fuse_window(module).unwrap();
    let suits = [20.1, 23.9, 24.0, 24.1].map(|rating| window.admits(Amps(rating)));
    assert_eq!(suits, [true, true, false, false]);
}

/// The largest current is 1.25 times the short-circuit current, as in NEC 690.8(A) (seen in a public
/// copy).
#[test]
fn the_largest_current_is_1_25_times_the_short_circuit_current() {
    assert_near(maximum_current(Amps(10.0), 2).unwrap().0, 25.0, 1e-12);
}
