//! What is kept and not counted, for the pages of a job.

use crate::acts::job::JobFile;
use crate::domain::entry::Payload;
use crate::domain::job::Unplaced;

/// One entry of `components/aside.html`.
pub(in crate::web) struct AsideView {
    pub(in crate::web) value: String,
    pub(in crate::web) title: String,
    pub(in crate::web) why: String,
    /// Who and when.
    pub(in crate::web) about: String,
    pub(in crate::web) photos: Vec<String>,
}

impl AsideView {
    pub(in crate::web) fn all(file: &JobFile) -> Vec<Self> {
        file.state.aside().iter().map(|aside| Self::of(file, aside)).collect()
    }

    fn of(file: &JobFile, aside: &Unplaced) -> Self {
        let key = &aside.body.step;
        // The newest edition that had the step tells what it was called.
        let step = file.sheets.iter().rev().find_map(|sheet| sheet.step(key));
        Self {
            value: match &aside.body.payload {
                Payload::Remark { text, .. }
                | Payload::Rework { text, .. }
                | Payload::Defect { text, .. }
                | Payload::DefectClosed { text, .. }
                    if !text.is_empty() =>
                {
                    text.clone()
                }
                payload => payload.value_words(),
            },
            title: match step {
                Some(step) => step.title.clone(),
                None if key.is_empty() => "The whole job".to_owned(),
                None => key.clone(),
            },
            why: aside.why.clone(),
            about: format!(
                "{}, {}",
                file.name_of(aside.act.person),
                aside.act.recorded.date_and_minute()
            ),
            photos: aside.body.payload.photos().iter().map(ToString::to_string).collect(),
        }
    }
}
