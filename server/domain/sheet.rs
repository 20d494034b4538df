//! The sheet: the ordered steps that follow from kit and plan. Nothing on it is typed twice.

use serde::{Deserialize, Serialize};

use super::kit::Kit;
pub use super::limit_choice::WorkshopLimits;
use super::plan::Plan;
use super::step::{Phase, Step, StepKind};
use super::{entry::Digest, limits};

pub mod again;
pub mod change;
mod energise;
mod mount;
mod prove;
mod route;
mod terminate;
mod vehicle;

/// An edition of a job's sheet, kept as it was made: its text is hashed into the job's chain.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sheet {
    pub edition: u32,
    pub plan_edition: u32,
    pub kit_code: String,
    pub kit_edition: u32,
    /// Of a re-inspection: what is measured again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub again: Option<again::Again>,
    pub steps: Vec<Step>,
}

impl Sheet {
    pub fn step(&self, key: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.key == key)
    }

    /// The exact text that is stored and hashed.
    pub fn text(&self) -> String {
        // A sheet holds only strings, numbers and lists: writing it as JSON cannot fail.
        serde_json::to_string(self).unwrap_or_default()
    }

    pub fn digest(&self) -> Digest {
        Digest::of(self.text().as_bytes())
    }
}

/// What a sheet is made from.
#[derive(Debug, Clone, Copy)]
pub struct Making<'a> {
    pub kit: &'a Kit,
    pub plan: &'a Plan,
    pub plan_edition: u32,
    pub edition: u32,
    pub workshop: &'a WorkshopLimits,
}

/// Makes the sheet. Pure: the same kit, plan and workshop limits always give the same sheet.
pub fn make_sheet(making: Making<'_>) -> Sheet {
    let mut steps = Vec::new();
    for phase in Phase::ALL {
        match phase {
            Phase::Before => vehicle::before(making, &mut steps),
            Phase::Mount => mount::mount(making, &mut steps),
            Phase::Route => route::route(making, &mut steps),
            Phase::Terminate => terminate::terminate(making, &mut steps),
            Phase::Protect => terminate::protect(making, &mut steps),
            Phase::Energise => energise::energise(making, &mut steps),
            Phase::Prove => prove::prove(making, &mut steps),
            Phase::HandOver => vehicle::hand_over(&mut steps),
        }
        traced_parts(making.kit, phase, &mut steps);
        extras(making.kit, phase, &mut steps);
    }
    Sheet {
        edition: making.edition,
        plan_edition: making.plan_edition,
        kit_code: making.kit.code.clone(),
        kit_edition: making.kit.edition,
        again: None,
        steps,
    }
}

/// What is written down of parts that a recall may name, each mark at a step of its own.
fn traced_parts(kit: &Kit, phase: Phase, steps: &mut Vec<Step>) {
    for part in kit.parts.iter().filter(|part| part.phase == phase) {
        for mark in &part.marks {
            let how = format!(
                "Part number {}. Type it as it stands on the part or on its packing.",
                part.number
            );
            steps.push(Step {
                key: part.step_key(*mark),
                phase,
                title: format!("{}: {}", mark.title(), part.name),
                how,
                caution: None,
                kind: StepKind::Note,
                basis: None,
            });
        }
    }
}

/// What the kit wants beyond the steps that every sheet has.
fn extras(kit: &Kit, phase: Phase, steps: &mut Vec<Step>) {
    use super::kit::ExtraKind;
    for extra in kit.extra_steps.iter().filter(|extra| extra.phase == phase) {
        let kind = match extra.kind {
            ExtraKind::Confirm => StepKind::Confirm,
            ExtraKind::Photo => StepKind::Photo,
            ExtraKind::Note => StepKind::Note,
        };
        let step = step(phase, &format!("kit.{}", extra.id), &extra.title, &extra.how, kind);
        steps.push(Step { caution: extra.caution.clone(), ..step });
    }
    for extra in kit.extra_readings.iter().filter(|extra| extra.phase == phase) {
        let kind = StepKind::Reading { unit: extra.unit, limits: extra.limits.clone() };
        let step = step(phase, &format!("kit.{}", extra.id), &extra.title, &extra.how, kind);
        steps.push(step.because(&format!("The kit's figure, {}.", extra.page)));
    }
}

fn step(phase: Phase, name: &str, title: &str, how: &str, kind: StepKind) -> Step {
    Step {
        key: format!("{}.{name}", phase.word()),
        phase,
        title: title.to_owned(),
        how: how.to_owned(),
        caution: None,
        kind,
        basis: None,
    }
}

impl Step {
    fn caution(mut self, words: &str) -> Self {
        self.caution = Some(words.to_owned());
        self
    }

    fn because(mut self, basis: &str) -> Self {
        self.basis = Some(basis.to_owned());
        self
    }
}
