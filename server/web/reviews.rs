//! `/jobs/{job}/review`: the manager sees every result and decides.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;

mod act;
mod decision;
mod send_back;
mod tally;

pub(super) use act::{concede, release};
use decision::{DecisionView, decision};
pub(super) use send_back::send_back;
use send_back::{SendBackView, Tick, send_back_view};
use tally::{TallyView, tally};

use super::app::App;
use super::error::WebError;
use super::form::{Filled, FormFault};
use super::page::{Done, Frame, page};
use super::search::search_link;
use super::session::Who;
use super::views::{AsideView, ComparedView, Gauge, Mark, Tape};
use super::withdrawals::{DONE, WithdrawalView, withdrawal_view};
use crate::acts::job::{JobFile, load};
use crate::domain::diagnosis::Diagnosis;
use crate::domain::ids::JobId;
use crate::domain::job::{Flag, Recorded, StepState};
use crate::domain::solar_open::OpenCircuit;
use crate::storage::certificates;

/// Which rows are shown, and which step is looked at.
#[derive(Debug, Default, Deserialize)]
pub(super) struct ReviewQuery {
    #[serde(default)]
    show: String,
    #[serde(default)]
    step: String,
}

struct RowView {
    number: usize,
    href: String,
    title: String,
    detail: String,
    limit: String,
    value: String,
    gauge: Option<Gauge>,
    mark: Mark,
    selected: Option<&'static str>,
    /// Where it can still go back.
    tick: Option<Tick>,
}

struct GroupView {
    title: &'static str,
    rows: Vec<RowView>,
}

struct TabView {
    href: String,
    title: &'static str,
    count: usize,
    current: Option<&'static str>,
}

struct HistoryView {
    time: String,
    value: Option<String>,
    note: Option<String>,
    mark: Option<Mark>,
    sentence: String,
    who: String,
}

struct EntryView {
    number: usize,
    key: String,
    title: String,
    value: String,
    mark: Mark,
    gauge: Option<Gauge>,
    why: String,
    basis: Option<String>,
    search: Option<String>,
    figures: Vec<(&'static str, String)>,
    flags: Vec<String>,
    photos: Vec<String>,
    history: Vec<HistoryView>,
    who: String,
    concede: Option<String>,
    conceded: Option<String>,
}

#[derive(Template)]
#[template(path = "pages/review.html")]
pub(super) struct ReviewPage {
    frame: Frame,
    number: u64,
    lede: String,
    back: String,
    tally: Vec<TallyView>,
    tape: Tape,
    tabs: Vec<TabView>,
    groups: Vec<GroupView>,
    /// Of the list, for the rows that span all of them.
    columns: usize,
    photos: Vec<(String, String)>,
    aside: Vec<AsideView>,
    /// Of a re-inspection.
    compared: Vec<ComparedView>,
    entry: Option<EntryView>,
    send_back: Option<SendBackView>,
    decision: DecisionView,
    withdrawal: WithdrawalView,
    faults: Vec<FormFault>,
}

/// GET /jobs/{job}/review
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Query(query): Query<ReviewQuery>,
    done: Done,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let shown = review_page(&app, &who, &file, &query, Filled::default()).await?;
    let [asked, withdrawn, left] = DONE;
    let frame = done.noted(shown.frame, &[RETURNED, asked, withdrawn, left]);
    Ok(page(&ReviewPage { frame, ..shown }))
}

/// The page with what was sent and is not good yet.
pub(super) async fn review_page(
    app: &App,
    who: &Who,
    file: &JobFile,
    query: &ReviewQuery,
    mut sent: Filled,
) -> Result<ReviewPage, WebError> {
    if file.state.sheet.is_none() {
        return Err(WebError::Rule(
            "There is no sheet to review yet. Make the plan first.".to_owned(),
        ));
    }
    let issued = certificates::list(app.store(), who.workshop(), file.row.id).await?;
    let withdrawal = withdrawal_view(app, who, file, &issued, &mut sent).await?;
    let looked_at = looked_at(file, &query.step);
    let view = View { file, query, looked_at };
    Ok(ReviewPage {
        frame: Frame::new(format!("Review, job {}", file.row.number), who, "/jobs"),
        number: file.row.number,
        lede: format!("{}, {}. {}.", file.row.vehicle, file.row.registration, file.kit.title),
        back: format!("/jobs/{}", file.row.id),
        tally: tally(file),
        tape: Tape::of(&file.state, looked_at.map(|step| step.number)),
        tabs: view.tabs(),
        groups: view.groups(&sent),
        columns: if file.state.released.is_some() { 6 } else { 7 },
        photos: view.photos(),
        aside: AsideView::all(file),
        compared: ComparedView::all(file),
        entry: looked_at.map(|step| view.entry(step)),
        send_back: send_back_view(&view, &mut sent),
        decision: decision(file, who, issued.last()),
        withdrawal,
        faults: sent.into_faults(),
    })
}

/// The step that was asked for, else the first that wants eyes, else the first measurement.
fn looked_at<'a>(file: &'a JobFile, asked: &str) -> Option<&'a StepState> {
    let steps = &file.state.steps;
    file.state
        .step(asked)
        .or_else(|| steps.iter().find(|step| !step.is_good()))
        .or_else(|| steps.iter().find(|step| wants_eyes(step)))
        .or_else(|| steps.iter().find(|step| step.step.kind.is_measurement()))
}

/// Not good, or good with something to look at twice.
fn wants_eyes(step: &StepState) -> bool {
    !step.is_good() || !step.flags().is_empty() || step.had_defect() || step.concession.is_some()
}

fn flag_words(file: &JobFile, state: &StepState) -> Vec<String> {
    let loaded = state.loaded_by().map(|person| file.name_of(person));
    let words = |flag: Flag| match (flag, &loaded) {
        (Flag::ByFile, Some(name)) => format!("Came by file, loaded by {name}."),
        _ => flag.words().to_owned(),
    };
    state.flags().into_iter().map(words).collect()
}

/// What one look at the page is made from.
struct View<'a> {
    file: &'a JobFile,
    query: &'a ReviewQuery,
    looked_at: Option<&'a StepState>,
}

/// What the page says once steps were sent back.
const RETURNED: (&str, &str) =
    ("returned", "Sent back. The steps are due again, and the sheet shows the remark at each.");

const TABS: [(&str, &str); 4] =
    [("eyes", "Needs eyes"), ("", "Measurements"), ("photos", "Photos"), ("all", "All steps")];

impl View<'_> {
    fn tabs(&self) -> Vec<TabView> {
        let steps = &self.file.state.steps;
        let count = |word: &str| match word {
            "eyes" => steps.iter().filter(|step| wants_eyes(step)).count(),
            "photos" => self.photos().len(),
            "all" => steps.len(),
            _ => steps.iter().filter(|step| step.step.kind.is_measurement()).count(),
        };
        let job = self.file.row.id;
        TABS.into_iter()
            .map(|(word, title)| TabView {
                href: format!("/jobs/{job}/review?show={word}"),
                title,
                count: count(word),
                current: (self.query.show == word).then_some("true"),
            })
            .collect()
    }

    /// Whether the list has a row of this step.
    fn is_shown(&self, step: &StepState) -> bool {
        match self.query.show.as_str() {
            "eyes" => wants_eyes(step),
            "all" => true,
            "photos" => false,
            _ => step.step.kind.is_measurement(),
        }
    }

    fn groups(&self, sent: &Filled) -> Vec<GroupView> {
        let steps = &self.file.state.steps;
        let (mut eyes, clear): (Vec<&StepState>, Vec<&StepState>) =
            steps.iter().filter(|step| self.is_shown(step)).partition(|step| wants_eyes(step));
        // What keeps the certificate back stands first.
        eyes.sort_by_key(|step| step.is_good());
        let group = |title, steps: Vec<&StepState>| GroupView {
            title,
            rows: steps.into_iter().map(|step| self.row(step, sent)).collect(),
        };
        let mut groups = vec![group("Needs eyes", eyes), group("Clear of the limits", clear)];
        groups.retain(|group| !group.rows.is_empty());
        groups
    }

    fn row(&self, state: &StepState, sent: &Filled) -> RowView {
        let open = self.file.state.released.is_none();
        let judgement = state.result().and_then(|result| result.judged.as_ref().ok());
        let nth = state.history.len();
        let mut detail = flag_words(self.file, state);
        if nth > 1 {
            detail.insert(0, "More than one result.".to_owned());
        }
        RowView {
            number: state.number,
            href: format!(
                "/jobs/{}/review?show={}&step={}#entry",
                self.file.row.id, self.query.show, state.step.key
            ),
            title: state.step.title.clone(),
            detail: detail.join(" "),
            limit: judgement.map_or_else(
                || state.step.kind.limit_short(),
                |judgement| judgement.limit_short(&state.step.kind),
            ),
            value: if state.step.kind.is_measurement() {
                state.short_value()
            } else {
                String::new()
            },
            gauge: Gauge::of(&state.step.kind, judgement),
            mark: Mark::of_step(state),
            selected: self
                .looked_at
                .is_some_and(|step| step.number == state.number)
                .then_some("true"),
            tick: open.then(|| Tick::new(state, sent)),
        }
    }

    fn photos(&self) -> Vec<(String, String)> {
        let steps = &self.file.state.steps;
        let of_step = |state: &StepState| -> Vec<(String, String)> {
            let title = format!("{}. {}", state.number, state.step.title);
            state.photos().map(|sha256| (sha256.to_string(), title.clone())).collect()
        };
        steps.iter().flat_map(of_step).collect()
    }

    fn entry(&self, state: &StepState) -> EntryView {
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
            figures: judgement.map(|judgement| figures(state, judgement)).unwrap_or_default(),
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
            note: None,
            mark: Some(mark),
            sentence,
            who: self.file.name_of(result.act.person),
        }
    }
}

fn figures(
    state: &StepState,
    judgement: &crate::domain::verdict::Judgement,
) -> Vec<(&'static str, String)> {
    let mut figures = vec![("Limit", judgement.limit_words(&state.step.kind))];
    if let Some((figure, unit)) = judgement.figure {
        figures.push(("Judged", format!("{figure} {unit}")));
        let with_unit = |value: rust_decimal::Decimal| format!("{} {unit}", value.normalize());
        figures.extend(judgement.margin.map(|margin| ("Margin", with_unit(margin))));
        figures.extend(judgement.uncertainty_shown().map(|u| ("Uncertainty, k = 2", with_unit(u))));
    }
    figures.extend(judgement.diagnosis.iter().flat_map(Diagnosis::figures));
    figures.extend(judgement.open_circuit.iter().flat_map(OpenCircuit::figures));
    figures.retain(|(_, words)| !words.is_empty());
    figures
}
