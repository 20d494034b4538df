//! What is said of a measured path, by the cases that the phone's preview is held to as well.

use fusewright::domain::diagnosis::{
    Diagnosis, JOINT_MILLIOHM, LoadedReading, PlannedPath, diagnose,
};
use fusewright::domain::entry::Payload;
use fusewright::domain::figures::JOINT;
use fusewright::domain::number::{Decimal, parse_typed, physical};
use fusewright::domain::step::{StepKind, Unit};
use fusewright::domain::verdict::Verdict;
use fusewright::engineering::path_diagnosis::{
    LoadedDrop, Standing, excess as excess_of, measured_resistance,
};
use fusewright::engineering::units::{Amps, Ohms, OhmsPerMetre, Volts};
use proptest::prelude::*;
use serde::Deserialize;

use super::cast::{METER, dec, instrument};
use super::verdict::{judged, ranges, word};
use crate::published::assert_near;

#[derive(Deserialize)]
struct Vector {
    name: String,
    drop: String,
    current: String,
    planned_milliohm: Decimal,
    limit_milliohm: Decimal,
    milliohm_per_metre: Decimal,
    drop_rows: Vec<[String; 5]>,
    current_rows: Vec<[String; 5]>,
    expect: Expected,
}

#[derive(Deserialize)]
struct Expected {
    kind: String,
    standing: String,
    sentence: String,
}

fn standing(diagnosis: &Diagnosis) -> &'static str {
    match diagnosis.standing {
        Standing::More => "more",
        Standing::Less => "less",
        Standing::WithinUncertainty => "within",
    }
}

#[test]
fn every_shared_case_gets_its_verdict_standing_and_sentence() {
    let vectors: Vec<Vector> =
        serde_json::from_str(include_str!("../data/diagnosis.json")).unwrap();
    assert!(vectors.len() >= 25, "the shared cases are there");
    for vector in &vectors {
        let mut all = ranges(Unit::Volt, &vector.drop_rows);
        all.extend(ranges(Unit::Ampere, &vector.current_rows));
        let kind = StepKind::PathDrop {
            resistance_max_milliohm: vector.limit_milliohm,
            planned_milliohm: vector.planned_milliohm,
            milliohm_per_metre: vector.milliohm_per_metre,
            current_a: dec("30"),
        };
        let payload = Payload::PathDrop {
            drop_v: parse_typed(&vector.drop).unwrap(),
            current_a: parse_typed(&vector.current).unwrap(),
            instrument: METER,
            current_instrument: METER,
        };
        let result = judged(kind, payload, instrument(all));
        assert_eq!(word(&result), vector.expect.kind, "{}", vector.name);
        let judgement = result.unwrap();
        assert_eq!(judgement.sentence, vector.expect.sentence, "{}", vector.name);
        let diagnosis = judgement.diagnosis.unwrap();
        assert_eq!(standing(&diagnosis), vector.expect.standing, "{}", vector.name);
    }
}

#[test]
fn the_joint_it_counts_in_is_the_one_that_is_planned_with() {
    assert_near(physical(JOINT_MILLIOHM), JOINT.to_milliohms(), 1e-12);
}

fn path() -> PlannedPath {
    PlannedPath {
        planned_milliohm: dec("7.26"),
        limit_milliohm: dec("8.34"),
        milliohm_per_metre: dec("1.21"),
    }
}

/// The example of `path_diagnosis`: 9.37 mΩ ± 0.253 mΩ, 2.11 mΩ over plan, 1.74 m, 4.2 joints.
#[test]
fn who_reviews_sees_each_figure_by_itself() {
    let reading = LoadedReading {
        drop_v: dec("0.281"),
        drop_uncertainty_v: dec("0.0051"),
        current_a: dec("30"),
        current_uncertainty_a: dec("0.6"),
    };
    let found = diagnose(&reading, &path());
    let figures = found.figures();
    let told: Vec<&str> = figures.iter().map(|(_, words)| words.as_str()).collect();
    let expected = ["7.26 mΩ", "2.11 mΩ ± 0.26 mΩ more", "1.7 m more", "4.2 of 0.5 mΩ", "yes"];
    assert_eq!(told, expected);
    assert!(found.is_clearly_more());
    let less = LoadedReading { drop_v: dec("0.217"), ..reading };
    let less = diagnose(&less, &path());
    assert!(!less.is_clearly_more());
    let figures = less.figures();
    assert!(figures.iter().all(|(name, _)| !name.starts_with("As ")), "{figures:?}");
    assert!(
        figures.contains(&("To be told from nothing", "no, the meters leave as much open".into()))
    );
}

/// A chain of metres in words cannot be worked out without a cable; nothing divides by nothing.
#[test]
fn a_cable_without_resistance_is_no_fault_of_the_program() {
    let reading = LoadedReading {
        drop_v: dec("0.281"),
        drop_uncertainty_v: dec("0"),
        current_a: dec("30"),
        current_uncertainty_a: dec("0"),
    };
    let path = PlannedPath { milliohm_per_metre: dec("0"), ..path() };
    assert!(diagnose(&reading, &path).words(Verdict::Fail).contains("less than 0.1 m more"));
}

proptest! {
    /// The decimals here and the physics of `engineering` are one thing.
    #[test]
    fn the_decimals_are_those_of_the_physics(
        microvolts in 0_i64..2_000_000,
        milliamps in 500_i64..200_000,
        of_drop in 1_i64..20_000,
        of_current in 1_i64..5_000,
    ) {
        let reading = LoadedReading {
            drop_v: Decimal::new(microvolts, 6),
            drop_uncertainty_v: Decimal::new(of_drop, 6),
            current_a: Decimal::new(milliamps, 3),
            current_uncertainty_a: Decimal::new(of_current, 3),
        };
        let found = diagnose(&reading, &path());
        let measured = measured_resistance(LoadedDrop {
            drop: Volts(physical(reading.drop_v)),
            drop_uncertainty: Volts(physical(reading.drop_uncertainty_v)),
            current: Amps(physical(reading.current_a)),
            current_uncertainty: Amps(physical(reading.current_uncertainty_a)),
        })
        .unwrap();
        let more = excess_of(measured, Ohms::from_milliohms(7.26)).unwrap();
        let near = |decimal: Decimal, float: f64| {
            (physical(decimal) - float).abs() <= 1e-9 * (1.0 + float.abs())
        };
        prop_assert!(near(found.resistance, measured.value.to_milliohms()));
        prop_assert!(near(found.uncertainty, measured.uncertainty.to_milliohms()));
        prop_assert!(near(found.excess, more.value.to_milliohms()));
        prop_assert!(near(found.metres, more.as_cable(OhmsPerMetre(0.001_21)).unwrap().0));
        prop_assert!(near(found.joints, more.as_joints(JOINT).unwrap()));
        let hair = (more.value.0.abs() - more.uncertainty.0).abs() < 1e-12;
        prop_assert!(hair || found.standing == more.standing());
    }
}
