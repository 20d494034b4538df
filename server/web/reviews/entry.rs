//! One step looked at closely: its result with everything that it rests on, and how it came about.

use super::{View, flag_words};
use crate::domain::diagnosis::Diagnosis;
use crate::domain::job::{Act, Recorded, StepState};
use crate::domain::solar_open::OpenCircuit;
use crate::domain::verdict::Judgement;
use crate::web::search::search_link;
use crate::web::views::{Gauge, Mark};

pub(super) struct HistoryView {
    pub(super) time: String,
    pub(super) value: Option<String>,
    pub(super) note: Option<String>,
    pub(super) mark: Option<Mark>,
    pub(super) sentence: String,
    pub(super) who: String,
}

pub(super) struct EntryView {
    pub(super) number: usize,
    pub(super) key: String,
    pub(super) title: String,
    pub(super) value: String,
    pub(super) mark: Mark,
    pub(super) gauge: Option<Gauge>,
    pub(super) why: String,
    pub(super) basis: Option<String>,
    pub(super) search: Option<String>,
    pub(super) figures: Vec<(&'static str, String)>,
    pub(super) flags: Vec<String>,
    pub(super) photos: Vec<String>,
    pub(super) history: Vec<HistoryView>,
    pub(super) who: String,
    pub(super) concede: Option<String>,
    pub(super) conceded: Option<String>,
}

impl View<'_> {
    pub(super) fn entry(&self, state: &StepState) -> EntryView {
        let result = state.result();
        let judgement = result.and_then(|result| result.judged.as_ref().ok());
        let job = format!("/jobs/{}", self.file.row.id);
        let open = self.file.state.released.is_none();
        let concede = open && !state.step.kind.is_measurement() && !state.is_good();
        EntryView {
            number: state.number,
            key: state.step.key.clone(),
            title: state.step.title.clone(),
            value: judgement.map(|judgement| judgement.value.clone()).unwrap_or_default(),
            mark: Mark::of_step(state),
            gauge: Gauge::of(&state.step.kind, judgement),
            why: judgement.map(|judgement| judgement.sentence.clone()).unwrap_or_default(),
            basis: state.step.basis.clone(),
            search: search_link(self.file, state),
            figures: result.map(|result| self.figures(state, result)).unwrap_or_default(),
            flags: flag_words(self.file, state),
            photos: state.photos().map(ToString::to_string).collect(),
            history: self.history(state),
            who: result.map(|r| self.file.name_of(r.act.person)).unwrap_or_default(),
            concede: concede.then(|| format!("{job}/concession")),
            conceded: state.concession.as_ref().map(|words| words.text.clone()),
        }
    }

    /// Results and words of a step in the order they came.
    fn history(&self, state: &StepState) -> Vec<HistoryView> {
        let mut all: Vec<(u64, HistoryView)> =
            state.history.iter().map(|result| (result.act.seq, self.told(result))).collect();
        let words = state.remarks.iter().chain(&state.reopened).chain(&state.concession);
        all.extend(words.map(|words| {
            let view = HistoryView {
                time: words.act.recorded.date_and_minute(),
                value: None,
                note: Some(words.text.clone()),
                mark: None,
                sentence: String::new(),
                who: self.file.name_of(words.act.person),
            };
            (words.act.seq, view)
        }));
        all.sort_by_key(|(seq, _)| *seq);
        all.into_iter().map(|(_, view)| view).collect()
    }

    fn told(&self, result: &Recorded) -> HistoryView {
        let (value, mark, sentence) = match &result.judged {
            Ok(j) => (j.value.clone(), Mark::of(j.verdict), String::new()),
            Err(why) => {
                let mark = Mark { kind: "uncounted", word: "Not counted" };
                (result.body.payload.value_words(), mark, why.0.clone())
            }
        };
        HistoryView {
            time: result.act.recorded.date_and_minute(),
            value: Some(value),
            note: self.beside(result),
            mark: Some(mark),
            sentence,
            who: self.file.name_of(result.act.person),
        }
    }

    /// What the result rests on: how it was judged, with which instrument, and both clocks.
    fn figures(&self, state: &StepState, result: &Recorded) -> Vec<(&'static str, String)> {
        let mut figures = Vec::new();
        if let Ok(judgement) = &result.judged {
            figures = judged(state, judgement);
        }
        figures.push(("Instrument", self.file.instrument_labels(&result.body.payload).join(", ")));
        figures.push(("On the phone", result.act.recorded.date_and_minute()));
        figures.push(("Received", result.act.received.date_and_minute()));
        figures.retain(|(_, words)| !words.is_empty());
        figures
    }

    /// Instruments, and when it came in where that was later.
    fn beside(&self, result: &Recorded) -> Option<String> {
        let mut words: Vec<String> = Vec::new();
        words.extend(
            self.file.instrument_labels(&result.body.payload).into_iter().map(str::to_owned),
        );
        let (recorded, received) = times(&result.act);
        if recorded != received {
            words.push(format!("received {received}"));
        }
        (!words.is_empty()).then(|| words.join(", "))
    }
}

/// On the phone, and at the server.
fn times(act: &Act) -> (String, String) {
    (act.recorded.date_and_minute(), act.received.date_and_minute())
}

fn judged(state: &StepState, judgement: &Judgement) -> Vec<(&'static str, String)> {
    let mut figures = vec![("Limit", judgement.limit_words(&state.step.kind))];
    if let Some((figure, unit)) = judgement.figure {
        figures.push(("Judged", format!("{figure} {unit}")));
        let with_unit = |value: rust_decimal::Decimal| format!("{} {unit}", value.normalize());
        figures.extend(judgement.margin.map(|margin| ("Margin", with_unit(margin))));
        figures.extend(judgement.uncertainty_shown().map(|u| ("Uncertainty, k = 2", with_unit(u))));
    }
    figures.extend(judgement.diagnosis.iter().flat_map(Diagnosis::figures));
    figures.extend(judgement.open_circuit.iter().flat_map(OpenCircuit::figures));
    figures
}
