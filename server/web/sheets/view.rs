//! What the sheet's page prints: text that is ready, options where something may be missing.

use super::Typed;
use crate::domain::solar_open::OpenString;
use crate::domain::step::Unit;
use crate::web::defects::DefectView;
use crate::web::views::{Gauge, Mark};

pub(super) struct PhaseView {
    pub(super) word: &'static str,
    pub(super) title: &'static str,
    pub(super) count: String,
    pub(super) start: usize,
    pub(super) steps: Vec<StepView>,
}

pub(super) struct StepView {
    pub(super) number: usize,
    pub(super) key: String,
    pub(super) title: String,
    pub(super) how: Vec<HowPart>,
    pub(super) caution: Option<String>,
    pub(super) basis: Option<String>,
    pub(super) mark: Mark,
    pub(super) value: Option<(String, String)>,
    /// `done` or `todo`.
    pub(super) state: &'static str,
    /// `open` on the one step that is.
    pub(super) open: Option<&'static str>,
    pub(super) saved: Option<SavedView>,
    pub(super) reopened: Option<String>,
    /// What is wrong here.
    pub(super) defects: Vec<DefectView>,
    /// Of a re-inspection: what was measured before, and what became of it.
    pub(super) before: Option<String>,
    pub(super) since: Option<String>,
    /// What a newer sheet edition did to it.
    pub(super) notice: Option<String>,
    pub(super) results: Vec<ResultView>,
    pub(super) remarks: Vec<String>,
    /// To the search for the joint, where there is something to search for.
    pub(super) search: Option<String>,
    pub(super) form: Option<FormView>,
}

pub(super) struct HowPart {
    pub(super) plain: String,
    pub(super) bold: String,
}

/// The step before, as it was just saved.
pub(super) struct SavedView {
    pub(super) words: String,
    pub(super) mark: Mark,
    pub(super) correct: String,
    pub(super) search: Option<String>,
}

pub(super) struct ResultView {
    pub(super) value: String,
    pub(super) kind: &'static str,
    pub(super) word: &'static str,
    pub(super) sentence: String,
    pub(super) about: String,
    pub(super) photos: Vec<String>,
}

#[derive(Default)]
pub(super) struct FormView {
    /// Shown at once; for a recorded step the form is folded away below its result.
    pub(super) is_open: Option<()>,
    /// Of the one step that the page opens at.
    pub(super) is_live: Option<()>,
    /// The page with this step open, where no script can do it.
    pub(super) open: String,
    pub(super) action: String,
    pub(super) id: String,
    pub(super) remark_id: String,
    pub(super) sheet: u32,
    pub(super) supersedes: String,
    pub(super) kind: &'static str,
    pub(super) unit: &'static str,
    pub(super) lower: String,
    pub(super) upper: String,
    pub(super) limit_milliohm: String,
    pub(super) planned_milliohm: String,
    pub(super) milliohm_per_metre: String,
    pub(super) limit: String,
    pub(super) typed: Typed,
    pub(super) improbable: &'static str,
    pub(super) tools: Vec<ToolView>,
    pub(super) gauge: Option<Gauge>,
    pub(super) reading: Option<()>,
    pub(super) ratio: Option<String>,
    /// What the limits of a solar string follow from.
    pub(super) solar: Option<OpenString>,
    pub(super) rating: Option<Vec<String>>,
    /// For the preview of a read-back, which the page itself does not show: a rating, or labels as JSON.
    pub(super) planned: String,
    pub(super) order: Option<Vec<OrderRow>>,
    pub(super) tick: Option<()>,
    pub(super) photo: Option<()>,
    pub(super) words: Option<()>,
    /// Confirm, photo and note steps may be impossible; then a manager decides.
    pub(super) unable: Option<()>,
    pub(super) with_extras: Option<()>,
    pub(super) save: &'static str,
}

pub(super) struct OrderRow {
    pub(super) name: String,
    pub(super) label: String,
    pub(super) detail: String,
    pub(super) places: Vec<usize>,
}

pub(super) struct ToolView {
    pub(super) name: &'static str,
    pub(super) label: &'static str,
    /// Which of an instrument's ranges the script reads from the page's list.
    pub(super) unit: &'static str,
    pub(super) chosen: String,
    pub(super) options: Vec<ToolOption>,
}

pub(super) struct ToolOption {
    pub(super) value: String,
    pub(super) text: String,
    pub(super) selected: Option<&'static str>,
}

/// `12.6 V` as figure and unit, so that the unit can be printed small.
pub(super) fn value_parts(value: &str, unit: Option<Unit>) -> (String, String) {
    let symbol = unit.map_or("", Unit::symbol);
    match value.strip_suffix(symbol) {
        Some(figure) if !symbol.is_empty() => (figure.trim_end().to_owned(), symbol.to_owned()),
        _ => (value.to_owned(), String::new()),
    }
}

/// Words between double asterisks are what goes wrong: they are printed bold.
pub(super) fn how_parts(how: &str) -> Vec<HowPart> {
    let mut parts = how.split("**");
    let mut runs = Vec::new();
    while let Some(plain) = parts.next() {
        let bold = parts.next().unwrap_or_default().to_owned();
        runs.push(HowPart { plain: plain.to_owned(), bold });
    }
    runs
}
