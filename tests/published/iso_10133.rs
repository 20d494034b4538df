//! ISO 10133, informative annex: the short metric formula for voltage drop (from memory).

use fusewright::engineering::units::*;
use fusewright::engineering::voltage_drop::voltage_drop;
use fusewright::engineering::voltage_drop::{Leg, Path, Return, allowed_drop, drop_iso_short};

use super::{assert_near, size};

/// Golden case G05: 30 A, 8 m round trip, 6 mm² (from memory).
#[test]
fn thirty_amperes_over_eight_metres_of_six_square_millimetres() {
    let lost = drop_iso_short(Amps(30.0), Metres(8.0), SquareMillimetres(6.0)).unwrap();
    assert_near(lost.0, 0.656, 0.001);
}

/// The coefficient is that of copper at 7.6 °C. Flexible cable loses more: 16 mm² has 19.4 mΩ·mm²/m
/// at 20 °C and 22.4 at 60 °C against 16.4 (computed from IEC 60228, table 3).
#[test]
fn the_short_formula_flatters_flexible_cable() {
    let leg = Leg { size: size("16 mm²"), length: Metres(1.0) };
    let path = Path { out: leg, back: Return::Chassis(Ohms(0.0)), joints: Ohms(0.0) };
    let ours = |celsius| voltage_drop(Amps(1.0), &path, Celsius(celsius)).unwrap().0 * 16_000.0;
    let short = drop_iso_short(Amps(1.0), Metres(1.0), SquareMillimetres(16.0)).unwrap();
    assert_near(short.0 * 16_000.0, 16.4, 0.001);
    assert_near(ours(20.0), 19.4, 0.05);
    assert_near(ours(60.0), 22.4, 0.05);
}

/// Drop classes (seen in three public copies): 3 % is 0.36 V of 12 V and 0.72 V of 24 V, 10 % is
/// 1.20 V and 2.40 V.
#[test]
fn three_and_ten_percent_of_twelve_and_twenty_four_volts() {
    let allowed = |nominal, percent| allowed_drop(Volts(nominal), percent).unwrap().0;
    assert_near(allowed(12.0, 3.0), 0.36, 1e-12);
    assert_near(allowed(24.0, 3.0), 0.72, 1e-12);
    assert_near(allowed(12.0, 10.0), 1.20, 1e-12);
    assert_near(allowed(24.0, 10.0), 2.40, 1e-12);
}
