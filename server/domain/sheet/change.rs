//! What changed between two editions of a sheet, as data and in words.

use super::Sheet;
use crate::domain::number::Decimal;
use crate::domain::step::{Step, StepKind, Unit};

/// What a later edition did to an earlier one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetChange {
    pub from: u32,
    pub to: u32,
    /// The plan changed, and not only what the sheet makes of it.
    pub new_plan: bool,
    /// Keys, in the order of the later sheet.
    pub added: Vec<String>,
    /// Keys, in the order of the earlier sheet.
    pub gone: Vec<String>,
    pub changed: Vec<StepChange>,
}

/// A step that stayed and is judged otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepChange {
    pub key: String,
    /// `the limit was at most 0.36 V, now at most 0.30 V`
    pub words: String,
}

impl SheetChange {
    pub fn between(old: &Sheet, new: &Sheet) -> Self {
        let missing_in = |other: &Sheet, steps: &[Step]| -> Vec<String> {
            let missing = steps.iter().filter(|step| other.step(&step.key).is_none());
            missing.map(|step| step.key.clone()).collect()
        };
        let changed = new.steps.iter().filter_map(|step| {
            let was = old.step(&step.key).filter(|was| was.kind != step.kind)?;
            let words = kind_change(&was.kind, &step.kind);
            Some(StepChange { key: step.key.clone(), words })
        });
        Self {
            from: old.edition,
            to: new.edition,
            new_plan: old.plan_edition != new.plan_edition,
            added: missing_in(old, &new.steps),
            gone: missing_in(new, &old.steps),
            changed: changed.collect(),
        }
    }

    pub fn changes(&self, key: &str) -> bool {
        self.changed.iter().any(|change| change.key == key)
    }
}

/// What is judged otherwise: `the limit was at most 0.36 V, now at most 0.30 V`. A step that came back
/// to what it was says so.
pub fn kind_change(old: &StepKind, new: &StepKind) -> String {
    if old == new {
        return "the limit was another one in between".to_owned();
    }
    if old.word() != new.word() {
        return format!("the step wanted {}, now {}", old.wanted(), new.wanted());
    }
    let pairs = old.figures().into_iter().zip(new.figures());
    let changed = pairs.filter(|(old, new)| old != new);
    let words: Vec<String> =
        changed.map(|((name, was), (_, now))| format!("the {name} was {was}, now {now}")).collect();
    words.join("; ")
}

impl StepKind {
    /// What is recorded and by what it is judged: `a torque; limit 9.0 to 11.0 N·m`.
    pub fn asked(&self) -> String {
        let figures = self.figures().into_iter().map(|(name, figure)| format!("{name} {figure}"));
        let words: Vec<String> = [self.wanted().to_owned()].into_iter().chain(figures).collect();
        words.join("; ")
    }

    /// What is recorded at such a step.
    fn wanted(&self) -> &'static str {
        match self {
            Self::Confirm => "a tick",
            Self::Photo => "a photo",
            Self::Note => "a note",
            Self::Torque { .. } => "a torque",
            Self::Fuse { .. } => "a fuse rating",
            Self::Order { .. } => "an order of terminals",
            Self::Reading { .. } => "a reading",
            Self::PathDrop { .. } => "a drop and its current",
            Self::SolarOpen { .. } => "a voltage and its temperature",
        }
    }

    /// Everything that judges a result, by name.
    fn figures(&self) -> Vec<(&'static str, String)> {
        match self {
            Self::Confirm | Self::Photo | Self::Note => Vec::new(),
            Self::Torque { limits } => vec![("limit", limits.words(Unit::NewtonMetre))],
            Self::Reading { unit, limits } => vec![("limit", limits.words(*unit))],
            Self::SolarOpen {
                string_voc_v,
                in_series,
                percent_per_k,
                tolerance_percent,
                upper_v,
            } => {
                vec![
                    ("string's voltage at 25 °C", format!("{string_voc_v} V")),
                    ("number of modules in series", in_series.to_string()),
                    ("temperature coefficient", format!("{percent_per_k} %/K")),
                    ("tolerance", format!("±{tolerance_percent} %")),
                    ("input's maximum", format!("{upper_v} V")),
                ]
            }
            Self::Fuse { rating_a, choices_a } => vec![
                ("rating", format!("{} A", rating_a.normalize())),
                ("choice", listed(choices_a)),
            ],
            Self::Order { expected, choices } => {
                vec![("order", expected.join(" · ")), ("choice", choices.join(", "))]
            }
            Self::PathDrop {
                resistance_max_milliohm,
                planned_milliohm,
                milliohm_per_metre,
                current_a,
            } => vec![
                ("limit", format!("at most {resistance_max_milliohm} mΩ")),
                ("planned resistance", format!("{planned_milliohm} mΩ")),
                ("cable's resistance", format!("{milliohm_per_metre} mΩ/m")),
                ("planned current", format!("{} A", current_a.normalize())),
            ],
        }
    }
}

fn listed(ratings: &[Decimal]) -> String {
    let ratings: Vec<String> = ratings.iter().map(|a| a.normalize().to_string()).collect();
    format!("{} A", ratings.join(", "))
}
