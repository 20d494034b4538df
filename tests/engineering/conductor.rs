//! Conductor sizes by name, and how warm they get.

use std::collections::HashSet;

use fusewright::engineering::conductor::{
    ConductorLoad, ConductorSize, Family, conductor_temperature, conductor_temperature_square_root,
    resistance_at,
};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{NONSENSE, assert_refused, settings};

#[test]
fn a_size_is_read_in_every_way_it_is_written() {
    let ways = [
        ("16 mm²", "16 mm²"),
        ("16 mm2", "16 mm²"),
        ("16mm2", "16 mm²"),
        (" 16 ", "16 mm²"),
        ("2.50 mm²", "2.5 mm²"),
        ("0.75", "0.75 mm²"),
        ("6 AWG", "6 AWG"),
        ("6awg", "6 AWG"),
        ("2/0 AWG", "2/0 AWG"),
        ("4/0awg", "4/0 AWG"),
    ];
    for (written, label) in ways {
        assert_eq!(ConductorSize::parse(written).unwrap().label(), label, "{written}");
    }
}

#[test]
fn every_label_is_read_back_as_its_own_size() {
    for size in ConductorSize::all_metric().chain(ConductorSize::all_awg()) {
        assert_eq!(ConductorSize::parse(size.label()).unwrap(), size);
    }
}

#[test]
fn a_size_that_is_not_made_is_refused_with_the_list_of_those_that_are() {
    for written in ["17", "17 AWG", "16 AWG mm²", "", "NaN", "inf", "-16", "0/0 AWG", "5 AWG"] {
        assert_refused(ConductorSize::parse(written), "conductor size");
    }
    let sentence = ConductorSize::parse("17").unwrap_err().to_string();
    for size in ConductorSize::all_metric().chain(ConductorSize::all_awg()) {
        assert!(sentence.contains(size.label()), "{size} is missing");
    }
}

#[test]
fn sizes_grow_in_area_and_fall_in_resistance() {
    for family in [Family::Metric, Family::Awg] {
        let sizes: Vec<_> = ConductorSize::all(family).collect();
        for pair in sizes.windows(2) {
            assert!(pair[0].area() < pair[1].area(), "{}", pair[1]);
            assert!(pair[0].resistance_20c() > pair[1].resistance_20c(), "{}", pair[1]);
            assert_eq!(pair[0].next_larger(), Some(pair[1]));
            assert_eq!(pair[0].family(), family);
        }
        assert_eq!(sizes.last().unwrap().next_larger(), None);
    }
}

#[test]
fn sizes_can_be_kept_in_a_set() {
    let all: HashSet<_> = ConductorSize::all_metric().chain(ConductorSize::all_awg()).collect();
    assert_eq!(all.len(), 29);
    assert_eq!(format!("{:?}", ConductorSize::parse("16").unwrap()), "ConductorSize(16 mm²)");
}

fn load(ambient: f64, insulation_max: f64, share: f64) -> ConductorLoad {
    ConductorLoad {
        ambient: Celsius(ambient),
        insulation_max: Celsius(insulation_max),
        current: Amps(share * 60.0),
        ampacity: Amps(60.0),
    }
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn temperature_lies_between_the_air_and_the_insulation(
        ambient in -40.0_f64..55.0,
        insulation_max in 60.0_f64..200.0,
        share in 0.0_f64..=1.0,
    ) {
        let warm = conductor_temperature(load(ambient, insulation_max, share)).unwrap().0;
        prop_assert!(ambient <= warm && warm <= insulation_max + 1e-9);
        let cautious =
            conductor_temperature_square_root(load(ambient, insulation_max, share)).unwrap().0;
        prop_assert!(cautious >= warm - 1e-9);
    }

    #[test]
    fn a_warmer_conductor_has_more_resistance(cold in -60.0_f64..299.0, rise in 0.1_f64..1.0) {
        let at = |celsius| resistance_at(OhmsPerMetre(0.001), Celsius(celsius)).unwrap();
        prop_assert!(at(cold) < at(cold + rise));
    }
}

#[test]
fn the_full_ampacity_heats_to_the_insulations_temperature() {
    let at = |share| conductor_temperature(load(30.0, 105.0, share)).unwrap();
    assert_eq!(at(1.0), Celsius(105.0));
    assert_eq!(at(0.0), Celsius(30.0));
    // Twice the ampacity: 30 + 75 · 4. A finding, not a refusal.
    assert_eq!(at(2.0), Celsius(330.0));
}

#[test]
fn at_20_degrees_nothing_is_corrected() {
    assert_eq!(resistance_at(OhmsPerMetre(0.5), Celsius(20.0)).unwrap(), OhmsPerMetre(0.5));
}

#[test]
fn nonsense_is_refused() {
    for wrong in NONSENSE {
        assert_refused(resistance_at(OhmsPerMetre(wrong), Celsius(20.0)), "conductor resistance");
        let current = ConductorLoad { current: Amps(wrong), ..load(30.0, 105.0, 0.5) };
        assert_refused(conductor_temperature(current), "current");
        let ampacity = ConductorLoad { ampacity: Amps(wrong), ..load(30.0, 105.0, 0.5) };
        assert_refused(conductor_temperature_square_root(ampacity), "ampacity");
    }
    for wrong in [f64::NAN, f64::INFINITY, -60.1, 300.1] {
        let found = resistance_at(OhmsPerMetre(0.001), Celsius(wrong));
        assert_refused(found, "conductor temperature");
        assert_refused(conductor_temperature(load(wrong, 105.0, 0.5)), "ambient temperature");
    }
    let none = ConductorLoad { ampacity: Amps(0.0), ..load(30.0, 105.0, 0.5) };
    assert_refused(conductor_temperature(none), "ampacity");
}

#[test]
fn air_as_warm_as_the_insulation_allows_is_refused() {
    assert_refused(conductor_temperature(load(105.0, 105.0, 0.1)), "ambient temperature");
    assert_refused(conductor_temperature(load(110.0, 105.0, 0.1)), "ambient temperature");
    assert!(conductor_temperature(load(104.9, 105.0, 0.1)).is_ok());
}
