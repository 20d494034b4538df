//! The labels of a job: what stands on each fuse and at both ends of each circuit.

use super::certificate::check_address;
use super::job::{JobFile, load};
use super::{ActError, By, paper};
use crate::documents::labels::{LABELS_MAX, Label, LabelForm, LabelSheet, labels};
use crate::documents::paper::CircuitLine;
use crate::documents::voice::Voice;
use crate::domain::certificate::on_paper;
use crate::domain::ids::JobId;
use crate::domain::wiring::wiring;
use crate::storage::{Store, certificates};

/// Labels of a circuit without its fuse: one an end.
const ENDS: usize = 2;

/// Which sheet they are printed on.
#[derive(Debug, Clone, Copy)]
pub struct Wanted {
    pub form: &'static LabelForm,
    /// The first free label, from 1.
    pub first: u32,
}

/// What the labels of a planned job say.
pub fn of(file: &JobFile, foot: &str) -> Result<Vec<Label>, ActError> {
    let Some(saved) = &file.plan else {
        return Err(ActError::Rule(
            "Plan the job first: labels name its circuits, cables and fuses.".to_owned(),
        ));
    };
    let voice = &file.voice();
    let circuits = paper::circuits(&wiring(&file.kit, &saved.plan, &file.state), voice);
    let voltage = format!("{} V DC", file.kit.nominal_voltage_v.normalize());
    let all = circuits.iter().flat_map(|circuit| about(circuit, &voltage, foot, voice));
    Ok(all.take(LABELS_MAX).collect())
}

fn about(circuit: &CircuitLine, voltage: &str, foot: &str, voice: &Voice) -> Vec<Label> {
    let run = format!("{}, {}", circuit.cable, circuit.length.replace(' ', "\u{a0}"));
    let is_fused = !circuit.fuse_rating.is_empty();
    let end = Label {
        is_fuse: false,
        headline: circuit.purpose.clone(),
        lines: vec![
            voice.with(
                "label-ends",
                &[("voltage", voltage), ("from", &circuit.from), ("to", &circuit.to)],
            ),
            run.clone(),
            if is_fused {
                voice.with(
                    "label-fuse-at",
                    &[("rating", &circuit.fuse_rating), ("distance", &circuit.fuse_distance)],
                )
            } else {
                voice.say("label-no-fuse")
            },
        ],
        foot: foot.to_owned(),
    };
    let mut labels = vec![end; ENDS];
    if is_fused {
        let fuse = Label {
            is_fuse: true,
            headline: voice.with("label-fuse", &[("rating", &circuit.fuse_rating)]),
            lines: vec![
                format!("{}, {voltage}", circuit.fuse_form),
                format!("{}: {run}", circuit.purpose),
                voice.say("label-fuse-rule"),
            ],
            foot: foot.to_owned(),
        };
        labels.insert(0, fuse);
    }
    labels
}

/// The labels as a PDF, with a code to the certificate once there is one.
pub async fn pdf(
    store: &Store,
    origin: &str,
    by: &By,
    job: JobId,
    wanted: Wanted,
) -> Result<Vec<u8>, ActError> {
    let file = load(store, by.workshop(), job).await?;
    let newest = certificates::list(store, by.workshop(), job).await?.pop();
    // A code that leads to a withdrawn paper would only alarm; the next sheet has one again.
    let newest = newest.filter(|row| row.withdrawn.is_none());
    let voice = file.voice();
    let foot = |id: &str, number: &str| {
        voice.with(id, &[("workshop", &file.workshop.name), ("number", number)])
    };
    let foot = newest.as_ref().map_or_else(
        || foot("label-foot-job", &file.row.number.to_string()),
        |row| foot("label-foot-certificate", &on_paper(&row.number)),
    );
    let sheet = LabelSheet {
        language: voice.style.language,
        title: voice.with("title-labels", &[("job", &file.row.number.to_string())]),
        workshop: file.workshop.name.clone(),
        logo: paper::logo(store, by.workshop()).await?,
        form: wanted.form,
        first: wanted.first,
        labels: of(&file, &foot)?,
        address: newest
            .map(|row| format!("{}/safe", check_address(origin, &row.number, &row.code))),
        at: by.now.utc(),
    };
    let set = tokio::task::spawn_blocking(move || labels(&sheet)).await;
    set.map_err(ActError::ours)?.map_err(ActError::ours)
}
