//! The terminal row: labels, poles, colours and studs.

use std::collections::BTreeSet;

use super::circuits::CircuitSection;
use super::{all, torque};
use crate::domain::document::{Section, listed, quoted};
use crate::domain::kit::{Pole, Purpose, Terminal};

const TERMINALS_MAX: usize = 24;
const LABEL_CHARS_MAX: usize = 12;

/// Colour letters of IEC 60757 (from memory).
pub const COLOURS: [(&str, &str); 14] = [
    ("BK", "black"),
    ("BN", "brown"),
    ("RD", "red"),
    ("OG", "orange"),
    ("YE", "yellow"),
    ("GN", "green"),
    ("BU", "blue"),
    ("VT", "violet"),
    ("GY", "grey"),
    ("WH", "white"),
    ("PK", "pink"),
    ("GD", "gold"),
    ("TQ", "turquoise"),
    ("SR", "silver"),
];

/// The colour that two letters of IEC 60757 stand for.
pub fn colour_name(code: &str) -> Option<&'static str> {
    COLOURS.iter().find(|(known, _)| *known == code).map(|(_, name)| *name)
}

/// Kept for protective earth.
const GREEN_AND_YELLOW: [&str; 2] = ["GNYE", "YEGN"];

/// One colour, or two different ones: `RD`, `GNYE`.
pub fn is_colour(text: &str) -> bool {
    let known = |letters: &str| colour_name(letters).is_some();
    match text.split_at_checked(2) {
        Some((one, "")) => known(one),
        Some((one, other)) => one != other && known(one) && known(other),
        None => false,
    }
}

pub(super) fn terminals(
    top: &Section<'_>,
    circuits: &[CircuitSection<'_>],
) -> Option<Vec<Terminal>> {
    let ids: Vec<&str> = circuits.iter().map(|circuit| circuit.id.as_str()).collect();
    let sections = top.sections("terminals", 2..=TERMINALS_MAX);
    let (ends, terminals): (Vec<_>, Vec<_>) =
        sections.iter().map(|section| terminal(section, &ids)).unzip();
    twice(&sections);
    // A pole is missed only where it is known what every terminal is.
    if let Some(ends) = all(ends.into_iter()) {
        for circuit in circuits {
            poles(circuit, &ends);
        }
    }
    all(terminals.into_iter())
}

/// The circuit and pole that a terminal ends.
type End = (String, Pole);

fn terminal(section: &Section<'_>, circuits: &[&str]) -> (Option<End>, Option<Terminal>) {
    let circuit = circuit(section, circuits);
    let pole = section.choice("pole", &POLES);
    let end = circuit.zip(pole);
    (end.clone(), fitted(section, end))
}

fn fitted(section: &Section<'_>, end: Option<End>) -> Option<Terminal> {
    let label = section.parsed("label", LABEL_EXPECTED, label);
    let colour = section
        .parsed("colour", &colours_expected(), |text| is_colour(text).then(|| text.to_owned()));
    earth_colour(section, colour.as_deref(), end.as_ref().map(|(_, pole)| *pole));
    let stud = section.maybe_choice("stud", &torque::threads());
    let wants_torque = ["stud", "torque_nm", "tolerance_percent"];
    let torque =
        wants_torque.iter().any(|key| section.has(key)).then(|| torque::torque(section, stud));
    let strip_mm = section.maybe_decimal("strip_mm", "3 to 60");
    let page = section.page();
    let (circuit, pole) = end?;
    Some(Terminal {
        label: label?,
        circuit,
        pole,
        colour: colour?,
        stud: stud.map(|band| band.thread.to_owned()),
        torque: torque.flatten(),
        strip_mm,
        page: page?,
    })
}

const POLES: [(&str, Pole); 3] =
    [("positive", Pole::Positive), ("negative", Pole::Negative), ("signal", Pole::Signal)];

const LABEL_EXPECTED: &str =
    "the label on the gear, of 1 to 12 letters, digits and signs, in quotes, such as \"B+\"";

fn label(text: &str) -> Option<String> {
    let text = text.trim();
    let sound = |c: char| c.is_alphanumeric() || " +-−~/._#".contains(c);
    let fits = (1..=LABEL_CHARS_MAX).contains(&text.chars().count());
    (fits && text.chars().all(sound)).then(|| text.to_owned())
}

fn colours_expected() -> String {
    let letters = COLOURS.map(|(code, _)| code);
    format!(
        "the letters of IEC 60757 in quotes: {}, or two of them such as \"RDBK\"",
        listed(&letters)
    )
}

fn circuit(section: &Section<'_>, circuits: &[&str]) -> Option<String> {
    let expects = format!("the name of a circuit in quotes: {}", listed(circuits));
    section.parsed("circuit", &expects, |text| circuits.contains(&text).then(|| text.to_owned()))
}

fn earth_colour(section: &Section<'_>, colour: Option<&str>, pole: Option<Pole>) {
    let earth = colour.is_some_and(|colour| GREEN_AND_YELLOW.contains(&colour));
    if earth && pole.is_some_and(|pole| pole != Pole::Negative) {
        let wrong = "Green and yellow are kept for earth.";
        section.fault("colour", wrong, "Write the colour that the conductor has.");
    }
}

/// Labels are told apart without regard to spaces and capitals, as one reads them aloud.
fn twice(sections: &[Section<'_>]) {
    let mut seen = BTreeSet::new();
    for section in sections {
        let Some(label) = section.peek("label") else { continue };
        let spoken = label.to_lowercase().replace(' ', "");
        if !seen.insert(spoken) {
            let wrong = format!("The label {} stands twice.", quoted(label));
            section.fault("label", wrong, "Write a label of its own for each terminal.");
        }
    }
}

/// Each circuit must end in the row: the supply with both poles, the others with at least their own
/// positive, since one negative may serve all; a sense wire with its signal.
fn poles(circuit: &CircuitSection<'_>, ends: &[End]) {
    let has = |wanted| ends.iter().any(|(id, pole)| *id == circuit.id && *pole == wanted);
    let common = ends.iter().any(|(_, pole)| *pole == Pole::Negative);
    let wanted = match circuit.purpose {
        None => return,
        Some(Purpose::Sense) => (!has(Pole::Signal)).then_some("signal"),
        Some(Purpose::Supply) if has(Pole::Positive) => {
            (!has(Pole::Negative)).then_some("negative")
        }
        Some(_) if has(Pole::Positive) => (!common).then_some("negative"),
        Some(_) => Some("positive"),
    };
    if let Some(pole) = wanted {
        let wrong = format!("The circuit has no {pole} terminal.");
        let instead = format!(
            "Write a [[terminals]] with circuit = \"{}\" and pole = \"{pole}\".",
            circuit.id
        );
        circuit.section.fault("", wrong, instead);
    }
}
