//! What changed between two editions of a kit, in words and values. Each edition is first put in words, line
//! by line under a name that lasts; lines are then compared by name.

use super::kit::Kit;

mod words;

use words::in_words;

/// What a line is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    Terminals,
    Circuits,
    Fuses,
    Mounting,
    Torques,
    Inputs,
    Figures,
    Steps,
    Parts,
    Texts,
}

impl Subject {
    pub const ALL: [Self; 10] = [
        Self::Terminals,
        Self::Circuits,
        Self::Fuses,
        Self::Mounting,
        Self::Torques,
        Self::Inputs,
        Self::Figures,
        Self::Steps,
        Self::Parts,
        Self::Texts,
    ];

    pub fn title(self) -> &'static str {
        match self {
            Self::Terminals => "Terminals",
            Self::Circuits => "Circuits",
            Self::Fuses => "Fuses",
            Self::Mounting => "Mounting",
            Self::Torques => "Torques",
            Self::Inputs => "Sensing, solar and charging",
            Self::Figures => "Figures and free space",
            Self::Steps => "Steps of its own",
            Self::Parts => "Parts",
            Self::Texts => "Names and manual",
        }
    }
}

/// One line of a kit in words.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Line {
    subject: Subject,
    /// Lasting name, shown too: `Supply, current`.
    name: String,
    value: String,
}

/// What became of one line; nothing on the side where it is not there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitChange {
    pub subject: Subject,
    pub name: String,
    pub from: Option<String>,
    pub to: Option<String>,
}

/// Everything that differs, by subject, in the order of the later edition. The edition number itself is left
/// out.
pub fn kit_changes(old: &Kit, new: &Kit) -> Vec<KitChange> {
    let (old, new) = (in_words(old), in_words(new));
    let same_name = |one: &Line, other: &Line| {
        (one.subject, one.name.as_str()) == (other.subject, other.name.as_str())
    };
    let kept = new.iter().map(|line| {
        let from = old.iter().find(|was| same_name(was, line)).map(|was| was.value.clone());
        (line, from, Some(line.value.clone()))
    });
    let gone = old
        .iter()
        .filter(|was| !new.iter().any(|line| same_name(line, was)))
        .map(|was| (was, Some(was.value.clone()), None));
    let mut changes: Vec<KitChange> = kept
        .chain(gone)
        .filter(|(_, from, to)| from != to)
        .map(|(line, from, to)| KitChange {
            subject: line.subject,
            name: line.name.clone(),
            from,
            to,
        })
        .collect();
    changes.sort_by_key(|change| change.subject);
    changes
}
