//! Patterns of fasteners: whatever the pattern and the force, nothing of it is lost.

use fusewright::engineering::fastener_pattern::{FASTENERS_MAX, FastenerPattern, Position};
use fusewright::engineering::mounting::{PatternLoad, fastener_loads};
use fusewright::engineering::pattern_forces::{FastenerForce, MassForce, pattern_forces};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};
use crate::published::assert_near;

/// Three to twelve places that do not stand in one line.
fn any_pattern() -> impl Strategy<Value = FastenerPattern> {
    let place = (-500.0_f64..500.0, -500.0_f64..500.0);
    let places = prop::collection::vec(place, 3..13);
    places.prop_filter_map("one line", |places| {
        let places = places.into_iter().map(|(along, across)| Position::new(along, across));
        FastenerPattern::at(places.collect()).ok()
    })
}

/// Any force at any place.
fn any_force() -> impl Strategy<Value = MassForce> {
    let newtons = || -20_000.0_f64..20_000.0;
    let offset = (-300.0_f64..300.0, -300.0_f64..300.0);
    (newtons(), newtons(), 0.0_f64..20_000.0, 0.0_f64..500.0, offset).prop_map(
        |(along, across, upward, height, offset)| MassForce {
            along: Newtons(along),
            across: Newtons(across),
            upward: Newtons(upward),
            height: Millimetres(height),
            offset: Position::new(offset.0, offset.1),
        },
    )
}

/// Sum over all fasteners of what a force amounts to at its place.
fn sum(
    pattern: &FastenerPattern,
    all: &[FastenerForce],
    amount: impl Fn(Position, FastenerForce) -> f64,
) -> f64 {
    pattern.positions().iter().zip(all).map(|(place, force)| amount(*place, *force)).sum()
}

fn rectangle(fasteners: u32, length: f64, width: f64) -> FastenerPattern {
    FastenerPattern::rectangle(fasteners, Millimetres(length), Millimetres(width)).unwrap()
}

fn forward(newtons: f64, height: f64) -> MassForce {
    MassForce { along: Newtons(newtons), height: Millimetres(height), ..MassForce::default() }
}

proptest! {
    #![proptest_config(settings())]

    /// Three forces and three moments, about the origin and not about the centroid that the rule
    /// works with.
    #[test]
    fn forces_and_moments_balance(pattern in any_pattern(), force in any_force()) {
        let all = pattern_forces(&pattern, &force).unwrap();
        let centroid = pattern.centroid();
        let x = centroid.along.0 + force.offset.along.0;
        let y = centroid.across.0 + force.offset.across.0;
        let (fx, fy, fz) = (force.along.0, force.across.0, force.upward.0);
        let height = force.height.0;
        let size = fx.abs() + fy.abs() + fz + 1.0;
        let near =
            |found: f64, asked: f64, lever: f64| (found - asked).abs() <= 1e-9 * size * lever;
        prop_assert!(near(sum(&pattern, &all, |_, one| one.along.0), fx, 10.0));
        prop_assert!(near(sum(&pattern, &all, |_, one| one.across.0), fy, 10.0));
        prop_assert!(near(sum(&pattern, &all, |_, one| one.pull.0), fz, 1e4));
        let twist = |place: Position, one: FastenerForce| {
            place.along.0 * one.across.0 - place.across.0 * one.along.0
        };
        prop_assert!(near(sum(&pattern, &all, twist), x * fy - y * fx, 1e4));
        let pitch = sum(&pattern, &all, |place, one| place.along.0 * one.pull.0);
        prop_assert!(near(pitch, x * fz - height * fx, 1e7));
        let roll = sum(&pattern, &all, |place, one| place.across.0 * one.pull.0);
        prop_assert!(near(roll, y * fz - height * fy, 1e7));
    }

    /// The other elastic method, levers from the front row, never finds more pull.
    #[test]
    fn levers_from_the_tilting_edge_are_never_more_cautious(
        rows in prop::collection::vec((0.0_f64..800.0, 1_usize..4), 2..6),
        newtons in 1.0_f64..20_000.0,
        height in 1.0_f64..500.0,
    ) {
        // Rows across the vehicle, each symmetric, so that only the levers along it count.
        let row = |(along, pairs): (f64, usize)| {
            (1..=pairs).flat_map(move |pair| {
                let across = 50.0 * f64::from(u32::try_from(pair).unwrap());
                [Position::new(along, across), Position::new(along, -across)]
            })
        };
        let places: Vec<Position> = rows.into_iter().flat_map(row).collect();
        let front = places.iter().map(|place| place.along.0).fold(0.0, f64::max);
        let levers: Vec<f64> = places.iter().map(|place| front - place.along.0).collect();
        let Ok(pattern) = FastenerPattern::at(places) else { return Ok(()) };
        let all = pattern_forces(&pattern, &forward(newtons, height)).unwrap();
        let largest = all.iter().map(|one| one.pull.0).fold(0.0, f64::max);
        let squares: f64 = levers.iter().map(|lever| lever * lever).sum();
        let longest = levers.iter().copied().fold(0.0, f64::max);
        let from_edge = newtons * height * longest / squares;
        prop_assert!(largest >= from_edge * (1.0 - 1e-9), "{largest} {from_edge}");
    }

    /// A pattern that is moved gets the same forces, one that is turned the turned ones.
    #[test]
    fn the_place_of_the_pattern_does_not_count(
        pattern in any_pattern(),
        force in any_force(),
        shift in -1000.0_f64..1000.0,
    ) {
        let moved = pattern.positions().iter();
        let moved = moved.map(|place| Position::new(place.along.0 + shift, place.across.0 - shift));
        let moved = FastenerPattern::at(moved.collect()).unwrap();
        let (here, there) = (pattern_forces(&pattern, &force), pattern_forces(&moved, &force));
        for (one, other) in here.unwrap().into_iter().zip(there.unwrap()) {
            let off = (one.pull.0 - other.pull.0).abs() + (one.along.0 - other.along.0).abs();
            prop_assert!(off <= 1e-6 * (one.pull.0.abs() + one.along.0.abs() + 1.0), "{off}");
        }
    }

    #[test]
    fn more_force_never_loads_less(
        pattern in any_pattern(),
        newtons in 0.0_f64..20_000.0,
        more in 0.0_f64..2000.0,
    ) {
        let shared = |newtons| pattern_forces(&pattern, &forward(newtons, 150.0)).unwrap();
        for (one, other) in shared(newtons).into_iter().zip(shared(newtons + more)) {
            prop_assert!(one.loads().shear.0 <= other.loads().shear.0 + 1e-9);
            prop_assert!(one.loads().tension.0 <= other.loads().tension.0 + 1e-9);
        }
    }

    /// Two rows: the quick figure of a rectangle and the whole pattern agree.
    #[test]
    fn a_rectangle_of_four_gets_the_quick_figure(
        length in 50.0_f64..900.0,
        width in 50.0_f64..900.0,
        newtons in 0.0_f64..20_000.0,
        height in 0.0_f64..500.0,
    ) {
        let quick = fastener_loads(PatternLoad {
            force: Newtons(newtons),
            fasteners: 4,
            rear_fasteners: 2,
            height: Millimetres(height),
            row_spacing: Millimetres(length),
        })
        .unwrap();
        let all =
            pattern_forces(&rectangle(4, length, width), &forward(newtons, height)).unwrap();
        for one in all {
            prop_assert!((one.loads().shear.0 - quick.shear.0).abs() <= 1e-9 * (newtons + 1.0));
            let tension = one.pull.0.abs();
            prop_assert!((tension - quick.tension.0).abs() <= 1e-9 * (quick.tension.0 + 1.0));
        }
    }
}

/// By hand: eight on 480 × 330 mm, four in each long row, 160 mm apart: Σx² = 4 × (240² + 80²) =
/// 256 000 mm²; 7845 N at 165 mm: 7845 × 165 × 240 / 256 000 = 1213.5 N on the rearmost two.
#[test]
fn eight_fasteners_in_two_long_rows() {
    let pattern = rectangle(8, 480.0, 330.0);
    assert_eq!(pattern.positions()[0], Position::new(-240.0, -165.0));
    assert_eq!(pattern.positions()[1], Position::new(-80.0, -165.0));
    assert_eq!(pattern.positions()[7], Position::new(240.0, 165.0));
    let all = pattern_forces(&pattern, &forward(7845.0, 165.0)).unwrap();
    let pulls = [1213.5, 404.5, -404.5, -1213.5];
    for (one, pull) in all.iter().zip(pulls.iter().chain(&pulls)) {
        assert_near(one.pull.0, *pull, 0.1);
        assert_near(one.along.0, 7845.0 / 8.0, 1e-9);
    }
}

/// By hand: a force of 1000 N to the left, 100 mm ahead of the centroid of a square of 200 mm:
/// twist 100 000 N·mm over Σr² = 80 000 mm², so 1.25 N per mm: ±125 N each way on 250 N.
#[test]
fn a_centre_of_mass_off_the_centroid_twists_the_pattern() {
    let left = MassForce {
        across: Newtons(1000.0),
        offset: Position::new(100.0, 0.0),
        ..MassForce::default()
    };
    let pattern = rectangle(4, 200.0, 200.0);
    let all = pattern_forces(&pattern, &left).unwrap();
    // Rear right: 125 N forward, 250 − 125 N to the left; front right: 250 + 125 N to the left.
    assert_near(all[0].along.0, 125.0, 1e-9);
    assert_near(all[0].across.0, 125.0, 1e-9);
    assert_near(all[1].across.0, 375.0, 1e-9);
    assert_near(all[1].loads().shear.0, 125.0_f64.hypot(375.0), 1e-9);
}

/// By hand: 4000 N up, 50 mm ahead of the centroid of four on 200 mm: 1000 N each, and
/// 4000 × 50 × 100 / 40 000 = 500 N more in front, less behind.
#[test]
fn an_upward_force_off_the_centroid_pulls_the_nearer_side() {
    let up = MassForce {
        upward: Newtons(4000.0),
        offset: Position::new(50.0, 0.0),
        ..MassForce::default()
    };
    let all = pattern_forces(&rectangle(4, 200.0, 200.0), &up).unwrap();
    assert_near(all[0].pull.0, 500.0, 1e-9);
    assert_near(all[1].pull.0, 1500.0, 1e-9);
    assert_near(all[0].loads().shear.0, 0.0, 1e-12);
}

/// Pressure on the surface loads no bolt.
#[test]
fn pressure_is_no_tension() {
    let pressed = FastenerForce { pull: Newtons(-100.0), ..FastenerForce::default() };
    assert_eq!(pressed.loads().tension, Newtons(0.0));
}

/// Rows stand along the longer sides, whichever they are; an odd one more stands in the first row.
#[test]
fn rows_stand_along_the_long_sides() {
    let wide = rectangle(6, 200.0, 400.0);
    assert_eq!(wide.positions()[1], Position::new(-100.0, 0.0));
    assert_eq!(wide.nearest_spacing(), Millimetres(200.0));
    let five = rectangle(5, 400.0, 200.0);
    assert_eq!(five.positions().len(), 5);
    assert_eq!(five.positions()[1], Position::new(0.0, -100.0));
    assert_eq!(five.positions()[4], Position::new(200.0, 100.0));
    let three = rectangle(3, 400.0, 200.0);
    assert_eq!(three.positions()[2], Position::new(0.0, 100.0));
}

#[test]
fn a_rectangle_can_be_made_with_more_fasteners_and_free_places_cannot() {
    let six = rectangle(4, 400.0, 200.0).with_fasteners(6).unwrap();
    assert_eq!(six, rectangle(6, 400.0, 200.0));
    let free = FastenerPattern::at(six.positions().to_vec()).unwrap();
    assert_eq!(free.with_fasteners(8), None);
    assert_eq!(six.with_fasteners(FASTENERS_MAX + 1), None);
}

#[test]
fn fasteners_in_one_line_are_refused() {
    let line = "pattern of the fasteners";
    let row = |slip: f64| {
        let places = [(0.0, 0.0), (100.0, 100.0), (200.0, 200.0 + slip)];
        FastenerPattern::at(places.map(|(x, y)| Position::new(x, y)).to_vec())
    };
    assert_refused(row(0.0), line);
    assert_refused(row(0.1), line);
    assert!(row(5.0).is_ok());
}

#[test]
fn too_few_and_too_many_are_refused() {
    let side = Millimetres(3000.0);
    let count = |fasteners| FastenerPattern::rectangle(fasteners, side, side);
    assert!(count(3).is_ok() && count(100).is_ok());
    for wrong in [0, 1, 2, 101, u32::MAX] {
        assert_refused(count(wrong), "number of fasteners");
    }
    assert_refused(FastenerPattern::at(Vec::new()), "number of fasteners");
}

#[test]
fn nonsense_is_refused() {
    let (good, pattern) = (Millimetres(200.0), rectangle(4, 200.0, 200.0));
    for wrong in NONSENSE {
        let length = Millimetres(wrong);
        assert_refused(FastenerPattern::rectangle(4, length, good), "length of the pattern");
        assert_refused(FastenerPattern::rectangle(4, good, length), "width of the pattern");
        let high = MassForce { height: length, ..forward(1.0, 0.0) };
        assert_refused(pattern_forces(&pattern, &high), "height of the centre of mass");
        let up = MassForce { upward: Newtons(wrong), ..forward(1.0, 0.0) };
        assert_refused(pattern_forces(&pattern, &up), "upward force");
    }
    for wrong in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let force = MassForce { along: Newtons(wrong), ..MassForce::default() };
        assert_refused(pattern_forces(&pattern, &force), "force along the vehicle");
        let force = MassForce { across: Newtons(wrong), ..MassForce::default() };
        assert_refused(pattern_forces(&pattern, &force), "force across the vehicle");
        let force = MassForce { offset: Position::new(wrong, 0.0), ..MassForce::default() };
        assert_refused(pattern_forces(&pattern, &force), "position along the vehicle");
        let mut places = pattern.positions().to_vec();
        places[1].across = Millimetres(wrong);
        assert_refused(FastenerPattern::at(places), "position across the vehicle");
    }
}
