//! Check values that others published, one file a source, each typed in a second time.
//!
//! Beside every table stands where it is from and how sure we are of it: *seen* in a public copy,
//! *from memory*, or *computed* from the source's formula outside this program.

use fusewright::engineering::conductor::ConductorSize;
use rust_decimal::Decimal;

mod abyc_e11;
mod aisi_s100;
mod battery_charging;
mod battery_council;
mod building_wire;
mod cfr_33;
mod cfr_46;
mod common_practice;
mod decision_rules;
mod en_1993;
mod en_1995;
mod faa_ac43;
mod fuse_places;
mod ground_path;
mod iec_60228;
mod iec_60364;
mod iec_62446;
mod iec_62548;
mod iso_10133;
mod iso_12991;
mod iso_13297;
mod iso_2320;
mod iso_3506;
mod iso_6722;
mod iso_6789;
mod iso_7089;
mod iso_7870;
mod iso_8820;
mod iso_898;
mod nec_310;
mod nec_551;
mod nec_690;
mod nec_chapter_9;
mod pv_models;
mod recomputation;
mod shigley;
mod units;
mod vdi_2230;

/// Fails unless the figure found is within the tolerance of the printed one.
#[track_caller]
pub(crate) fn assert_near(found: f64, printed: f64, tolerance: f64) {
    let off = (found - printed).abs();
    assert!(off <= tolerance, "found {found}, printed {printed} ± {tolerance}");
}

/// Fails unless the figure found is within a share of the printed one.
#[track_caller]
pub(crate) fn assert_within_percent(found: f64, printed: f64, percent: f64) {
    assert_near(found, printed, printed.abs() * percent / 100.0);
}

/// A conductor size by its label.
#[expect(clippy::unwrap_used, reason = "a label that a test mistypes should stop it")]
pub(crate) fn size(label: &str) -> ConductorSize {
    ConductorSize::parse(label).unwrap()
}

/// A decimal as it would be typed.
#[expect(clippy::unwrap_used, reason = "a number that a test mistypes should stop it")]
pub(crate) fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}
