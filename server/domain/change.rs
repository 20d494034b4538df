//! The smallest change of a plan that mends one finding: tried on the plan, not guessed.
//!
//! Each candidate is a changed plan, from small to large. The first one whose own findings say that
//! the finding is mended and that no other became worse is offered. So what is offered holds.

use serde::Serialize;

use super::finding::{Finding, Outcome};
use super::findings::{Scope, findings_in};
use super::kit::Kit;
use super::plan::Plan;

mod candidates;

/// A change of a plan that was tried and helps.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Change {
    /// `Take 16 mm² instead of 10 mm².`
    pub words: String,
    /// What to type into which field of the plan's form.
    pub fields: Vec<(String, String)>,
}

/// A changed plan, and how it was changed.
#[derive(Debug, Clone)]
struct Candidate {
    plan: Plan,
    change: Change,
}

/// The smallest change that turns this finding ok; if there is none, that turns a stop into a
/// caution. Nothing where no change of the plan's own figures does it.
pub fn smallest_change(kit: &Kit, plan: &Plan, finding: &Finding) -> Option<Change> {
    if finding.outcome == Outcome::Ok {
        return None;
    }
    let scope = scope(plan, finding);
    let now = findings_in(scope, kit, plan);
    let mut second_best = None;
    for candidate in candidates::of(kit, plan, finding) {
        match mended(&now, &findings_in(scope, kit, &candidate.plan), finding) {
            Some(Outcome::Ok) => return Some(candidate.change),
            Some(_) if second_best.is_none() => second_best = Some(candidate.change),
            _ => {}
        }
    }
    second_best
}

/// Candidates for a circuit change that circuit alone, all others none of the circuits; but for the
/// solar cable, which is one.
fn scope<'a>(plan: &Plan, finding: &'a Finding) -> Scope<'a> {
    let about = finding.id.split_once('.').map_or(finding.id.as_str(), |(about, _)| about);
    match about {
        "solar" => Scope::Everything,
        id if plan.circuit(id).is_some() => Scope::Circuit(id),
        _ => Scope::AllButCircuits,
    }
}

/// What becomes of the finding, if it gets better and nothing else gets worse.
fn mended(now: &[Finding], then: &[Finding], finding: &Finding) -> Option<Outcome> {
    let outcome = |all: &[Finding], id: &str| {
        all.iter().filter(|one| one.id == id).map(|one| one.outcome).max().unwrap_or(Outcome::Ok)
    };
    let worse = then.iter().any(|one| one.outcome > outcome(now, &one.id));
    let after = outcome(then, &finding.id);
    (!worse && after < finding.outcome).then_some(after)
}
