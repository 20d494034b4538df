//! Ampacity: the two tables held together, and corrections that only go one way.

use fusewright::engineering::ampacity::{
    Insulation, Place, Surroundings, ambient_factor, ampacity, base_ampacity,
};
use fusewright::engineering::conductor::{ConductorSize, Family};
use fusewright::engineering::units::*;
use proptest::prelude::*;

use super::{air, any_insulation, any_size, assert_refused, settings};
use crate::published::{assert_near, size};

/// The American figure at an area, on straight lines between logarithms, worked apart from the
/// program: through the two gauges whose areas enclose it, or the two smallest below them.
#[expect(clippy::indexing_slicing, reason = "windows of two have two")]
pub(crate) fn american_by_area(area: f64, insulation: Insulation) -> f64 {
    let points: Vec<(f64, f64)> = ConductorSize::all_awg()
        .filter_map(|gauge| Some((gauge.area().0, base_ampacity(gauge, insulation).ok()?.0)))
        .collect();
    let line = points.windows(2).find(|pair| area <= pair[1].0).map(|pair| (pair[0], pair[1]));
    let (below, above) = line.unwrap_or_default();
    let exponent = (area / below.0).ln() / (above.0 / below.0).ln();
    below.1 * (above.1 / below.1).powf(exponent)
}

#[test]
fn no_metric_size_carries_more_than_the_american_figures_at_its_area() {
    for insulation in Insulation::ALL {
        for size in ConductorSize::all_metric().skip(1) {
            let ours = base_ampacity(size, insulation).unwrap().0;
            let bound = american_by_area(size.area().0, insulation);
            assert!(ours <= bound + 1e-9, "{size} {insulation:?}: {ours} above {bound}");
        }
    }
}

/// Where the recalled figure is above the bound, the bound itself is the answer, not something
/// lower.
#[test]
fn a_bounded_size_carries_the_bound() {
    let ours = base_ampacity(size("50 mm²"), Insulation::C70).unwrap().0;
    assert_near(ours, american_by_area(50.0, Insulation::C70), 1e-9);
    let small = base_ampacity(size("0.75 mm²"), Insulation::C200).unwrap().0;
    assert_near(small, american_by_area(0.75, Insulation::C200), 1e-9);
}

#[test]
fn a_larger_size_never_carries_less() {
    for insulation in Insulation::ALL {
        for family in [Family::Metric, Family::Awg] {
            let carried: Vec<_> = ConductorSize::all(family)
                .filter_map(|size| base_ampacity(size, insulation).ok())
                .collect();
            assert!(carried.is_sorted(), "{family:?} {insulation:?}: {carried:?}");
        }
    }
}

#[test]
fn better_insulation_never_carries_less() {
    for size in ConductorSize::all_metric().skip(1).chain(ConductorSize::all_awg()) {
        let carried = Insulation::ALL.map(|class| base_ampacity(size, class).unwrap());
        assert!(carried.is_sorted(), "{size}: {carried:?}");
    }
}

/// The American table has no 70 °C column: the next lower one is read.
#[test]
fn seventy_degrees_counts_as_sixty_in_the_american_table() {
    for gauge in ConductorSize::all_awg() {
        let lower = base_ampacity(gauge, Insulation::C60).unwrap();
        assert_eq!(base_ampacity(gauge, Insulation::C70).unwrap(), lower, "{gauge}");
    }
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn warmer_air_never_raises_the_ampacity(
        size in any_size(),
        insulation in any_insulation(),
        cool in -40.0_f64..50.0,
        rise in 0.0_f64..9.0,
    ) {
        let at = |celsius| ampacity(size, insulation, air(celsius)).unwrap().value;
        prop_assert!(at(cool + rise) <= at(cool));
    }

    #[test]
    fn an_engine_space_carries_no_more_than_the_same_air_outside_but_for_200_degrees(
        insulation in any_insulation(),
        ambient in -40.0_f64..59.0,
    ) {
        prop_assume!(insulation != Insulation::C200);
        let factor = |place| ambient_factor(insulation, Celsius(ambient), place).unwrap();
        // The printed 0.58, 0.75, 0.78 and 0.82 are the formula at 50 °C, rounded.
        prop_assert!(factor(Place::EngineSpace) <= factor(Place::Outside) + 0.0065);
    }

    #[test]
    fn a_hotter_engine_space_never_raises_the_factor(
        insulation in any_insulation(),
        cool in -40.0_f64..50.0,
        rise in 0.0_f64..9.0,
    ) {
        let at = |air| ambient_factor(insulation, Celsius(air), Place::EngineSpace).unwrap();
        prop_assert!(at(cool + rise) <= at(cool));
    }

    #[test]
    fn more_circuits_never_raise_the_ampacity(
        size in any_size(),
        insulation in any_insulation(),
        circuits in 1_u32..20,
    ) {
        let with = |circuits_bundled| {
            let company = Surroundings { circuits_bundled, ..air(30.0) };
            ampacity(size, insulation, company).unwrap().value
        };
        prop_assert!(with(circuits + 1) <= with(circuits));
    }

    #[test]
    fn the_result_is_the_product_of_its_parts(
        size in any_size(),
        insulation in any_insulation(),
        ambient in -40.0_f64..59.0,
        circuits_bundled in 1_u32..=20,
    ) {
        let place = Place::EngineSpace;
        let around = Surroundings { ambient: Celsius(ambient), place, circuits_bundled };
        let found = ampacity(size, insulation, around).unwrap();
        let product = found.base.0 * found.ambient_factor * found.grouping_factor;
        prop_assert!((found.value.0 - product).abs() < 1e-9);
        prop_assert_eq!(found.base, base_ampacity(size, insulation).unwrap());
    }
}

#[test]
fn at_the_tables_own_temperature_nothing_is_corrected() {
    let found = ampacity(size("6 AWG"), Insulation::C105, air(30.0)).unwrap();
    assert_eq!((found.base, found.value), (Amps(120.0), Amps(120.0)));
}

/// By the formula at 50 °C, √(20/40) = 0.7071, since the printed note has no 70 °C; above 50 °C the
/// formula for all, √(45/75) = 0.7746 at 60 °C for 105 °C.
#[test]
#[expect(clippy::approx_constant, reason = "worked by hand to four digits")]
fn engine_spaces_the_note_does_not_cover_go_by_the_formula() {
    let factor =
        |class, celsius| ambient_factor(class, Celsius(celsius), Place::EngineSpace).unwrap();
    assert_near(factor(Insulation::C70, 20.0), 0.7071, 0.0001);
    assert_near(factor(Insulation::C70, 50.0), 0.7071, 0.0001);
    assert_near(factor(Insulation::C105, 60.0), 0.7746, 0.0001);
    assert_near(factor(Insulation::C105, 20.0), 0.85, 0.0);
    assert_near(factor(Insulation::C200, 60.0), 0.9075, 0.0001);
}

#[test]
fn air_that_no_cable_stands_is_refused() {
    for wrong in [f64::NAN, f64::INFINITY, -60.1, 105.0, 200.0] {
        let found = ampacity(size("16 mm²"), Insulation::C105, air(wrong));
        assert_refused(found, "ambient temperature");
    }
    assert!(ampacity(size("16 mm²"), Insulation::C105, air(104.9)).is_ok());
}

#[test]
fn only_the_listed_temperature_classes_are_read() {
    for class in Insulation::ALL {
        assert_eq!(Insulation::parse_celsius(class.max().0).unwrap(), class);
    }
    for wrong in [f64::NAN, 0.0, 85.0, 106.0, -60.0] {
        let found = Insulation::parse_celsius(wrong);
        assert_refused(found, "temperature class of the insulation");
    }
}

#[test]
fn no_company_and_too_much_company_are_refused() {
    for circuits_bundled in [0, 21] {
        let company = Surroundings { circuits_bundled, ..air(30.0) };
        let found = ampacity(size("16 mm²"), Insulation::C105, company);
        assert_refused(found, "number of bunched circuits");
    }
}
