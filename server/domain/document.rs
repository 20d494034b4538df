//! A TOML document read as a whole: every fault at once, with its line and what to write instead.
//!
//! [`read`] hands the top [`Section`] to a function that asks it for what it wants. Whatever is
//! missing, malformed or unasked-for becomes a [`Fault`]; a value comes out only if there is none.

use std::collections::BTreeSet;
use std::fmt;

use toml::de::DeTable;

mod leaves;
mod section;
mod syntax;
mod values;
mod words;

pub use leaves::leaves;
pub use section::Section;
use section::{Because, Notes};
pub use words::{listed, quoted};

/// A kit or plan is a few kilobytes; more is not one.
pub const DOCUMENT_BYTES_MAX: usize = 256 * 1024;

/// No more faults than a person mends in one go are listed.
pub const FAULTS_MAX: usize = 100;

/// Something wrong at one place of a document. Both texts are full sentences.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// Counted from 1.
    pub line: usize,
    /// Dotted path: `circuits.supply.fuse.rating_a`, `terminals.2.stud` for the second of a list.
    /// Empty where no key can be named.
    pub key: String,
    pub wrong: String,
    /// What to write instead.
    pub instead: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}", self.line)?;
        if !self.key.is_empty() {
            write!(f, ", {}", self.key)?;
        }
        write!(f, ": {} {}", self.wrong, self.instead)
    }
}

impl std::error::Error for Fault {}

/// Reads a document by asking its top section for everything that may stand in it.
///
/// The faults come in the order of the lines. Of a line with a slip in the grammar only the slip is
/// reported; behind a list or text without end nothing is called missing, since it may stand there.
pub fn read<T>(text: &str, shape: impl FnOnce(&Section<'_>) -> Option<T>) -> Result<T, Vec<Fault>> {
    if let Some(fault) = syntax::unreadable(text) {
        return Err(vec![fault]);
    }
    let notes = Notes::new(text);
    let (mended, slips) = syntax::mended(text, &notes);
    let notes = if slips.is_empty() { notes } else { Notes::new(&mended) };
    for (because, slip) in slips {
        notes.add(because, slip);
    }
    let (table, _) = DeTable::parse_recoverable(&mended);
    let top = Section::top(&notes, table.get_ref());
    let value = shape(&top);
    drop(top);
    let faults = settled(notes.into_faults());
    match value {
        Some(value) if faults.is_empty() => Ok(value),
        // A shape that gives nothing has noted why; should it not have, that is said, not hidden.
        _ if faults.is_empty() => Err(vec![syntax::whole(
            "The document could not be read.".to_owned(),
            "Write it anew from a sound one.".to_owned(),
        )]),
        _ => Err(faults),
    }
}

/// In the order of the lines, each once, without those that a slip in the grammar has caused.
fn settled(all: Vec<(Because, Fault)>) -> Vec<Fault> {
    let slip = |because| matches!(because, Because::Grammar | Because::Open);
    let slips = all.iter().filter(|(because, _)| slip(*because)).map(|(_, fault)| fault);
    let lines: BTreeSet<usize> = slips.clone().map(|slip| slip.line).collect();
    let keys: BTreeSet<String> = slips.map(|slip| slip.key.clone()).collect();
    let open = all.iter().any(|(because, _)| *because == Because::Open);
    let caused = |because: Because, fault: &Fault| match because {
        Because::Grammar | Because::Open => false,
        Because::Missing => open || keys.contains(&fault.key),
        Because::Value => lines.contains(&fault.line),
    };
    let mut faults: Vec<Fault> = all
        .into_iter()
        .filter(|(because, fault)| !caused(*because, fault))
        .map(|(_, fault)| fault)
        .collect();
    let mut seen = BTreeSet::new();
    faults.retain(|fault| seen.insert(fault.clone()));
    faults.sort_by_key(|fault| fault.line);
    cut_short(&mut faults);
    faults
}

fn cut_short(faults: &mut Vec<Fault>) {
    if faults.len() > FAULTS_MAX {
        faults.truncate(FAULTS_MAX);
        let wrong = "There are more faults than these.".to_owned();
        let mut last = syntax::whole(wrong, "Mend these first.".to_owned());
        last.line = faults.last().map_or(1, |fault| fault.line);
        faults.push(last);
    }
}
