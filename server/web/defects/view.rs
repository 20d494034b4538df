//! Defects on the pages of their job: a line each, which leads to the defect.

use super::mark;
use crate::acts::job::JobFile;
use crate::domain::job::{Defect, StepState};
use crate::web::session::Who;
use crate::web::views::Mark;

/// What `components/defects.html` prints.
pub(in crate::web) struct DefectView {
    pub(in crate::web) href: String,
    pub(in crate::web) mark: Mark,
    pub(in crate::web) title: String,
    pub(in crate::web) detail: String,
}

/// What the page of a job shows of its defects.
pub(in crate::web) struct JobDefects {
    /// The open ones first.
    pub(in crate::web) all: Vec<DefectView>,
    /// Where a manager opens one.
    pub(in crate::web) open: Option<String>,
}

pub(in crate::web) fn of_job(file: &JobFile, who: &Who) -> JobDefects {
    let mut defects = file.state.defects();
    defects.sort_by_key(|defect| defect.closed().is_some());
    let may_open = who.is_manager() && file.state.released.is_none();
    JobDefects {
        all: defects.iter().map(|defect| view(file, defect)).collect(),
        open: may_open.then(|| format!("/jobs/{}/defects/new", file.row.id)),
    }
}

/// Those of these that are open at a step, for whoever stands before it.
pub(in crate::web) fn of_step(
    file: &JobFile,
    defects: &[Defect],
    state: &StepState,
) -> Vec<DefectView> {
    let here = |defect: &&Defect| {
        let key = defect.step.as_ref().map(|step| step.key.as_str());
        key == Some(state.step.key.as_str()) && defect.closed().is_none()
    };
    let titled = |defect| DefectView { title: "Defect".to_owned(), ..view(file, defect) };
    defects.iter().filter(here).map(titled).collect()
}

fn view(file: &JobFile, defect: &Defect) -> DefectView {
    DefectView {
        href: format!("/jobs/{}/defects/{}", file.row.id, defect.id),
        mark: mark(defect.wants()),
        title: place(defect),
        detail: format!("{} {}.", sentence(&defect.wrong), defect.wants().words()),
    }
}

/// `41. Drop, positive path`
pub(super) fn place(defect: &Defect) -> String {
    match &defect.step {
        Some(step) if step.number > 0 => format!("{}. {}", step.number, step.title),
        Some(step) => step.title.clone(),
        None => "The job as a whole".to_owned(),
    }
}

fn sentence(text: &str) -> String {
    if text.ends_with(['.', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}
