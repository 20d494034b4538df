//! A kit file, read and checked as a whole: its shape and its sense, every fault at once.

use std::collections::BTreeSet;

use super::document::{self, Fault, Section, listed};
use super::kit::{Clearance, Joint, Kit};
use super::number::Decimal;

mod circuits;
mod extras;
mod inputs;
mod mounting;
mod parts;
mod terminals;
mod torque;

pub(super) use circuits::{SIZE_EXPECTED, conductor_size, rating};
pub(super) use mounting::washer_fault;
pub use terminals::{COLOURS, colour_name, is_colour};
pub use torque::{THREADS, ThreadBand};

/// The nominal voltages that vehicles have [V].
pub const NOMINAL_VOLTAGES: [u32; 3] = [12, 24, 48];

const CLEARANCES_MAX: usize = 12;
const JOINTS_MAX: usize = 24;
pub(super) const EDITION_MAX: u32 = 9999;
const ID_CHARS_MAX: usize = 24;
const CODE_CHARS_MAX: usize = 20;

/// First parts of step keys and finding ids that no circuit may take.
const RESERVED_IDS: [&str; 8] =
    ["kit", "mount", "mounting", "vehicle", "battery", "alternator", "fastener", "plan"];

/// Reads a kit from its text. Every fault says what to write instead.
pub fn read_kit(text: &str) -> Result<Kit, Vec<Fault>> {
    document::read(text, kit)
}

fn kit(top: &Section<'_>) -> Option<Kit> {
    let identity = identity(top);
    let figures = figures(top);
    let nominal = nominal_voltage(top);
    let circuits = circuits::circuits(top);
    let terminals = terminals::terminals(top, &circuits);
    let joint_sections = top.sections("joints", 0..=JOINTS_MAX);
    let joints = all(joint_sections.iter().map(joint));
    let mounting = top.section("mounting").and_then(|section| mounting::mounting(&section));
    let sense = inputs::sense(top, &circuits, nominal);
    let solar = inputs::solar(top, &circuits);
    let charging = inputs::charging(top, &circuits);
    let (extra_steps, extra_readings) = extras::extras(top, &circuits, &joint_sections);
    let parts = parts::parts(top);
    let Identity { code, edition, title, maker, manual } = identity?;
    let Figures { mass_kg, clearances, standing_current_ma, insulation_least_megohm } = figures?;
    Some(Kit {
        code,
        edition,
        title,
        maker,
        manual,
        nominal_voltage_v: nominal?,
        mass_kg,
        clearances,
        terminals: terminals?,
        circuits: all(circuits.into_iter().map(|circuit| circuit.circuit))?,
        joints: joints?,
        mounting: mounting?,
        sense,
        solar,
        charging,
        standing_current_ma,
        insulation_least_megohm,
        extra_steps: extra_steps?,
        extra_readings: extra_readings?,
        parts: parts?,
    })
}

/// All of them, or nothing if one has a fault.
fn all<T>(each: impl Iterator<Item = Option<T>>) -> Option<Vec<T>> {
    // Every one is read before one may fail, so that all faults are found.
    each.collect::<Vec<_>>().into_iter().collect()
}

struct Identity {
    code: String,
    edition: u32,
    title: String,
    maker: String,
    manual: String,
}

fn identity(top: &Section<'_>) -> Option<Identity> {
    let code = code(top, "code");
    let edition = top.whole("edition", 1..=EDITION_MAX);
    let title = top.text("title", 1..=120);
    let maker = top.text("maker", 1..=80);
    let manual = top.text("manual", 1..=120);
    Some(Identity { code: code?, edition: edition?, title: title?, maker: maker?, manual: manual? })
}

/// A kit's short name: `TRAY-40`.
pub(super) fn code(section: &Section<'_>, key: &str) -> Option<String> {
    let expects = "2 to 20 capitals, digits and hyphens, in quotes, such as \"TRAY-40\"";
    section.parsed(key, expects, |text| {
        let sound = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '-';
        let ends = text.starts_with('-') || text.ends_with('-');
        let fits = (2..=CODE_CHARS_MAX).contains(&text.len()) && text.chars().all(sound) && !ends;
        fits.then(|| text.to_owned())
    })
}

struct Figures {
    mass_kg: Decimal,
    clearances: Vec<Clearance>,
    standing_current_ma: Option<Decimal>,
    insulation_least_megohm: Option<Decimal>,
}

fn figures(top: &Section<'_>) -> Option<Figures> {
    let mass_kg = top.decimal("mass_kg", "0.05 to 1000");
    let standing_current_ma = top.maybe_decimal("standing_current_ma", "0.1 to 2000");
    let insulation_least_megohm = top.maybe_decimal("insulation_least_megohm", "0.1 to 1000");
    let sections = top.sections("clearances", 0..=CLEARANCES_MAX);
    let clearances = all(sections.iter().map(clearance));
    let mut sides = BTreeSet::new();
    for section in &sections {
        if let Some(side) = section.peek("side").filter(|side| !sides.insert(side.to_lowercase())) {
            section.fault("side", format!("“{side}” stands twice."), "Write each side once.");
        }
    }
    Some(Figures {
        mass_kg: mass_kg?,
        clearances: clearances?,
        standing_current_ma,
        insulation_least_megohm,
    })
}

fn clearance(section: &Section<'_>) -> Option<Clearance> {
    let side = section.text("side", 1..=40);
    let least_mm = section.decimal("least_mm", "0 to 2000");
    let page = section.page();
    Some(Clearance { side: side?, least_mm: least_mm?, page: page? })
}

fn joint(section: &Section<'_>) -> Option<Joint> {
    let id = id(section);
    let title = section.text("title", 1..=80);
    let torque = torque::torque(section, None);
    let page = section.page();
    Some(Joint { id: id?, title: title?, torque: torque?, page: page? })
}

/// The nominal voltage of a kit or vehicle.
pub(super) fn nominal_voltage(section: &Section<'_>) -> Option<Decimal> {
    let figure = section.decimal("nominal_voltage_v", "12 to 48")?;
    let known = NOMINAL_VOLTAGES.iter().any(|volts| figure == Decimal::from(*volts));
    if !known {
        let all = NOMINAL_VOLTAGES.map(|volts| volts.to_string());
        let wrong = format!("{figure} V is not a nominal voltage of vehicles.");
        section.fault("nominal_voltage_v", wrong, format!("Write {}.", listed(&all)));
    }
    known.then_some(figure)
}

/// Whether this can be an id: lower case letters, digits and underscores, a letter first.
fn is_id(text: &str) -> bool {
    let sound = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    (1..=ID_CHARS_MAX).contains(&text.len())
        && text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.chars().all(sound)
}

fn id(section: &Section<'_>) -> Option<String> {
    let expects = "an id of lower case letters, digits and underscores, in quotes";
    section.parsed("id", expects, |text| is_id(text).then(|| text.to_owned()))
}
