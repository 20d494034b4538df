//! Guarded acceptance, by the vectors that the phone's preview is held to as well.

use fusewright::domain::entry::Payload;
use fusewright::domain::instrument::{Instrument, Range};
use fusewright::domain::number::{Decimal, parse_typed};
use fusewright::domain::step::{Limits, Phase, Step, StepKind, Unit};
use fusewright::domain::verdict::{Judgement, NotCounted, Verdict, judge};
use serde::Deserialize;

use super::cast::{FITTER, METER, Pen, dec, instrument};

#[derive(Deserialize)]
struct Vector {
    name: String,
    kind: String,
    value: Option<String>,
    lower: Option<Decimal>,
    upper: Option<Decimal>,
    rows: Option<Vec<[String; 5]>>,
    drop: Option<String>,
    current: Option<String>,
    limit_milliohm: Option<Decimal>,
    drop_rows: Option<Vec<[String; 5]>>,
    current_rows: Option<Vec<[String; 5]>>,
    expect: Expected,
}

#[derive(Deserialize)]
struct Expected {
    kind: String,
    uncertainty: Option<Decimal>,
}

pub(super) fn ranges(unit: Unit, rows: &[[String; 5]]) -> Vec<Range> {
    let range = |row: &[String; 5]| Range {
        unit,
        from: dec(&row[0]),
        to: dec(&row[1]),
        resolution: dec(&row[2]),
        percent: dec(&row[3]),
        digits: row[4].parse().unwrap(),
    };
    rows.iter().map(range).collect()
}

fn step(kind: StepKind) -> Step {
    Step {
        key: "prove.x".to_owned(),
        phase: Phase::Prove,
        title: "X".to_owned(),
        how: String::new(),
        caution: None,
        kind,
        basis: None,
    }
}

pub(super) fn judged(
    kind: StepKind,
    payload: Payload,
    tool: Instrument,
) -> Result<Judgement, NotCounted> {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, "prove.x", payload);
    judge(&step(kind), pen.entries.last().unwrap(), &[tool])
}

pub(super) fn word(result: &Result<Judgement, NotCounted>) -> &'static str {
    match result.as_ref().map(|judgement| judgement.verdict) {
        Ok(Verdict::Pass) => "pass",
        Ok(Verdict::Fail) => "fail",
        Ok(Verdict::Inconclusive) => "inconclusive",
        Ok(_) => "other",
        Err(_) => "uncounted",
    }
}

fn run(vector: &Vector) -> Result<Judgement, NotCounted> {
    if vector.kind == "value" {
        let limits = Limits { lower: vector.lower, upper: vector.upper };
        let value = parse_typed(vector.value.as_ref().unwrap()).unwrap();
        let tool = instrument(ranges(Unit::Volt, vector.rows.as_ref().unwrap()));
        let payload = Payload::Reading { value, instrument: METER };
        return judged(StepKind::Reading { unit: Unit::Volt, limits }, payload, tool);
    }
    let mut all = ranges(Unit::Volt, vector.drop_rows.as_ref().unwrap());
    all.extend(ranges(Unit::Ampere, vector.current_rows.as_ref().unwrap()));
    let kind = StepKind::PathDrop {
        resistance_max_milliohm: vector.limit_milliohm.unwrap(),
        planned_milliohm: dec("5"),
        milliohm_per_metre: dec("1.2"),
        current_a: dec("30"),
    };
    let payload = Payload::PathDrop {
        drop_v: parse_typed(vector.drop.as_ref().unwrap()).unwrap(),
        current_a: parse_typed(vector.current.as_ref().unwrap()).unwrap(),
        instrument: METER,
        current_instrument: METER,
    };
    judged(kind, payload, instrument(all))
}

#[test]
fn every_shared_vector_gets_its_verdict_and_uncertainty() {
    let vectors: Vec<Vector> = serde_json::from_str(include_str!("../data/verdicts.json")).unwrap();
    assert!(vectors.len() >= 60, "the shared vectors are there");
    for vector in &vectors {
        let result = run(vector);
        assert_eq!(word(&result), vector.expect.kind, "{}", vector.name);
        if let (Ok(judgement), Some(expected)) = (&result, vector.expect.uncertainty) {
            assert_eq!(judgement.uncertainty, Some(expected), "{}", vector.name);
        }
    }
}

/// G16 of the check values: ILAC-G8:09/2019, JCGM 100:2008, 4.3.7 (seen; recomputed there).
#[test]
fn the_published_guard_band_case_is_inconclusive_and_no_pass() {
    let tool = instrument(vec![Range {
        unit: Unit::Volt,
        from: dec("0"),
        to: dec("60"),
        resolution: dec("0.01"),
        percent: dec("0.5"),
        digits: 3,
    }]);
    let limits = Limits::at_most(dec("14.60"));
    let kind = StepKind::Reading { unit: Unit::Volt, limits };
    let payload = Payload::Reading { value: dec("14.50"), instrument: METER };
    let judgement = judged(kind, payload, tool).unwrap();
    assert_eq!(judgement.verdict, Verdict::Inconclusive);
    let uncertainty = judgement.uncertainty.unwrap();
    assert!((uncertainty - dec("0.1184")).abs() < dec("0.0002"), "{uncertainty}");
}

#[test]
fn a_fuse_passes_only_at_the_planned_rating() {
    let kind = StepKind::Fuse { rating_a: dec("25"), choices_a: vec![] };
    let read = |a| judged(kind.clone(), Payload::Fuse { rating_a: dec(a) }, instrument(vec![]));
    assert_eq!(word(&read("25")), "pass");
    assert_eq!(word(&read("25.0")), "pass");
    assert_eq!(word(&read("30")), "fail");
}

#[test]
fn an_order_with_two_terminals_swapped_fails_and_names_the_place() {
    let expected: Vec<String> = ["A", "B", "C"].map(str::to_owned).into();
    let kind = StepKind::Order { expected: expected.clone(), choices: expected.clone() };
    let read = |labels: [&str; 3]| {
        let labels = labels.map(str::to_owned).into();
        judged(kind.clone(), Payload::Order { labels }, instrument(vec![]))
    };
    assert_eq!(word(&read(["A", "B", "C"])), "pass");
    let swapped = read(["A", "C", "B"]).unwrap();
    assert_eq!(swapped.verdict, Verdict::Fail);
    assert!(swapped.sentence.contains("Position 2"), "{}", swapped.sentence);
}

#[test]
fn an_entry_of_another_kind_is_not_counted() {
    let kind = StepKind::Reading { unit: Unit::Volt, limits: Limits::at_most(dec("1")) };
    assert_eq!(word(&judged(kind, Payload::Confirm {}, instrument(vec![]))), "uncounted");
}

#[test]
fn a_failed_path_says_how_much_more_cable_it_amounts_to() {
    let kind = StepKind::PathDrop {
        resistance_max_milliohm: dec("6.00"),
        planned_milliohm: dec("5.00"),
        milliohm_per_metre: dec("1.25"),
        current_a: dec("30"),
    };
    let payload = Payload::PathDrop {
        drop_v: dec("0.160"),
        current_a: dec("20"),
        instrument: METER,
        current_instrument: METER,
    };
    let judgement = judged(kind, payload, super::cast::exact_instrument()).unwrap();
    // 160 mV over 20 A is 8 mΩ, 3 mΩ over plan: as much as 2.4 m of 1.25 mΩ/m.
    assert_eq!(judgement.verdict, Verdict::Fail);
    assert!(judgement.sentence.contains("3.00 mΩ ± 0.00 mΩ more"), "{}", judgement.sentence);
    assert!(judgement.sentence.contains("2.4 m"), "{}", judgement.sentence);
}

/// 0.11832 V over 30 A is 3.944 mΩ: a fail at 3.94 mΩ must not be printed as 3.94 mΩ.
#[test]
fn printing_never_turns_a_failed_path_into_one_at_its_limit() {
    let kind = StepKind::PathDrop {
        resistance_max_milliohm: dec("3.94"),
        planned_milliohm: dec("3.40"),
        milliohm_per_metre: dec("0.95"),
        current_a: dec("30"),
    };
    let payload = Payload::PathDrop {
        drop_v: dec("0.11832"),
        current_a: dec("30"),
        instrument: METER,
        current_instrument: METER,
    };
    let judgement = judged(kind, payload, super::cast::exact_instrument()).unwrap();
    assert_eq!(judgement.verdict, Verdict::Fail);
    assert_eq!(judgement.figure, Some((dec("3.95"), Unit::Milliohm)));
    assert_eq!(judgement.margin, Some(dec("-0.01")));
}
