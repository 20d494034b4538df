//! Rules that hold whatever the figures: monotone, bounded, there and back, nonsense refused.

use fusewright::engineering::OutOfRange;
use fusewright::engineering::ampacity::{Insulation, Place, Surroundings};
use fusewright::engineering::conductor::ConductorSize;
use fusewright::engineering::units::Celsius;
use proptest::prelude::*;

pub(crate) mod ampacity;
mod battery;
mod board;
mod cable_choice;
mod capacity_rating;
mod charging;
mod conductor;
mod control_chart;
mod fault;
mod fuse;
mod mass;
mod mount_check;
mod mount_remedy;
mod mounting;
mod path_diagnosis;
mod pattern_forces;
mod sheet_metal;
mod sheet_metal_aisi;
mod solar;
mod tightening;
mod torque_tool;
mod uncertainty;
mod units;
mod vdi_2230;
mod voltage_drop;
mod washer;

/// Numbers that are no quantity: not a number, endless, below nothing.
pub(crate) const NONSENSE: [f64; 4] = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0];

/// Settings of the property tests; nothing is written to disk.
pub(crate) fn settings() -> ProptestConfig {
    ProptestConfig { failure_persistence: None, ..ProptestConfig::default() }
}

/// Any size the ampacity tables cover.
pub(crate) fn any_size() -> impl Strategy<Value = ConductorSize> {
    let sizes: Vec<_> = ConductorSize::all_metric()
        .filter(|size| size.label() != "0.5 mm²")
        .chain(ConductorSize::all_awg())
        .collect();
    prop::sample::select(sizes)
}

/// Any temperature class.
pub(crate) fn any_insulation() -> impl Strategy<Value = Insulation> {
    prop::sample::select(Insulation::ALL.to_vec())
}

/// Air of a temperature, outside the engine space, one circuit.
pub(crate) fn air(celsius: f64) -> Surroundings {
    Surroundings { ambient: Celsius(celsius), place: Place::Outside, circuits_bundled: 1 }
}

/// Fails unless the refusal is a sentence that names the quantity.
#[track_caller]
pub(crate) fn assert_refused<T: std::fmt::Debug>(found: Result<T, OutOfRange>, quantity: &str) {
    match found {
        Ok(value) => panic!("{quantity} should be refused, but gives {value:?}"),
        Err(refused) => {
            let sentence = refused.to_string();
            assert!(sentence.starts_with(&format!("The {quantity} is ")), "{sentence}");
            assert!(sentence.contains("; it must be ") && sentence.ends_with('.'), "{sentence}");
        }
    }
}
