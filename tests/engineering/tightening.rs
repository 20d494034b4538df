//! Threads by name, and the quick torque there and back.

use fusewright::engineering::thread::{PropertyClass, Thread, breaking_load, proof_load};
use fusewright::engineering::tightening::{proof_utilisation, quick_preload, quick_torque};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn preload_and_torque_come_back(
        factor in 0.05_f64..0.50,
        diameter in 3.0_f64..12.0,
        preload in 1.0_f64..90_000.0,
    ) {
        let diameter = Millimetres(diameter);
        let torque = quick_torque(factor, diameter, Newtons(preload)).unwrap();
        let back = quick_preload(factor, diameter, torque).unwrap();
        prop_assert!((back.0 - preload).abs() <= preload * 1e-9);
    }
}

#[test]
fn a_thread_is_read_with_and_without_its_pitch() {
    for thread in Thread::ALL {
        assert_eq!(Thread::parse(thread.label()).unwrap(), thread);
        let full = format!("{} × {}", thread.label(), thread.pitch().0);
        assert_eq!(Thread::parse(&full).unwrap(), thread, "{full}");
    }
    assert_eq!(Thread::parse("m8x1.25").unwrap(), Thread::M8);
    for wrong in ["", "M7", "M8 x 1", "8", "M"] {
        assert_refused(Thread::parse(wrong), "thread");
    }
}

#[test]
fn a_property_class_is_read_as_stamped() {
    for class in PropertyClass::ALL {
        assert_eq!(PropertyClass::parse(class.label()).unwrap(), class);
    }
    assert_eq!(PropertyClass::parse(" a2-70 ").unwrap(), PropertyClass::A2_70);
    for wrong in ["", "8,8", "12.9", "A2"] {
        assert_refused(PropertyClass::parse(wrong), "property class");
    }
}

#[test]
fn a_larger_thread_stands_more_and_breaks_after_it_sets() {
    for class in PropertyClass::ALL {
        for pair in Thread::ALL.windows(2) {
            assert!(proof_load(pair[0], class) < proof_load(pair[1], class), "{}", pair[1]);
            assert!(breaking_load(pair[0], class) < breaking_load(pair[1], class), "{}", pair[1]);
        }
        for thread in Thread::ALL {
            assert!(proof_load(thread, class) < breaking_load(thread, class), "{thread} {class}");
        }
    }
}

#[test]
fn nonsense_is_refused() {
    let (eight, force) = (Millimetres(8.0), Newtons(1.0));
    for wrong in NONSENSE {
        assert_refused(quick_torque(wrong, eight, force), "nut factor");
        assert_refused(quick_torque(0.2, Millimetres(wrong), force), "thread diameter");
        assert_refused(quick_torque(0.2, eight, Newtons(wrong)), "preload");
        assert_refused(quick_preload(0.2, eight, NewtonMetres(wrong)), "torque");
        let used = proof_utilisation(Newtons(wrong), Thread::M8, PropertyClass::Steel8_8);
        assert_refused(used, "preload");
    }
    // 20 for 0.20, the slip that would hide a hundredfold preload.
    assert_refused(quick_preload(20.0, eight, NewtonMetres(24.0)), "nut factor");
}
