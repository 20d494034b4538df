//! Boards and laminates: thicker, wider, stronger never holds less; the unknown is refused.

use fusewright::engineering::Sureness;
use fusewright::engineering::board::{
    BOARD_SOURCE, Board, BoardBolt, board_punching_resistance, embedment_resistance,
    washer_pressure_resistance,
};
use fusewright::engineering::laminate::{
    LAMINATE_SOURCE, Laminate, laminate_bearing_resistance, laminate_punching_resistance,
};
use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

fn plywood(thickness: f64) -> Board {
    Board::unknown_plywood(Millimetres(thickness))
}

fn laminate(thickness: f64) -> Laminate {
    Laminate::unknown_glass(Millimetres(thickness))
}

fn bolt(edge: f64) -> BoardBolt {
    let (thread, property_class) = (Thread::M8, PropertyClass::Steel8_8);
    BoardBolt { thread, property_class, edge: Millimetres(edge) }
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn a_thicker_board_never_holds_less(
        thickness in 6.0_f64..59.0,
        more in 0.0_f64..1.0,
        washer in 12.0_f64..60.0,
    ) {
        let (thin, thick) = (plywood(thickness), plywood(thickness + more));
        let washer = Millimetres(washer);
        let shear = |board| embedment_resistance(board, &bolt(40.0)).unwrap();
        let punched = |board| board_punching_resistance(board, washer).unwrap();
        let pressed = |board| washer_pressure_resistance(board, Thread::M8, washer).unwrap();
        prop_assert!(shear(&thin) <= shear(&thick));
        prop_assert!(punched(&thin) <= punched(&thick));
        prop_assert!(pressed(&thin) <= pressed(&thick));
    }

    #[test]
    fn a_wider_washer_never_holds_less(washer in 12.0_f64..60.0, more in 0.0_f64..20.0) {
        let (narrow, wide) = (Millimetres(washer), Millimetres(washer + more));
        let pressed =
            |washer| washer_pressure_resistance(&plywood(12.0), Thread::M8, washer).unwrap();
        let punched = |washer| board_punching_resistance(&plywood(12.0), washer).unwrap();
        let sheared = |washer| laminate_punching_resistance(&laminate(6.0), washer).unwrap();
        prop_assert!(pressed(narrow) <= pressed(wide));
        prop_assert!(punched(narrow) <= punched(wide));
        prop_assert!(sheared(narrow) <= sheared(wide));
    }

    #[test]
    fn a_thicker_laminate_never_holds_less(thickness in 1.5_f64..39.0, more in 0.0_f64..1.0) {
        let (thin, thick) = (laminate(thickness), laminate(thickness + more));
        let edge = Millimetres(40.0);
        let bearing = |one| laminate_bearing_resistance(one, Thread::M8, edge).unwrap();
        prop_assert!(bearing(&thin) <= bearing(&thick));
    }
}

/// An independent bound: a washer presses the board with no more than its own face stands, and a
/// board around a bolt never carries more than the bolt's side times the embedment strength.
#[test]
fn resistances_stay_below_simple_bounds() {
    let board = plywood(12.0);
    let pressed = washer_pressure_resistance(&board, Thread::M8, Millimetres(28.0)).unwrap().0;
    assert!(pressed < 7.5 * std::f64::consts::FRAC_PI_4 * 28.0 * 28.0);
    assert!(embedment_resistance(&board, &bolt(40.0)).unwrap().0 < 40.48 * 12.0 * 8.0);
}

/// By hand: M8 in 6 mm, 80 × 8 × 6 / 3 = 1280 N; 28 mm washer, π × 28 × 6 × 8 / 3 = 1407.4 N.
#[test]
fn a_laminate_that_nobody_knows() {
    let edge = Millimetres(40.0);
    let bearing = laminate_bearing_resistance(&laminate(6.0), Thread::M8, edge).unwrap();
    assert_near(bearing.0, 1280.0, 1e-9);
    let punched = laminate_punching_resistance(&laminate(6.0), Millimetres(28.0)).unwrap();
    assert_near(punched.0, 1407.4, 0.1);
}

#[test]
fn nothing_of_it_is_more_than_remembered() {
    assert_eq!(BOARD_SOURCE.sureness, Sureness::FromMemory);
    assert_eq!(LAMINATE_SOURCE.sureness, Sureness::FromMemory);
    assert!(LAMINATE_SOURCE.text.contains("maker confirms"));
}

#[test]
fn an_edge_closer_than_four_diameters_is_refused() {
    let edge = "distance to the edge";
    assert!(embedment_resistance(&plywood(12.0), &bolt(32.0)).is_ok());
    assert_refused(embedment_resistance(&plywood(12.0), &bolt(31.9)), edge);
    let torn = |edge| laminate_bearing_resistance(&laminate(6.0), Thread::M8, Millimetres(edge));
    assert!(torn(32.0).is_ok());
    assert_refused(torn(31.9), edge);
}

#[test]
fn boards_and_laminates_out_of_range_are_refused() {
    let washer = Millimetres(28.0);
    for thickness in [f64::NAN, -1.0, 0.0, 5.9, 60.1] {
        let quantity = "thickness of the board";
        assert_refused(board_punching_resistance(&plywood(thickness), washer), quantity);
        assert_refused(embedment_resistance(&plywood(thickness), &bolt(40.0)), quantity);
        let pressed = washer_pressure_resistance(&plywood(thickness), Thread::M8, washer);
        assert_refused(pressed, quantity);
    }
    for thickness in [f64::NAN, -1.0, 0.0, 1.4, 40.1] {
        let quantity = "thickness of the laminate";
        assert_refused(laminate_punching_resistance(&laminate(thickness), washer), quantity);
        let torn = laminate_bearing_resistance(&laminate(thickness), Thread::M8, washer);
        assert_refused(torn, quantity);
    }
    assert!(board_punching_resistance(&plywood(6.0), washer).is_ok());
    assert!(laminate_punching_resistance(&laminate(1.5), washer).is_ok());
}

#[test]
fn a_washer_that_falls_through_its_hole_is_refused() {
    let pressed =
        |washer| washer_pressure_resistance(&plywood(12.0), Thread::M8, Millimetres(washer));
    assert!(pressed(9.1).is_ok());
    assert_refused(pressed(9.0), "diameter of the washer");
}

#[test]
fn nonsense_is_refused() {
    let (washer, good) = (Millimetres(28.0), plywood(12.0));
    for wrong in NONSENSE {
        let length = Millimetres(wrong);
        let pressed = washer_pressure_resistance(&good, Thread::M8, length);
        assert_refused(pressed, "diameter of the washer");
        assert_refused(board_punching_resistance(&good, length), "diameter of the washer");
        assert_refused(embedment_resistance(&good, &bolt(wrong)), "distance to the edge");
        let soft = Board { compression: Megapascals(wrong), ..good };
        let pressed = washer_pressure_resistance(&soft, Thread::M8, washer);
        assert_refused(pressed, "compression strength");
        let soft = Board { panel_shear: Megapascals(wrong), ..good };
        assert_refused(board_punching_resistance(&soft, washer), "panel shear strength");
        let light = Board { density: KilogramsPerCubicMetre(wrong), ..good };
        assert_refused(embedment_resistance(&light, &bolt(40.0)), "density of the board");
        let wet = Board { duration_factor: wrong, ..good };
        assert_refused(board_punching_resistance(&wet, washer), "duration factor");
        let unsure = Board { material_factor: wrong, ..good };
        assert_refused(board_punching_resistance(&unsure, washer), "material factor");
        let soft = Laminate { bearing: Megapascals(wrong), ..laminate(6.0) };
        let bearing = laminate_bearing_resistance(&soft, Thread::M8, Millimetres(40.0));
        assert_refused(bearing, "bearing strength");
        let soft = Laminate { interlaminar_shear: Megapascals(wrong), ..laminate(6.0) };
        assert_refused(laminate_punching_resistance(&soft, washer), "interlaminar shear strength");
        let unsure = Laminate { safety_factor: wrong, ..laminate(6.0) };
        assert_refused(laminate_punching_resistance(&unsure, washer), "safety factor");
        assert_refused(
            laminate_punching_resistance(&laminate(6.0), length),
            "diameter of the washer",
        );
        let torn = laminate_bearing_resistance(&laminate(6.0), Thread::M8, length);
        assert_refused(torn, "distance to the edge");
    }
}
