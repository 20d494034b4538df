//! The list of steps: what needs eyes first, then what is clear of its limits.

use super::send_back::Tick;
use super::{View, flag_words, wants_eyes};
use crate::domain::job::{Recorded, StepState};
use crate::web::form::Filled;
use crate::web::views::{Gauge, Mark};

pub(super) struct RowView {
    pub(super) number: usize,
    pub(super) href: String,
    pub(super) title: String,
    pub(super) detail: String,
    pub(super) limit: String,
    pub(super) value: String,
    pub(super) gauge: Option<Gauge>,
    pub(super) mark: Mark,
    pub(super) selected: Option<&'static str>,
    /// Where it can still go back.
    pub(super) tick: Option<Tick>,
}

pub(super) struct GroupView {
    pub(super) title: &'static str,
    pub(super) rows: Vec<RowView>,
}

pub(super) struct TabView {
    pub(super) href: String,
    pub(super) title: &'static str,
    pub(super) count: usize,
    pub(super) current: Option<&'static str>,
}

const TABS: [(&str, &str); 5] = [
    ("eyes", "Needs eyes"),
    ("", "Measurements"),
    ("photos", "Photos"),
    ("plan", "Plan"),
    ("all", "All steps"),
];

impl View<'_> {
    pub(super) fn tabs(&self) -> Vec<TabView> {
        let steps = &self.file.state.steps;
        let count = |word: &str| match word {
            "eyes" => steps.iter().filter(|step| wants_eyes(step)).count(),
            "photos" => self.photos().iter().map(|of| of.shots.len()).sum(),
            "plan" => self.file.findings().len(),
            "all" => steps.len(),
            _ => steps.iter().filter(|step| step.step.kind.is_measurement()).count(),
        };
        let job = self.file.row.id;
        TABS.into_iter()
            .map(|(word, title)| TabView {
                href: format!("/jobs/{job}/review?show={word}"),
                title,
                count: count(word),
                current: (self.query.show == word).then_some("true"),
            })
            .collect()
    }

    /// Whether the list has a row of this step.
    pub(super) fn is_shown(&self, step: &StepState) -> bool {
        match self.query.show.as_str() {
            "eyes" => wants_eyes(step),
            "all" => true,
            "photos" | "plan" => false,
            _ => step.step.kind.is_measurement(),
        }
    }

    pub(super) fn groups(&self, sent: &Filled) -> Vec<GroupView> {
        let steps = &self.file.state.steps;
        let (mut eyes, clear): (Vec<&StepState>, Vec<&StepState>) =
            steps.iter().filter(|step| self.is_shown(step)).partition(|step| wants_eyes(step));
        // What keeps the certificate back stands first.
        eyes.sort_by_key(|step| step.is_good());
        let group = |title, steps: Vec<&StepState>| GroupView {
            title,
            rows: steps.into_iter().map(|step| self.row(step, sent)).collect(),
        };
        let mut groups = vec![group("Needs eyes", eyes), group("Clear of the limits", clear)];
        groups.retain(|group| !group.rows.is_empty());
        groups
    }

    fn row(&self, state: &StepState, sent: &Filled) -> RowView {
        let open = self.file.state.released.is_none();
        let judgement = state.result().and_then(|result| result.judged.as_ref().ok());
        let nth = state.history.len();
        let mut detail = flag_words(self.file, state);
        if nth > 1 {
            detail.insert(0, "More than one result.".to_owned());
        }
        if self.query.show == "all" {
            detail.extend(state.result().map(|result| self.told_by(result)));
        }
        RowView {
            number: state.number,
            href: format!(
                "/jobs/{}/review?show={}&step={}#entry",
                self.file.row.id, self.query.show, state.step.key
            ),
            title: state.step.title.clone(),
            detail: detail.join(" "),
            limit: judgement.map_or_else(
                || state.step.kind.limit_short(),
                |judgement| judgement.limit_short(&state.step.kind),
            ),
            value: if state.step.kind.is_measurement() {
                state.short_value()
            } else {
                String::new()
            },
            gauge: Gauge::of(&state.step.kind, judgement),
            mark: Mark::of_step(state),
            selected: self
                .looked_at
                .is_some_and(|step| step.number == state.number)
                .then_some("true"),
            tick: open.then(|| Tick::new(state, sent)),
        }
    }

    /// Margin, instrument, who and when, in one line.
    fn told_by(&self, result: &Recorded) -> String {
        let mut words: Vec<String> = Vec::new();
        if let Ok(judgement) = &result.judged
            && let (Some(margin), Some((_, unit))) = (judgement.margin, judgement.figure)
        {
            words.push(format!("Margin {} {unit}", margin.normalize()));
            let uncertainty = judgement.uncertainty_shown();
            words.extend(uncertainty.map(|u| format!("uncertainty {} {unit}", u.normalize())));
        }
        words.extend(
            self.file.instrument_labels(&result.body.payload).into_iter().map(str::to_owned),
        );
        let name = self.file.name_of(result.act.person);
        words.push(format!("{name}, {}", result.act.recorded.date_and_minute()));
        format!("{}.", words.join(", "))
    }
}
