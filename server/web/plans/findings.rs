//! The findings of a plan, ready to print: those that want a decision in full, the others in a line.

use super::Shown;
use crate::documents::drawing::limit_bar;
use crate::domain::change::smallest_change;
use crate::domain::finding::{Basis, Finding, Outcome, three_digits};
use crate::web::page::Svg;

/// A finding, ready to print; `kind` names shape and colour.
pub(super) struct FindingView {
    pub(super) id: String,
    pub(super) kind: &'static str,
    pub(super) word: &'static str,
    pub(super) title: String,
    pub(super) value: String,
    pub(super) unit: &'static str,
    pub(super) limit: String,
    pub(super) bar: Option<Svg>,
    pub(super) sentence: String,
    pub(super) remedy: Option<String>,
    pub(super) change: Option<String>,
    pub(super) formula: String,
    pub(super) sources: Vec<BasisView>,
    /// Told where nothing but recalled figures speaks for an "ok".
    pub(super) recalled: Option<()>,
    pub(super) accepted: Option<String>,
    pub(super) accept: Option<String>,
}

pub(super) struct BasisView {
    pub(super) text: String,
    pub(super) sureness: &'static str,
}

pub(super) struct Count {
    pub(super) kind: &'static str,
    pub(super) words: String,
}

/// Those that want a decision, worst first; then all others.
pub(super) struct FindingsView {
    pub(super) open: Vec<FindingView>,
    pub(super) fine: Vec<FindingView>,
    pub(super) fine_words: String,
}

pub(super) fn findings(shown: &Shown<'_>) -> FindingsView {
    let view = |finding: &&Finding| finding_view(shown, finding);
    let (fine, open): (Vec<&Finding>, Vec<&Finding>) =
        shown.findings.iter().partition(|finding| finding.outcome == Outcome::Ok);
    FindingsView {
        open: open.iter().map(view).collect(),
        fine_words: format!("{} figures within their limits", fine.len()),
        fine: fine.iter().map(view).collect(),
    }
}

fn finding_view(shown: &Shown<'_>, finding: &Finding) -> FindingView {
    let kind = match finding.outcome {
        Outcome::Ok => "pass",
        Outcome::Caution => "caution",
        Outcome::Stop => "stop",
    };
    let change = shown.plan.and_then(|plan| smallest_change(&shown.file.kit, plan, finding));
    FindingView {
        id: finding.id.clone(),
        kind,
        word: finding.word(),
        title: finding.title.clone(),
        value: if finding.unit.is_empty() { String::new() } else { three_digits(finding.value) },
        unit: finding.unit,
        limit: finding.limit_text(),
        bar: limit_bar(finding).map(Svg),
        sentence: finding.reason.clone(),
        // What was worked out and tried says more than the general word.
        remedy: finding.remedy.clone().filter(|_| change.is_none()),
        change: change.map(|change| change.words),
        formula: finding.formula.clone(),
        sources: finding.sources.iter().map(basis_view).collect(),
        recalled: (finding.outcome == Outcome::Ok && finding.rests_on_memory()).then_some(()),
        accepted: shown.saved.and_then(|_| shown.file.accepted_words(finding)),
        accept: accept(shown, finding),
    }
}

fn basis_view(basis: &Basis) -> BasisView {
    BasisView { text: basis.text.clone(), sureness: basis.sureness }
}

/// A caution of the saved plan waits for a manager's word.
fn accept(shown: &Shown<'_>, finding: &Finding) -> Option<String> {
    let open = shown.file.state.acknowledged(shown.saved?, &finding.id).is_none();
    let may = finding.outcome == Outcome::Caution && open && shown.who.is_manager();
    may.then(|| format!("/jobs/{}/plan/acknowledge", shown.file.row.id))
}

/// How many of each outcome.
pub(super) fn counts(findings: &[Finding]) -> Vec<Count> {
    let count = |outcome| findings.iter().filter(|f| f.outcome == outcome).count();
    [(Outcome::Stop, "stop"), (Outcome::Caution, "caution"), (Outcome::Ok, "pass")]
        .into_iter()
        .map(|(outcome, kind)| (count(outcome), outcome.word(), kind))
        .filter(|(count, _, _)| *count > 0)
        .map(|(count, word, kind)| Count { kind, words: format!("{count} {word}") })
        .collect()
}
