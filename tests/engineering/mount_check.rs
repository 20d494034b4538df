//! A mount as a whole: the worst fastener in the worst direction counts for each mode.

use fusewright::engineering::Sureness;
use fusewright::engineering::board::Board;
use fusewright::engineering::bolt_resistance::bolt_utilisation;
use fusewright::engineering::fastener_pattern::{FastenerPattern, Position};
use fusewright::engineering::laminate::Laminate;
use fusewright::engineering::mount_check::{
    Direction, Fastening, MountCase, MountCheck, MountMode, MountSurface, UPWARD_G_OF_EN_1789,
    check_mount,
};
use fusewright::engineering::mounting::RestraintClass;
use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet};
use fusewright::engineering::thread::{PropertyClass, Thread};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

pub(crate) fn rectangle(fasteners: u32, length: f64, width: f64) -> FastenerPattern {
    FastenerPattern::rectangle(fasteners, Millimetres(length), Millimetres(width)).unwrap()
}

pub(crate) fn steel(thickness: f64) -> MountSurface {
    MountSurface::Metal(Sheet { thickness: Millimetres(thickness), tensile: MILD_STEEL_TENSILE })
}

/// 25 kg in a van on four M8 8.8, 25 mm washers, 1.0 mm sheet, 20 mm from the edge.
pub(crate) fn mount() -> MountCase {
    MountCase {
        mass: Kilograms(25.0),
        class: RestraintClass::M1N1,
        upward_g: None,
        height: Millimetres(150.0),
        offset: Position::default(),
        pattern: rectangle(4, 300.0, 300.0),
        fastening: Fastening {
            thread: Thread::M8,
            property_class: PropertyClass::Steel8_8,
            surface: steel(1.0),
            washer: Some(Millimetres(25.0)),
            edge: Millimetres(20.0),
        },
    }
}

/// The same mount with another fastening.
fn with(change: impl FnOnce(&mut Fastening)) -> MountCase {
    let mut case = mount();
    change(&mut case.fastening);
    case
}

fn used(found: &MountCheck, mode: MountMode) -> f64 {
    found.modes.iter().find(|used| used.mode == mode).unwrap().utilisation
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn more_mass_never_lightens_a_mount(mass in 1.0_f64..100.0, more in 0.0_f64..50.0) {
        let used = |kilograms| {
            let heavier = MountCase { mass: Kilograms(kilograms), ..mount() };
            check_mount(&heavier).unwrap().governing.utilisation
        };
        prop_assert!(used(mass + more) >= used(mass));
    }

    /// A wider washer, thicker sheet below the plate rule, and a wider pattern never use more.
    #[test]
    fn more_of_anything_never_uses_more(
        washer in 16.0_f64..28.0,
        thickness in 0.75_f64..2.4,
        length in 120.0_f64..600.0,
        more in 0.0_f64..0.5,
    ) {
        let used = |washer: f64, thickness: f64, length: f64| {
            let mut case = with(|fastening| {
                fastening.washer = Some(Millimetres(washer));
                fastening.surface = steel(thickness);
            });
            case.pattern = rectangle(4, length, 300.0);
            check_mount(&case).unwrap().governing.utilisation
        };
        let least = used(washer, thickness, length) * (1.0 + 1e-12);
        prop_assert!(used(washer + more, thickness, length) <= least);
        prop_assert!(used(washer, thickness + more, length) <= least);
        prop_assert!(used(washer, thickness, length + 100.0 * more) <= least);
    }

    /// Every mode is the largest over fasteners and directions, and the governing one the largest
    /// of all; the bolt is worked out a second time here.
    #[test]
    fn nothing_is_worse_than_what_is_named(
        forward in 0.5_f64..2.0,
        ahead in -80.0_f64..80.0,
        left in -80.0_f64..80.0,
        count in 3_u32..13,
    ) {
        let case = MountCase {
            class: RestraintClass::Own { forward_g: 10.0 * forward, side_g: 10.0 },
            upward_g: Some(UPWARD_G_OF_EN_1789),
            offset: Position::new(ahead, left),
            pattern: rectangle(count, 480.0, 330.0),
            ..mount()
        };
        let found = check_mount(&case).unwrap();
        let bolt = found.modes.iter().find(|used| used.mode == MountMode::Bolt).unwrap();
        let mut worst = 0.0_f64;
        for loads in &found.directions {
            for (fastener, force) in loads.fasteners.iter().enumerate() {
                let Fastening { thread, property_class, .. } = case.fastening;
                let used = bolt_utilisation(force.loads(), thread, property_class).unwrap();
                worst = worst.max(used);
                if (fastener, loads.direction) == (bolt.fastener, bolt.direction) {
                    prop_assert!((used - bolt.utilisation).abs() < 1e-12);
                }
            }
        }
        prop_assert!((worst - bolt.utilisation).abs() < 1e-12);
        let highest = found.governing.utilisation;
        prop_assert!(found.modes.iter().all(|used| used.utilisation <= highest));
    }
}

/// By hand for the side force of 1 961 N: 490.3 N of shear; across only 100 mm its moment pulls
/// 1961 × 150 / 100 / 2 = 1471 N on each bolt of the side row, more than the 1226 N of the forward
/// force.
#[test]
fn the_worse_direction_counts_for_each_mode() {
    let found = check_mount(&MountCase { pattern: rectangle(4, 300.0, 100.0), ..mount() }).unwrap();
    let [forward, rearward, left, right] = &found.directions[..] else { panic!("four directions") };
    assert_near(forward.fasteners[0].loads().tension.0, 1225.8, 0.1);
    assert_near(rearward.fasteners[1].loads().tension.0, 1225.8, 0.1);
    assert_near(left.fasteners[0].loads().shear.0, 490.3, 0.1);
    assert_near(left.fasteners[0].loads().tension.0, 1471.0, 0.1);
    assert_near(right.fasteners[2].loads().tension.0, 1471.0, 0.1);
    // Bearing from the forward force, 1225.8 / 3312; pull-through from the side force, 1471 / 5400.
    assert_near(used(&found, MountMode::Bearing), 0.3701, 0.0001);
    assert_near(used(&found, MountMode::PullThrough), 0.2724, 0.0001);
    assert!(used(&found, MountMode::Punching) < used(&found, MountMode::PullThrough));
    assert_eq!(found.governing.mode, MountMode::Bearing);
    let pulled = found.modes.iter().find(|used| used.mode == MountMode::PullThrough).unwrap();
    assert!(matches!(pulled.direction, Direction::Left | Direction::Right));
    let largest = found.largest_loads();
    assert_near(largest.shear.0, 1225.8, 0.1);
    assert_near(largest.tension.0, 1471.0, 0.1);
}

/// By hand: the centre of mass 75 mm to the left twists the forward force: 4903 × 75 / (4 × 2 ×
/// 150²) = 2.043 N per mm, 306.5 N each way: the left pair gets 1225.8 + 306.5 along and 306.5
/// across, 1562.7 N, which over 3312 N is 0.4718.
#[test]
fn a_load_to_one_side_governs_by_its_fastener() {
    let found = check_mount(&MountCase { offset: Position::new(0.0, 75.0), ..mount() }).unwrap();
    assert_eq!(found.governing.mode, MountMode::Bearing);
    assert_near(found.governing.utilisation, 0.4718, 0.0002);
    // Numbers 2 and 3 stand on the left.
    assert!(found.governing.fastener >= 2, "{:?}", found.governing);
}

/// By hand: 10 g up on 25 kg is 2452 N, 612.9 N a bolt: it counts only where it is asked for.
#[test]
fn the_upward_force_counts_where_it_is_asked_for() {
    let flat = MountCase {
        class: RestraintClass::Own { forward_g: 1.0, side_g: 1.0 },
        height: Millimetres(0.0),
        ..mount()
    };
    let found = check_mount(&flat).unwrap();
    assert_eq!(found.directions.len(), 4);
    assert_near(found.largest_loads().tension.0, 0.0, 1e-12);
    let found = check_mount(&MountCase { upward_g: Some(UPWARD_G_OF_EN_1789), ..flat }).unwrap();
    assert_near(found.largest_loads().tension.0, 612.9, 0.1);
    assert_eq!(found.governing.mode, MountMode::PullThrough);
    assert_eq!(found.governing.direction, Direction::Upward);
    // 612.9 / 5400.
    assert_near(found.governing.utilisation, 0.1135, 0.0001);
}

/// By hand: without a washer the 11.63 mm face of the head pulls through at 2512 N: 1226 / 2512 =
/// 0.488.
#[test]
fn without_a_washer_pull_through_governs() {
    let found = check_mount(&with(|fastening| fastening.washer = None)).unwrap();
    assert_eq!(found.governing.mode, MountMode::PullThrough);
    assert_near(found.governing.utilisation, 0.488, 0.0005);
    // And punching counts the head's mean diameter: 1226 / 5574 = 0.220.
    assert_near(used(&found, MountMode::Punching), 0.220, 0.0005);
}

/// The bolt governs in thick plate: by hand M3 8.8, shear resistance 0.6 × 800 × 5.03 / 1.25 =
/// 1932 N, tension 2898 N: 1226 / 1932 + 1226 / (1.4 × 2898) = 0.937.
#[test]
fn in_thick_plate_the_bolt_governs() {
    let plate = with(|fastening| {
        (fastening.thread, fastening.surface) = (Thread::M3, steel(10.0));
    });
    let found = check_mount(&plate).unwrap();
    assert_eq!(found.governing.mode, MountMode::Bolt);
    assert_near(found.governing.utilisation, 0.937, 0.002);
    assert!(found.holds());
}

#[test]
fn a_mount_holds_up_to_one_and_not_beyond() {
    // 25 kg use 0.3701 of the bearing, so 67.5 kg just hold and 67.7 kg do not.
    let with = |mass| check_mount(&MountCase { mass: Kilograms(mass), ..mount() }).unwrap();
    assert!(with(67.5).holds());
    assert!(!with(67.7).holds());
}

/// By hand, 18 mm of unknown plywood, M8, 28 mm washers: embedment 0.4 × 40.48 × 18 × 8 × 0.6923 =
/// 1614.2 N, so 1225.8 N use 0.759; washer pressure 2867.2 N, 0.4275; punching 3836.6 N, 0.3195.
#[test]
fn a_board_has_its_own_modes() {
    let board = with(|fastening| {
        fastening.surface = MountSurface::Board(Board::unknown_plywood(Millimetres(18.0)));
        fastening.washer = Some(Millimetres(28.0));
        fastening.edge = Millimetres(40.0);
    });
    let found = check_mount(&board).unwrap();
    assert_near(used(&found, MountMode::Embedment), 0.7594, 0.0002);
    assert_near(used(&found, MountMode::WasherPressure), 0.4275, 0.0002);
    assert_near(used(&found, MountMode::BoardPunching), 0.3195, 0.0002);
    assert_eq!(found.governing.mode, MountMode::Embedment);
    assert_eq!(found.modes.len(), 4);
}

/// By hand, 10 mm of unknown laminate: bearing 80 × 8 × 10 / 3 = 2133 N, 0.5746; punching
/// π × 28 × 10 × 8 / 3 = 2345.7 N, 0.5226.
#[test]
fn a_laminate_has_its_own_modes() {
    let laminate = with(|fastening| {
        fastening.surface = MountSurface::Laminate(Laminate::unknown_glass(Millimetres(10.0)));
        fastening.washer = Some(Millimetres(28.0));
        fastening.edge = Millimetres(40.0);
    });
    let found = check_mount(&laminate).unwrap();
    assert_near(used(&found, MountMode::LaminateBearing), 0.5746, 0.0002);
    assert_near(used(&found, MountMode::LaminatePunching), 0.5226, 0.0002);
    assert_eq!(found.modes.len(), 3);
}

/// By hand: neighbours 22.1 mm apart amount to an edge of 22.1 − 0.75 × 9 = 15.35 mm for M8.
#[test]
fn a_near_neighbour_counts_like_an_edge() {
    let bearing = |spacing: f64, edge: f64| {
        let mut case = with(|fastening| {
            fastening.washer = Some(Millimetres(16.0));
            fastening.edge = Millimetres(edge);
        });
        case.pattern = rectangle(4, 300.0, spacing);
        used(&check_mount(&case).unwrap(), MountMode::Bearing)
    };
    assert_near(bearing(22.1, 40.0), bearing(300.0, 15.35), 1e-9);
    assert_near(bearing(300.0, 20.0), bearing(200.0, 20.0), 1e-9);
}

/// 2.2 holes of 9 mm are 19.8 mm; and washers must not lie on each other.
#[test]
fn fasteners_too_close_are_refused() {
    let spacing = "distance between the fasteners";
    let apart = |millimetres, washer| {
        let mut case = with(|fastening| fastening.washer = Some(Millimetres(washer)));
        case.pattern = rectangle(4, 300.0, millimetres);
        check_mount(&case)
    };
    assert!(apart(19.81, 16.0).is_ok());
    assert_refused(apart(19.79, 16.0), spacing);
    assert!(apart(25.0, 25.0).is_ok());
    assert_refused(apart(24.9, 25.0), spacing);
}

/// Four diameters of M8 are 32 mm in a board and in a laminate.
#[test]
fn boards_and_laminates_want_their_holes_farther_apart() {
    for surface in [
        MountSurface::Board(Board::unknown_plywood(Millimetres(18.0))),
        MountSurface::Laminate(Laminate::unknown_glass(Millimetres(10.0))),
    ] {
        let apart = |millimetres| {
            let mut case = with(|fastening| {
                fastening.surface = surface;
                fastening.edge = Millimetres(60.0);
            });
            case.pattern = rectangle(4, 300.0, millimetres);
            check_mount(&case)
        };
        assert!(apart(32.0).is_ok());
        assert_refused(apart(31.9), "distance between the fasteners");
    }
}

#[test]
fn every_mode_names_itself_and_its_source() {
    for mode in [
        MountMode::Bolt,
        MountMode::Bearing,
        MountMode::Punching,
        MountMode::PullThrough,
        MountMode::Embedment,
        MountMode::WasherPressure,
        MountMode::BoardPunching,
    ] {
        assert!(!mode.label().is_empty());
        assert!(mode.source().text.contains("EN 1"), "{mode:?}");
    }
    for mode in [MountMode::LaminateBearing, MountMode::LaminatePunching] {
        assert!(!mode.label().is_empty());
        assert_eq!(mode.source().sureness, Sureness::FromMemory);
    }
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        let length = Millimetres(wrong);
        assert_refused(check_mount(&MountCase { mass: Kilograms(wrong), ..mount() }), "mass");
        let high = MountCase { height: length, ..mount() };
        assert_refused(check_mount(&high), "height of the centre of mass");
        let up = MountCase { upward_g: Some(wrong), ..mount() };
        assert_refused(check_mount(&up), "level upward, in g");
        let edge = with(|fastening| fastening.edge = length);
        assert_refused(check_mount(&edge), "distance to the edge");
        let thin = with(|fastening| fastening.surface = steel(wrong));
        assert_refused(check_mount(&thin), "thickness of the sheet");
    }
    for wrong in [f64::NAN, f64::NEG_INFINITY, -1.0, 0.0] {
        let washer = with(|fastening| fastening.washer = Some(Millimetres(wrong)));
        assert_refused(check_mount(&washer), "mean diameter of the head");
    }
    let up = MountCase { upward_g: Some(100.1), ..mount() };
    assert_refused(check_mount(&up), "level upward, in g");
}
