//! Photos step by step, side by side: those that count, earlier ones, and on a re-inspection those of the
//! certificate before.

use super::View;
use crate::acts::job::JobFile;
use crate::domain::ids::Moment;
use crate::domain::job::{Act, StepState};

pub(super) struct PhotosView {
    pub(super) title: String,
    pub(super) shots: Vec<ShotView>,
}

pub(super) struct ShotView {
    pub(super) sha256: String,
    pub(super) caption: String,
}

impl View<'_> {
    pub(super) fn photos(&self) -> Vec<PhotosView> {
        let of_step = |state: &StepState| PhotosView {
            title: format!("{}. {}", state.number, state.step.title),
            shots: shots(self.file, state),
        };
        let mut steps: Vec<PhotosView> = self.file.state.steps.iter().map(of_step).collect();
        steps.retain(|of| !of.shots.is_empty());
        steps
    }
}

/// The oldest first, so that the newest stands beside what it replaced.
fn shots(file: &JobFile, state: &StepState) -> Vec<ShotView> {
    let mut shots = before(file, state);
    let told = |act: &Act, kind: &str| {
        let (name, at) = (file.name_of(act.person), act.recorded.date_and_minute());
        format!("{kind}{name}, {at}")
    };
    let results = state.history.iter().map(|result| {
        let kind = if result.standing { "" } else { "Replaced since. " };
        (&result.act, &result.body, kind)
    });
    let words = state.remarks.iter().map(|words| (&words.act, &words.body, "With a remark. "));
    let mut recorded: Vec<_> = results.chain(words).collect();
    recorded.sort_by_key(|(act, _, _)| act.seq);
    for (act, body, kind) in recorded {
        shots.extend(
            body.payload
                .photos()
                .iter()
                .map(|photo| ShotView { sha256: photo.to_string(), caption: told(act, kind) }),
        );
    }
    shots
}

/// Of the certificates that a re-inspection is held against.
fn before(file: &JobFile, state: &StepState) -> Vec<ShotView> {
    let records = file.earlier.iter();
    let steps = records.filter_map(|record| Some((record, record.step(&state.step.key)?)));
    steps
        .flat_map(|(record, step)| {
            let on = Moment::parse(&step.recorded).map_or_else(String::new, Moment::date);
            step.photos.iter().map(move |photo| ShotView {
                sha256: photo.clone(),
                caption: format!("Job {}, {on}", record.job_number),
            })
        })
        .collect()
}
