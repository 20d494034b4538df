//! The small limit bar: where its parts lie, worked out by hand.

use fusewright::documents::gauge::{Gauge, GaugeLimits};
use serde_json::json;

fn bar(low: Option<f64>, high: Option<f64>, guard: f64, reading: f64) -> Option<serde_json::Value> {
    let gauge = Gauge::new(GaugeLimits { low, high }, guard, reading)?;
    Some(serde_json::to_value(gauge).unwrap())
}

#[test]
fn a_two_sided_band_fills_the_middle_half() {
    // 20 to 28 on a bar from 16 to 32: guard 2 ends at (22-16)/16 and (26-16)/16.
    let expected =
        json!({ "low": 0.25, "high": 0.75, "safe_from": 0.375, "safe_to": 0.625, "needle": 0.5 });
    assert_eq!(bar(Some(20.0), Some(28.0), 2.0, 24.0), Some(expected));
}

#[test]
fn a_band_with_one_limit_runs_to_the_end_of_the_bar() {
    // At most 10 on a bar from 0 to 16.
    let expected =
        json!({ "low": null, "high": 0.625, "safe_from": 0.0, "safe_to": 0.5, "needle": 0.25 });
    assert_eq!(bar(None, Some(10.0), 2.0, 4.0), Some(expected));
    let low = bar(Some(10.0), None, 0.0, 11.0).unwrap();
    assert_eq!((low["safe_to"].as_f64(), low["needle"].as_f64()), (Some(1.0), Some(0.5)));
}

#[test]
fn a_reading_far_outside_stays_on_the_bar() {
    assert_eq!(bar(None, Some(10.0), 0.1, 1e9).unwrap()["needle"], json!(0.98));
    assert_eq!(bar(None, Some(10.0), 0.1, -1e9).unwrap()["needle"], json!(0.02));
}

#[test]
fn nothing_is_drawn_where_nothing_sensible_can_be() {
    assert_eq!(bar(None, None, 0.1, 1.0), None);
    assert_eq!(bar(Some(2.0), Some(1.0), 0.1, 1.0), None);
    assert_eq!(bar(None, Some(10.0), f64::NAN, 1.0), None);
    assert_eq!(bar(None, Some(10.0), -0.1, 1.0), None);
    assert_eq!(bar(Some(f64::MIN), Some(f64::MAX), 0.1, 1.0), None);
}
