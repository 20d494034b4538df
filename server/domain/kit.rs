//! What is fitted, as a reusable, numbered definition. An edition never changes once it is used.

use super::number::Decimal;
use super::step::{Limits, Phase, Unit};
use crate::engineering::conductor::ConductorSize;
use crate::engineering::fuse::FuseForm;

/// A kit edition, read from its file and found sound by `kit_check`.
#[derive(Debug, Clone, PartialEq)]
pub struct Kit {
    /// Short name in capitals, digits and hyphens: `TRAY-40`.
    pub code: String,
    pub edition: u32,
    pub title: String,
    pub maker: String,
    /// The maker's instructions that the figures were read from.
    pub manual: String,
    pub nominal_voltage_v: Decimal,
    /// What hangs on the fasteners: the kit with everything it carries.
    pub mass_kg: Decimal,
    pub clearances: Vec<Clearance>,
    /// In order as seen, left to right.
    pub terminals: Vec<Terminal>,
    pub circuits: Vec<Circuit>,
    /// Joints outside the terminal row that want torque.
    pub joints: Vec<Joint>,
    pub mounting: Mounting,
    pub sense: Option<Sense>,
    pub solar: Option<SolarInput>,
    pub charging: Option<Charging>,
    pub standing_current_ma: Option<Decimal>,
    pub insulation_least_megohm: Option<Decimal>,
    pub extra_steps: Vec<ExtraStep>,
    pub extra_readings: Vec<ExtraReading>,
    /// Parts that a recall may name.
    pub parts: Vec<TracedPart>,
}

/// Free space a side needs, for air and for hands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clearance {
    pub side: String,
    pub least_mm: Decimal,
    pub page: String,
}

/// A torque with its tolerance, as the maker gives it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Torque {
    pub target_nm: Decimal,
    pub tolerance_percent: Decimal,
}

impl Torque {
    /// The allowed band in N·m, kept to a tenth and rounded inward.
    pub fn limits(&self) -> Limits {
        use rust_decimal::RoundingStrategy::{ToNegativeInfinity, ToPositiveInfinity};
        let part = self.target_nm * self.tolerance_percent / Decimal::ONE_HUNDRED;
        let digits = if self.target_nm < Decimal::TEN { 2 } else { 1 };
        Limits::between(
            (self.target_nm - part).round_dp_with_strategy(digits, ToPositiveInfinity),
            (self.target_nm + part).round_dp_with_strategy(digits, ToNegativeInfinity),
        )
    }
}

/// One terminal of the row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Terminal {
    /// As printed on the gear: `B+`, `PV-`.
    pub label: String,
    /// The `id` of its circuit.
    pub circuit: String,
    pub pole: Pole,
    /// IEC 60757 letters: `RD`, `BK`, `BU`, `GNYE` …
    pub colour: String,
    /// Thread of the stud, or nothing for a spring or screw clamp: `M6`.
    pub stud: Option<String>,
    pub torque: Option<Torque>,
    pub strip_mm: Option<Decimal>,
    pub page: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pole {
    Positive,
    Negative,
    Signal,
}

/// What a circuit is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// From the vehicle's battery to the gear.
    Supply,
    /// Tells the gear that the engine runs.
    Sense,
    /// From a solar module to the gear.
    Solar,
    /// From the gear to a second battery or an appliance.
    Load,
}

impl Purpose {
    pub const ALL: [Self; 4] = [Self::Supply, Self::Sense, Self::Solar, Self::Load];

    pub fn word(self) -> &'static str {
        match self {
            Self::Supply => "supply",
            Self::Sense => "sense",
            Self::Solar => "solar",
            Self::Load => "load",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|purpose| purpose.word() == word)
    }
}

/// One circuit of the kit.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// Lower case letters, digits and underscores; the first part of step keys and finding ids.
    pub id: String,
    pub title: String,
    pub purpose: Purpose,
    pub continuous_a: Decimal,
    pub peak_a: Option<Decimal>,
    /// Share of the nominal voltage that may be lost out and back.
    pub allowed_drop_percent: Decimal,
    pub fuse: Option<FuseAsk>,
    pub least_size: Option<ConductorSize>,
    pub page: String,
}

/// The fuse that the maker asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FuseAsk {
    pub form: FuseForm,
    pub rating_a: Decimal,
    /// Along the cable from the source.
    pub distance_max_mm: Decimal,
}

/// A joint outside the terminal row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    pub id: String,
    pub title: String,
    pub torque: Torque,
    pub page: String,
}

/// How the gear is held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mounting {
    /// Thread: `M8`.
    pub thread: String,
    /// Property class: `8.8`, `10.9`, `A2-70`, `A4-80`.
    pub class: String,
    pub count: u32,
    /// Distance of the rows, along and across the vehicle.
    pub pattern_length_mm: Decimal,
    pub pattern_width_mm: Decimal,
    /// Where each fastener sits; empty where they are spread evenly on two rows.
    pub positions: Vec<Position>,
    pub washer_mm: Decimal,
    pub torque: Torque,
    /// What a prevailing-torque nut takes before it clamps; part of the torque above.
    pub prevailing_nm: Option<Decimal>,
    pub least_thickness_mm: Decimal,
    pub least_surface_rating_kg: Option<Decimal>,
    pub page: String,
}

/// One fastener, from the one that is farthest back and left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Position {
    pub along_mm: Decimal,
    pub across_mm: Decimal,
}

/// Thresholds of the wire that tells the gear that the engine runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sense {
    pub circuit: String,
    /// Engine running: at least this much on the wire.
    pub on_least_v: Decimal,
    /// Engine off: at most this much.
    pub off_most_v: Decimal,
    /// While the starter turns, where the maker gives a figure.
    pub cranking: Limits,
    pub page: String,
}

/// What the solar input takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SolarInput {
    pub circuit: String,
    pub voltage_max_v: Decimal,
    pub voltage_start_v: Decimal,
    pub current_max_a: Decimal,
    pub page: String,
}

/// What the gear charges with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Charging {
    /// The circuit that the current is measured in.
    pub circuit: String,
    pub voltage_least_v: Decimal,
    pub voltage_most_v: Decimal,
    pub current_least_a: Decimal,
    /// What arrives of what is drawn.
    pub efficiency_percent: Option<Decimal>,
    /// What the largest pack or battery holds that is charged.
    pub pack_wh: Option<Decimal>,
    pub page: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExtraKind {
    Confirm,
    Photo,
    Note,
}

/// A step that this kit wants beyond those every sheet has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExtraStep {
    pub id: String,
    pub phase: Phase,
    pub kind: ExtraKind,
    pub title: String,
    pub how: String,
    pub caution: Option<String>,
}

/// A reading that this kit wants beyond those every sheet has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExtraReading {
    pub id: String,
    pub phase: Phase,
    pub title: String,
    pub how: String,
    pub unit: Unit,
    pub limits: Limits,
    pub page: String,
}

/// What tells one piece of a part, or one lot of them, from others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartMark {
    Batch,
    Serial,
}

impl PartMark {
    pub const ALL: [Self; 2] = [Self::Batch, Self::Serial];

    /// The last part of the step's key, and the word that is stored.
    pub fn word(self) -> &'static str {
        match self {
            Self::Batch => "batch",
            Self::Serial => "serial",
        }
    }

    pub fn title(self) -> &'static str {
        match self {
            Self::Batch => "Batch",
            Self::Serial => "Serial number",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mark| mark.word() == word)
    }
}

/// A part whose batch or serial number is written down where it is fitted, so that a recall finds its
/// vehicles.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TracedPart {
    pub id: String,
    pub name: String,
    /// The maker's part number.
    pub number: String,
    /// Where it is fitted.
    pub phase: Phase,
    /// At least one.
    pub marks: Vec<PartMark>,
}

impl TracedPart {
    /// The step that asks for a mark: `mount.kit.latch.batch`. No circuit may be called `kit`, and no
    /// other step of a kit has a point in its id, so that it says by its key what it is.
    pub fn step_key(&self, mark: PartMark) -> String {
        format!("{}.kit.{}.{}", self.phase.word(), self.id, mark.word())
    }
}

impl Kit {
    pub fn circuit(&self, id: &str) -> Option<&Circuit> {
        self.circuits.iter().find(|circuit| circuit.id == id)
    }
}
