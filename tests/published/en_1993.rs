//! EN 1993: bolts (1-8, table 3.4, seen in public summaries) and thin sheet (1-3, from memory).

use fusewright::engineering::bolt_resistance::{
    FastenerLoads, bolt_utilisation, shear_resistance, tension_resistance,
};
use fusewright::engineering::sheet_metal::{
    ALUMINIUM_TENSILE, MILD_STEEL_TENSILE, Sheet, bearing_resistance, pull_through_resistance,
    punching_resistance, repeated_pull_through_resistance, screw_pull_out_resistance,
};
use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::units::*;

use super::{assert_near, assert_within_percent};

/// 1.0 mm of 270 N/mm², the sheet of the worked values.
const BODY_SHEET: Sheet = Sheet { thickness: Millimetres(1.0), tensile: Megapascals(270.0) };

/// Worked (computed): M6 8.8 7.72 and 11.58 kN, M8 8.8 14.05 and 21.08 kN.
#[test]
fn shear_and_tension_of_8_8_bolts() {
    for (thread, shear, tension) in
        [(Thread::M6, 7720.0, 11_580.0), (Thread::M8, 14_050.0, 21_080.0)]
    {
        assert_within_percent(shear_resistance(thread, PropertyClass::Steel8_8).0, shear, 0.1);
        assert_within_percent(tension_resistance(thread, PropertyClass::Steel8_8).0, tension, 0.1);
    }
}

/// A steelmaker's public list for M12 10.9 prints 28.7 kN of shear, after a factor of 0.85 that it
/// puts on M12 in wide holes (seen). Tension, by hand: 0.9 × 1000 × 84.3 / 1.25 = 60.7 kN
/// (computed).
#[test]
fn shear_of_10_9_takes_half_of_the_nominal_strength() {
    let shear = shear_resistance(Thread::M12, PropertyClass::Steel10_9).0;
    assert_within_percent(shear * 0.85, 28_700.0, 0.3);
    assert_within_percent(
        tension_resistance(Thread::M12, PropertyClass::Steel10_9).0,
        60_700.0,
        0.1,
    );
}

/// Stainless through the thread: 0.5 (EN 1993-1-4, from memory). M8 A2-70: 0.5 × 700 × 36.6 / 1.25
/// = 10.25 kN (computed).
#[test]
fn shear_of_stainless_takes_half_of_the_strength() {
    assert_within_percent(shear_resistance(Thread::M8, PropertyClass::A2_70).0, 10_250.0, 0.1);
}

/// Worked (computed): 1 226 N of shear and of tension on M6 8.8 use 0.235 of it.
#[test]
fn shear_and_tension_together() {
    let loads = FastenerLoads { shear: Newtons(1226.0), tension: Newtons(1226.0) };
    let used = bolt_utilisation(loads, Thread::M6, PropertyClass::Steel8_8).unwrap();
    assert_near(used, 0.235, 0.001);
}

/// Tension alone is held against its whole resistance, not against 1.4 times it.
#[test]
fn tension_alone_has_no_bonus() {
    let full = tension_resistance(Thread::M8, PropertyClass::Steel8_8);
    let loads = FastenerLoads { shear: Newtons(0.0), tension: full };
    let used = bolt_utilisation(loads, Thread::M8, PropertyClass::Steel8_8).unwrap();
    assert_near(used, 1.0, 1e-12);
}

/// Golden case G13 (b): table 8.4, d 8, t 1.0, e1 20, fu 270 (from memory, computed): 3.31 kN.
#[test]
fn bearing_of_m8_in_thin_sheet() {
    let bearing = bearing_resistance(BODY_SHEET, Thread::M8, Millimetres(20.0)).unwrap();
    assert_within_percent(bearing.0, 3310.0, 0.5);
}

/// Table 8.4, by hand: at 30 mm from the edge αb is 1, so 2.5 × 0.92 × 270 × 8 / 1.25 = 3 974 N; at
/// 1.5 mm kt is 1, so 2.5 × 270 × 8 × 1.5 / 1.25 = 6 480 N (computed).
#[test]
fn bearing_away_from_the_edge_and_in_thicker_sheet() {
    let far = Millimetres(30.0);
    let bearing = |thickness| {
        let sheet = Sheet { thickness: Millimetres(thickness), ..BODY_SHEET };
        bearing_resistance(sheet, Thread::M8, far).unwrap().0
    };
    assert_near(bearing(1.0), 3974.4, 0.1);
    assert_near(bearing(1.5), 6480.0, 0.1);
}

/// 1-8, table 3.4, from 3 mm on: αb = e1 / (3 · d0) with a 9 mm hole: 20 / 27 × 2.5 × 270 × 8 × 4 /
/// 1.25 = 12 800 N (computed).
#[test]
fn bearing_in_plate_counts_the_hole() {
    let plate = Sheet { thickness: Millimetres(4.0), ..BODY_SHEET };
    let bearing = bearing_resistance(plate, Thread::M8, Millimetres(20.0)).unwrap();
    assert_near(bearing.0, 12_800.0, 0.1);
}

/// Worked (computed): M8 hexagon, dm = (13 + 14.38) / 2 = 13.69 mm, 5.57 kN.
#[test]
fn punching_of_an_m8_head() {
    assert_near(Thread::M8.head_mean_diameter().0, 13.69, 1e-9);
    let punching = punching_resistance(BODY_SHEET, Thread::M8.head_mean_diameter()).unwrap();
    assert_within_percent(punching.0, 5570.0, 0.1);
}

/// Worked (computed): 16 mm washer, static screw form: 3.46 kN.
#[test]
fn pull_through_of_a_16_millimetre_washer() {
    let pull_through = pull_through_resistance(BODY_SHEET, Millimetres(16.0)).unwrap();
    assert_within_percent(pull_through.0, 3460.0, 0.2);
}

/// Table 8.2, repeated load (seen in a fragment): half of the static form, 1.73 kN (computed).
#[test]
fn pull_through_under_repeated_load_is_half() {
    let repeated = repeated_pull_through_resistance(BODY_SHEET, Millimetres(16.0)).unwrap();
    assert_within_percent(repeated.0, 1728.0, 0.01);
}

/// Table 8.2, pull-out of screws: 0.65 from a thickness of one pitch on (seen in a fragment), 0.45
/// below (from memory). 6.3 mm screw, pitch 1.8 mm, 270 N/mm²: 1.8 mm 1 592 N, 1.79 mm 1 096 N
/// (computed).
#[test]
fn pull_out_of_a_screw_steps_at_one_pitch() {
    let out = |thickness| {
        let sheet = Sheet { thickness: Millimetres(thickness), ..BODY_SHEET };
        screw_pull_out_resistance(sheet, Millimetres(6.3), Millimetres(1.8)).unwrap().0
    };
    assert_near(out(1.8), 1592.1, 0.1);
    assert_near(out(1.79), 1096.1, 0.1);
}

/// Smallest bearing diameters of hexagon heads, ISO 4014 and ISO 4017 (from memory).
#[test]
fn bearing_diameters_of_hexagon_heads() {
    let printed = [
        (Thread::M5, 6.88),
        (Thread::M6, 8.88),
        (Thread::M8, 11.63),
        (Thread::M10, 14.63),
        (Thread::M12, 16.63),
    ];
    for (thread, diameter) in printed {
        assert_eq!(thread.head_bearing_diameter(), Millimetres(diameter));
    }
}

/// Clearance holes, ISO 273, medium (from memory).
#[test]
fn clearance_holes_of_the_medium_series() {
    let printed = [
        (Thread::M5, 5.5),
        (Thread::M6, 6.6),
        (Thread::M8, 9.0),
        (Thread::M10, 11.0),
        (Thread::M12, 13.5),
    ];
    for (thread, hole) in printed {
        assert_eq!(thread.clearance_hole(), Millimetres(hole));
    }
}

/// EN 10130, DC01: Rm at least 270 N/mm²; EN 485-2, 5754 soft: at least 190 N/mm² (from memory).
#[test]
fn body_sheet_is_taken_at_its_lowest_strength() {
    assert_eq!(MILD_STEEL_TENSILE, Megapascals(270.0));
    assert_eq!(ALUMINIUM_TENSILE, Megapascals(190.0));
}
