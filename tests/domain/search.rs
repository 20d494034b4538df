//! The search for the joint that carries an excess: the path point by point, and where it leads.

use fusewright::domain::diagnosis::{
    Advice, CircuitPath, Known, Search, SegmentKind, SpanReading, Tools, circuit_path, search,
};
use fusewright::domain::kit::{Kit, Purpose};
use fusewright::domain::number::{Decimal, physical};
use fusewright::domain::plan::{Back, Plan};
use fusewright::domain::step::{StepKind, Unit};
use rust_decimal::prelude::FromPrimitive;

use super::cast::{MORNING, dec, instrument, kit, plan, sheet};
use super::verdict::ranges;
use crate::published::assert_near;

const OUT: &str = "prove.supply.drop_out";
const BACK: &str = "prove.supply.drop_back";

fn path(kit: &Kit, plan: &Plan, key: &str) -> CircuitPath {
    circuit_path(kit, plan, key).unwrap()
}

fn out() -> CircuitPath {
    path(&kit(), &plan(), OUT)
}

#[test]
fn the_points_stand_in_the_order_of_the_current() {
    let expected = [
        "the battery's positive post",
        "the lug on the battery's positive post",
        "the fuse's near side",
        "the fuse's far side",
        "the lug on gear terminal IN+",
        "gear terminal IN+",
    ];
    assert_eq!(out().points, expected);
    let expected = [
        "gear terminal IN-",
        "the lug on gear terminal IN-",
        "the lug on the battery's negative post",
        "the battery's negative post",
    ];
    assert_eq!(path(&kit(), &plan(), BACK).points, expected);
}

/// A load is fed by the gear: its current leaves there.
#[test]
fn the_path_of_a_load_begins_at_the_gear() {
    let mut kit = kit();
    let supply = kit.circuits.iter_mut().find(|circuit| circuit.id == "supply").unwrap();
    supply.purpose = Purpose::Load;
    let (there, back) = (path(&kit, &plan(), OUT), path(&kit, &plan(), BACK));
    assert_eq!(there.points[0], "gear terminal IN+");
    assert_eq!(there.points[5], "the positive terminal of what is fed");
    assert_eq!(back.points[0], "the negative terminal of what is fed");
    assert_eq!(back.points[3], "gear terminal IN-");
}

/// The parts add up to the plan that the sheet's limit comes from, whatever fuse and return there are.
#[test]
fn the_segments_add_up_to_what_the_sheet_plans() {
    let kit = kit();
    let with = |change: fn(&mut Plan)| {
        let mut plan = plan();
        change(&mut plan);
        plan
    };
    let plans = [
        plan(),
        with(|plan| plan.circuits[0].fuse = None),
        with(|plan| plan.circuits[0].joints = 7),
        with(|plan| plan.circuits[0].joints = 0),
        with(|plan| plan.circuits[0].back = Back::Chassis { bond_milliohm: dec("1") }),
    ];
    for plan in plans {
        for step in &sheet(1, &plan).steps {
            let StepKind::PathDrop { planned_milliohm, milliohm_per_metre, .. } = &step.kind else {
                assert_eq!(circuit_path(&kit, &plan, &step.key), None, "{}", step.key);
                continue;
            };
            let path = path(&kit, &plan, &step.key);
            assert_eq!(path.points.len(), path.segments.len() + 1, "{}", step.key);
            let sum: f64 = path.segments.iter().map(|part| part.planned.to_milliohms()).sum();
            // The sheet prints it rounded down to a hundredth.
            assert_near(sum, physical(*planned_milliohm) + 0.005, 0.0051);
            for segment in &path.segments {
                if let SegmentKind::Cable { per_metre } = segment.kind {
                    assert_near(per_metre.0 * 1e3, physical(*milliohm_per_metre), 0.001);
                }
            }
        }
    }
}

#[test]
fn a_path_through_the_body_or_of_a_wire_without_load_is_no_path_to_search() {
    let mut chassis = plan();
    chassis.circuits[0].back = Back::Chassis { bond_milliohm: dec("1") };
    assert!(circuit_path(&kit(), &chassis, OUT).is_some());
    assert_eq!(circuit_path(&kit(), &chassis, BACK), None);
    for key in ["prove.sense.drop_out", "prove.solar.drop_out", "prove.supply.drop", "supply"] {
        assert_eq!(circuit_path(&kit(), &plan(), key), None, "{key}");
    }
}

/// Without a fuse, or with one that lies beyond the cable's end, the cable is one piece.
#[test]
fn a_cable_without_a_fuse_in_it_is_one_segment() {
    let mut plain = plan();
    plain.circuits[0].fuse = None;
    assert_eq!(path(&kit(), &plain, OUT).segments.len(), 3);
    let mut beyond = plan();
    let length_mm = beyond.circuits[0].length_out_m * dec("1000");
    beyond.circuits[0].fuse.as_mut().unwrap().distance_mm = length_mm;
    assert_eq!(path(&kit(), &beyond, OUT).segments.len(), 3);
    beyond.circuits[0].fuse.as_mut().unwrap().distance_mm = length_mm - dec("1");
    assert_eq!(path(&kit(), &beyond, OUT).segments.len(), 5);
}

/// The drop over points of a path whose segments have these milliohms beyond their plan, at 30 A.
fn reading(path: &CircuitPath, more: &[f64], from: usize, to: usize) -> SpanReading {
    let milliohm: f64 =
        (from..to).map(|at| path.segments[at].planned.to_milliohms() + more[at]).sum();
    let drop_v = Decimal::from_f64(milliohm * 0.03).unwrap().round_dp(6);
    SpanReading { from, to, drop_v, current_a: dec("30") }
}

/// Follows the advice to its end.
fn follow(path: &CircuitPath, more: &[f64]) -> (Vec<SpanReading>, Search) {
    let mut readings = vec![];
    loop {
        let now = search(path, &readings, None).unwrap();
        let Advice::Measure { from, to } = now.advice else { return (readings, now) };
        assert!(now.words(path).is_none());
        assert!(!now.explains(from, to), "asked for again: {from} to {to}");
        readings.push(reading(path, more, from, to));
    }
}

/// Whichever segment is bad is found, in few measurements, and named.
#[test]
fn each_bad_segment_is_found_and_named() {
    let path = out();
    for bad in 0..5 {
        let mut more = [0.0; 5];
        more[bad] = 3.0;
        let (readings, end) = follow(&path, &more);
        let Advice::Found { segment, excess, .. } = end.advice else { panic!("{end:?}") };
        assert_eq!(segment, bad);
        assert_near(excess.to_milliohms(), 3.0, 0.001);
        assert!(readings.len() <= 4, "{} measurements", readings.len());
        let words = end.words(&path).unwrap();
        assert!(words.starts_with(&path.segments[bad].name), "{words}");
        assert!(words.contains("3.00 mΩ more than planned"), "{words}");
        assert!(!words.contains("lies elsewhere"), "{words}");
    }
}

#[test]
fn a_second_fault_is_said_to_lie_elsewhere() {
    let path = out();
    let (_, end) = follow(&path, &[0.0, 0.0, 3.0, 0.0, 1.0]);
    let words = end.words(&path).unwrap();
    assert!(words.starts_with("The fuse in its holder has 3.00 mΩ more"), "{words}");
    assert!(words.contains("A further 1.00 mΩ lies elsewhere"), "{words}");
}

#[test]
fn a_cable_with_too_much_is_told_in_metres() {
    let path = out();
    let SegmentKind::Cable { per_metre } = path.segments[3].kind else { panic!("no cable") };
    let two_metres = per_metre.0 * 2e3;
    let (_, end) = follow(&path, &[0.0, 0.0, 0.0, two_metres, 0.0]);
    let words = end.words(&path).unwrap();
    assert!(words.contains("as much as 2.0 m more of it"), "{words}");
}

/// Half a sound joint, 0.25 mΩ, is not looked for; what lies just above it is.
#[test]
fn an_excess_counts_only_beyond_half_a_joint() {
    let path = out();
    let (readings, end) = follow(&path, &[0.0, 0.0, 0.249, 0.0, 0.0]);
    assert!(matches!(end.advice, Advice::AsPlanned { .. }), "{end:?}");
    assert_eq!(readings.len(), 1);
    assert!(end.words(&path).unwrap().starts_with("The whole path has 0.25 mΩ more"));
    let (_, end) = follow(&path, &[0.0, 0.0, 0.251, 0.0, 0.0]);
    assert!(matches!(end.advice, Advice::Found { segment: 2, .. }), "{end:?}");
    let (_, end) = follow(&path, &[0.2, 0.2, 0.2, 0.2, 0.2]);
    assert!(matches!(end.advice, Advice::Spread { .. }), "{end:?}");
    assert!(end.words(&path).unwrap().starts_with("The path has 1.00 mΩ more"));
}

/// By hand: 0.03 V ± 0.015 V over 30 A is ± 0.5 mΩ; two such readings together ± 0.707 mΩ.
#[test]
fn poor_meters_raise_what_counts() {
    let row = |resolution: &str| ["0", "100", resolution, "0", "1"].map(str::to_owned);
    let mut all = ranges(Unit::Volt, &[row("0.0129904")]);
    all.extend(ranges(Unit::Ampere, &[row("0")]));
    let meter = instrument(all);
    let tools = Some(Tools { voltmeter: &meter, clamp: &meter, at: MORNING });
    let path = out();
    let more = [0.0, 0.0, 0.6, 0.0, 0.0];
    let whole = reading(&path, &more, 0, 5);
    let one = search(&path, &[whole], tools).unwrap();
    assert_near(one.least.to_milliohms(), 0.5, 0.0001);
    assert!(matches!(one.advice, Advice::Measure { .. }));
    let two = search(&path, &[whole, reading(&path, &more, 0, 2)], tools).unwrap();
    assert_near(two.least.to_milliohms(), 0.5 * 2.0_f64.sqrt(), 0.0001);
    assert!(matches!(two.advice, Advice::AsPlanned { .. }));
    // What the meters do not reach leaves what sound joints leave.
    let far = SpanReading { drop_v: dec("101"), ..whole };
    assert_near(search(&path, &[far], tools).unwrap().least.to_milliohms(), 0.25, 1e-9);
}

#[test]
fn what_is_explained_is_told_stretch_by_stretch() {
    let path = out();
    let more = [0.0, 0.0, 3.0, -0.4, 0.0];
    let readings =
        [reading(&path, &more, 0, 5), reading(&path, &more, 0, 2), reading(&path, &more, 3, 5)];
    let now = search(&path, &readings, None).unwrap();
    let told: Vec<(usize, usize, String)> = now
        .known
        .iter()
        .map(|stretch| (stretch.from, stretch.to, now.stretch_words(stretch)))
        .collect();
    let planned = "as planned".to_owned();
    let expected = [
        (0, 2, planned),
        (2, 3, "3.00 mΩ more than planned".to_owned()),
        (3, 5, "0.40 mΩ less than planned".to_owned()),
    ];
    assert_eq!(told, expected);
    assert!(now.explains(2, 5) && !now.explains(2, 4));
}

/// A slipped decimal point leaves the other half with less than nothing.
#[test]
fn readings_that_disagree_are_not_followed() {
    let path = out();
    let more = [0.0, 0.0, 3.0, 0.0, 0.0];
    let whole = reading(&path, &more, 0, 5);
    let half = reading(&path, &more, 0, 2);
    let slipped = SpanReading { drop_v: half.drop_v * dec("100"), ..half };
    let now = search(&path, &[whole, slipped], None).unwrap();
    assert_eq!(now.advice, Advice::Contradiction { from: 2, to: 5 });
    assert_eq!(now.known[1].known, Known::Impossible);
    assert!(now.words(&path).unwrap().starts_with("These readings disagree"));
    // The same span measured again counts instead.
    let again = search(&path, &[whole, slipped, half], None).unwrap();
    assert_eq!(again.advice, Advice::Measure { from: 2, to: 3 });
}

#[test]
fn nonsense_is_refused_with_a_sentence() {
    let path = out();
    let whole = reading(&path, &[0.0; 5], 0, 5);
    for wrong in [
        SpanReading { current_a: dec("0"), ..whole },
        SpanReading { current_a: dec("-30"), ..whole },
        SpanReading { to: 6, ..whole },
        SpanReading { from: 3, to: 3, ..whole },
        SpanReading { from: 4, to: 2, ..whole },
    ] {
        assert!(search(&path, &[wrong], None).is_err(), "{wrong:?}");
    }
    let turned = SpanReading { drop_v: -whole.drop_v, ..whole };
    assert!(matches!(search(&path, &[turned], None).unwrap().advice, Advice::AsPlanned { .. }));
}
