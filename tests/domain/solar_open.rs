//! An open solar string against what its cells' temperature lets expect, by the cases that the phone's
//! preview is held to as well.

use fusewright::domain::entry::Payload;
use fusewright::domain::instrument::choice::Wanted;
use fusewright::domain::limits::{
    CELL_COLDEST_C, CELL_HOTTEST_C, SILICON_PERCENT_PER_K, STRING_TOLERANCE_PERCENT,
};
use fusewright::domain::number::{Decimal, parse_typed, physical};
use fusewright::domain::sheet::Sheet;
use fusewright::domain::solar_open::{OpenReading, OpenString, examine};
use fusewright::domain::step::{Limits, StepKind, Unit};
use fusewright::domain::verdict::{Judgement, NotCounted, Verdict};
use fusewright::engineering::solar::VOC_COEFFICIENT_SILICON;
use fusewright::engineering::solar_string::{STRING_TOLERANCE, SolarString, expected_voltage};
use fusewright::engineering::units::{Celsius, Volts};
use proptest::prelude::*;
use serde::Deserialize;

use super::cast::{FITTER, METER, Pen, dec, exact_instrument, instrument, plan, sheet};
use super::verdict::{judged, ranges, word};
use crate::published::assert_near;

#[derive(Deserialize)]
struct Vector {
    name: String,
    voltage: String,
    cell: String,
    string_voc_v: Decimal,
    in_series: u32,
    percent_per_k: Decimal,
    tolerance_percent: Decimal,
    upper_v: Decimal,
    voltage_rows: Vec<[String; 5]>,
    cell_rows: Vec<[String; 5]>,
    expect: Expected,
}

#[derive(Deserialize)]
struct Expected {
    kind: String,
    lower: Option<Decimal>,
    upper: Option<Decimal>,
    sentence: Option<String>,
}

impl Vector {
    fn judged(&self) -> Result<Judgement, NotCounted> {
        let mut all = ranges(Unit::Volt, &self.voltage_rows);
        all.extend(ranges(Unit::Celsius, &self.cell_rows));
        let kind = StepKind::SolarOpen {
            string_voc_v: self.string_voc_v,
            in_series: self.in_series,
            percent_per_k: self.percent_per_k,
            tolerance_percent: self.tolerance_percent,
            upper_v: self.upper_v,
        };
        let payload = read(&self.voltage, &self.cell);
        judged(kind, payload, instrument(all))
    }
}

fn read(voltage: &str, cell: &str) -> Payload {
    Payload::SolarOpen {
        voltage_v: parse_typed(voltage).unwrap(),
        cell_c: parse_typed(cell).unwrap(),
        instrument: METER,
        thermometer: METER,
    }
}

#[test]
fn every_shared_case_gets_its_verdict_limits_and_sentence() {
    let vectors: Vec<Vector> = serde_json::from_str(include_str!("../data/solar.json")).unwrap();
    assert!(vectors.len() >= 50, "the shared cases are there");
    for vector in &vectors {
        let (result, expect) = (vector.judged(), &vector.expect);
        assert_eq!(word(&result), expect.kind, "{}", vector.name);
        let limits = expect.lower.zip(expect.upper).map(|(low, up)| Limits::between(low, up));
        let said = match &result {
            Ok(judgement) => {
                assert_eq!(judgement.own_limits(), limits, "{}", vector.name);
                &judgement.sentence
            }
            Err(NotCounted(why)) => why,
        };
        if let Some(sentence) = &expect.sentence {
            assert_eq!(said, sentence, "{}", vector.name);
        }
    }
}

/// What is shown beside a verdict never says the opposite of it.
#[test]
fn margin_and_uncertainty_of_every_shared_case_agree_with_its_verdict() {
    let vectors: Vec<Vector> = serde_json::from_str(include_str!("../data/solar.json")).unwrap();
    for vector in &vectors {
        let Ok(judgement) = vector.judged() else { continue };
        let (margin, guard) = (judgement.margin.unwrap(), judgement.uncertainty.unwrap());
        match judgement.verdict {
            Verdict::Fail => assert!(margin < Decimal::ZERO, "{}", vector.name),
            // Both are printed rounded, the margin to a hundredth downwards.
            Verdict::Pass => {
                assert!(margin + dec("0.01") > guard - dec("0.001"), "{}", vector.name);
            }
            _ => assert!(margin >= Decimal::ZERO && margin <= guard, "{}", vector.name),
        }
    }
}

/// G15 carried on: 21.6 V, −0.30 %/K (NEC 690.7(A)(1), from memory), cells at 60 °C. By hand:
/// 21.6 × (1 − 0.0030 × 35) = 19.332 V; 5 % (IEC 62446-1, from memory) is 0.9666 V.
#[test]
fn the_module_of_the_published_case_should_give_19_33_volts_at_60_degrees() {
    let found = expected_voltage(module(), Celsius(60.0)).unwrap();
    assert_near(found.expected.0, 19.332, 1e-9);
    let limits = one_module("55").limits(dec("60"));
    assert_eq!(one_module("55").expected_v(dec("60")), dec("19.332"));
    assert_eq!(limits, Some(Limits::between(dec("18.37"), dec("20.29"))));
    // The input's maximum cuts the band where it lies lower.
    let limits = one_module("20.28").limits(dec("60"));
    assert_eq!(limits, Some(Limits::between(dec("18.37"), dec("20.28"))));
}

fn module() -> SolarString {
    SolarString { module: Volts(21.6), coefficient: Some(-0.0030), in_series: 1 }
}

fn one_module(upper_v: &str) -> OpenString {
    OpenString {
        string_voc_v: dec("21.6"),
        in_series: 1,
        percent_per_k: dec("-0.30"),
        tolerance_percent: STRING_TOLERANCE_PERCENT,
        upper_v: dec(upper_v),
    }
}

#[test]
fn tolerance_and_coefficient_of_silicon_are_those_of_the_physics() {
    assert_near(physical(STRING_TOLERANCE_PERCENT), STRING_TOLERANCE * 100.0, 1e-12);
    assert_near(physical(SILICON_PERCENT_PER_K), VOC_COEFFICIENT_SILICON * 100.0, 1e-12);
}

#[test]
fn cells_from_forty_below_to_a_hundred_are_taken_and_none_beyond() {
    let string = one_module("55");
    for (cell, taken) in [("-40", true), ("-40.001", false), ("100", true), ("100.001", false)] {
        assert_eq!(string.limits(dec(cell)).is_some(), taken, "{cell}");
    }
    assert_eq!((CELL_COLDEST_C, CELL_HOTTEST_C), (dec("-40"), dec("100")));
}

fn solar_step(sheet: &Sheet) -> StepKind {
    sheet.step("prove.solar_string").unwrap().kind.clone()
}

/// 2 × 22.4 V by the plan, 55 V by the kit.
#[test]
fn the_step_holds_the_string_of_the_plan_and_the_maximum_of_the_kit() {
    let made = sheet(1, &plan());
    let expected = StepKind::SolarOpen {
        string_voc_v: dec("44.8"),
        in_series: 2,
        percent_per_k: dec("-0.28"),
        tolerance_percent: dec("5"),
        upper_v: dec("55"),
    };
    assert_eq!(solar_step(&made), expected);
    let basis = made.step("prove.solar_string").unwrap().basis.clone().unwrap();
    assert!(basis.contains("by the module's data sheet"), "{basis}");
    assert!(basis.contains("IEC 62446-1 (from memory)"), "{basis}");
    assert!(made.step("prove.solar_open").is_none(), "the old key keeps its old meaning");
    let wanted: Vec<(Unit, Decimal)> =
        Wanted::of(&expected).into_iter().map(|wanted| (wanted.unit, wanted.planned)).collect();
    assert_eq!(wanted, [(Unit::Volt, dec("44.8")), (Unit::Celsius, dec("40"))]);
}

#[test]
fn without_a_data_sheet_the_coefficient_is_that_of_silicon_and_the_basis_says_so() {
    let mut plan = plan();
    plan.solar.as_mut().unwrap().voc_percent_per_k = None;
    let made = sheet(1, &plan);
    let StepKind::SolarOpen { percent_per_k, .. } = solar_step(&made) else {
        unreachable!("a solar step");
    };
    assert_eq!(percent_per_k, dec("-0.40"));
    let basis = made.step("prove.solar_string").unwrap().basis.clone().unwrap();
    assert!(basis.contains("-0.4 %/K for silicon, from memory, since"), "{basis}");
}

/// Sheets are kept as they were made: this is the step as it was written before.
#[test]
fn an_old_sheet_with_the_plain_reading_is_read_and_judged_as_before() {
    const OLD: &str = r#"{"edition":1,"plan_edition":1,"kit_code":"TRAY-40","kit_edition":1,"steps":[
        {"key":"prove.solar_open","phase":"prove","title":"Solar, open circuit","how":"Measure.",
         "caution":null,"kind":"reading","unit":"V","limits":{"lower":"39.3","upper":"55"},
         "basis":"Hot cells."}]}"#;
    let old: Sheet = serde_json::from_str(OLD).unwrap();
    let kind = old.step("prove.solar_open").unwrap().kind.clone();
    for (value, verdict) in [("39.3", "pass"), ("39.299", "fail"), ("55", "pass")] {
        let payload = Payload::Reading { value: dec(value), instrument: METER };
        assert_eq!(word(&judged(kind.clone(), payload, exact_instrument())), verdict, "{value}");
    }
    let pair = judged(kind, read("41", "40"), exact_instrument());
    assert!(pair.unwrap_err().0.contains("solar_open, but the step wants reading"));
    assert_eq!(serde_json::from_str::<Sheet>(&old.text()).unwrap(), old);
}

#[test]
fn a_plain_reading_does_not_count_at_the_new_step() {
    let payload = Payload::Reading { value: dec("41"), instrument: METER };
    let result = judged(solar_step(&sheet(1, &plan())), payload, exact_instrument());
    assert!(result.unwrap_err().0.contains("reading, but the step wants solar_open"));
}

#[test]
fn both_instruments_must_be_fit() {
    let kind = solar_step(&sheet(1, &plan()));
    let volts_only =
        instrument(ranges(Unit::Volt, &[["0", "60", "0.01", "0.5", "3"].map(str::to_owned)]));
    let result = judged(kind.clone(), read("44", "25"), volts_only);
    assert!(result.unwrap_err().0.contains("does not measure °C"));
    let mut lapsed = exact_instrument();
    lapsed.calibrations[0].due_on = "2026-11-24".to_owned();
    assert_eq!(word(&judged(kind.clone(), read("-44", "25"), lapsed)), "uncounted");
    assert_eq!(word(&judged(kind, read("44", "25"), exact_instrument())), "pass");
}

#[test]
fn the_result_names_both_figures_its_own_limits_and_both_instruments() {
    let mut pen = Pen::with_sheet();
    pen.write(FITTER, "prove.solar_string", read("44.10", "31.0"));
    let state = pen.state();
    let step = state.step("prove.solar_string").unwrap();
    let result = step.result().unwrap();
    let judgement = result.judged.as_ref().unwrap();
    assert_eq!(judgement.value, "44.10 V at 31.0 °C");
    assert_eq!(judgement.figure, Some((dec("44.10"), Unit::Volt)));
    // 44.8 × (1 − 0.0028 × 6) = 44.04736 V.
    let words = judgement.limit_words(&step.step.kind);
    assert_eq!(words, "41.85 to 46.24 V");
    assert_eq!(judgement.limit_short(&step.step.kind), words);
    assert_eq!(result.body.payload.instruments(), [METER, METER]);
    assert_eq!(step.step.kind.limit_words(), "44.8 V at 25 °C, -0.28 %/K, ±5 %; at most 55 V");
    assert_eq!(step.step.kind.limit_short(), "±5 % of expected");
}

#[test]
fn who_reviews_sees_each_figure_by_itself() {
    let figures = |volts: &str| {
        let found = judged(solar_step(&sheet(1, &plan())), read(volts, "31"), exact_instrument());
        found.unwrap().open_circuit.unwrap().figures()
    };
    let told = figures("44.1");
    let expected = [
        ("Cells", "31 °C"),
        ("Expected", "44.05 V"),
        ("Allowed", "41.85 V to 46.24 V, never above 55 V"),
        ("Against it", "0.05 V ± 0.00 V more, 0.1 %"),
    ];
    assert_eq!(told, expected.map(|(name, words)| (name, words.to_owned())));
    assert!(figures("22").contains(&("As modules", "1 of 2".to_owned())));
    assert!(figures("-44").contains(&("Polarity", "wrong".to_owned())));
}

proptest! {
    /// The decimals here and the published physics of `engineering` are one thing.
    #[test]
    fn the_decimals_are_those_of_the_physics(
        module_mv in 1_000_i64..120_000,
        in_series in 1_u32..=12,
        percent in 5_i64..=100,
        tenths in -400_i64..=1_000,
    ) {
        let module_v = Decimal::new(module_mv, 3);
        let string = OpenString {
            string_voc_v: module_v * Decimal::from(in_series),
            in_series,
            percent_per_k: Decimal::new(-percent, 2),
            tolerance_percent: STRING_TOLERANCE_PERCENT,
            upper_v: dec("2000"),
        };
        let cell_c = Decimal::new(tenths, 1);
        let reading = OpenReading {
            voltage_v: string.string_voc_v,
            voltage_uncertainty_v: Decimal::ZERO,
            cell_c,
            cell_uncertainty_k: Decimal::ZERO,
        };
        let found = examine(reading, string);
        let modules = SolarString {
            module: Volts(physical(module_v)),
            coefficient: Some(physical(string.percent_per_k) / 100.0),
            in_series,
        };
        let physics = expected_voltage(modules, Celsius(physical(cell_c))).unwrap();
        let near = |decimal: Decimal, float: Volts| {
            (physical(decimal) - float.0).abs() <= 1e-9 * (1.0 + float.0.abs())
        };
        prop_assert!(near(found.expected_v, physics.expected));
        prop_assert!(near(found.least_v, physics.least));
        prop_assert!(near(found.most_v, physics.most));
    }

    /// A worse instrument never turns a fail into a pass, nor an open verdict into one.
    #[test]
    fn more_uncertainty_never_makes_a_pass(
        centivolts in -1_000_i64..6_000, volt in 0_i64..300, kelvin in 0_i64..300, more in 0_i64..300,
    ) {
        let at = |volt: i64, kelvin: i64| {
            let reading = OpenReading {
                voltage_v: Decimal::new(centivolts, 2),
                voltage_uncertainty_v: Decimal::new(volt, 2),
                cell_c: dec("40"),
                cell_uncertainty_k: Decimal::new(kelvin, 2),
            };
            examine(reading, one_module("21")).verdict()
        };
        let (finer, coarser) = (at(volt, kelvin), at(volt + more, kelvin + more));
        prop_assert!(coarser != Verdict::Pass || finer == Verdict::Pass);
        prop_assert_eq!(finer == Verdict::Fail, coarser == Verdict::Fail);
    }
}
