//! From a step's form to what is recorded, or the sentence that says what to write instead.
//!
//! The phone reads by the same rule (`static/payload.js`), and `tests/data/forms.json` holds both together.

use std::collections::BTreeMap;

use super::entry::{Digest, Payload};
use super::ids::InstrumentId;
use super::number::{Decimal, parse_typed};
use super::plausible::is_implausible;
use super::solar_open::{OpenString, is_cell_temperature};
use super::step::{Limits, StepKind, Unit};

/// What a form comes to.
#[derive(Debug, PartialEq, Eq)]
pub struct Filled {
    pub result: Option<Payload>,
    pub remark: Option<Payload>,
    pub improbable: bool,
}

/// Why a form goes back.
#[derive(Debug, PartialEq, Eq)]
pub enum Asked {
    Fault(String),
    /// Once: is that figure right?
    Question(String),
}

fn fault(words: &str) -> Asked {
    Asked::Fault(words.to_owned())
}

/// The fields of a step's form by name.
#[derive(Debug, Default)]
pub struct Fields(pub BTreeMap<String, String>);

impl Fields {
    /// What stands in a field, without the space around it.
    pub fn text(&self, name: &str) -> &str {
        self.0.get(name).map_or("", |text| text.trim())
    }
}

/// Reads the form of a step; photos are stored already.
pub fn read(kind: &StepKind, form: &Fields, photos: Vec<Digest>) -> Result<Filled, Asked> {
    let filled = fill(kind, form, photos)?;
    for payload in [&filled.result, &filled.remark].into_iter().flatten() {
        payload.check().map_err(|why| Asked::Fault(format!("{why}.")))?;
    }
    Ok(filled)
}

fn fill(kind: &StepKind, form: &Fields, photos: Vec<Digest>) -> Result<Filled, Asked> {
    let note = form.text("note").to_owned();
    let unable = form.text("unable");
    if !unable.is_empty() && !kind.is_measurement() {
        let result = Some(Payload::Unable { reason: unable.to_owned() });
        return Ok(Filled { result, remark: remark(note, photos), improbable: false });
    }
    if let StepKind::Photo = kind {
        if photos.is_empty() {
            return Err(fault("Take a photo, or say why it cannot be taken."));
        }
        let result = Some(Payload::Photo { photos });
        return Ok(Filled { result, remark: remark(note, Vec::new()), improbable: false });
    }
    let (payload, judged) = payload(kind, form)?;
    let improbable = judged.is_some_and(|(value, limits)| is_implausible(value, &limits))
        || matches!(payload, Payload::SolarOpen { cell_c, .. } if !is_cell_temperature(cell_c));
    if improbable && form.text("improbable").is_empty() {
        let value = match payload {
            // Either figure may be the slipped one.
            Payload::SolarOpen { .. } => payload.value_words(),
            _ => form.text("value").to_owned(),
        };
        return Err(Asked::Question(format!("Is {value} right? Save again to keep it.")));
    }
    Ok(Filled { result: Some(payload), remark: remark(note, photos), improbable })
}

fn remark(text: String, photos: Vec<Digest>) -> Option<Payload> {
    (!text.is_empty() || !photos.is_empty()).then_some(Payload::Remark { text, photos })
}

/// The result, and the figure with the limits that it is held against for plausibility.
fn payload(kind: &StepKind, form: &Fields) -> Result<(Payload, Option<(Decimal, Limits)>), Asked> {
    match kind {
        StepKind::Confirm if form.text("value") == "done" => Ok((Payload::Confirm {}, None)),
        StepKind::Confirm | StepKind::Photo => {
            Err(fault("Tick it when it is done as written, or say why it cannot be done."))
        }
        StepKind::Note => match form.text("value") {
            "" => Err(fault("Write what you saw, or \"none\".")),
            text => Ok((Payload::Note { text: text.to_owned() }, None)),
        },
        StepKind::Fuse { .. } => {
            let rating_a = parse_typed(form.text("value"))
                .ok_or_else(|| fault("Tap the rating that stands on the fuse."))?;
            Ok((Payload::Fuse { rating_a }, None))
        }
        StepKind::Order { choices, .. } => Ok((order(choices, form)?, None)),
        StepKind::Torque { limits } => {
            let value = figure(form, "value", "12.5")?;
            let instrument = instrument(form, "instrument", Unit::NewtonMetre)?;
            Ok((Payload::Torque { value, instrument }, Some((value, limits.clone()))))
        }
        StepKind::Reading { unit, limits } => {
            let value = figure(form, "value", "12.5")?;
            let instrument = instrument(form, "instrument", *unit)?;
            Ok((Payload::Reading { value, instrument }, Some((value, limits.clone()))))
        }
        StepKind::PathDrop { resistance_max_milliohm, .. } => {
            let drop_v = figure(form, "value", "0.21")?;
            let current_a = figure(form, "current", "28.5")?;
            let payload = Payload::PathDrop {
                drop_v,
                current_a,
                instrument: instrument(form, "instrument", Unit::Volt)?,
                current_instrument: instrument(form, "current_instrument", Unit::Ampere)?,
            };
            let path = (drop_v * Decimal::ONE_THOUSAND).checked_div(current_a);
            let limits = Limits::at_most(*resistance_max_milliohm);
            Ok((payload, path.map(|path| (path, limits))))
        }
        StepKind::SolarOpen { .. } => solar(kind, form),
    }
}

/// The limits of a string follow its temperature; with one that no cell has there are none.
fn solar(kind: &StepKind, form: &Fields) -> Result<(Payload, Option<(Decimal, Limits)>), Asked> {
    let voltage_v = figure(form, "value", "40.6")?;
    let cell_c = figure(form, "cell", "45.5")?;
    let payload = Payload::SolarOpen {
        voltage_v,
        cell_c,
        instrument: instrument(form, "instrument", Unit::Volt)?,
        thermometer: instrument(form, "thermometer", Unit::Celsius)?,
    };
    let limits = OpenString::of(kind).and_then(|string| string.limits(cell_c));
    Ok((payload, limits.map(|limits| (voltage_v, limits))))
}

fn figure(form: &Fields, name: &str, example: &str) -> Result<Decimal, Asked> {
    parse_typed(form.text(name))
        .ok_or_else(|| Asked::Fault(format!("Type one number, for example {example}.")))
}

fn instrument(form: &Fields, name: &str, unit: Unit) -> Result<InstrumentId, Asked> {
    form.text(name)
        .parse()
        .map_err(|_| Asked::Fault(format!("Choose the instrument that measured the {unit}.")))
}

/// Each row says at which place its terminal was seen.
fn order(choices: &[String], form: &Fields) -> Result<Payload, Asked> {
    let mut seen: Vec<(usize, &String)> = Vec::new();
    for (row, label) in (1..).zip(choices) {
        let place = form.text(&format!("pos{row}")).parse::<usize>();
        let place = place.map_err(|_| fault("Give every terminal its place, from the left."))?;
        if seen.iter().any(|(taken, _)| *taken == place) {
            return Err(Asked::Fault(format!("Two terminals are at place {place}. Look again.")));
        }
        seen.push((place, label));
    }
    seen.sort_unstable();
    Ok(Payload::Order { labels: seen.into_iter().map(|(_, label)| label.clone()).collect() })
}
