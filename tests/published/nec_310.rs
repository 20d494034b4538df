//! NEC 310.15: corrections of building wire (seen in a state's residential code).

use fusewright::engineering::ampacity::{
    Insulation, Place, ambient_factor, grouping_factor_conductors,
};
use fusewright::engineering::units::Celsius;

use super::assert_near;

/// 310.15(C)(1) (seen): first and last number of conductors of each row, factor.
const CONDUCTORS: [(u32, u32, f64); 7] = [
    (1, 3, 1.00),
    (4, 6, 0.80),
    (7, 9, 0.70),
    (10, 20, 0.50),
    (21, 30, 0.45),
    (31, 40, 0.40),
    (41, 1000, 0.35),
];

#[test]
fn grouping_by_conductors_as_printed_at_both_ends_of_each_row() {
    for (first, last, factor) in CONDUCTORS {
        assert_eq!(grouping_factor_conductors(first), Ok(factor));
        assert_eq!(grouping_factor_conductors(last), Ok(factor));
    }
    assert!(grouping_factor_conductors(0).is_err());
}

/// Ambient table (seen): upper end of the band [°C], factors of 60, 75 and 90 °C insulation.
#[test]
fn ambient_factors_are_those_of_the_upper_end_of_each_band() {
    let bands = [
        (40.0, [Some(0.82), Some(0.88), Some(0.91)]),
        (50.0, [Some(0.58), Some(0.75), Some(0.82)]),
        (55.0, [Some(0.41), Some(0.67), Some(0.76)]),
        (70.0, [None, Some(0.33), Some(0.58)]),
        (85.0, [None, None, Some(0.29)]),
    ];
    let classes = [Insulation::C60, Insulation::C75, Insulation::C90];
    for (celsius, row) in bands {
        for (insulation, printed) in classes.into_iter().zip(row) {
            let found = ambient_factor(insulation, Celsius(celsius), Place::Outside);
            match printed {
                Some(printed) => assert_near(found.unwrap(), printed, 0.005),
                // No factor is printed where the air is as warm as the insulation may be.
                None => assert!(found.is_err(), "{insulation:?} at {celsius} °C"),
            }
        }
    }
}
