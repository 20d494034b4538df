//! NEC 551.31(A): fuses before low-voltage wiring of recreational vehicles (from memory).

use fusewright::engineering::Sureness;
use fusewright::engineering::ampacity::{Insulation, base_ampacity};
use fusewright::engineering::fuse::{VEHICLE_CODE_SOURCE, vehicle_code_max};
use fusewright::engineering::units::Amps;

use super::size;

/// Gauge, highest rating [A] (from memory).
const RATINGS: [(&str, f64); 5] =
    [("18 AWG", 6.0), ("16 AWG", 8.0), ("14 AWG", 15.0), ("12 AWG", 20.0), ("10 AWG", 30.0)];

#[test]
fn every_gauge_has_the_recalled_fuse() {
    for (label, rating) in RATINGS {
        assert_eq!(vehicle_code_max(size(label)), Some(Amps(rating)), "{label}");
    }
    assert_eq!(vehicle_code_max(size("8 AWG")), None);
    assert_eq!(VEHICLE_CODE_SOURCE.sureness, Sureness::FromMemory);
}

/// The code is never above what 33 CFR 183.425, table 5 lets the poorest insulation carry: a slipped
/// digit upwards would break that.
#[test]
fn no_fuse_is_above_what_the_gauge_carries_at_60_degrees() {
    for (label, rating) in RATINGS {
        assert!(Amps(rating) <= base_ampacity(size(label), Insulation::C60).unwrap(), "{label}");
    }
}
