//! ABYC E-11 as marine catalogues print it: the short American formula and its tables.
//!
//! K = 10.75 and the formula are from memory, and reproduce the printed tables; the worked cases
//! and the reading of the length as a round trip were seen in public copies.

use fusewright::engineering::ampacity::{Insulation, Place, Surroundings, base_ampacity};
use fusewright::engineering::cable_choice::{Back, Demand, least_size};
use fusewright::engineering::conductor::{ConductorSize, Family, resistance_at};
use fusewright::engineering::units::*;
use fusewright::engineering::voltage_drop::{circular_mils_needed, drop_iso_short};

use super::{assert_near, size};

/// Volts allowed, amperes, feet there and back, circular mils (computed from the formula), smallest
/// gauge by nominal area.
const CASES: [(f64, f64, f64, f64, &str); 7] = [
    // 12 V, 3 %, 10 A, 11 ft out and 10 ft back; the catalogue's table rounds up to 25 ft: 10 AWG.
    (0.36, 10.0, 21.0, 6271.0, "12 AWG"),
    (0.36, 10.0, 25.0, 7465.0, "10 AWG"),
    // 12 V, 10 %: the same run; 45 A over 40 ft.
    (1.20, 10.0, 21.0, 1881.0, "16 AWG"),
    (1.20, 45.0, 40.0, 16_125.0, "8 AWG"),
    // 12 V, 3 %: three entries of the table.
    (0.36, 15.0, 20.0, 8958.0, "10 AWG"),
    (0.36, 20.0, 40.0, 23_889.0, "6 AWG"),
    (0.36, 10.0, 15.0, 4479.0, "12 AWG"),
];

fn smallest_with(area: CircularMils) -> Option<&'static str> {
    ConductorSize::all_awg()
        .find(|size| size.area().to_circular_mils() >= area)
        .map(ConductorSize::label)
}

#[test]
fn circular_mils_are_as_worked_in_the_catalogues() {
    for (volts, amps, feet, printed, gauge) in CASES {
        let length = Metres::from_feet(feet);
        let area = circular_mils_needed(Amps(amps), length, Volts(volts)).unwrap();
        assert_near(area.0, printed, 1.0);
        assert_eq!(smallest_with(area), Some(gauge), "{amps} A, {feet} ft");
    }
}

/// Golden case G03 (b): 24 V, 3 %, 100 A, 10 ft (seen): 14 931 cmil is 8 AWG by drop, but 8 AWG
/// with 105 °C insulation carries only 80 A, so that it must be 6 AWG.
#[test]
fn two_criteria_and_the_larger_size_wins() {
    let area = circular_mils_needed(Amps(100.0), Metres::from_feet(10.0), Volts(0.72)).unwrap();
    assert_near(area.0, 14_931.0, 1.0);
    assert_eq!(smallest_with(area), Some("8 AWG"));
    assert_eq!(base_ampacity(size("8 AWG"), Insulation::C105).unwrap(), Amps(80.0));

    let demand = Demand {
        current: Amps(100.0),
        allowed_drop: Volts(0.72),
        insulation: Insulation::C105,
        surroundings: Surroundings {
            ambient: Celsius(30.0),
            place: Place::Outside,
            circuits_bundled: 1,
        },
        joints: Ohms(0.0),
        protection: None,
    };
    let half = Metres::from_feet(5.0);
    let found = least_size(Family::Awg, &demand, half, Back::SameSize(half)).unwrap().unwrap();
    assert_eq!(found.size, size("6 AWG"));
}

/// K = 10.75 Ω·cmil/ft is 0.017 871 Ω·mm²/m, copper at 29.3 °C; the metric 0.0164 is copper at 7.6 °C,
/// 9.865 Ω·cmil/ft, 8.2 % less (computed).
#[test]
fn the_two_short_formulas_are_copper_at_29_and_at_8_degrees() {
    let one = circular_mils_needed(Amps(1.0), Metres::from_feet(1.0), Volts(1.0)).unwrap();
    let metric = one.to_square_millimetres().0 / METRES_PER_FOOT;
    assert_near(metric, 0.017_871, 0.000_000_6);
    let copper = |celsius| resistance_at(OhmsPerMetre(1.0 / 58.0), Celsius(celsius)).unwrap().0;
    assert_near(copper(29.3), metric, 0.000_004);
    let iso = drop_iso_short(Amps(1.0), Metres(1.0), SquareMillimetres(1.0)).unwrap().0;
    assert_near(copper(7.6), iso, 0.000_004);
    assert_near(100.0 * (1.0 - iso / metric), 8.2, 0.05);
}
