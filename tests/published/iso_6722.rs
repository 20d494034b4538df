//! ISO 6722-1:2011, table 4, carried into ISO 19642: automotive cable, bare copper (from memory).
//!
//! This program plans with class 5 of IEC 60228; the table stands here to show that it is never above.

use fusewright::engineering::conductor::ConductorSize;

use super::assert_near;

/// Nominal area [mm²], highest resistance at 20 °C [mΩ/m] (from memory), its ratio to ideal copper
/// (computed).
#[expect(clippy::approx_constant, reason = "3.14 is a printed resistance, not π")]
const AUTOMOTIVE: [(f64, f64, f64); 24] = [
    (0.5, 37.1, 1.076),
    (0.75, 24.7, 1.074),
    (1.0, 18.5, 1.073),
    (1.25, 14.9, 1.080),
    (1.5, 12.7, 1.105),
    (2.0, 9.42, 1.093),
    (2.5, 7.60, 1.102),
    (3.0, 6.15, 1.070),
    (4.0, 4.71, 1.093),
    (5.0, 3.94, 1.143),
    (6.0, 3.14, 1.093),
    (8.0, 2.38, 1.104),
    (10.0, 1.82, 1.056),
    (12.0, 1.52, 1.058),
    (16.0, 1.16, 1.077),
    (20.0, 0.955, 1.108),
    (25.0, 0.743, 1.077),
    (30.0, 0.647, 1.126),
    (35.0, 0.527, 1.070),
    (40.0, 0.473, 1.097),
    (50.0, 0.368, 1.067),
    (60.0, 0.315, 1.096),
    (70.0, 0.259, 1.052),
    (95.0, 0.196, 1.080),
];

/// So that the drop of automotive cable is never flattered: for every size that both tables have.
#[test]
fn automotive_cable_is_never_above_class_5() {
    let mut common = 0;
    for ours in ConductorSize::all_metric() {
        let same = |row: &&(f64, f64, f64)| (row.0 - ours.area().0).abs() < 1e-9;
        let (_, automotive, _) = AUTOMOTIVE.iter().find(same).unwrap();
        assert!(automotive / 1000.0 <= ours.resistance_20c().0, "{ours}");
        common += 1;
    }
    assert_eq!(common, 14);
}

/// Sizes between ours lie between ours: 8 mm² between 10 mm² and 6 mm², and so on.
#[test]
fn automotive_resistance_falls_with_the_area_and_stays_near_ideal_copper() {
    for (area, milliohm_per_metre, ratio) in AUTOMOTIVE {
        let found = milliohm_per_metre * area / 17.241;
        assert_near(found, ratio, 0.000_6);
        assert!((1.04..=1.15).contains(&found), "{area} mm²");
    }
    assert!(AUTOMOTIVE.is_sorted_by(|small, large| small.0 < large.0 && small.1 > large.1));
}
