//! The report of a plan as text: findings in columns, worst first; then the runs of each circuit.

use super::{Circuit, Report, Run, Told};
use crate::domain::finding::{Finding, Outcome};

/// Below each finding that is not ok: why, and what to change.
pub(super) fn written(report: &Report<'_>, working: bool) -> String {
    let findings = &report.findings;
    let rows: Vec<[String; 4]> = findings
        .iter()
        .map(|Told { finding, .. }| {
            let word = finding.word().to_owned();
            [word, finding.title.clone(), value(finding), finding.limit_text()]
        })
        .collect();
    let width = |column: usize| {
        rows.iter().filter_map(|row| row.get(column)).map(|c| c.chars().count()).max().unwrap_or(0)
    };
    let (first, second, third) = (width(0), width(1), width(2));
    let mut lines = Vec::new();
    for (told, [outcome, title, value, limit]) in findings.iter().zip(&rows) {
        let line = format!("{outcome:first$}  {title:second$}  {value:>third$}  {limit}");
        lines.push(line.trim_end().to_owned());
        lines.extend(below(told, working).map(|text| format!("{:first$}  {text}", "")));
    }
    if working {
        lines.extend(report.circuits.iter().flat_map(runs));
    }
    lines.push(String::new());
    lines.push(sum(findings));
    lines.join("\n")
}

/// Some findings are about a yes or no, and have no figure.
fn value(finding: &Finding) -> String {
    if finding.unit.is_empty() { String::new() } else { finding.value_text() }
}

fn below(told: &Told<'_>, working: bool) -> impl Iterator<Item = String> {
    let finding = told.finding;
    let wanting = finding.outcome != Outcome::Ok;
    let why = wanting.then(|| finding.reason.clone());
    // What was worked out and tried says more than the general word.
    let change = told.change.as_ref().map(|change| format!("Smallest change: {}", change.words));
    let remedy = change.or_else(|| finding.remedy.clone()).filter(|_| wanting);
    let formula = Some(finding.formula.clone()).filter(|text| working && !text.is_empty());
    let source = working.then(|| format!("Source: {} [{}]", finding.source_text(), finding.id));
    [why, remedy, formula, source].into_iter().flatten()
}

/// `Longest run one way, Feed …: 10 mm² 2.1 m, 16 mm² 3.4 m`
fn runs(circuit: &Circuit) -> [String; 2] {
    let run = |run: &Run| match run.longest_m {
        Some(metres) => format!("{} {metres:.1} m", run.size),
        None => format!("{} not allowed", run.size),
    };
    let all: Vec<String> = circuit.longest_runs.iter().map(run).collect();
    [String::new(), format!("Longest run one way, {}: {}", circuit.curves.title, all.join(", "))]
}

fn sum(findings: &[Told<'_>]) -> String {
    let count = |says: Outcome| findings.iter().filter(|told| told.finding.outcome == says).count();
    let (stops, cautions) = (count(Outcome::Stop), count(Outcome::Caution));
    format!(
        "{stops} stop, {cautions} caution, {} ok. The maker's instructions and the local code come \
         first.",
        count(Outcome::Ok)
    )
}
