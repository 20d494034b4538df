//! How many steps have which verdict.

use crate::acts::job::JobFile;
use crate::domain::verdict::Verdict;
use crate::web::views::Mark;

pub(super) struct TallyView {
    pub(super) mark: Mark,
    pub(super) count: usize,
}

pub(super) fn tally(file: &JobFile) -> Vec<TallyView> {
    let count =
        |verdict| file.state.steps.iter().filter(|step| step.verdict() == Some(verdict)).count();
    let shown = [Verdict::Pass, Verdict::Done, Verdict::Inconclusive, Verdict::Fail];
    let verdicts = shown
        .into_iter()
        .map(|verdict| TallyView { mark: Mark::of(verdict), count: count(verdict) });
    let due = file.state.steps.iter().filter(|step| step.verdict().is_none()).count();
    verdicts
        .chain(std::iter::once(TallyView {
            mark: Mark { kind: "todo", word: "To do" },
            count: due,
        }))
        .filter(|view| view.count > 0)
        .collect()
}
