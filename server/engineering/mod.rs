//! Numbers in, numbers out: the physics and the published rules, which know no job and no vehicle.
//!
//! Every function names its rule and its source, takes small unit types, and refuses nonsense
//! (not a number, a negative length, a temperature above the insulation's) with [`OutOfRange`].
//! Nothing here reads a file, a clock or a random number.

#![warn(missing_docs)]

pub mod ampacity;
mod ampacity_tables;
pub mod battery;
mod battery_charging;
pub mod board;
pub mod bolt_resistance;
pub mod cable_choice;
pub mod capacity_rating;
pub mod charging;
mod check;
pub mod conductor;
mod conductor_temperature;
pub mod control_chart;
pub mod fastener_pattern;
pub mod fault;
mod fault_curves;
pub mod fuse;
mod fuse_gates;
mod fuse_places;
mod fuse_rules;
mod half_split;
mod insulation;
pub mod laminate;
pub mod mass;
pub mod mount_check;
pub mod mount_remedy;
pub mod mount_surface;
pub mod mounting;
pub mod path_diagnosis;
pub mod pattern_forces;
pub mod preload_band;
pub mod prevailing_torque;
pub mod pull_through;
pub mod sheet_metal;
pub mod sheet_metal_aisi;
pub mod solar;
pub mod solar_cell;
pub mod solar_string;
pub mod thread;
pub mod thread_geometry;
pub mod tightening;
pub mod torque_tool;
pub mod uncertainty;
pub mod units;
pub mod vdi_2230;
pub mod voltage_drop;
pub mod washer;

use std::fmt;

/// An input that no rule here covers. It is refused, never bent into range.
///
/// The text is a full sentence that names the quantity, the value and what is allowed:
///
/// ```
/// use fusewright::engineering::conductor::ConductorSize;
///
/// let refused = ConductorSize::parse("17 AWG").unwrap_err();
/// assert!(refused.to_string().starts_with("The conductor size is \"17 AWG\"; it must be one of"));
/// ```
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("The {quantity} is {value}; it must be {allowed}.")]
pub struct OutOfRange {
    /// What was given, in words: "current", "ambient temperature".
    pub quantity: &'static str,
    /// The value that was given, with its unit.
    pub value: String,
    /// The values that are allowed, in words, with their unit.
    pub allowed: String,
}

/// How sure we are of a figure: whether its source was read, recalled, or worked out from a
/// formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sureness {
    /// Recalled from a standard that was not read again. Never the only reason for a "pass".
    FromMemory,
    /// Worked out from a formula whose source is named.
    Computed,
    /// Read in a public copy of the source.
    Seen,
}

impl Sureness {
    /// The word that is printed beside the figure.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::FromMemory => "from memory",
            Self::Computed => "computed",
            Self::Seen => "seen in a public copy",
        }
    }
}

impl fmt::Display for Sureness {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// Where a figure comes from, printed beside it on the plan page and in the documents.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Source {
    /// Standard or law, edition, table or clause.
    pub text: &'static str,
    /// How sure we are of it.
    pub sureness: Sureness,
}

impl Source {
    /// A source that was read in a public copy.
    #[must_use]
    pub const fn seen(text: &'static str) -> Self {
        Self { text, sureness: Sureness::Seen }
    }

    /// A source that was recalled, not read again.
    #[must_use]
    pub const fn from_memory(text: &'static str) -> Self {
        Self { text, sureness: Sureness::FromMemory }
    }

    /// A formula that was worked out here.
    #[must_use]
    pub const fn computed(text: &'static str) -> Self {
        Self { text, sureness: Sureness::Computed }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.text, self.sureness)
    }
}
