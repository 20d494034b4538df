//! The page of the plan, put together.

use askama::Template;
use axum::response::Response;

use super::Shown;
use super::drawings::{self, CircuitView, Drawn};
use super::fields::{FaultView, SectionView, fault_view, sections};
use super::findings::{Count, FindingsView, counts, findings};
use crate::acts::job::JobFile;
use crate::domain::finding::Outcome;
use crate::domain::findings::worst;
use crate::web::page::{Frame, page};
use crate::web::session::Who;

#[derive(Template)]
#[template(path = "pages/plan.html")]
struct PlanPage {
    frame: Frame,
    back: String,
    back_words: String,
    title: String,
    lede: String,
    action: String,
    preview: String,
    faults: Option<Vec<FaultView>>,
    sections: Vec<SectionView>,
    /// Only a manager saves a plan.
    may_save: Option<()>,
    /// These figures are only tried.
    unsaved: Option<()>,
    findings: Option<FindingsView>,
    counts: Vec<Count>,
    circuits: Vec<CircuitView>,
    mount: Option<Drawn>,
    make: Option<MakeView>,
}

/// Where the sheet stands.
struct MakeView {
    action: Option<String>,
    words: String,
    sheet: Option<String>,
}

pub(super) fn plan_page(shown: &Shown<'_>) -> Response {
    let Shown { who, file, values, faults, plan, .. } = shown;
    let job = format!("/jobs/{}", file.row.id);
    let page_shown = PlanPage {
        frame: Frame::new(format!("Plan, job {}", file.row.number), who, "/jobs"),
        title: format!("Plan for {}", file.row.registration),
        lede: lede(file),
        back_words: format!("Job {}", file.row.number),
        action: format!("{job}/plan"),
        preview: format!("{job}/plan/preview"),
        faults: (!faults.is_empty()).then(|| faults.iter().map(fault_view).collect()),
        sections: sections(&file.kit, values, faults),
        may_save: (who.is_manager() && file.state.released.is_none()).then_some(()),
        unsaved: (shown.saved.is_none() && plan.is_some()).then_some(()),
        findings: plan.map(|_| findings(shown)),
        counts: counts(shown.findings),
        circuits: plan.map_or_else(Vec::new, |plan| drawings::circuits(&file.kit, plan)),
        mount: plan.and_then(|plan| drawings::mount(&file.kit, plan)),
        make: shown.saved.map(|edition| make_view(file, who, edition, &job)),
        back: job,
    };
    page(&page_shown)
}

fn lede(file: &JobFile) -> String {
    let kit = format!("{} edition {}", file.kit.title, file.kit.edition);
    match &file.plan {
        None => {
            format!("No plan yet for {kit}. Measure along the real route, then save and work out.")
        }
        Some(saved) => format!(
            "Edition {} of the plan, {kit}. Nothing is fitted while one finding says stop.",
            saved.row.edition
        ),
    }
}

fn make_view(file: &JobFile, who: &Who, edition: u32, job: &str) -> MakeView {
    let made = file.state.sheet.as_ref();
    if made.is_some_and(|sheet| sheet.plan_edition == edition) {
        return MakeView {
            action: None,
            words: "The sheet is made from this plan.".to_owned(),
            sheet: Some(format!("{job}/sheet")),
        };
    }
    let open = file.open_cautions().len();
    let words = if worst(file.findings()) == Outcome::Stop {
        "No sheet while a finding says stop. Change the plan and save again."
    } else if open > 0 {
        "Accept each caution in writing, or change the plan; then the sheet can be made."
    } else if made.is_some() {
        "The plan changed. A new sheet keeps every result whose step and limit stayed the same."
    } else {
        "Nothing stands in the way of the sheet."
    };
    let free = worst(file.findings()) != Outcome::Stop && open == 0 && who.is_manager();
    MakeView { action: free.then(|| format!("{job}/sheet")), words: words.to_owned(), sheet: None }
}
