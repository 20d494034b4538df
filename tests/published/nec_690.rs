//! NEC 690.7(A): solar modules on the coldest morning (from memory).

use fusewright::engineering::solar::{cold_factor, open_circuit_voltage};
use fusewright::engineering::units::{Celsius, Volts};

use super::assert_near;

/// Golden case G15, first half (from memory): 21.6 V at −10 °C is 24.62 V by the table (1.14) and
/// 23.87 V by a coefficient of −0.30 %/K.
#[test]
fn a_module_of_21_6_volts_at_ten_below_zero() {
    assert_near(21.6 * cold_factor(Celsius(-10.0)), 24.62, 0.01);
    assert_near(open_circuit_voltage(Volts(21.6), -0.0030, Celsius(-10.0)).unwrap().0, 23.87, 0.01);
}
