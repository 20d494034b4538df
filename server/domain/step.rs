//! One thing to do or prove, with the limit that decides it.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::number::Decimal;

/// The part of the job a step belongs to, in the order of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Phase {
    Before,
    Mount,
    Route,
    Terminate,
    Protect,
    Energise,
    Prove,
    HandOver,
}

impl Phase {
    pub const ALL: [Self; 8] = [
        Self::Before,
        Self::Mount,
        Self::Route,
        Self::Terminate,
        Self::Protect,
        Self::Energise,
        Self::Prove,
        Self::HandOver,
    ];

    pub fn title(self) -> &'static str {
        match self {
            Self::Before => "Before you start",
            Self::Mount => "Mount",
            Self::Route => "Route",
            Self::Terminate => "Terminate",
            Self::Protect => "Protect",
            Self::Energise => "Energise",
            Self::Prove => "Prove",
            Self::HandOver => "Hand over",
        }
    }

    /// The word used in kit files and in step keys.
    pub fn word(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::Mount => "mount",
            Self::Route => "route",
            Self::Terminate => "terminate",
            Self::Protect => "protect",
            Self::Energise => "energise",
            Self::Prove => "prove",
            Self::HandOver => "hand_over",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|phase| phase.word() == word)
    }
}

/// The unit a figure is read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Unit {
    #[serde(rename = "V")]
    Volt,
    #[serde(rename = "A")]
    Ampere,
    #[serde(rename = "mA")]
    Milliampere,
    #[serde(rename = "mΩ")]
    Milliohm,
    #[serde(rename = "MΩ")]
    Megohm,
    #[serde(rename = "K")]
    Kelvin,
    #[serde(rename = "°C")]
    Celsius,
    #[serde(rename = "N·m")]
    NewtonMetre,
    #[serde(rename = "mm")]
    Millimetre,
}

impl Unit {
    pub const ALL: [Self; 9] = [
        Self::Volt,
        Self::Ampere,
        Self::Milliampere,
        Self::Milliohm,
        Self::Megohm,
        Self::Kelvin,
        Self::Celsius,
        Self::NewtonMetre,
        Self::Millimetre,
    ];

    pub fn symbol(self) -> &'static str {
        match self {
            Self::Volt => "V",
            Self::Ampere => "A",
            Self::Milliampere => "mA",
            Self::Milliohm => "mΩ",
            Self::Megohm => "MΩ",
            Self::Kelvin => "K",
            Self::Celsius => "°C",
            Self::NewtonMetre => "N·m",
            Self::Millimetre => "mm",
        }
    }

    /// Reads the symbol, or its plain-letter form as typed in a kit file (`Nm`, `mohm`, `Mohm`, `C`).
    pub fn parse(text: &str) -> Option<Self> {
        let plain = match text {
            "Nm" | "N.m" | "N m" => "N·m",
            "mohm" | "mOhm" => "mΩ",
            "Mohm" | "MOhm" => "MΩ",
            "C" | "degC" => "°C",
            other => other,
        };
        Self::ALL.into_iter().find(|unit| unit.symbol() == plain)
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// What a reading must lie between. At least one side is given.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Limits {
    pub lower: Option<Decimal>,
    pub upper: Option<Decimal>,
}

impl Limits {
    pub fn between(lower: Decimal, upper: Decimal) -> Self {
        Self { lower: Some(lower), upper: Some(upper) }
    }

    pub fn at_most(upper: Decimal) -> Self {
        Self { lower: None, upper: Some(upper) }
    }

    pub fn at_least(lower: Decimal) -> Self {
        Self { lower: Some(lower), upper: None }
    }

    /// `9.0 to 11.0 N·m`, `at most 0.36 V`, `at least 0.5 MΩ`
    pub fn words(&self, unit: Unit) -> String {
        match (self.lower, self.upper) {
            (Some(low), Some(high)) => format!("{low} to {high} {unit}"),
            (None, Some(high)) => format!("at most {high} {unit}"),
            (Some(low), None) => format!("at least {low} {unit}"),
            (None, None) => String::new(),
        }
    }
}

/// What has to be done or proved, and by what it is judged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum StepKind {
    /// Done as written, or not.
    Confirm,
    /// One or more photos.
    Photo,
    /// Words the next person must know.
    Note,
    /// A joint tightened with a wrench; the limits are N·m.
    Torque { limits: Limits },
    /// The rating read off the fuse that was put in.
    Fuse { rating_a: Decimal, choices_a: Vec<Decimal> },
    /// The terminals read back as seen, left to right.
    Order { expected: Vec<String>, choices: Vec<String> },
    /// One figure from one instrument.
    Reading { unit: Unit, limits: Limits },
    /// A drop and the current it was taken at: the path resistance decides.
    PathDrop {
        resistance_max_milliohm: Decimal,
        /// What the plan works out to, for the diagnosis of an excess.
        planned_milliohm: Decimal,
        milliohm_per_metre: Decimal,
        /// The current the path is planned for; the test may be made at less.
        current_a: Decimal,
    },
    /// The voltage of an open solar string and its cells' temperature, which its limits follow.
    SolarOpen {
        /// Of the whole string, cells at 25 °C.
        string_voc_v: Decimal,
        in_series: u32,
        /// Below zero.
        percent_per_k: Decimal,
        tolerance_percent: Decimal,
        /// The input's maximum.
        upper_v: Decimal,
    },
}

impl StepKind {
    /// The word on entries, in templates and on the sheet.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Confirm => "confirm",
            Self::Photo => "photo",
            Self::Note => "note",
            Self::Torque { .. } => "torque",
            Self::Fuse { .. } => "fuse",
            Self::Order { .. } => "order",
            Self::Reading { .. } => "reading",
            Self::PathDrop { .. } => "path_drop",
            Self::SolarOpen { .. } => "solar_open",
        }
    }

    /// Torque, fuse, order and readings decide by measurement: no concession exists for them.
    pub fn is_measurement(&self) -> bool {
        !matches!(self, Self::Confirm | Self::Photo | Self::Note)
    }
}

/// One step of a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Step {
    /// Lasting name: `terminate.main_plus.torque`. Never reused for another meaning.
    pub key: String,
    pub phase: Phase,
    pub title: String,
    /// At most two sentences.
    pub how: String,
    /// What can hurt somebody here, or nothing.
    pub caution: Option<String>,
    #[serde(flatten)]
    pub kind: StepKind,
    /// Where the limit comes from, with the figures put in.
    pub basis: Option<String>,
}
