//! What the plan came to, beside the results that are held against it.

use super::View;
use crate::domain::finding::{Finding, Outcome};
use crate::web::views::Mark;

pub(super) struct PlanRow {
    pub(super) href: String,
    pub(super) title: String,
    pub(super) sentence: String,
    pub(super) value: String,
    pub(super) limit: String,
    pub(super) mark: Mark,
    pub(super) accepted: Option<String>,
}

impl View<'_> {
    /// Every finding of the newest plan, worst first; nothing while another list is shown.
    pub(super) fn plan(&self) -> Vec<PlanRow> {
        if self.query.show != "plan" {
            return Vec::new();
        }
        self.file.findings().iter().map(|finding| self.plan_row(finding)).collect()
    }

    fn plan_row(&self, finding: &Finding) -> PlanRow {
        let kind = match finding.outcome {
            Outcome::Ok => "pass",
            Outcome::Caution => "caution",
            Outcome::Stop => "stop",
        };
        PlanRow {
            href: format!("/jobs/{}/plan#{}", self.file.row.id, finding.id),
            title: finding.title.clone(),
            sentence: finding.reason.clone(),
            value: finding.value_text(),
            limit: finding.limit_text(),
            mark: Mark { kind, word: finding.word() },
            accepted: self.file.accepted_words(finding),
        }
    }
}
