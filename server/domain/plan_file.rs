//! A plan file, read against its kit: every circuit of the kit is planned, and nothing else.

use super::document::{self, Fault, Section};
use super::kit::Kit;
use super::kit_check::{EDITION_MAX, code, nominal_voltage};
use super::plan::{Chemistry, Plan, SolarPlan, Vehicle};

mod circuits;
mod mounting;
mod weights;

/// Shortest and longest text that identifies a vehicle identification number.
const VIN_TAIL_CHARS: std::ops::RangeInclusive<usize> = 4..=17;

/// Reads a plan from its text, for this kit. Every fault says what to write instead.
pub fn read_plan(text: &str, kit: &Kit) -> Result<Plan, Vec<Fault>> {
    document::read(text, |top| plan(top, kit))
}

fn plan(top: &Section<'_>, kit: &Kit) -> Option<Plan> {
    let named = kit_named(top, kit);
    let vehicle = top.section("vehicle").and_then(|section| vehicle(&section, kit));
    let circuits = circuits::circuits(top, kit);
    let mounting = top.section("mounting").and_then(|section| mounting::mounting(&section, kit));
    let solar = solar_if_wanted(top, kit);
    let weights = top.maybe_section("weights").map(|section| weights::weights(&section));
    let (kit_code, kit_edition) = named?;
    Some(Plan {
        kit_code,
        kit_edition,
        vehicle: vehicle?,
        circuits: circuits?,
        mounting: mounting?,
        solar,
        weights: weights.unwrap_or_default(),
    })
}

fn kit_named(top: &Section<'_>, kit: &Kit) -> Option<(String, u32)> {
    let code = code(top, "kit");
    let edition = top.whole("edition", 1..=EDITION_MAX);
    if let Some(other) = code.as_ref().filter(|code| **code != kit.code) {
        let wrong = format!("This is a plan for the kit {other}.");
        top.fault("kit", wrong, format!("Write \"{}\", or choose that kit.", kit.code));
    }
    if let Some(other) = edition.filter(|edition| *edition != kit.edition) {
        let wrong = format!("This is a plan for edition {other} of the kit.");
        top.fault("edition", wrong, format!("Write {}, and check every figure.", kit.edition));
    }
    code.zip(edition)
}

fn vehicle(section: &Section<'_>, kit: &Kit) -> Option<Vehicle> {
    let description = section.text("description", 1..=80);
    let registration = section.text("registration", 1..=16);
    let vin_tail = section.parsed("vin_tail", VIN_TAIL_EXPECTED, vin_tail);
    let odometer_km = section.maybe_decimal("odometer_km", "0 to 5000000");
    let nominal_voltage_v = nominal_voltage(section);
    if let Some(volts) = nominal_voltage_v.filter(|volts| *volts != kit.nominal_voltage_v) {
        let wrong = format!("The kit is made for {} V, not {volts} V.", kit.nominal_voltage_v);
        let instead = format!("Choose a kit for {volts} V, or write {}.", kit.nominal_voltage_v);
        section.fault("nominal_voltage_v", wrong, instead);
    }
    let battery = section.choice("battery", &Chemistry::ALL.map(|one| (one.word(), one)));
    let battery_ah = section.decimal("battery_ah", "1 to 2000");
    let battery_milliohm = section.maybe_decimal("battery_milliohm", "0.1 to 200");
    let cold_cranking_a = section.maybe_decimal("cold_cranking_a", "50 to 3000");
    let battery_c = section.maybe_decimal("battery_c", "-40 to 60");
    let alternator_a = section.decimal("alternator_a", "10 to 600");
    let base_load_a = section.decimal("base_load_a", "0 to 400");
    let smart_alternator = section.flag("smart_alternator");
    Some(Vehicle {
        description: description?,
        registration: registration?,
        vin_tail: vin_tail?,
        odometer_km,
        nominal_voltage_v: nominal_voltage_v?,
        battery: battery?,
        battery_ah: battery_ah?,
        battery_milliohm,
        cold_cranking_a,
        battery_c,
        alternator_a: alternator_a?,
        base_load_a: base_load_a?,
        smart_alternator: smart_alternator?,
    })
}

const VIN_TAIL_EXPECTED: &str =
    "the last 4 to 17 letters and digits of the vehicle identification number, in quotes";

fn vin_tail(text: &str) -> Option<String> {
    let text = text.trim();
    let plain = text.chars().all(|c| c.is_ascii_alphanumeric());
    (plain && VIN_TAIL_CHARS.contains(&text.len())).then(|| text.to_ascii_uppercase())
}

fn solar_if_wanted(top: &Section<'_>, kit: &Kit) -> Option<SolarPlan> {
    if kit.solar.is_some() {
        return top.section("solar").and_then(|section| solar(&section));
    }
    if let Some(section) = top.maybe_section("solar") {
        section.let_stand();
        section.fault("", "The kit has no solar input.", "Leave the section out.");
    }
    None
}

fn solar(section: &Section<'_>) -> Option<SolarPlan> {
    let module_voc_v = section.decimal("module_voc_v", "1 to 120");
    let module_isc_a = section.decimal("module_isc_a", "0.05 to 30");
    let voc_percent_per_k = section.maybe_decimal("voc_percent_per_k", "-1 to -0.05");
    let in_series = section.whole("in_series", 1..=12);
    let in_parallel = section.whole("in_parallel", 1..=12);
    let module_fuse_max_a = section.maybe_decimal("module_fuse_max_a", "1 to 100");
    let noct_c = section.maybe_decimal("noct_c", "30 to 70");
    let coldest_c = section.decimal("coldest_c", "-60 to 40");
    let hottest_c = section.decimal("hottest_c", "-20 to 60");
    if let Some((coldest, hottest)) = coldest_c.zip(hottest_c).filter(|(low, high)| low >= high) {
        let wrong = format!("{hottest} °C is not above coldest_c = {coldest}.");
        section.fault("hottest_c", wrong, format!("Write more than {coldest}."));
    }
    Some(SolarPlan {
        module_voc_v: module_voc_v?,
        module_isc_a: module_isc_a?,
        voc_percent_per_k,
        in_series: in_series?,
        in_parallel: in_parallel?,
        module_fuse_max_a,
        noct_c,
        coldest_c: coldest_c?,
        hottest_c: hottest_c?,
    })
}
