//! ISO 898-1:2013 and ISO 724: bolts of steel.

use fusewright::engineering::thread::{PropertyClass, Thread, breaking_load, proof_load};
use fusewright::engineering::units::*;

use super::{assert_near, assert_within_percent};

/// Thread, pitch, pitch diameter, minor diameter [mm], stress area [mm²] (ISO 724, computed; areas
/// seen), then proof and breaking load of 8.8 and of 10.9 [N] (tables 4 and 5, seen in three
/// agreeing copies; one of them misprints the breaking load of M4 10.9 as 91 130).
#[expect(clippy::approx_constant, reason = "3.141 is a printed diameter, not π")]
const PRINTED: [(&str, [f64; 4], [f64; 4]); 7] = [
    ("M3", [0.5, 2.675, 2.387, 5.03], [2920.0, 4020.0, 4180.0, 5230.0]),
    ("M4", [0.7, 3.545, 3.141, 8.78], [5100.0, 7020.0, 7290.0, 9130.0]),
    ("M5", [0.8, 4.480, 4.019, 14.2], [8230.0, 11_350.0, 11_800.0, 14_800.0]),
    ("M6", [1.0, 5.350, 4.773, 20.1], [11_600.0, 16_100.0, 16_700.0, 20_900.0]),
    ("M8", [1.25, 7.188, 6.466, 36.6], [21_200.0, 29_200.0, 30_400.0, 38_100.0]),
    ("M10", [1.5, 9.026, 8.160, 58.0], [33_700.0, 46_400.0, 48_100.0, 60_300.0]),
    ("M12", [1.75, 10.863, 9.853, 84.3], [48_900.0, 67_400.0, 70_000.0, 87_700.0]),
];

#[test]
fn every_thread_has_the_printed_geometry() {
    assert_eq!(Thread::ALL.map(Thread::label), PRINTED.map(|(label, ..)| label));
    for (label, [pitch, pitch_diameter, minor_diameter, area], _) in PRINTED {
        let thread = Thread::parse(label).unwrap();
        assert_eq!(thread.pitch(), Millimetres(pitch));
        assert_near(thread.pitch_diameter().0, pitch_diameter, 0.0006);
        assert_near(thread.minor_diameter().0, minor_diameter, 0.0006);
        assert_within_percent(thread.stress_area().0, area, 0.35);
    }
}

/// ISO 68-1 (from memory): the triangle of the thread is H = √3/2 · P high; the pitch diameter lies
/// 3/4 H, the minor diameter of the bolt 17/12 H inside the nominal one.
#[test]
fn diameters_follow_from_the_triangle_of_the_thread() {
    for thread in Thread::ALL {
        let height = 3.0_f64.sqrt() / 2.0 * thread.pitch().0;
        let inside = |diameter: Millimetres| thread.diameter().0 - diameter.0;
        assert_near(inside(thread.pitch_diameter()), 3.0 / 4.0 * height, 2e-6);
        assert_near(inside(thread.minor_diameter()), 17.0 / 12.0 * height, 2e-6);
    }
}

/// The other printed form of the stress area: 0.7854 · (d − 0.9382 · P)² (from memory).
#[test]
#[expect(clippy::approx_constant, reason = "0.7854 is the factor as it is printed")]
fn the_two_printed_forms_of_the_stress_area_agree() {
    for thread in Thread::ALL {
        let other = 0.785_4 * (thread.diameter().0 - 0.938_2 * thread.pitch().0).powi(2);
        assert_within_percent(thread.stress_area().0, other, 0.01);
    }
}

#[test]
fn every_bolt_has_the_printed_loads() {
    for (label, _, [proof_8_8, break_8_8, proof_10_9, break_10_9]) in PRINTED {
        let thread = Thread::parse(label).unwrap();
        assert_eq!(proof_load(thread, PropertyClass::Steel8_8), Newtons(proof_8_8));
        assert_eq!(breaking_load(thread, PropertyClass::Steel8_8), Newtons(break_8_8));
        assert_eq!(proof_load(thread, PropertyClass::Steel10_9), Newtons(proof_10_9));
        assert_eq!(breaking_load(thread, PropertyClass::Steel10_9), Newtons(break_10_9));
    }
}

/// Stress area times stress gives every printed load within 0.65 %; a slipped digit leaves that
/// band. The stresses are from memory: 8.8 580 and 800 N/mm², 10.9 830 and 1 040 N/mm².
#[test]
fn every_load_is_stress_area_times_stress() {
    for thread in Thread::ALL {
        let area = thread.stress_area().0;
        for (class, proof, tensile) in
            [(PropertyClass::Steel8_8, 580.0, 800.0), (PropertyClass::Steel10_9, 830.0, 1040.0)]
        {
            assert_within_percent(proof_load(thread, class).0, area * proof, 0.65);
            assert_within_percent(breaking_load(thread, class).0, area * tensile, 0.65);
            assert_eq!(class.proof_stress(), Megapascals(proof));
            assert_eq!(class.tensile_strength(), Megapascals(tensile));
        }
    }
}

/// Rp0.2 of 8.8 is 640 N/mm², of 10.9 940 N/mm² (from memory); the name "10.9" suggests 900.
#[test]
fn yield_strengths_of_the_classes() {
    assert_eq!(PropertyClass::Steel8_8.yield_strength(), Megapascals(640.0));
    assert_eq!(PropertyClass::Steel10_9.yield_strength(), Megapascals(940.0));
}

/// Golden case G10 (seen): M8 8.8 and 10.9.
#[test]
fn m8_in_both_classes() {
    assert_within_percent(Thread::M8.stress_area().0, 36.6, 0.5);
    let loads = |class| (proof_load(Thread::M8, class), breaking_load(Thread::M8, class));
    assert_eq!(loads(PropertyClass::Steel8_8), (Newtons(21_200.0), Newtons(29_200.0)));
    assert_eq!(loads(PropertyClass::Steel10_9), (Newtons(30_400.0), Newtons(38_100.0)));
}
