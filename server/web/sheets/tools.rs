//! The instruments that a step's form offers, the one to take chosen already.

use std::collections::BTreeMap;

use super::Making;
use super::view::{ToolOption, ToolView};
use crate::domain::ids::{InstrumentId, Moment};
use crate::domain::instrument::Instrument;
use crate::domain::instrument::choice::{Habit, Wanted, by_fit, last_used};
use crate::domain::instrument::standing::Standing;
use crate::domain::step::{StepKind, Unit};

impl Making<'_> {
    /// One choice a figure. What was chosen in a form that came back stays chosen.
    pub(super) fn tools(&self, kind: &StepKind, chosen: &[InstrumentId]) -> Vec<ToolView> {
        let now = self.app.now();
        let mut taken = None;
        let mut tools = Vec::new();
        for (at, wanted) in Wanted::of(kind).into_iter().enumerate() {
            let last = last_used(&self.file.state, self.who.person.id, wanted.unit);
            let mut fitting = by_fit(&self.file.instruments, &wanted, Habit { last, taken }, now);
            if let Some(chosen) = chosen.get(at) {
                fitting.sort_by_key(|tool| tool.id != *chosen);
            }
            taken = fitting.first().map(|tool| tool.id);
            tools.push(view(names(kind, at), &fitting, wanted.unit, now));
        }
        tools
    }
}

/// The field's name and what stands above it.
fn names(kind: &StepKind, at: usize) -> (&'static str, &'static str) {
    match (kind, at) {
        (StepKind::Torque { .. }, _) => ("instrument", "Torque wrench"),
        (StepKind::PathDrop { .. } | StepKind::SolarOpen { .. }, 0) => ("instrument", "Voltmeter"),
        (StepKind::PathDrop { .. }, _) => ("current_instrument", "Current clamp"),
        (StepKind::SolarOpen { .. }, _) => ("thermometer", "Thermometer"),
        _ => ("instrument", "Instrument"),
    }
}

fn view(
    (name, label): (&'static str, &'static str),
    fitting: &[&Instrument],
    unit: Unit,
    now: Moment,
) -> ToolView {
    let option = |(at, tool): (usize, &&Instrument)| ToolOption {
        value: tool.id.to_string(),
        text: format!("{}, {}", tool.label, in_date(tool, now)),
        selected: (at == 0).then_some("selected"),
    };
    let options: Vec<ToolOption> = fitting.iter().enumerate().map(option).collect();
    let none = format!("No instrument here measures {unit}. A manager adds one.");
    let chosen = options.first().map_or(none, |option| option.text.clone());
    ToolView { name, label, unit: unit.symbol(), chosen, options }
}

fn in_date(tool: &Instrument, now: Moment) -> String {
    let due = || tool.newest_calibration(now).map_or("", |calibration| calibration.due_on.as_str());
    match tool.standing(now) {
        Standing::Recalled => "recalled: does not count".to_owned(),
        Standing::Ends { days: 0 } => "calibration ends today".to_owned(),
        Standing::Ends { days: 1 } => "calibration ends tomorrow".to_owned(),
        Standing::Ends { days } => format!("calibration ends in {days} days"),
        Standing::InDate => format!("in date to {}", due()),
        Standing::Retired | Standing::NeverCalibrated | Standing::Lapsed => {
            "out of calibration".to_owned()
        }
    }
}

/// From, to, resolution, percent, digits.
type Row = [String; 5];

/// The ranges of all instruments for the preview, once a page: by instrument, then by unit, as JSON.
pub(super) fn ranges(instruments: &[Instrument]) -> String {
    let mut all: BTreeMap<String, BTreeMap<&str, Vec<Row>>> = BTreeMap::new();
    for tool in instruments {
        let of_tool = all.entry(tool.id.to_string()).or_default();
        for range in &tool.ranges {
            let numbers = [range.from, range.to, range.resolution, range.percent];
            let [from, to, resolution, percent] = numbers.map(|number| number.to_string());
            let row = [from, to, resolution, percent, range.digits.to_string()];
            of_tool.entry(range.unit.symbol()).or_default().push(row);
        }
    }
    // Maps of strings always have a JSON form. A data block ends at the first "</".
    serde_json::to_string(&all).unwrap_or_default().replace('<', "\\u003c")
}
