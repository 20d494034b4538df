//! The solar input: the coldest morning, the hottest afternoon, current, cable, fuses.

use fusewright::domain::finding::Finding;
use fusewright::domain::finding::Outcome::{Caution, Ok, Stop};
use fusewright::domain::kit::SolarInput;
use fusewright::domain::plan::SolarPlan;
use fusewright::engineering::conductor::ConductorSize;

use super::super::cast::dec;
use super::{after, all_after, has_formula, is_told, named, said, says, sources};

fn after_solar(id: &str, change: impl FnOnce(&mut SolarInput, &mut SolarPlan)) -> Finding {
    after(id, |kit, plan| change(kit.solar.as_mut().unwrap(), plan.solar.as_mut().unwrap()))
}

/// By hand: two modules of 22.4 V by table: 44.8 · 1.20 = 53.8 V at −25 °C, 44.8 · 1.23 = 55.1 V at
/// −35 °C, against 55 V. Below the table's end: 44.8 · 1.28 = 57.3 V.
#[test]
fn a_string_that_outgrows_the_input_on_the_coldest_morning_stops() {
    let at = |coldest: &str| {
        let found =
            after_solar("solar.cold_voltage", |_, modules| modules.coldest_c = dec(coldest));
        (format!("{:.1}", found.value), found.outcome)
    };
    assert_eq!(at("-25"), ("53.8".to_owned(), Ok));
    assert_eq!(at("-30"), ("54.2".to_owned(), Ok));
    assert_eq!(at("-35"), ("55.1".to_owned(), Stop));
    assert_eq!(at("-45"), ("57.3".to_owned(), Stop));
}

/// By hand: 44.8 V · 1.18 at −18 °C = 52.864 V; by the coefficient 44.8 · (1 + 0.0028 · 43) = 50.2 V.
#[test]
fn the_larger_cold_voltage_counts_up_to_the_inputs_maximum() {
    let taking = |volts: &str| {
        let volts = dec(volts);
        after_solar("solar.cold_voltage", |input, _| input.voltage_max_v = volts)
    };
    assert_eq!(said(&taking("52.864")), says("52.9 V", "at most 52.9 V", Ok));
    let beyond = taking("52.863");
    assert_eq!(said(&beyond), says("52.9 V", "at most 52.9 V", Stop));
    has_formula(&beyond, &["50.2 V", "44.8 V · 1.18 = 52.9 V"]);
    assert_eq!(beyond.sources.len(), 3);
}

/// By hand: cells at 38 + (45 − 20)/800 · 1000 = 69.25 °C; 44.8 · (1 − 0.0028 · 44.25) = 39.24928 V.
#[test]
fn hot_modules_still_start_the_input_or_warn() {
    let starting_at = |volts: &str| {
        let volts = dec(volts);
        after_solar("solar.hot_voltage", |input, _| input.voltage_start_v = volts)
    };
    assert_eq!(said(&starting_at("39.24928")), says("39.2 V", "at least 39.2 V", Ok));
    let beyond = starting_at("39.24929");
    assert_eq!(said(&beyond), says("39.2 V", "at least 39.2 V", Caution));
    has_formula(&beyond, &["2 in series", "39.2 V", "69 °C"]);
}

/// By hand: a data sheet's 48 °C makes 38 + 35 = 73 °C and 44.8 · (1 − 0.0028 · 48) = 38.779 V.
#[test]
fn the_data_sheets_cell_temperature_goes_before_the_usual_one() {
    let usual = after_solar("solar.hot_voltage", |_, _| {});
    assert!(sources(&usual)[1].ends_with("45 °C (common practice, no source)"));
    let known = after_solar("solar.hot_voltage", |_, modules| modules.noct_c = Some(dec("48")));
    assert_eq!(known.value_text(), "38.8 V");
    has_formula(&known, &["73 °C"]);
    assert!(sources(&known)[1].ends_with("data sheet (as planned)"));
}

/// Cells above 120 °C are no cells: 60 + (70 − 20)/800 · 1000 = 122.5 °C.
#[test]
fn cells_that_no_formula_takes_stop_under_their_own_name() {
    let all = all_after(|_, plan| {
        let modules = plan.solar.as_mut().unwrap();
        (modules.noct_c, modules.hottest_c) = (Some(dec("70")), dec("60"));
    });
    let found = named(&all, "solar.hot_voltage");
    assert_eq!(found.outcome, Stop);
    assert!(found.reason.contains("cell temperature"), "{}", found.reason);
    assert_eq!(named(&all, "solar.cold_voltage").outcome, Ok);
}

/// By hand: 1.25 · Isc · strings (NEC 690.8). 1.25 · 0.52 A · 3 = 1.95 A, which is a hair more in
/// binary figures and must not be judged by that.
#[test]
fn the_current_in_the_brightest_sun_is_at_most_the_inputs() {
    for (amps, strings, most, outcome) in [
        ("6.2", 1, "7.75", Ok),
        ("6.2", 1, "7.74", Caution),
        ("5.6", 2, "14", Ok),
        ("5.61", 2, "14", Caution),
        ("0.52", 3, "1.95", Ok),
        ("0.52", 3, "1.949", Caution),
        ("0.53", 1, "0.6625", Ok),
    ] {
        let found = after_solar("solar.current", |input, modules| {
            input.current_max_a = dec(most);
            (modules.module_isc_a, modules.in_parallel) = (dec(amps), strings);
        });
        assert_eq!(found.outcome, outcome, "{amps} A · {strings}");
        assert_eq!(found.margin_percent().unwrap() < 0.0, outcome == Caution, "{amps} A");
    }
    has_formula(&after_solar("solar.current", |_, _| {}), &["1.25 · 6.20 A · 1 = 7.75 A"]);
}

/// By hand: 1.5625 · 25.6 A = 40 A, what 4 mm² carries (ISO 10133, 90 °C; from memory) at 30 °C.
#[test]
fn the_cable_carries_a_long_bright_day() {
    let giving = |amps: &str| {
        let amps = dec(amps);
        after("solar.cable", |_, plan| {
            let run = &mut plan.circuits[2];
            (run.cable, run.ambient_c) = (ConductorSize::parse("4 mm2").unwrap(), dec("30"));
            plan.solar.as_mut().unwrap().module_isc_a = amps;
        })
    };
    assert_eq!(said(&giving("25.6")), says("40.0 A", "at most 40.0 A", Ok));
    let beyond = giving("25.61");
    assert_eq!(said(&beyond), says("40.0 A", "at most 40.0 A", Stop));
    has_formula(&beyond, &["1.5625 · Isc · strings = 40.0 A", "4 mm² carries 40.0 A"]);
}

/// By hand: 1.5 · 6.2 A = 9.3 A < In < 2.4 · 6.2 A = 14.88 A (IEC 62548; from memory).
#[test]
fn three_strings_want_a_fuse_each_that_fits_module_and_sun() {
    let fused = |strings: u32, most: Option<&str>| {
        after_solar("solar.string_fuse", |_, modules| {
            (modules.in_parallel, modules.module_fuse_max_a) = (strings, most.map(dec));
        })
    };
    assert!(!is_told("solar.string_fuse", |_, plan| plan.solar.as_mut().unwrap().in_parallel = 2));
    let unknown = fused(3, None);
    assert_eq!((unknown.outcome, unknown.value_text().as_str()), (Caution, "–"));
    assert!(unknown.remedy.unwrap().starts_with("Fill in the largest string fuse"));
    let none = fused(3, Some("9.3"));
    assert_eq!(said(&none), says("9.30 A", "at most 9.30 A", Stop));
    assert_eq!(said(&fused(3, Some("9.31"))), says("9.30 A", "at most 9.31 A", Ok));
    let wide = fused(12, Some("20"));
    assert_eq!(said(&wide), says("9.30 A", "at most 14.9 A", Ok));
    has_formula(&wide, &["1.5 · Isc = 9.3 A", "2.4 · Isc = 14.9 A", "at most 20.0 A"]);
}

#[test]
fn a_kit_without_a_solar_input_is_told_nothing_of_it() {
    let all = all_after(|kit, plan| (kit.solar, plan.solar) = (None, None));
    assert!(!all.iter().any(|finding| finding.id == "solar.current"));
}
