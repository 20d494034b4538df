//! The plan as a form: its fields in the order a technician thinks, and the way to and from TOML.

use super::document;
use super::kit::Kit;
use super::number::parse_typed;
use crate::engineering::conductor::ConductorSize;

mod fields;
mod standard;

pub use fields::{FieldKind, FormField, FormSection, form_sections};
pub use standard::standard_plan;

/// What a browser sends for a ticked box, or a person writes.
const TICKED: [&str; 4] = ["true", "on", "yes", "1"];
const NOT_TICKED: [&str; 5] = ["false", "off", "no", "0", ""];

/// The plan's text from what was typed under each field's key.
///
/// Nothing typed is lost: what is no number is kept as text in quotes, where `read_plan` finds it
/// under that very key. An empty field is left out, a box that was not sent is `false`, and what is
/// no field of the form is passed over. Of a key that comes twice, the last counts.
pub fn form_to_toml(kit: &Kit, fields: &[(String, String)]) -> String {
    let typed = |key: &str| {
        let found = fields.iter().rev().find(|(name, _)| name == key);
        found.map_or("", |(_, text)| text.as_str())
    };
    let mut text = format!("kit = {}\nedition = {}\n", in_quotes(&kit.code), kit.edition);
    for section in form_sections(kit) {
        text.extend(["\n[", &section.path, "]\n"]);
        for field in section.fields {
            let name = field.key.rsplit('.').next().unwrap_or_default();
            if let Some(value) = value(&field.kind, typed(&field.key)) {
                text.extend([name, " = ", &value, "\n"]);
            }
        }
    }
    text
}

/// What stands in a plan, under the keys of the form's fields; broken text gives what it can.
pub fn toml_to_form(text: &str) -> Vec<(String, String)> {
    document::leaves(text).into_iter().map(as_chosen).collect()
}

/// A size may be written in several ways; the form's list has one of them.
fn as_chosen((key, value): (String, String)) -> (String, String) {
    let size = key
        .rsplit('.')
        .next()
        .is_some_and(|last| last == "cable")
        .then(|| ConductorSize::parse(&value).ok())
        .flatten();
    (key, size.map_or(value, |size| size.label().to_owned()))
}

/// What a new plan can start from: figures that the kit itself gives.
pub fn form_start(kit: &Kit) -> Vec<(String, String)> {
    let voltage = kit.nominal_voltage_v.normalize().to_string();
    let mut fields = vec![("vehicle.nominal_voltage_v".to_owned(), voltage)];
    for circuit in &kit.circuits {
        let key = |name: &str| format!("circuits.{}.{name}", circuit.id);
        if let Some(fuse) = circuit.fuse {
            fields.push((key("fuse_a"), fuse.rating_a.normalize().to_string()));
        }
        fields.push((key("circuits_bundled"), "1".to_owned()));
    }
    fields.push(("mounting.layers".to_owned(), "1".to_owned()));
    fields
}

/// The typed text as a TOML value, or nothing if it is left out.
fn value(kind: &FieldKind, typed: &str) -> Option<String> {
    let typed = typed.trim();
    let plain = match kind {
        FieldKind::Flag if TICKED.contains(&typed) => Some("true".to_owned()),
        FieldKind::Flag if NOT_TICKED.contains(&typed) => Some("false".to_owned()),
        _ if typed.is_empty() => return None,
        FieldKind::Number => number(typed),
        FieldKind::Choice(choices) if of_numbers(choices) => number(typed),
        FieldKind::Choice(_) | FieldKind::Text | FieldKind::Flag => None,
    };
    Some(plain.unwrap_or_else(|| in_quotes(typed)))
}

fn number(typed: &str) -> Option<String> {
    parse_typed(typed).map(|figure| figure.to_string())
}

fn of_numbers(choices: &[(String, String)]) -> bool {
    choices.iter().all(|(value, _)| parse_typed(value).is_some())
}

/// A basic string of TOML, always in one line.
fn in_quotes(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if c.is_control() => quoted.push_str(&escaped(c)),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

fn escaped(c: char) -> String {
    format!("\\U{:08X}", u32::from(c))
}
