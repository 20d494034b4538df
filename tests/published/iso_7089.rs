//! ISO 7089, ISO 7093-1 and ISO 7094: plain washers.

use fusewright::engineering::thread::Thread;
use fusewright::engineering::units::Millimetres;
use fusewright::engineering::washer::{WasherSeries, washer};

use super::assert_near;

/// Inner diameter, outer diameter, thickness [mm].
type Printed = Option<(f64, f64, f64)>;

/// Thread, then ISO 7089, ISO 7093-1 and ISO 7094. From memory; outer diameters of all three and
/// every figure of ISO 7089 and ISO 7094 seen in open fastener data. M3 of ISO 7093-1 from memory.
const PRINTED: [(&str, [Printed; 3]); 7] = [
    ("M3", [Some((3.2, 7.0, 0.5)), Some((3.2, 9.0, 0.8)), None]),
    ("M4", [Some((4.3, 9.0, 0.8)), Some((4.3, 12.0, 1.0)), None]),
    ("M5", [Some((5.3, 10.0, 1.0)), Some((5.3, 15.0, 1.0)), Some((5.5, 18.0, 2.0))]),
    ("M6", [Some((6.4, 12.0, 1.6)), Some((6.4, 18.0, 1.6)), Some((6.6, 22.0, 2.0))]),
    ("M8", [Some((8.4, 16.0, 1.6)), Some((8.4, 24.0, 2.0)), Some((9.0, 28.0, 3.0))]),
    ("M10", [Some((10.5, 20.0, 2.0)), Some((10.5, 30.0, 2.5)), Some((11.0, 34.0, 3.0))]),
    ("M12", [Some((13.0, 24.0, 2.5)), Some((13.0, 37.0, 3.0)), Some((13.5, 44.0, 4.0))]),
];

/// Highest thickness of ISO 7089 and of ISO 7093-1, M4 to M12 (seen in open fastener data) [mm]. M5
/// of ISO 7093-1 has 1.4, which fits a nominal 1.2 better than 1: the sources disagree.
const HIGHEST: [(Thread, f64, f64); 6] = [
    (Thread::M4, 0.9, 1.1),
    (Thread::M5, 1.1, 1.4),
    (Thread::M6, 1.8, 1.8),
    (Thread::M8, 1.8, 2.2),
    (Thread::M10, 2.2, 2.7),
    (Thread::M12, 2.7, 3.3),
];

#[test]
fn every_washer_has_the_printed_sizes() {
    assert_eq!(Thread::ALL.map(Thread::label), PRINTED.map(|(label, _)| label));
    for (label, of_series) in PRINTED {
        let thread = Thread::parse(label).unwrap();
        for (series, printed) in WasherSeries::ALL.into_iter().zip(of_series) {
            let found = washer(series, thread);
            assert_eq!(found.is_some(), printed.is_some(), "{series} {thread}");
            if let (Some(found), Some((inner, outer, thickness))) = (found, printed) {
                assert_eq!(found.inner, Millimetres(inner), "{series} {thread}");
                assert_eq!(found.outer, Millimetres(outer), "{series} {thread}");
                assert_eq!(found.thickness, Millimetres(thickness), "{series} {thread}");
                assert_eq!((found.series, found.thread), (series, thread));
            }
        }
    }
}

#[test]
fn nominal_thickness_lies_just_below_the_highest() {
    for (thread, normal, large) in HIGHEST {
        let thickness = |series| washer(series, thread).unwrap().thickness.0;
        assert_near(thickness(WasherSeries::Normal), normal - 0.15, 0.051);
        assert_near(thickness(WasherSeries::Large), large - 0.25, 0.151);
    }
}
