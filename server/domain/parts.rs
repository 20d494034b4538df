//! Which parts a job fitted, by batch or serial number: what a recall asks for.

use super::entry::Payload;
use super::ids::Moment;
use super::job::{JobState, Recorded};
use super::kit::{Kit, PartMark};

/// The step that asks for the number on the kit's own plate.
pub const KIT_SERIAL: &str = "before.serial";
/// Of a mark written down, as many characters are kept for looking up.
const MARK_CHARS_MAX: usize = 200;

/// Whether a vehicle carries what was written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Carried {
    /// The result that counts.
    Yes,
    /// The step was sent back, and nothing else was written down yet.
    Open,
    /// Another result took its place.
    Corrected,
    /// It came after the release and is part of no certificate.
    Late,
}

impl Carried {
    pub const ALL: [Self; 4] = [Self::Yes, Self::Open, Self::Corrected, Self::Late];

    /// The word that is stored.
    pub fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::Open => "open",
            Self::Corrected => "corrected",
            Self::Late => "late",
        }
    }

    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|carried| carried.word() == word)
    }
}

/// A batch or serial number that was written down for a part of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FittedPart {
    /// Place in the job's chain.
    pub seq: u64,
    pub name: String,
    /// The maker's part number; of the kit itself its code.
    pub number: String,
    pub mark: PartMark,
    /// As it was typed, in one line.
    pub value: String,
    pub carried: Carried,
    pub recorded: Moment,
}

/// Everything that was written down of the kit's parts and of its own plate, in the order of the chain.
pub fn fitted_parts(state: &JobState, kit: &Kit) -> Vec<FittedPart> {
    let asked = kit.parts.iter().flat_map(|part| {
        part.marks.iter().map(|mark| (part.step_key(*mark), &part.name, &part.number, *mark))
    });
    let plate = (KIT_SERIAL.to_owned(), &kit.title, &kit.code, PartMark::Serial);
    let mut fitted = Vec::new();
    for (step, name, number, mark) in asked.chain([plate]) {
        for (seq, value, carried, recorded) in written(state, &step) {
            let (name, number) = (name.clone(), number.clone());
            fitted.push(FittedPart { seq, name, number, mark, value, carried, recorded });
        }
    }
    fitted.sort_by_key(|part| part.seq);
    fitted
}

/// The notes of one step, wherever the fold keeps them.
fn written(state: &JobState, step: &str) -> Vec<(u64, String, Carried, Moment)> {
    let of_step = |s: &&super::job::StepState| s.step.key == step;
    let steps = state.steps.iter().chain(&state.gone).filter(of_step);
    let counted = steps.flat_map(|step| {
        let of = |result: &Recorded| match (result.standing, step.result()) {
            (true, _) => Carried::Yes,
            (false, None) => Carried::Open,
            (false, Some(_)) => Carried::Corrected,
        };
        step.history.iter().map(move |result| (&result.act, &result.body, of(result)))
    });
    let late = state.released.iter().flat_map(|_| &state.unplaced);
    let late = late.filter(|aside| aside.body.step == step);
    counted
        .chain(late.map(|aside| (&aside.act, &aside.body, Carried::Late)))
        .filter_map(|(act, body, carried)| match &body.payload {
            Payload::Note { text } => Some((act.seq, one_line(text), carried, act.recorded)),
            _ => None,
        })
        .collect()
}

fn one_line(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").chars().take(MARK_CHARS_MAX).collect()
}
