//! EN 1995-1-1: boards under washers and around bolts (formulas from memory).

use fusewright::engineering::board::{
    Board, BoardBolt, board_punching_resistance, embedment_resistance, embedment_strength,
    washer_pressure_resistance,
};
use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::units::*;

use super::{assert_near, assert_within_percent};

/// A board without factors, so that characteristic values stand alone.
fn plain(board: Board) -> Board {
    Board { duration_factor: 1.0, material_factor: 1.0, ..board }
}

/// 8.5.2(2) as a public worked example has it (seen): 3 · fc,90,k · π/4 · (dw² − (d + 1 mm)²). C24,
/// fc,90,k 2.5 N/mm², M12 under 3 × d: 3 × 2.5 × 0.785 398 × (36² − 13²) = 6 639 N (computed).
#[test]
fn pressure_under_a_washer_is_three_times_the_strength_across_the_grain() {
    let board = plain(Board::unknown_plywood(Millimetres(18.0)));
    let pressed = washer_pressure_resistance(&board, Thread::M12, Millimetres(36.0)).unwrap();
    assert_near(pressed.0, 6638.6, 0.1);
}

/// Eq. (8.36), ρk 400 kg/m³ (computed): M6 41.36, M8 40.48, M10 39.60, M12 38.72 N/mm².
#[test]
fn embedment_of_bolts_in_plywood() {
    let board = Board::unknown_plywood(Millimetres(18.0));
    for (thread, printed) in
        [(Thread::M6, 41.36), (Thread::M8, 40.48), (Thread::M10, 39.60), (Thread::M12, 38.72)]
    {
        assert_near(embedment_strength(&board, thread).unwrap().0, printed, 1e-9);
    }
}

/// Eq. (8.9) (computed): M8 8.8 in 12 mm, (a) 0.4 × 40.48 × 12 × 8 = 1 554.4 N; in 60 mm (a) would
/// be 7 772 N and (b) governs, 1.15 × √(2 × 0.3 × 800 × 8^2.6 × 40.48 × 8) = 6 764 N.
#[test]
fn shear_is_crushing_in_a_thin_board_and_a_hinge_in_a_thick_one() {
    let shear = |thickness| {
        let board = plain(Board::unknown_plywood(Millimetres(thickness)));
        let (thread, property_class) = (Thread::M8, PropertyClass::Steel8_8);
        let bolt = BoardBolt { thread, property_class, edge: Millimetres(80.0) };
        embedment_resistance(&board, &bolt).unwrap().0
    };
    assert_near(shear(12.0), 1554.4, 0.1);
    assert_within_percent(shear(60.0), 6764.0, 0.1);
}

/// Table 3.1, short term, service classes 1 and 2: kmod 0.9; table 2.3, joints: γM 1.3 (from
/// memory): 0.692 of every characteristic value may be used.
#[test]
fn factors_of_a_board_that_nobody_knows() {
    let board = Board::unknown_plywood(Millimetres(12.0));
    let washer = Millimetres(28.0);
    let punched = |board: &Board| board_punching_resistance(board, washer).unwrap().0;
    assert_near(punched(&board) / punched(&plain(board)), 0.9 / 1.3, 1e-12);
    // π × 28 × 12 × 3.5 = 3 694.5 N, by hand.
    assert_near(punched(&plain(board)), 3694.5, 0.1);
}
