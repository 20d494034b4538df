//! Remedies of a mount: each really holds, and nothing less does.

use fusewright::engineering::OutOfRange;
use fusewright::engineering::board::Board;
use fusewright::engineering::fastener_pattern::{FastenerPattern, Position};
use fusewright::engineering::mount_check::{MountCase, MountSurface, check_mount};
use fusewright::engineering::mount_remedy::{Remedies, THICKNESS_STEP, mount_remedies};
use fusewright::engineering::thread::Thread;
use fusewright::engineering::units::*;
use fusewright::engineering::washer::{WasherSeries, washer};
use proptest::prelude::*;

use super::mount_check::{mount, rectangle, steel};
use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

fn holds(case: &MountCase) -> bool {
    check_mount(case).is_ok_and(|found| found.holds())
}

fn with_washer(case: &MountCase, outer: Option<Millimetres>) -> MountCase {
    let mut changed = case.clone();
    changed.fastening.washer = outer;
    changed
}

fn with_thickness(case: &MountCase, thickness: f64) -> MountCase {
    let mut changed = case.clone();
    changed.fastening.surface = changed.fastening.surface.with_thickness(Millimetres(thickness));
    changed
}

/// The mass stays at its place while the pattern changes around it.
fn with_fasteners(case: &MountCase, fasteners: u32) -> MountCase {
    let pattern = case.pattern.with_fasteners(fasteners).unwrap();
    let (before, after) = (case.pattern.centroid(), pattern.centroid());
    let mut changed = MountCase { pattern, ..case.clone() };
    changed.offset.along.0 += before.along.0 - after.along.0;
    changed.offset.across.0 += before.across.0 - after.across.0;
    changed
}

fn with_thread(case: &MountCase, thread: Thread, washer: Option<Millimetres>) -> MountCase {
    let mut changed = with_washer(case, washer);
    changed.fastening.thread = thread;
    changed
}

/// Mounts that often do not hold.
fn any_mount() -> impl Strategy<Value = MountCase> {
    let surface = prop_oneof![
        (0.75_f64..4.0).prop_map(steel),
        (6.0_f64..30.0).prop_map(|mm| MountSurface::Board(Board::unknown_plywood(Millimetres(mm)))),
    ];
    let thread = prop::sample::select(Thread::ALL.to_vec());
    let place = (-60.0_f64..60.0, -60.0_f64..60.0, 20.0_f64..300.0);
    (20.0_f64..250.0, surface, thread, 3_u32..9, prop::option::of(0_usize..2), place).prop_map(
        |(mass, surface, thread, count, series, (ahead, left, height))| {
            let mut case = mount();
            case.mass = Kilograms(mass);
            (case.height, case.offset) = (Millimetres(height), Position::new(ahead, left));
            case.pattern = rectangle(count, 480.0, 330.0);
            case.fastening.surface = surface;
            case.fastening.thread = thread;
            case.fastening.edge = Millimetres(60.0);
            case.fastening.washer = series
                .and_then(|series| washer(WasherSeries::ALL[series], thread))
                .map(|washer| washer.outer);
            case
        },
    )
}

/// What was found for a case that does not hold.
fn remedies(case: &MountCase) -> Remedies {
    mount_remedies(case).unwrap().unwrap()
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn a_remedy_is_named_only_where_the_mount_does_not_hold(case in any_mount()) {
        prop_assert_eq!(mount_remedies(&case).unwrap().is_none(), holds(&case));
    }

    /// Every wider washer of the three series is tried here; those narrower than the named one must
    /// not hold, and none may hold where none is named.
    #[test]
    fn the_washer_holds_and_no_narrower_one_does(case in any_mount()) {
        prop_assume!(!holds(&case));
        let thread = case.fastening.thread;
        let found = remedies(&case).washer;
        let present = case.fastening.washer.unwrap_or(thread.head_bearing_diameter());
        for series in WasherSeries::ALL {
            let Some(one) = washer(series, thread) else { continue };
            if one.outer > present && found.is_none_or(|found| one.outer < found.outer) {
                prop_assert!(!holds(&with_washer(&case, Some(one.outer))), "{one}");
            }
        }
        if let Some(found) = found {
            prop_assert!(holds(&with_washer(&case, Some(found.outer))));
            prop_assert_eq!(washer(found.series, thread), Some(found));
        }
    }

    #[test]
    fn the_thickness_holds_and_one_step_less_does_not(case in any_mount()) {
        prop_assume!(!holds(&case));
        let found = remedies(&case);
        let present = case.fastening.surface.thickness().0;
        let step = THICKNESS_STEP.0;
        let mut thickness = 0.5;
        let most = found.thickness.map_or(60.0, |found| found.0 - step);
        while thickness <= most {
            prop_assert!(thickness <= present || !holds(&with_thickness(&case, thickness)));
            thickness += step;
        }
        if let Some(found) = found.thickness {
            prop_assert!(found.0 > present && holds(&with_thickness(&case, found.0)));
        }
        let is_metal = matches!(case.fastening.surface, MountSurface::Metal(_));
        prop_assert!(is_metal || found.backing_plate.is_none());
        let mut plate = step;
        let most = found.backing_plate.map_or(60.0, |found| found.0 - step);
        while is_metal && plate <= most {
            prop_assert!(!holds(&with_thickness(&case, present + plate)), "{plate}");
            plate += step;
        }
        if let Some(found) = found.backing_plate {
            prop_assert!(holds(&with_thickness(&case, present + found.0)));
        }
    }

    #[test]
    fn the_number_holds_and_no_lesser_even_one_does(case in any_mount()) {
        prop_assume!(!holds(&case));
        let found = remedies(&case).fasteners;
        let present = u32::try_from(case.pattern.positions().len()).unwrap();
        for fasteners in (present + 1..found.unwrap_or(101)).filter(|count| count % 2 == 0) {
            prop_assert!(!holds(&with_fasteners(&case, fasteners)), "{fasteners}");
        }
        if let Some(found) = found {
            prop_assert!(found > present && holds(&with_fasteners(&case, found)));
        }
    }

    #[test]
    fn the_thread_holds_and_no_smaller_one_does(case in any_mount()) {
        prop_assume!(!holds(&case));
        let found = remedies(&case).thread;
        for thread in Thread::ALL.into_iter().filter(|thread| *thread > case.fastening.thread) {
            let normal = washer(WasherSeries::Normal, thread).unwrap().outer;
            let wider = |outer| if outer > normal { outer } else { normal };
            let outer = case.fastening.washer.map(wider);
            if found.is_none_or(|found| thread < found.thread) {
                prop_assert!(!holds(&with_thread(&case, thread, outer)), "{thread}");
            } else if found.is_some_and(|found| thread == found.thread) {
                prop_assert!(holds(&with_thread(&case, thread, outer)), "{thread}");
                prop_assert_eq!(found.unwrap().washer, outer);
            }
        }
    }
}

/// By hand: 80 kg, 3922.7 N of shear and of pull on each of four. Bearing stands 3312 N, whatever
/// the washer. Six get 2615 N of shear, but the two in the middle of their rows have no lever: Σx²
/// stays 4 × 150², the rear ones still pull with 3922.7 N, and 16 mm washers stand 3456 N.
#[test]
fn eighty_kilograms_on_one_millimetre() {
    let mut case = MountCase { mass: Kilograms(80.0), ..mount() };
    case.fastening.washer = Some(Millimetres(16.0));
    let found = remedies(&case);
    assert_eq!(found.washer, None);
    assert_eq!(found.backing_plate, Some(Millimetres(0.5)));
    assert_eq!(found.thickness, Some(Millimetres(1.5)));
    assert!(!holds(&with_fasteners(&case, 6)));
    // With 28 mm washers only the bearing is left, and six bolts share it: 2615 / 3312.
    case.fastening.washer = Some(Millimetres(28.0));
    assert_eq!(remedies(&case).fasteners, Some(6));
    let six = check_mount(&with_fasteners(&case, 6)).unwrap();
    assert_near(six.governing.utilisation, 0.7896, 0.0005);
}

/// By hand: 60 kg on four, 2942 N each: bearing 3312 N holds (0.888), pull-through of a bare head,
/// 2512 N, does not; the normal washer of 16 mm holds 3456 N.
#[test]
fn a_head_that_pulls_through_gets_a_washer() {
    let mut case = MountCase { mass: Kilograms(60.0), ..mount() };
    case.fastening.washer = None;
    let found = remedies(&case).washer.unwrap();
    assert_eq!((found.series, found.outer), (WasherSeries::Normal, Millimetres(16.0)));
}

/// By hand: 40 kg on four M4 8.8, in 3 mm plate: 1961 N each, shear 0.6 × 800 × 8.78 / 1.25 =
/// 3371 N, tension 5057 N: 0.582 + 0.277 hold; 60 kg do not (1.288), and M5 does: 0.6 × 800 × 14.18
/// / 1.25 = 5446 N, 0.540 + 0.257.
#[test]
fn a_bolt_that_gives_gets_a_larger_thread() {
    let mut case = MountCase { mass: Kilograms(60.0), ..mount() };
    case.fastening.thread = Thread::M4;
    case.fastening.surface = steel(3.0);
    case.fastening.washer = Some(Millimetres(9.0));
    let found = remedies(&case).thread.unwrap();
    assert_eq!(found.thread, Thread::M5);
    // The 9 mm washer of M4 is narrower than the normal one of M5.
    assert_eq!(found.washer, Some(Millimetres(10.0)));
}

/// Places that were given one by one have no rectangle to put more on; a plate is no remedy of a
/// board.
#[test]
fn some_mounts_have_no_remedy_of_a_kind() {
    let mut case = MountCase { mass: Kilograms(80.0), ..mount() };
    case.pattern = FastenerPattern::at(case.pattern.positions().to_vec()).unwrap();
    assert_eq!(remedies(&case).fasteners, None);
    // 40 kg on plywood, 1961.3 N each: embedment of 12 mm stands 1076 N, so 1961.3 / 1076.1 × 12 =
    // 21.9 mm are needed; the 25 mm washer stands 2218 N.
    case.mass = Kilograms(40.0);
    case.fastening.surface = MountSurface::Board(Board::unknown_plywood(Millimetres(12.0)));
    case.fastening.edge = Millimetres(60.0);
    assert_eq!(remedies(&case).backing_plate, None);
    assert_eq!(remedies(&case).thickness, Some(Millimetres(22.0)));
}

/// A load that nothing here holds gets no remedy, rather than a bold one.
#[test]
fn a_hopeless_mount_gets_no_remedy() {
    let found = remedies(&MountCase { mass: Kilograms(5000.0), ..mount() });
    assert_eq!(
        (found.washer, found.thickness, found.backing_plate, found.thread),
        (None, None, None, None)
    );
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        let found: Result<_, OutOfRange> =
            mount_remedies(&MountCase { mass: Kilograms(wrong), ..mount() });
        assert_refused(found, "mass");
    }
}
