//! The findings of a plan: each figure against its limit, worst first.

use super::figures::{self, CircuitFigures};
use super::finding::{Basis, Finding, Outcome};
use super::kit::Kit;
use super::plan::Plan;
use crate::engineering::OutOfRange;

mod bolt;
mod charge;
mod circuit;
mod fault;
mod fuse;
mod mount;
mod runs;
mod solar;
mod weight;

pub use runs::{LongestRun, longest_runs};

/// What a change of a plan can touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scope<'a> {
    Everything,
    /// One circuit by its id, and the solar input that may hang on it.
    Circuit(&'a str),
    /// Place, fasteners, modules: all but the circuits.
    AllButCircuits,
}

/// All findings of a plan, worst first and then in the order of the work.
pub fn findings(kit: &Kit, plan: &Plan) -> Vec<Finding> {
    let mut all = findings_in(Scope::Everything, kit, plan);
    all.sort_by_key(|finding| std::cmp::Reverse(finding.outcome));
    all
}

/// Those findings that a change within the scope can touch, in the order of the work.
pub(super) fn findings_in(scope: Scope<'_>, kit: &Kit, plan: &Plan) -> Vec<Finding> {
    let (circuits, mut all) = circuits_in(scope, kit, plan);
    for circuit in &circuits {
        all.extend(circuit::findings(kit, plan, circuit));
    }
    if !matches!(scope, Scope::Circuit(_)) {
        all.extend(mount::findings(kit, plan));
        all.extend(bolt::findings(kit));
        all.extend(charge::findings(kit, plan, &circuits));
        all.extend(weight::findings(kit, plan));
    }
    all.extend(solar::findings(kit, plan, &circuits));
    all
}

/// Each circuit by itself: what one of them cannot take says nothing of the others.
fn circuits_in<'a>(
    scope: Scope<'_>,
    kit: &'a Kit,
    plan: &'a Plan,
) -> (Vec<CircuitFigures<'a>>, Vec<Finding>) {
    let (mut circuits, mut refusals) = (Vec::new(), Vec::new());
    let within = |id: &str| match scope {
        Scope::Everything => true,
        Scope::Circuit(only) => only == id,
        Scope::AllButCircuits => false,
    };
    for run in plan.circuits.iter().filter(|run| within(&run.circuit)) {
        match figures::circuit(kit, plan, &run.circuit) {
            Ok(found) => circuits.extend(found),
            Err(refused) => {
                refusals.push(cannot_work_out(&format!("{}.range", run.circuit), &refused));
            }
        }
    }
    (circuits, refusals)
}

/// The worst outcome of a plan.
pub fn worst(findings: &[Finding]) -> Outcome {
    findings.iter().map(|finding| finding.outcome).max().unwrap_or(Outcome::Ok)
}

/// A figure outside what the formulas are good for stops the plan, in the formula's own words. The id
/// is that of what cannot be worked out, so that two of them are two findings.
fn cannot_work_out(id: &str, refused: &OutOfRange) -> Finding {
    Finding {
        outcome: Outcome::Stop,
        reason: refused.to_string(),
        sources: vec![Basis::plan("the range is named with each formula")],
        remedy: Some("Change the figure so that it lies in the range.".to_owned()),
        ..Finding::named(id, "A figure the calculation cannot take")
    }
}
