//! Torque tools: ranges without holes, exact deviations, and what is refused.

use fusewright::engineering::torque_tool::{
    ToolRange, TorqueTool, check_usable, permitted_deviation, permitted_percent, resolution_max,
    torque_uncertainty, true_torque, usable_ranges,
};
use fusewright::engineering::uncertainty::expanded;
use proptest::prelude::*;
use rust_decimal::Decimal;

use super::{assert_refused, settings};
use crate::published::decimal;

fn any_tool() -> impl Strategy<Value = TorqueTool> {
    prop::sample::select(TorqueTool::ALL.to_vec())
}

fn any_torque() -> impl Strategy<Value = Decimal> {
    (1_i64..1_000_000, 0_u32..=3)
        .prop_map(|(mantissa, scale)| Decimal::new(mantissa, scale))
        .prop_filter("a torque of a vehicle", |torque| *torque <= Decimal::from(10_000))
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn the_true_torque_lies_around_the_torque_by_the_deviation(
        tool in any_tool(),
        torque in any_torque(),
    ) {
        let band = true_torque(tool, torque).unwrap();
        let deviation = permitted_deviation(tool, torque).unwrap();
        prop_assert_eq!(band.to - torque, deviation);
        prop_assert_eq!(torque - band.from, deviation);
        prop_assert_eq!(deviation * Decimal::ONE_HUNDRED, torque * band.percent);
        prop_assert_eq!(resolution_max(tool, torque).unwrap() * Decimal::from(4), deviation);
    }

    /// Between the half-width and 2/√3 of it and a step: never less than √3 · u of a rectangle.
    #[test]
    fn the_uncertainty_is_that_of_an_instrument_with_this_percentage(
        tool in any_tool(),
        torque in any_torque(),
    ) {
        let percent = permitted_percent(tool, torque).unwrap();
        let as_instrument = expanded(torque, percent, 0, Decimal::ZERO);
        let found = torque_uncertainty(tool, torque).unwrap();
        prop_assert_eq!(found, as_instrument);
        let half_width = permitted_deviation(tool, torque).unwrap();
        prop_assert!(found >= half_width * decimal("1.1547005383"));
        prop_assert!(found <= half_width * decimal("1.1547005385") + decimal("0.000001"));
    }

    #[test]
    fn ranges_join_without_a_hole_and_end_at_a_fifth_and_at_the_top(
        tool in any_tool(),
        top in any_torque(),
    ) {
        let ranges = usable_ranges(tool, top).unwrap();
        prop_assert_eq!(ranges[0].from, top * decimal("0.2"));
        prop_assert_eq!(ranges[ranges.len() - 1].to, top);
        for pair in ranges.windows(2) {
            prop_assert_eq!(pair[0].to, pair[1].from);
            prop_assert!(pair[0].percent > pair[1].percent);
        }
        for range in &ranges {
            prop_assert!(range.from <= range.to);
            // Of two that touch, the lower one has the torque between.
            prop_assert_eq!(permitted_percent(tool, range.to).unwrap(), range.percent);
        }
    }

    #[test]
    fn what_a_range_holds_is_usable_and_nothing_beside_it(
        top in any_torque(),
        torque in any_torque(),
    ) {
        let inside = torque >= top * decimal("0.2") && torque <= top;
        prop_assert_eq!(check_usable(top, torque).is_ok(), inside);
    }
}

/// By hand: 50 × 0.2 = 10, the last torque with 6 %; 51 × 0.2 = 10.2, all of it with 4 %.
#[test]
fn the_range_is_split_at_ten_newton_metres_only_where_it_holds_them() {
    let ranges = |top| usable_ranges(TorqueTool::SettingGraduated, decimal(top)).unwrap();
    let range = |from, to, percent| ToolRange {
        from: decimal(from),
        to: decimal(to),
        percent: decimal(percent),
    };
    assert_eq!(ranges("50"), [range("10", "10", "6"), range("10", "50", "4")]);
    assert_eq!(ranges("51"), [range("10.2", "51", "4")]);
    assert_eq!(ranges("10"), [range("2", "10", "6")]);
    assert_eq!(ranges("10.1"), [range("2.02", "10", "6"), range("10", "10.1", "4")]);
}

#[test]
fn a_tool_is_usable_from_a_fifth_to_its_top_and_not_beyond() {
    for (torque, usable) in [("9.99", false), ("10", true), ("50", true), ("50.01", false)] {
        assert_eq!(check_usable(decimal("50"), decimal(torque)).is_ok(), usable, "{torque}");
    }
    assert_refused(check_usable(decimal("50"), decimal("-20")), "torque");
}

#[test]
fn no_torque_and_too_much_are_refused() {
    let tool = TorqueTool::SettingGraduated;
    for wrong in ["0", "-1", "10000.1"] {
        let wrong = decimal(wrong);
        assert_refused(permitted_percent(tool, wrong), "torque");
        assert_refused(permitted_deviation(tool, wrong), "torque");
        assert_refused(torque_uncertainty(tool, wrong), "torque");
        assert_refused(true_torque(tool, wrong), "torque");
        assert_refused(resolution_max(tool, wrong), "torque");
        assert_refused(usable_ranges(tool, wrong), "top of the torque tool's range");
        assert_refused(check_usable(wrong, decimal("5")), "top of the torque tool's range");
    }
    assert!(permitted_percent(tool, decimal("10000")).is_ok());
}

#[test]
fn every_kind_has_words_of_its_own() {
    let mut labels = TorqueTool::ALL.map(|tool| tool.to_string()).to_vec();
    labels.sort();
    labels.dedup();
    assert_eq!(labels.len(), TorqueTool::ALL.len());
    assert_eq!(TorqueTool::IndicatingBar.label(), "indicating wrench with a bending bar");
}
