//! `fusewright plan`: the findings of a plan, without a server.

use std::path::PathBuf;

use clap::Args;

use super::kit::{faulty, load, read};
use super::{Failure, Outcome, complain, say};
use crate::domain::finding::{Finding, Outcome as Says};
use crate::domain::findings::{findings, worst};
use crate::domain::plan_file::read_plan;

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
    /// Print the findings as JSON
    #[arg(long)]
    json: bool,
    /// Print formula and source below each finding
    #[arg(long, conflicts_with = "json")]
    working: bool,
}

pub(super) fn run(asked: &Plan) -> Outcome {
    let (kit, _) = load(&asked.kit).inspect_err(|_| {
        complain("The plan was not read, because the kit it belongs to has faults:");
    })?;
    let text = read(&asked.file)?;
    let plan = read_plan(&text, &kit).map_err(|faults| faulty(&asked.file, &faults))?;
    let findings = findings(&kit, &plan);
    if asked.json {
        say(serde_json::to_string_pretty(&findings).map_err(Failure::new)?);
    } else {
        say(table(&findings, asked.working));
    }
    Ok(match worst(&findings) {
        Says::Ok => 0,
        Says::Caution => 1,
        Says::Stop => 2,
    })
}

/// The findings in columns, worst first; below each that is not ok, why and what to change.
fn table(findings: &[Finding], working: bool) -> String {
    let rows: Vec<[String; 4]> = findings
        .iter()
        .map(|f| [f.outcome.word().to_owned(), f.title.clone(), value(f), f.limit_text()])
        .collect();
    let width = |column: usize| {
        rows.iter().filter_map(|row| row.get(column)).map(|c| c.chars().count()).max().unwrap_or(0)
    };
    let (first, second, third) = (width(0), width(1), width(2));
    let mut lines = Vec::new();
    for (finding, [outcome, title, value, limit]) in findings.iter().zip(&rows) {
        let line = format!("{outcome:first$}  {title:second$}  {value:>third$}  {limit}");
        lines.push(line.trim_end().to_owned());
        lines.extend(below(finding, working).map(|text| format!("{:first$}  {text}", "")));
    }
    lines.push(String::new());
    lines.push(sum(findings));
    lines.join("\n")
}

/// Some findings are about a yes or no, and have no figure.
fn value(finding: &Finding) -> String {
    if finding.unit.is_empty() { String::new() } else { finding.value_text() }
}

fn below(finding: &Finding, working: bool) -> impl Iterator<Item = String> {
    let wanting = finding.outcome != Says::Ok;
    let told = wanting.then(|| finding.reason.clone());
    let remedy = finding.remedy.clone().filter(|_| wanting);
    let formula = Some(finding.formula.clone()).filter(|text| working && !text.is_empty());
    let source = working.then(|| format!("Source: {} [{}]", finding.source_text(), finding.id));
    [told, remedy, formula, source].into_iter().flatten()
}

fn sum(findings: &[Finding]) -> String {
    let count = |says: Says| findings.iter().filter(|finding| finding.outcome == says).count();
    let (stops, cautions) = (count(Says::Stop), count(Says::Caution));
    format!(
        "{stops} stop, {cautions} caution, {} ok. The maker's instructions and the local code come \
         first.",
        count(Says::Ok)
    )
}
