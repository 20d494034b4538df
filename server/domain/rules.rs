//! Every rule and factor that findings, sheets and limits are made with, in one list: name, figure, where it comes from and
//! how sure we are of it. The figures are the constants that the code calculates with; a test finds those that are missing.

use super::finding::{Basis, three_digits};
use super::limit_choice::Choosable;
use super::limits;
use super::number::Decimal;
use super::plan::Chemistry;
use crate::engineering::Source;

mod electrical;
mod mechanical;

/// One of them, ready to print.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rule {
    pub name: String,
    /// With its unit.
    pub figure: String,
    pub basis: Basis,
}

/// Those of one subject.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleGroup {
    pub title: &'static str,
    pub rules: Vec<Rule>,
}

/// The whole list.
pub fn rules() -> Vec<RuleGroup> {
    let mut groups = vec![decision(), sheet()];
    groups.extend(electrical::groups());
    groups.extend(mechanical::groups());
    groups
}

fn rule(name: impl Into<String>, figure: impl Into<String>, basis: impl Into<Basis>) -> Rule {
    Rule { name: name.into(), figure: figure.into(), basis: basis.into() }
}

/// A figure that the code calculates with, as findings print theirs.
fn number(figure: f64, unit: &str) -> String {
    format!("{} {unit}", three_digits(figure)).trim_end().to_owned()
}

fn practice(text: &str) -> Basis {
    Basis::practice(text)
}

/// Physics of judging: nobody chooses it.
fn decision() -> RuleGroup {
    let guard = Source::seen("ILAC-G8:09/2019, 4.2.2, w = U");
    RuleGroup {
        title: "How a reading is judged",
        rules: vec![
            rule("Guard band between a limit and a pass", "U, k = 2", guard),
            rule(
                "Expanded uncertainty from an instrument's limits of error, as a rectangle",
                "2 / √3 of them",
                crate::engineering::uncertainty::UNCERTAINTY_SOURCE,
            ),
            rule(
                "Difference of two readings that shows no change",
                "√(U₁² + U₂²)",
                Source::from_memory("JCGM 100:2008, 5.1.2"),
            ),
        ],
    }
}

/// What sheets are made with; what the workshop may choose stands with its usual figure.
fn sheet() -> RuleGroup {
    let chosen = |limit: Choosable| {
        let figure = format!("{} {}", limit.usual().normalize(), limit.unit());
        rule(limit.title(), figure, limit.source())
    };
    let mut rules: Vec<Rule> = Choosable::ALL.into_iter().map(chosen).collect();
    rules.extend(fixed());
    rules.extend(Chemistry::ALL.into_iter().flat_map(battery));
    RuleGroup { title: "Limits of sheets", rules }
}

/// Those that are the same in every workshop.
fn fixed() -> Vec<Rule> {
    let silicon = limits::SILICON_PERCENT_PER_K;
    vec![
        rule(
            "Voltage of silicon cells, where the data sheet is missing",
            format!("{silicon} %/K"),
            Source::from_memory("usual for crystalline silicon"),
        ),
        rule(
            "Temperatures that cells can have",
            format!("{} to {} °C", limits::CELL_COLDEST_C, limits::CELL_HOTTEST_C),
            practice("others are slips"),
        ),
        rule(
            "Excess of a path that a joint is looked for",
            number(limits::EXCESS_LEAST_MILLIOHM, "mΩ"),
            practice("half a sound joint"),
        ),
        rule(
            "Re-inspection advised",
            format!("{} months", limits::REINSPECTION_MONTHS),
            practice("the maker's interval comes first"),
        ),
        rule(
            "Joints checked again after first use",
            format!("{} days, or 1000 km", limits::RETORQUE_DAYS),
            practice("joints settle in first use"),
        ),
        rule(
            "A parked vehicle should stand",
            number(limits::STANDING_DAYS_LEAST, "days"),
            practice("gear asleep"),
        ),
        rule(
            "State of charge that standing may end at",
            number(limits::STANDING_DOWN_TO * 100.0, "%"),
            practice("starter battery"),
        ),
    ]
}

/// The windows of a 12 V battery.
fn battery(chemistry: Chemistry) -> [Rule; 2] {
    let volts = |limits: super::step::Limits| limits.words(super::step::Unit::Volt);
    let label = chemistry.label();
    let charging = limits::charging_of(chemistry, Decimal::from(12));
    let source = || Basis {
        text: "Battery council rest table and handbooks, 25 °C".to_owned(),
        sureness: "from memory",
    };
    [
        rule(
            format!("{label}, 12 V, at rest"),
            volts(limits::battery_rested(chemistry, Decimal::from(12))),
            source(),
        ),
        rule(format!("{label}, 12 V, charging at 25 °C"), volts(charging), source()),
    ]
}
