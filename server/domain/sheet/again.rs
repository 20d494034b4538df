//! The sheet of a re-inspection, made from the sheet of the job that is looked at again: every measurement
//! with its limit, the joints checked with the wrench, a look at what can be seen, and what keeps the
//! people safe who do it. What only fitting needs is left out.

use serde::{Deserialize, Serialize};

use super::{Sheet, step};
use crate::domain::entry::{Digest, Payload};
use crate::domain::ids::JobId;
use crate::domain::job::JobState;
use crate::domain::step::{Phase, Step, StepKind};

/// What a sheet measures again; part of its text, so that the chain of the job commits to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Again {
    /// The number of the certificate, without hyphens.
    pub certificate: String,
    pub job: JobId,
    pub sheet_sha256: Digest,
}

/// The note that the papers of a re-inspection take the distance from.
pub const ODOMETER: &str = "before.odometer";

/// What the papers of a re-inspection say of the distance; nothing on other jobs. The plan's figure is that of
/// the first job: a re-inspection has what was read this time, or nothing.
pub fn odometer_read(state: &JobState) -> Option<String> {
    state.sheet.as_ref()?.again.as_ref()?;
    let result = state.step(ODOMETER).and_then(|state| state.result());
    match result.map(|result| &result.body.payload) {
        Some(Payload::Note { text }) => Some(text.clone()),
        _ => Some("not read".to_owned()),
    }
}

const LINES: &str = "Airbags, fuel, brake and high-voltage lines near every panel you will open.";
const UNDER: &str = "Support the vehicle before you go under it. A jack alone is not a support.";
const RETORQUE: &str = "Paint mark looked at first. One slow pull the way it tightens: type the torque at \
    which it moves, or the set one where it does not.";
const FEEDS_BACK: &str = "What is fitted can feed back: a power pack, a second battery or a solar module keeps \
    the wiring live while the vehicle battery is off.";
const DEAD: &str = "Meter proved on a live source, then on the feed point and at the gear's terminals, then on \
    the live source again. Type the largest figure from the points that should be dead.";
const FUSE: &str = "Take it out, read the rating off the fuse in your hand, then put it beside its holder, not in.";
const AS_IT_IS: &str = "Gear, fuse and isolation point, as they are now.";

/// Makes the sheet of a re-inspection. Pure, and of its own result it makes the same again: a chain of
/// re-inspections asks the same readings from first to last.
pub fn make_again(earlier: &Sheet, of: Again, (plan_edition, edition): (u32, u32)) -> Sheet {
    let mut steps = Vec::new();
    for phase in Phase::ALL {
        let of_phase: Vec<&Step> =
            earlier.steps.iter().filter(|step| step.phase == phase).collect();
        let kept = of_phase.iter().filter(|step| stays(step)).flat_map(|step| asked(step));
        let last = (phase == Phase::HandOver).then(told);
        for step in opening(phase, &of_phase).into_iter().chain(kept).chain(last) {
            push_once(&mut steps, step);
        }
    }
    Sheet {
        edition,
        plan_edition,
        kit_code: earlier.kit_code.clone(),
        kit_edition: earlier.kit_edition,
        again: Some(of),
        steps,
    }
}

/// A sheet that was made here before has what is put in already.
fn push_once(steps: &mut Vec<Step>, step: Step) {
    if !steps.iter().any(|there| there.key == step.key) {
        steps.push(step);
    }
}

/// Measurements all stay. Of the rest stays what can be seen again, and what makes it safe to measure.
fn stays(step: &Step) -> bool {
    if step.kind.is_measurement() {
        return true;
    }
    let name = step.key.split_once('.').map_or("", |(_, name)| name);
    match step.phase {
        Phase::Before | Phase::Energise | Phase::Prove => true,
        Phase::Mount => name.starts_with("clearance_"),
        Phase::Route => matches!(name, "edges" | "supports" | "heat" | "slack"),
        Phase::Terminate => name == "cover",
        Phase::Protect => last_part(name) == "label",
        Phase::HandOver => !matches!(name, "shown" | "papers"),
    }
}

fn last_part(key: &str) -> &str {
    key.rsplit('.').next().unwrap_or_default()
}

/// A step that stays, with what has to stand beside it where the gear is there already.
fn asked(step: &Step) -> Vec<Step> {
    let same = reworded(step);
    match step.key.as_str() {
        "before.identity" => vec![same, odometer()],
        "before.isolate" => vec![gear_off(), same],
        _ => vec![same],
    }
}

fn odometer() -> Step {
    let how = "Type what it shows, with its unit.";
    step(Phase::Before, "odometer", "Odometer", how, StepKind::Note)
}

fn gear_off() -> Step {
    let how = "Switched off, loads and power pack unplugged, solar input apart.";
    step(Phase::Before, "gear_off", "Gear off and parted from its sources", how, StepKind::Confirm)
        .caution(FEEDS_BACK)
}

/// The same step, said for gear that is there already. Key, kind and limit never change.
fn reworded(step: &Step) -> Step {
    let how = match (&step.kind, step.key.as_str()) {
        (StepKind::Torque { .. }, _) => retorque(&step.how),
        (StepKind::Fuse { .. }, _) => FUSE.to_owned(),
        (_, "before.dead") => DEAD.to_owned(),
        (_, "before.lines") => LINES.to_owned(),
        (_, "hand_over.finished") => AS_IT_IS.to_owned(),
        _ => step.how.clone(),
    };
    let title = match step.key.as_str() {
        "hand_over.finished" => "Photograph the gear".to_owned(),
        _ => step.title.clone(),
    };
    Step { title, how, ..step.clone() }
}

/// What goes wrong at a joint goes wrong again: the bold words stay.
fn retorque(how: &str) -> String {
    match how.split("**").nth(1) {
        Some(bold) => format!("{RETORQUE} **{bold}**"),
        None => RETORQUE.to_owned(),
    }
}

/// What each phase of a re-inspection begins with, where the job had such a phase at all.
fn opening(phase: Phase, steps: &[&Step]) -> Option<Step> {
    steps.first()?;
    let look = |title, how| step(phase, "look", title, how, StepKind::Confirm);
    let made = match phase {
        Phase::Mount => look(
            "Mounting looked over",
            "Nothing loose, cracked, bent or rusted, no paint mark broken. From beneath, too.",
        )
        .caution(UNDER),
        Phase::Route => look(
            "Cables looked over",
            "The whole way: nothing chafed, pinched, brittle or wet, nothing added since.",
        ),
        Phase::Terminate => {
            let made = look(
                "Joints looked over",
                "No discolouring, no green, no strand broken, no lug that turns by hand.",
            );
            Step { caution: caution_of(steps), ..made }
        }
        Phase::Protect => look(
            "Fuse holders looked over",
            "No heat marks, contacts clean, covers close, the way to each one free.",
        ),
        _ => return None,
    };
    Some(made)
}

/// The crimps are not made again, but what they warn of stays true at the joint: a solar module in
/// daylight is live.
fn caution_of(steps: &[&Step]) -> Option<String> {
    let warns = |step: &&&Step| last_part(&step.key) == "crimp" || step.key == "terminate.look";
    steps.iter().filter(warns).find_map(|step| step.caution.clone())
}

fn told() -> Step {
    step(
        Phase::HandOver,
        "told",
        "Customer told what changed",
        "Each value that has grown or fallen, and when to come again.",
        StepKind::Confirm,
    )
}
