//! One table of a document, and the sections in it.

use std::cell::RefCell;
use std::ops::RangeInclusive;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::words::{key_text, kind_of, listed, nearest};
use super::{FAULTS_MAX, Fault};

/// Why a fault was noted; some are only the echo of a slip in the grammar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Because {
    Grammar,
    /// A slip in the grammar that may have swallowed what stands behind it.
    Open,
    Missing,
    Value,
}

/// The faults found so far, and where the lines begin.
#[derive(Debug)]
pub(super) struct Notes {
    line_starts: Vec<usize>,
    faults: RefCell<Vec<(Because, Fault)>>,
}

impl Notes {
    pub(super) fn new(text: &str) -> Self {
        let after_breaks = text.match_indices('\n').map(|(at, _)| at + 1);
        Self { line_starts: after_breaks.collect(), faults: RefCell::default() }
    }

    /// The line, counted from 1, that this byte stands in.
    pub(super) fn line(&self, byte: usize) -> usize {
        self.line_starts.partition_point(|start| *start <= byte) + 1
    }

    pub(super) fn add(&self, because: Because, fault: Fault) {
        self.faults.borrow_mut().push((because, fault));
    }

    pub(super) fn into_faults(self) -> Vec<(Because, Fault)> {
        self.faults.into_inner()
    }
}

/// One table of a document. It keeps account of what it was asked for: when it goes out of scope,
/// every key that nobody asked for is a fault. So ask for all keys first, and only then give up.
#[derive(Debug)]
pub struct Section<'d> {
    notes: &'d Notes,
    table: &'d DeTable<'d>,
    path: String,
    line: usize,
    asked: RefCell<Vec<String>>,
}

/// A value with the line of its key.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found<'d> {
    pub(super) value: &'d DeValue<'d>,
    line: usize,
}

impl<'d> Section<'d> {
    pub(super) fn top(notes: &'d Notes, table: &'d DeTable<'d>) -> Self {
        Self { notes, table, path: String::new(), line: 1, asked: RefCell::default() }
    }

    /// The dotted path of a key in this section; of the section itself for an empty key.
    pub fn path_of(&self, key: &str) -> String {
        match (self.path.as_str(), key) {
            ("", key) => key.to_owned(),
            (path, "") => path.to_owned(),
            (path, key) => format!("{path}.{key}"),
        }
    }

    /// Whether the key stands in the document at all.
    pub fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// The text under this key as it stands, without asking for it or judging it.
    pub fn peek(&self, key: &str) -> Option<&'d str> {
        self.entry(key).and_then(|(_, value)| value.get_ref().as_str())
    }

    /// Notes a fault at the key, or at the section's heading if the key is not there.
    pub fn fault(&self, key: &str, wrong: impl Into<String>, instead: impl Into<String>) {
        self.note(Because::Value, key, wrong.into(), instead.into());
    }

    /// Notes that a key is not there.
    pub fn missing(&self, key: &str, instead: impl Into<String>) {
        self.note(Because::Missing, key, "This is missing.".to_owned(), instead.into());
    }

    /// Notes that a key stands there for nothing.
    pub fn needless(&self, key: &str, wrong: impl Into<String>) {
        if self.has(key) {
            self.ask(key);
            self.fault(key, wrong, "Leave it out.");
        }
    }

    /// The section under this key, which must be there.
    pub fn section(&self, key: &str) -> Option<Section<'d>> {
        if !self.has(key) {
            self.missing(key, format!("Write [{}] and its keys beneath.", self.path_of(key)));
        }
        self.maybe_section(key)
    }

    /// The section under this key, if there is one.
    pub fn maybe_section(&self, key: &str) -> Option<Section<'d>> {
        let found = self.look(key)?;
        self.inner(self.path_of(key), found)
    }

    /// Lets every key stand, where the section itself is the fault.
    pub fn let_stand(&self) {
        for name in self.table.keys() {
            self.ask(name.get_ref());
        }
    }

    /// The sections of a list (`[[terminals]]`), in order; so many of them.
    pub fn sections(&self, key: &str, count: RangeInclusive<usize>) -> Vec<Section<'d>> {
        let path = self.path_of(key);
        let Some(found) = self.look(key) else {
            if *count.start() > 0 {
                self.missing(key, format!("Write [[{path}]] for each, in order."));
            }
            return Vec::new();
        };
        let Some(list) = found.value.as_array() else {
            let wrong = format!("This is {}, not a list of sections.", kind_of(found.value));
            self.fault(key, wrong, format!("Write [[{path}]] for each."));
            return Vec::new();
        };
        self.count_fault(key, list.len(), &count);
        let most = *count.end();
        let inner = list.iter().take(most).enumerate().filter_map(|(at, value)| {
            let line = self.notes.line(value.span().start);
            self.inner(format!("{path}.{}", at + 1), Found { value: value.get_ref(), line })
        });
        inner.collect()
    }

    /// The sections under names (`[circuits.supply]`), in the order of the document.
    pub fn named_sections(
        &self,
        key: &str,
        count: RangeInclusive<usize>,
    ) -> Vec<(String, Section<'d>)> {
        let path = self.path_of(key);
        let Some(outer) = self.maybe_section(key) else {
            if !self.has(key) && *count.start() > 0 {
                self.missing(key, format!("Write [{path}.name] for each, with its own name."));
            }
            return Vec::new();
        };
        self.count_fault(key, outer.table.len(), &count);
        let mut entries: Vec<_> = outer.table.iter().collect();
        entries.sort_by_key(|(name, _)| name.span().start);
        outer.let_stand();
        let inner = entries.into_iter().take(*count.end()).filter_map(|(name, value)| {
            let line = self.notes.line(value.span().start.max(name.span().start));
            let path = outer.path_of(&key_text(name.get_ref()));
            let section = outer.inner(path, Found { value: value.get_ref(), line })?;
            Some((name.get_ref().to_string(), section))
        });
        inner.collect()
    }

    fn count_fault(&self, key: &str, count: usize, allowed: &RangeInclusive<usize>) {
        if !allowed.contains(&count) {
            let (least, most) = (allowed.start(), allowed.end());
            let wrong = format!("There are {count}.");
            self.fault(key, wrong, format!("Write at least {least} and at most {most}."));
        }
    }

    fn inner(&self, path: String, found: Found<'d>) -> Option<Section<'d>> {
        let line = found.line;
        let Some(table) = found.value.as_table() else {
            let wrong = format!("This is {}, not a section.", kind_of(found.value));
            let instead = format!("Write [{path}] and its keys beneath.");
            self.notes.add(Because::Value, Fault { line, key: path, wrong, instead });
            return None;
        };
        Some(Section { notes: self.notes, table, path, line, asked: RefCell::default() })
    }

    /// The value under this key, which is from now on a key that may stand here.
    pub(super) fn look(&self, key: &str) -> Option<Found<'d>> {
        self.ask(key);
        let (name, value) = self.entry(key)?;
        Some(Found { value: value.get_ref(), line: self.notes.line(name.span().start) })
    }

    fn ask(&self, key: &str) {
        self.asked.borrow_mut().push(key.to_owned());
    }

    fn entry(&self, key: &str) -> Option<(&'d Spanned<DeString<'d>>, &'d Spanned<DeValue<'d>>)> {
        self.table.get_key_value(key)
    }

    fn note(&self, because: Because, key: &str, wrong: String, instead: String) {
        let line =
            self.entry(key).map_or(self.line, |(name, _)| self.notes.line(name.span().start));
        self.notes.add(because, Fault { line, key: self.path_of(key), wrong, instead });
    }
}

impl Drop for Section<'_> {
    fn drop(&mut self) {
        let asked = self.asked.take();
        let unknown =
            self.table.keys().filter(|name| !asked.iter().any(|key| key == name.get_ref()));
        for name in unknown.take(FAULTS_MAX + 1) {
            let instead = match nearest(name.get_ref(), &asked) {
                Some(meant) => format!("Did you mean {meant}? Write that, or leave it out."),
                None => format!("Leave it out; what may stand here is {}.", listed(&asked)),
            };
            let fault = Fault {
                line: self.notes.line(name.span().start),
                key: self.path_of(&key_text(name.get_ref())),
                wrong: "Nothing of this name belongs here.".to_owned(),
                instead,
            };
            self.notes.add(Because::Value, fault);
        }
    }
}
