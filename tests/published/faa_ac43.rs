//! FAA AC 43.13-1B, chapter 11: wiring of aircraft (public domain, seen page by page).

use fusewright::engineering::ampacity::{Insulation, Place, Surroundings, ampacity};
use fusewright::engineering::conductor::{
    ConductorLoad, conductor_temperature, conductor_temperature_square_root, resistance_at,
};
use fusewright::engineering::units::*;
use fusewright::engineering::voltage_drop::{Leg, Path, Return, voltage_drop};

use super::{assert_near, size};

/// The drop of a run whose resistance the circular gives, as a path of that resistance alone.
#[expect(clippy::expect_used, reason = "a helper of tests; the path is a plain one")]
fn drop_of(ohm_per_foot: f64, feet: f64, current: f64) -> f64 {
    let nothing = Leg { size: size("16 mm²"), length: Metres(0.0) };
    let run = Ohms(ohm_per_foot * feet);
    let path = Path { out: nothing, back: Return::Chassis(run), joints: Ohms(0.0) };
    voltage_drop(Amps(current), &path, Celsius(20.0)).expect("a plain path").0
}

/// Golden case G04, table 11-7 (seen): Ω/ft, ft, A, V. The third is printed 3.60; R·L·I gives
/// 3.555, the printed one is a slip of rounding.
#[test]
fn table_11_7_drops() {
    let rows = [
        (0.000_44, 107.0, 20.0, 0.942),
        (0.000_28, 90.0, 20.0, 0.504),
        (0.002_02, 88.0, 20.0, 3.555),
        (0.003_06, 100.0, 20.0, 6.12),
    ];
    for (ohm_per_foot, feet, current, volts) in rows {
        assert_near(drop_of(ohm_per_foot, feet, current), volts, 0.002);
    }
}

/// Table 11-8 (seen): number 10 wire. The second is printed 0.366; R·L·I gives 0.491, the printed
/// one is an erratum.
#[test]
fn table_11_8_drops() {
    for (feet, volts) in [(39.0, 0.983), (19.5, 0.491), (156.0, 3.931), (273.0, 6.880)] {
        assert_near(drop_of(0.001_26, feet, 20.0), volts, 0.002);
    }
}

/// Example 1 (seen): 20 A over 50 ft with 1 V allowed; number 10 loses 1.26 V, number 8 0.70 V.
#[test]
fn example_1_falls_between_number_10_and_number_8() {
    assert_near(drop_of(0.001_26, 50.0, 20.0), 1.26, 0.005);
    assert_near(drop_of(0.000_70, 50.0, 20.0), 0.70, 0.005);
}

/// Example 2: 20 A of 26 A in 50 °C air, 200 °C wire (inputs seen). Result 182 °C and a run
/// shortened from 15.5 ft to 9.5 ft (from memory; both recompute).
#[test]
fn example_2_by_the_square_root_rule() {
    let load = ConductorLoad {
        ambient: Celsius(50.0),
        insulation_max: Celsius(200.0),
        current: Amps(20.0),
        ampacity: Amps(26.0),
    };
    let warm = conductor_temperature_square_root(load).unwrap();
    assert_near(warm.0, 182.0, 0.5);
    // L2 = 254.5 · L1 / (234.5 + T2): the run shortens as the resistance grows (formula seen).
    let growth = resistance_at(OhmsPerMetre(1.0), warm).unwrap();
    assert_near(15.5 / growth.0, 9.5, 0.05);
    // The circular calls its rule conservative: the heat balance gives 50 + 150 · (20/26)² =
    // 138.8 °C.
    assert_near(conductor_temperature(load).unwrap().0, 138.8, 0.05);
}

/// Table 11-9 (seen): bundled wire in 70 °C air, 105 °C conductor [A]: a lower bound on what the
/// same gauge carries alone in such air.
#[test]
fn a_bundled_aircraft_wire_never_carries_more_than_ours_alone() {
    let rows = [
        ("18 AWG", 6.0),
        ("16 AWG", 7.0),
        ("14 AWG", 10.0),
        ("12 AWG", 13.0),
        ("10 AWG", 17.0),
        ("8 AWG", 38.0),
        ("6 AWG", 50.0),
        ("4 AWG", 68.0),
        ("2 AWG", 95.0),
        ("1 AWG", 113.0),
        ("1/0 AWG", 128.0),
        ("2/0 AWG", 147.0),
        ("3/0 AWG", 172.0),
        ("4/0 AWG", 204.0),
    ];
    let air = Surroundings { ambient: Celsius(70.0), place: Place::Outside, circuits_bundled: 1 };
    for (label, bundled) in rows {
        let alone = ampacity(size(label), Insulation::C105, air).unwrap().value;
        assert!(alone.0 >= bundled, "{label}: {alone}");
    }
}

/// Table 11-9 (seen): tin-plated aircraft wire at 20 °C [Ω/kft]. Its strands have less copper than the
/// gauge (12 AWG: 5 874 of 6 530 cmil), so it lies above the building wire of table 8: 12 AWG by 24 %
/// (computed).
#[test]
fn aircraft_wire_has_more_resistance_than_the_gauge() {
    let rows = [
        ("12 AWG", 2.02),
        ("10 AWG", 1.26),
        ("8 AWG", 0.70),
        ("6 AWG", 0.44),
        ("4 AWG", 0.28),
        ("2 AWG", 0.18),
    ];
    for (label, ohm_per_kft) in rows {
        let ours = size(label).resistance_20c().0 * 1000.0 * METRES_PER_FOOT;
        let more = 100.0 * (ohm_per_kft / ours - 1.0);
        assert!((5.0..=25.0).contains(&more), "{label}: {more:.1} %");
    }
    let twelve = size("12 AWG").resistance_20c().0 * 1000.0 * METRES_PER_FOOT;
    assert_near(100.0 * (2.02 / twelve - 1.0), 24.0, 0.5);
}

/// Paragraph 11-66 (seen): copper's line ends at −234.5 °C, so 254.5 / (234.5 + T) shortens a run.
/// Aluminium is printed with 238.1; IEC 60228 has 228 (from memory). Copper only here.
#[test]
fn a_warmer_wire_shortens_the_run_by_the_printed_ratio() {
    for (celsius, ratio) in [(20.0, 1.0), (105.0, 0.749_63), (200.0, 0.585_73)] {
        let growth = resistance_at(OhmsPerMetre(1.0), Celsius(celsius)).unwrap();
        assert_near(1.0 / growth.0, ratio, 0.000_01);
    }
}
