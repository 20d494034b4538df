//! Conversions that are exact by definition (1901 and 1959), and printed examples of them.

use fusewright::engineering::units::*;

use super::assert_near;

/// Torque (computed from the definitions): 1 N·m = 0.737 562 lbf·ft = 8.850 746 lbf·in;
/// 1 lbf·ft = 1.355 818 N·m; 1 lbf·in = 0.112 985 N·m.
#[test]
fn torque_in_pound_force_feet_and_inches() {
    assert_near(NewtonMetres(1.0).to_pound_force_feet(), 0.737_562, 5e-7);
    assert_near(NewtonMetres(1.0).to_pound_force_inches(), 8.850_746, 5e-7);
    assert_near(NewtonMetres::from_pound_force_feet(1.0).0, 1.355_818, 5e-7);
    assert_near(NewtonMetres::from_pound_force_inches(1.0).0, 0.112_985, 5e-7);
}

/// 24.6 N·m = 18.14 lbf·ft; 10.1 N·m = 89.4 lbf·in; 5 N·m = 44.25 lbf·in (computed).
#[test]
fn three_torques_of_the_workshop() {
    assert_near(NewtonMetres(24.6).to_pound_force_feet(), 18.14, 0.005);
    assert_near(NewtonMetres(10.1).to_pound_force_inches(), 89.4, 0.05);
    assert_near(NewtonMetres(5.0).to_pound_force_inches(), 44.25, 0.005);
}

/// g0 9.806 65 m/s², the inch 25.4 mm, the pound-force 4.448 221 615 260 5 N, all exact; the
/// circular mil 5.067 075 × 10⁻⁴ mm² (computed).
#[test]
fn constants_as_defined() {
    assert_near(STANDARD_GRAVITY, 9.806_65, 0.0);
    assert_near(MILLIMETRES_PER_INCH, 25.4, 0.0);
    assert_near(METRES_PER_FOOT * 1000.0, 12.0 * 25.4, 1e-12);
    assert_near(NEWTONS_PER_POUND_FORCE, 0.453_592_37 * 9.806_65, 1e-15);
    assert_near(SQUARE_MILLIMETRES_PER_CIRCULAR_MIL * 1e4, 5.067_075, 5e-7);
    assert_near(CircularMils(1e6).to_square_millimetres().0, 506.707_479_097, 1e-8);
}

/// 1 kip per square inch is 6.894 757 N/mm² (computed); the 45 of steel sheet are 310.3 N/mm².
#[test]
fn stress_in_kips_per_square_inch() {
    assert_near(Megapascals::from_kips_per_square_inch(1.0).0, 6.894_757, 5e-7);
    assert_near(Megapascals::from_kips_per_square_inch(45.0).0, 310.26, 0.005);
}

/// 7 in, 40 in and 72 in (33 CFR 183.455 and 183.460) in millimetres.
#[test]
fn inches_of_the_law_in_millimetres() {
    for (inches, millimetres) in [(7.0, 177.8), (40.0, 1016.0), (72.0, 1828.8)] {
        assert_near(Millimetres::from_inches(inches).0, millimetres, 1e-9);
    }
}

/// 90 lbf is 400.3 N (33 CFR 183.420).
#[test]
fn ninety_pounds_of_force() {
    assert_near(Newtons::from_pounds_force(90.0).0, 400.34, 0.005);
}
