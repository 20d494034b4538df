//! `fusewright plan`: the findings of a plan, without a server.

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::kit::{faulty, load, read};
use super::{Failure, Outcome, complain, say};
use crate::domain::change::{Change, smallest_change};
use crate::domain::curves::{CircuitCurves, circuit_curves};
use crate::domain::figures::{self, CircuitFigures};
use crate::domain::finding::{Finding, Outcome as Says};
use crate::domain::findings::{LongestRun, findings, longest_runs, worst};
use crate::domain::kit::Kit;
use crate::domain::number::with_minus;
use crate::domain::plan::Plan as Planned;
use crate::domain::plan_file::read_plan;
use crate::engineering::bolt_resistance::FastenerLoads;
use crate::engineering::fuse::FuseChoice;

mod table;

/// Work out a plan and print its findings.
///
/// Ends with 0 if everything is ok, 1 if something wants caution, 2 if something says stop, and 3
/// if a document has faults.
#[derive(Debug, Args)]
pub(super) struct Plan {
    /// The kit that is fitted
    #[arg(value_name = "KIT.toml")]
    kit: PathBuf,
    /// The plan for one vehicle
    #[arg(value_name = "PLAN.toml")]
    file: PathBuf,
    /// Print findings, changes, curves, fuse rules, longest runs and fastener loads as JSON
    #[arg(long)]
    json: bool,
    /// Print formula and sources below each finding, then the longest runs
    #[arg(long, conflicts_with = "json")]
    working: bool,
}

/// A finding with the change that was tried and mends it.
#[derive(Serialize)]
struct Told<'a> {
    #[serde(flatten)]
    finding: &'a Finding,
    change: Option<Change>,
}

/// One cable size and how far it may run, one way; no figure where it may not be used.
#[derive(Serialize)]
struct Run {
    size: &'static str,
    longest_m: Option<f64>,
    is_planned: bool,
}

/// What one named rule allows as a fuse, and the rating to take by it.
#[derive(Serialize)]
struct Rule {
    source: &'static str,
    highest_a: f64,
    rating_a: Option<f64>,
}

/// What one fastener gets in the worst direction.
#[derive(Serialize)]
struct Fastener {
    shear_n: f64,
    tension_n: f64,
}

/// The mount in the direction that is worst for it.
#[derive(Serialize)]
struct Mount {
    direction: &'static str,
    force_n: f64,
    fasteners: Vec<Fastener>,
}

/// Everything that is worked out of one circuit beyond its findings.
#[derive(Serialize)]
struct Circuit {
    #[serde(flatten)]
    curves: CircuitCurves,
    fuse_rules: Vec<Rule>,
    longest_runs: Vec<Run>,
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report<'a> {
    findings: Vec<Told<'a>>,
    circuits: Vec<Circuit>,
    mount: Option<Mount>,
}

pub(super) fn run(asked: &Plan) -> Outcome {
    let (kit, _) = load(&asked.kit).inspect_err(|_| {
        complain("The plan was not read, because the kit it belongs to has faults:");
    })?;
    let text = read(&asked.file)?;
    let plan = read_plan(&text, &kit).map_err(|faults| faulty(&asked.file, &faults))?;
    let found = findings(&kit, &plan);
    let report = Report {
        findings: found.iter().map(|finding| told(&kit, &plan, finding)).collect(),
        circuits: circuits(&kit, &plan),
        mount: mount(&kit, &plan),
    };
    if asked.json {
        say(serde_json::to_string_pretty(&report).map_err(Failure::new)?);
    } else {
        say(with_minus(&table::written(&report, asked.working)));
    }
    Ok(match worst(&found) {
        Says::Ok => 0,
        Says::Caution => 1,
        Says::Stop => 2,
    })
}

fn told<'a>(kit: &Kit, plan: &Planned, finding: &'a Finding) -> Told<'a> {
    Told { finding, change: smallest_change(kit, plan, finding) }
}

fn circuits(kit: &Kit, plan: &Planned) -> Vec<Circuit> {
    let circuit = |circuit: &CircuitFigures<'_>| Circuit {
        curves: circuit_curves(&plan.vehicle, circuit),
        fuse_rules: circuit.fuse_choices().iter().map(rule).collect(),
        longest_runs: longest_runs(circuit).iter().map(run_of).collect(),
    };
    figures::circuits(kit, plan).iter().map(circuit).collect()
}

fn rule(choice: &FuseChoice) -> Rule {
    Rule {
        source: choice.cap.rule.source().text,
        highest_a: choice.cap.highest.0,
        rating_a: choice.rating().map(|rating| rating.0),
    }
}

fn run_of(run: &LongestRun) -> Run {
    Run {
        size: run.size.label(),
        longest_m: run.run.map(|metres| metres.0),
        is_planned: run.is_planned,
    }
}

/// Nothing for a mount that cannot be worked out: a finding says so.
fn mount(kit: &Kit, plan: &Planned) -> Option<Mount> {
    let check = figures::mount(kit, &plan.mounting).ok()?.check;
    let loads = check.in_direction(check.governing.direction)?;
    let fastener =
        |loads: FastenerLoads| Fastener { shear_n: loads.shear.0, tension_n: loads.tension.0 };
    Some(Mount {
        direction: loads.direction.label(),
        force_n: loads.force.0,
        fasteners: loads.fasteners.iter().map(|force| fastener(force.loads())).collect(),
    })
}
