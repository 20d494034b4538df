//! A re-inspection's measurements beside their first values, for the pages of a job.

use super::Mark;
use crate::acts::job::JobFile;
use crate::domain::reinspection::{Comparison, Course, Outcome, Value};

/// One row of `components/comparison.html`.
pub(in crate::web) struct ComparedView {
    pub(in crate::web) number: usize,
    pub(in crate::web) href: String,
    pub(in crate::web) title: String,
    pub(in crate::web) sentence: String,
    pub(in crate::web) first: String,
    pub(in crate::web) first_on: String,
    pub(in crate::web) last: Option<String>,
    pub(in crate::web) now: String,
    pub(in crate::web) limit: String,
    pub(in crate::web) mark: Mark,
}

impl ComparedView {
    /// Everything that has a result; nothing on jobs that are no re-inspection.
    pub(in crate::web) fn all(file: &JobFile) -> Vec<Self> {
        let compared = file.comparisons();
        let recorded = compared.iter().filter(|compared| compared.now.is_some());
        recorded.map(|compared| Self::of(file, compared)).collect()
    }

    /// What is not as it was, and how many are.
    pub(in crate::web) fn changed(file: &JobFile) -> (Vec<Self>, usize) {
        let all = Self::all(file);
        let count = all.len();
        let changed: Vec<Self> = all.into_iter().filter(|row| row.mark.kind != "pass").collect();
        let same = count - changed.len();
        (changed, same)
    }

    fn of(file: &JobFile, compared: &Comparison) -> Self {
        let words = |value: &Option<Value>| {
            value.as_ref().map_or_else(|| "–".to_owned(), |value| value.words.clone())
        };
        let first_on = compared.first.as_ref().map(|first| first.on.clone());
        Self {
            number: compared.number,
            href: format!(
                "/jobs/{}/sheet?open={}#s-{}",
                file.row.id, compared.key, compared.number
            ),
            title: compared.title.clone(),
            sentence: compared.detail(),
            first: words(&compared.first),
            first_on: first_on.unwrap_or_default(),
            last: compared.last.as_ref().map(Value::dated),
            now: words(&compared.now),
            limit: compared.limit.clone(),
            mark: mark(&compared.since_first),
        }
    }
}

/// No verdict: what has grown may pass, and what has not may fail.
fn mark(outcome: &Outcome) -> Mark {
    let kind = match outcome {
        Outcome::OtherThanBefore => "caution",
        Outcome::Changed(change) if change.course == Course::Worse => "caution",
        Outcome::Changed(change) if change.course == Course::Moved => "uncounted",
        Outcome::Changed(_) | Outcome::SameAsBefore => "pass",
        Outcome::NotComparable(_) => "uncounted",
        Outcome::Due => "todo",
    };
    Mark { kind, word: outcome.word() }
}
