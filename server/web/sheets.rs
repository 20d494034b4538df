//! `/jobs/{job}/sheet`: the sheet on the phone. One step is open; the rest is a tap away.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

mod tools;
mod view;

use view::{
    FormView, OrderRow, PhaseView, ResultView, SavedView, StepView, how_parts, value_parts,
};

use super::app::App;
use super::defects::of_step;
use super::error::WebError;
use super::jobs::SubmitView;
use super::page::{Frame, Svg, page};
use super::search::search_link;
use super::session::Who;
use super::views::{Gauge, Mark, Tape};
use crate::acts::job::{JobFile, load};
use crate::domain::entry::Payload;
use crate::domain::ids::{InstrumentId, JobId};
use crate::domain::job::{Defect, EditionNotice, Recorded, StepState, Words};
use crate::domain::number::parse_typed;
use crate::domain::reinspection::Comparison;
use crate::domain::solar_open::OpenString;
use crate::domain::step::{Phase, StepKind, Unit};

/// What the address may say: a step to open, or the step that was just saved.
#[derive(Debug, Default, Deserialize)]
pub(super) struct SheetQuery {
    #[serde(default)]
    open: String,
    #[serde(default)]
    after: String,
}

/// What a form that came back had in its fields, and why it came back.
#[derive(Debug, Default, Clone)]
pub(super) struct Typed {
    pub(super) step: String,
    pub(super) id: String,
    pub(super) value: String,
    pub(super) current: String,
    pub(super) cell: String,
    pub(super) note: String,
    /// The instruments that were chosen, in the order of the figures.
    pub(super) instruments: Vec<InstrumentId>,
    pub(super) fault: Option<String>,
    /// The figure looks like a slip: asked about once, and kept when it is sent again.
    pub(super) question: Option<String>,
}

#[derive(Template)]
#[template(path = "pages/sheet.html")]
struct SheetPage {
    frame: Frame,
    job: JobId,
    number: u64,
    /// The edition of the sheet, and how many entries this page knows of.
    edition: u32,
    count: u64,
    /// For the preview, by instrument.
    ranges: Svg,
    vehicle: String,
    tape: Tape,
    back: String,
    /// What newer sheet editions did to what was recorded.
    notices: Vec<String>,
    /// Where the open step stands in the list.
    here: String,
    phases: Vec<PhaseView>,
    /// The form that signs the work; a script shows it when the last step was recorded.
    submit: Option<SubmitView>,
}

/// GET /jobs/{job}/sheet
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Query(query): Query<SheetQuery>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    sheet_page(&app, &who, &file, &query, &Typed::default())
}

/// The sheet again, with what was typed and why it was not taken.
pub(super) fn came_back(
    app: &App,
    who: &Who,
    file: &JobFile,
    typed: &Typed,
) -> Result<Response, WebError> {
    let query = SheetQuery { open: typed.step.clone(), after: String::new() };
    let sheet = sheet_page(app, who, file, &query, typed)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, sheet).into_response())
}

/// Number of the step to go to after one was saved: the next that is due, else the same.
pub(super) fn next_after(file: &JobFile, saved: &str) -> usize {
    let number = file.state.step(saved).map_or(0, |step| step.number);
    let due = |step: &&StepState| !step.is_recorded();
    let later = file.state.steps.iter().filter(|step| step.number > number).find(due);
    later.or_else(|| file.state.next_due()).map_or(number, |step| step.number)
}

fn sheet_page(
    app: &App,
    who: &Who,
    file: &JobFile,
    query: &SheetQuery,
    typed: &Typed,
) -> Result<Response, WebError> {
    if file.state.sheet.is_none() {
        return Err(WebError::Rule(
            "This job has no sheet yet. It is made from the plan.".to_owned(),
        ));
    }
    let asked = file.state.step(&query.open).map(|step| step.number);
    let next = if query.after.is_empty() {
        file.state.next_due().map(|step| step.number)
    } else {
        Some(next_after(file, &query.after))
    };
    let defects = file.state.defects();
    let making = Making { app, who, file, query, typed, open: asked.or(next), defects };
    let phases: Result<Vec<PhaseView>, WebError> = Phase::ALL
        .into_iter()
        .filter(|phase| file.state.phase(*phase).next().is_some())
        .map(|phase| making.phase(phase))
        .collect();
    let job = format!("/jobs/{}", file.row.id);
    Ok(page(&SheetPage {
        frame: Frame::new(format!("Sheet, job {}", file.row.number), who, "/jobs"),
        job: file.row.id,
        number: file.row.number,
        edition: file.state.sheet.as_ref().map_or(0, |sheet| sheet.edition),
        count: file.state.entry_count,
        ranges: Svg(tools::ranges(&file.instruments)),
        vehicle: format!("{}, {}", file.row.registration, file.row.vehicle),
        tape: Tape::of(&file.state, asked.or(next)),
        here: asked.or(next).map_or("#steps".to_owned(), |number| format!("#s-{number}")),
        notices: notices(file),
        phases: phases?,
        submit: SubmitView::of(app, who, file)?,
        back: job,
    }))
}

fn notices(file: &JobFile) -> Vec<String> {
    file.state.edition_notices(&file.sheets).iter().map(EditionNotice::sentence).collect()
}

/// A defect that sent the step back is shown as what it is.
fn returned(words: &Words) -> Option<String> {
    matches!(words.body.payload, Payload::Return { .. }).then(|| words.text.clone())
}

/// Everything that a step is shown from.
struct Making<'a> {
    app: &'a App,
    who: &'a Who,
    file: &'a JobFile,
    query: &'a SheetQuery,
    typed: &'a Typed,
    open: Option<usize>,
    defects: Vec<Defect>,
}

impl Making<'_> {
    fn phase(&self, phase: Phase) -> Result<PhaseView, WebError> {
        let steps: Vec<&StepState> = self.file.state.phase(phase).collect();
        let done = steps.iter().filter(|step| step.is_recorded()).count();
        Ok(PhaseView {
            word: phase.word(),
            title: phase.title(),
            count: format!("{done} of {}", steps.len()),
            start: steps.first().map_or(1, |step| step.number),
            steps: steps.into_iter().map(|step| self.step(step)).collect::<Result<_, _>>()?,
        })
    }

    fn step(&self, state: &StepState) -> Result<StepView, WebError> {
        let is_open = self.open == Some(state.number);
        let writable = self.file.state.released.is_none();
        let judgement = state.result().and_then(|result| result.judged.as_ref().ok());
        let value = judgement
            .filter(|_| state.step.kind.is_measurement())
            .map(|judgement| value_parts(&judgement.value, judgement.figure.map(|(_, u)| u)));
        let compared = self.file.comparison(state);
        Ok(StepView {
            number: state.number,
            key: state.step.key.clone(),
            title: state.step.title.clone(),
            how: how_parts(&state.step.how),
            caution: state.step.caution.clone(),
            basis: state.step.basis.clone(),
            mark: Mark::of_step(state),
            value,
            state: if state.is_recorded() { "done" } else { "todo" },
            open: is_open.then_some("open"),
            saved: if is_open { self.saved() } else { None },
            before: compared.as_ref().and_then(Comparison::before),
            since: compared.as_ref().and_then(Comparison::after),
            reopened: state.reopened.as_ref().and_then(returned),
            defects: of_step(self.file, &self.defects, state),
            notice: self.file.state.step_notice(state),
            results: state.history.iter().rev().map(|result| self.result(result)).collect(),
            remarks: state.remarks.iter().map(|words| words.text.clone()).collect(),
            search: search_link(self.file, state),
            form: if writable { Some(self.form(state)?) } else { None },
        })
    }

    fn link(&self, key: &str, number: usize) -> String {
        format!("/jobs/{}/sheet?open={key}#s-{number}", self.file.row.id)
    }

    fn saved(&self) -> Option<SavedView> {
        let state = self.file.state.step(&self.query.after)?;
        let value = state.result().and_then(|r| r.judged.as_ref().ok()).map(|j| j.value.clone());
        let words = match value.filter(|_| state.step.kind.is_measurement()) {
            Some(value) => format!("Step {}: {value}", state.number),
            None => format!("Step {}", state.number),
        };
        let correct = self.link(&state.step.key, state.number);
        let search = search_link(self.file, state);
        Some(SavedView { words, mark: Mark::of_step(state), correct, search })
    }

    fn result(&self, result: &Recorded) -> ResultView {
        let (kind, word, value, sentence) = match &result.judged {
            Ok(judgement) => {
                let mark = Mark::of(judgement.verdict);
                (mark.kind, mark.word, judgement.value.clone(), judgement.sentence.clone())
            }
            Err(why) => {
                ("uncounted", "Not counted", result.body.payload.value_words(), why.0.clone())
            }
        };
        let with = self.file.instrument_labels(&result.body.payload);
        let with =
            if with.is_empty() { String::new() } else { format!(" with {}", with.join(" and ")) };
        ResultView {
            value,
            kind,
            word,
            sentence,
            about: format!(
                "{}, {}{with}{}",
                self.file.name_of(result.act.person),
                result.act.recorded.date_and_minute(),
                if result.standing { "" } else { ", no longer counts" }
            ),
            photos: result.body.payload.photos().iter().map(ToString::to_string).collect(),
        }
    }

    fn form(&self, state: &StepState) -> Result<FormView, WebError> {
        let key = &state.step.key;
        let mine = self.typed.step == *key;
        let typed = if mine { self.typed.clone() } else { Typed::default() };
        let id = if mine && !typed.id.is_empty() {
            typed.id.clone()
        } else {
            self.app.new_id()?.to_string()
        };
        let supersedes: Vec<String> = state.supersedes().iter().map(ToString::to_string).collect();
        let is_open = !state.is_recorded() || self.query.open == *key;
        let form = FormView {
            is_open: is_open.then_some(()),
            is_live: (self.open == Some(state.number)).then_some(()),
            open: self.link(key, state.number),
            action: format!("/jobs/{}/steps/{key}", self.file.row.id),
            id,
            remark_id: self.app.new_id()?.to_string(),
            sheet: self.file.state.sheet.as_ref().map_or(0, |sheet| sheet.edition),
            supersedes: supersedes.join(","),
            kind: state.step.kind.word(),
            limit: state.step.kind.limit_words(),
            improbable: if typed.question.is_some() { "yes" } else { "" },
            typed,
            gauge: Gauge::of(&state.step.kind, None),
            unable: (!state.step.kind.is_measurement()).then_some(()),
            with_extras: Some(()),
            save: "Save",
            ..FormView::default()
        };
        Ok(self.of_kind(form, &state.step.kind))
    }

    /// The field that this kind of step is recorded in.
    fn of_kind(&self, form: FormView, kind: &StepKind) -> FormView {
        let tools = self.tools(kind, &form.typed.instruments);
        match kind {
            StepKind::Confirm => FormView { tick: Some(()), ..form },
            StepKind::Photo => {
                FormView { photo: Some(()), with_extras: None, save: "Save photo", ..form }
            }
            StepKind::Note => {
                FormView { words: Some(()), with_extras: None, save: "Save note", ..form }
            }
            StepKind::Fuse { choices_a, rating_a } => FormView {
                planned: rating_a.normalize().to_string(),
                rating: Some(choices_a.iter().map(|a| a.normalize().to_string()).collect()),
                save: "Save rating",
                ..form
            },
            StepKind::Order { choices, expected } => FormView {
                // A list of strings always has a JSON form.
                planned: serde_json::to_string(expected).unwrap_or_default(),
                order: Some(self.order_rows(choices)),
                save: "Save order",
                ..form
            },
            StepKind::Torque { limits } => {
                with_limits(FormView { tools, ..form }, Unit::NewtonMetre, limits)
            }
            StepKind::Reading { unit, limits } => {
                with_limits(FormView { tools, ..form }, *unit, limits)
            }
            StepKind::PathDrop { .. } => Self::ratio(FormView { tools, ..form }, kind),
            StepKind::SolarOpen { .. } => Self::solar(FormView { tools, ..form }, kind),
        }
    }

    /// A drop and its current, with what the preview needs of the plan.
    fn ratio(form: FormView, kind: &StepKind) -> FormView {
        let StepKind::PathDrop {
            resistance_max_milliohm,
            planned_milliohm,
            milliohm_per_metre,
            current_a,
        } = kind
        else {
            return form;
        };
        FormView {
            kind: "ratio",
            limit_milliohm: resistance_max_milliohm.to_string(),
            planned_milliohm: planned_milliohm.to_string(),
            milliohm_per_metre: milliohm_per_metre.to_string(),
            ratio: Some(format!("planned for {} A", current_a.normalize())),
            save: "Save reading",
            ..form
        }
    }

    /// A voltage and the panel's temperature, which the gauge waits for.
    fn solar(form: FormView, kind: &StepKind) -> FormView {
        let string = OpenString::of(kind);
        let cell = parse_typed(&form.typed.cell);
        let limits = string.zip(cell).and_then(|(string, cell)| string.limits(cell));
        let gauge = limits.and_then(|limits| Gauge::between(&limits)).or(Some(Gauge::waiting()));
        FormView { solar: string, gauge, save: "Save reading", ..form }
    }

    fn order_rows(&self, choices: &[String]) -> Vec<OrderRow> {
        let row = |(place, label): (usize, &String)| {
            let terminal = self.file.kit.terminals.iter().find(|t| t.label == *label);
            let circuit = terminal.and_then(|t| self.file.kit.circuit(&t.circuit));
            OrderRow {
                name: format!("pos{place}"),
                label: label.clone(),
                detail: terminal.map_or_else(String::new, |terminal| {
                    format!(
                        "{}, {}",
                        terminal.colour,
                        circuit.map_or("", |circuit| circuit.title.as_str())
                    )
                }),
                places: (1..=choices.len()).collect(),
            }
        };
        (1..).zip(choices).map(row).collect()
    }
}

fn with_limits(form: FormView, unit: Unit, limits: &crate::domain::step::Limits) -> FormView {
    FormView {
        reading: Some(()),
        unit: unit.symbol(),
        lower: limits.lower.map(|limit| limit.to_string()).unwrap_or_default(),
        upper: limits.upper.map(|limit| limit.to_string()).unwrap_or_default(),
        save: "Save reading",
        ..form
    }
}
