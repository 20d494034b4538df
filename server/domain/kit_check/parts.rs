//! Parts that a recall may name: which they are, where they are fitted, what is written down of them.

use std::collections::BTreeSet;

use super::{all, id};
use crate::domain::document::Section;
use crate::domain::kit::{PartMark, TracedPart};
use crate::domain::step::Phase;

const PARTS_MAX: usize = 40;
const NAME_CHARS_MAX: usize = 60;
const NUMBER_CHARS_MAX: usize = 40;

pub(super) fn parts(top: &Section<'_>) -> Option<Vec<TracedPart>> {
    let sections = top.sections("parts", 0..=PARTS_MAX);
    let parts = all(sections.iter().map(part));
    let mut seen = BTreeSet::new();
    for section in &sections {
        if let Some(id) = section.peek("id").filter(|id| !seen.insert(*id)) {
            section.fault("id", format!("The id {id} stands twice."), "Write an id of its own.");
        }
    }
    parts
}

fn part(section: &Section<'_>) -> Option<TracedPart> {
    let id = id(section);
    let name = section.text("name", 1..=NAME_CHARS_MAX);
    let number = section.text("number", 1..=NUMBER_CHARS_MAX);
    let phase = section.choice("phase", &Phase::ALL.map(|phase| (phase.word(), phase)));
    let marks = marks(section);
    Some(TracedPart { id: id?, name: name?, number: number?, phase: phase?, marks: marks? })
}

fn marks(section: &Section<'_>) -> Option<Vec<PartMark>> {
    let asked = PartMark::ALL.into_iter().map(|mark| {
        let flag = section.has(mark.word()).then(|| section.flag(mark.word()));
        flag.unwrap_or(Some(false)).map(|asked| asked.then_some(mark))
    });
    let marks: Vec<PartMark> = all(asked)?.into_iter().flatten().collect();
    if marks.is_empty() {
        section.missing("batch", "Write batch = true or serial = true, or both.");
    }
    (!marks.is_empty()).then_some(marks)
}
