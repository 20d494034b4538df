//! `/jobs/{job}/plan`: the form of the plan with its findings beside it, and the way to the sheet.

use askama::Template;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::app::App;
use super::error::WebError;
use super::page::{Frame, page};
use super::session::Who;
use crate::acts::job::{JobFile, load};
use crate::acts::plan::{acknowledge as accept, make, save as keep};
use crate::acts::{ActError, By};
use crate::domain::document::Fault;
use crate::domain::finding::{Finding, Outcome, three_digits};
use crate::domain::findings::{longest_runs, worst};
use crate::domain::ids::JobId;
use crate::domain::plan_form::{
    FieldKind, FormField, FormSection, form_sections, form_start, form_to_toml, toml_to_form,
};

/// Runs longer than this are all the same to a vehicle [m].
const RUN_SHOWN_MAX_M: f64 = 30.0;

struct SectionView {
    title: String,
    hint: String,
    fields: Vec<FieldView>,
}

/// A field of the form, ready to print.
struct FieldView {
    id: String,
    name: String,
    label: &'static str,
    hint: String,
    unit: &'static str,
    value: String,
    error: Option<String>,
    optional: Option<()>,
    number: Option<()>,
    text: Option<()>,
    options: Option<Vec<OptionView>>,
}

struct OptionView {
    value: String,
    text: String,
    selected: Option<&'static str>,
}

struct FaultView {
    id: String,
    text: String,
}

/// A finding, ready to print; `outcome` names shape and colour.
struct FindingView {
    id: String,
    outcome: &'static str,
    word: &'static str,
    title: String,
    value: String,
    unit: &'static str,
    limit: String,
    sentence: String,
    remedy: Option<String>,
    formula: Vec<String>,
    source: String,
    accepted: Option<String>,
    accept: Option<String>,
}

struct RunView {
    size: &'static str,
    run: String,
    class: &'static str,
}

struct RunsView {
    title: String,
    rows: Vec<RunView>,
}

struct Count {
    kind: &'static str,
    words: String,
}

#[derive(Template)]
#[template(path = "pages/plan.html")]
struct PlanPage {
    frame: Frame,
    back: String,
    back_words: String,
    title: String,
    lede: String,
    action: String,
    faults: Option<Vec<FaultView>>,
    sections: Vec<SectionView>,
    /// Only a manager saves a plan.
    may_save: Option<()>,
    findings: Option<Vec<FindingView>>,
    counts: Vec<Count>,
    runs: Vec<RunsView>,
    make: Option<MakeView>,
}

/// Where the sheet stands.
struct MakeView {
    action: Option<String>,
    words: String,
    sheet: Option<String>,
}

/// GET /jobs/{job}/plan
pub(super) async fn show(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let values = match &file.plan {
        Some(saved) => toml_to_form(&String::from_utf8_lossy(&saved.row.source)),
        None => start(&file),
    };
    Ok(plan_page(&who, &file, &values, &[]))
}

/// A first plan knows what the job knows.
fn start(file: &JobFile) -> Vec<(String, String)> {
    let mut values = form_start(&file.kit);
    let known = [
        ("vehicle.description", &file.row.vehicle),
        ("vehicle.registration", &file.row.registration),
    ];
    for (key, value) in known {
        values.retain(|(name, _)| name != key);
        values.push((key.to_owned(), value.clone()));
    }
    values
}

/// POST /jobs/{job}/plan
pub(super) async fn save(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, WebError> {
    let file = load(app.store(), who.workshop(), job).await?;
    let text = form_to_toml(&file.kit, &fields);
    match keep(app.store(), &who.by(app.now()), job, &text).await {
        Ok(_) => Ok(Redirect::to(&format!("/jobs/{job}/plan#findings")).into_response()),
        Err(ActError::Document(faults)) => {
            let shown = plan_page(&who, &file, &fields, &faults);
            Ok((StatusCode::UNPROCESSABLE_ENTITY, shown).into_response())
        }
        Err(error) => Err(error.into()),
    }
}

/// A caution accepted in writing.
#[derive(Debug, Deserialize)]
pub(super) struct AcceptForm {
    finding: String,
    reason: String,
}

/// POST /jobs/{job}/plan/acknowledge
pub(super) async fn acknowledge(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
    Form(form): Form<AcceptForm>,
) -> Result<Redirect, WebError> {
    let by: By = who.by(app.now());
    accept(app.store(), &by, job, &form.finding, form.reason.trim()).await?;
    Ok(Redirect::to(&format!("/jobs/{job}/plan#findings")))
}

/// POST /jobs/{job}/sheet
pub(super) async fn make_sheet(
    State(app): State<App>,
    who: Who,
    Path(job): Path<JobId>,
) -> Result<Redirect, WebError> {
    make(app.store(), &who.by(app.now()), job).await?;
    Ok(Redirect::to(&format!("/jobs/{job}")))
}

fn plan_page(who: &Who, file: &JobFile, values: &[(String, String)], faults: &[Fault]) -> Response {
    let job = format!("/jobs/{}", file.row.id);
    let edition = file.plan.as_ref().map_or(0, |saved| saved.row.edition);
    let shown = PlanPage {
        frame: Frame::new(format!("Plan, job {}", file.row.number), who, "/jobs"),
        title: format!("Plan for {}", file.row.registration),
        lede: lede(file, edition),
        back_words: format!("Job {}", file.row.number),
        action: format!("{job}/plan"),
        faults: (!faults.is_empty()).then(|| faults.iter().map(fault_view).collect()),
        sections: sections(file, values, faults),
        may_save: (who.is_manager() && file.state.released.is_none()).then_some(()),
        findings: file.plan.as_ref().map(|_| {
            file.findings()
                .iter()
                .map(|finding| finding_view(file, who, edition, finding))
                .collect()
        }),
        counts: counts(file),
        runs: runs(file),
        make: make_view(file, who, &job),
        back: job,
    };
    page(&shown)
}

fn lede(file: &JobFile, edition: u32) -> String {
    let kit = format!("{} edition {}", file.kit.title, file.kit.edition);
    match edition {
        0 => {
            format!("No plan yet for {kit}. Measure along the real route, then save and work out.")
        }
        edition => format!(
            "Edition {edition} of the plan, {kit}. Nothing is fitted while one finding says stop."
        ),
    }
}

fn field_id(key: &str) -> String {
    format!("f-{}", key.replace('.', "-"))
}

fn fault_view(fault: &Fault) -> FaultView {
    FaultView { id: field_id(&fault.key), text: format!("{} {}", fault.wrong, fault.instead) }
}

fn sections(file: &JobFile, values: &[(String, String)], faults: &[Fault]) -> Vec<SectionView> {
    let view = |section: FormSection| SectionView {
        title: section.title,
        hint: section.hint,
        fields: section.fields.into_iter().map(|field| field_view(field, values, faults)).collect(),
    };
    form_sections(&file.kit).into_iter().map(view).collect()
}

fn field_view(field: FormField, values: &[(String, String)], faults: &[Fault]) -> FieldView {
    let value = values.iter().find(|(name, _)| *name == field.key);
    let value = value.map(|(_, value)| value.clone()).unwrap_or_default();
    let fault = faults.iter().find(|fault| fault.key == field.key);
    let choices = match &field.kind {
        FieldKind::Choice(choices) => Some(choices.clone()),
        FieldKind::Flag => {
            Some(vec![("false".to_owned(), "No".to_owned()), ("true".to_owned(), "Yes".to_owned())])
        }
        FieldKind::Number | FieldKind::Text => None,
    };
    let options = choices.map(|choices| {
        let unset = (String::new(), "Choose".to_owned());
        let first = (value.is_empty() || field.optional).then_some(unset);
        // A value that no choice offers was typed elsewhere: it is shown, not lost.
        let strange = !value.is_empty() && !choices.iter().any(|(word, _)| *word == value);
        let own = strange.then(|| (value.clone(), value.clone()));
        let all = first.into_iter().chain(choices).chain(own);
        all.map(|(word, text)| OptionView {
            selected: (word == value).then_some("selected"),
            value: word,
            text,
        })
        .collect()
    });
    FieldView {
        id: field_id(&field.key),
        name: field.key,
        label: field.label,
        hint: field.hint,
        unit: field.unit.unwrap_or_default(),
        error: fault.map(|fault| format!("{} {}", fault.wrong, fault.instead)),
        optional: field.optional.then_some(()),
        number: matches!(field.kind, FieldKind::Number).then_some(()),
        text: matches!(field.kind, FieldKind::Text).then_some(()),
        options,
        value,
    }
}

fn finding_view(file: &JobFile, who: &Who, edition: u32, finding: &Finding) -> FindingView {
    let (outcome, word) = match finding.outcome {
        Outcome::Ok => ("pass", "Ok"),
        Outcome::Caution => ("caution", "Caution"),
        Outcome::Stop => ("stop", "Stop"),
    };
    let accepted = file.state.acknowledged(edition, &finding.id);
    let may_accept = finding.outcome == Outcome::Caution && accepted.is_none() && who.is_manager();
    FindingView {
        id: finding.id.clone(),
        outcome,
        word,
        title: finding.title.clone(),
        value: if finding.unit.is_empty() { String::new() } else { three_digits(finding.value) },
        unit: finding.unit,
        limit: finding.limit_text(),
        sentence: finding.reason.clone(),
        remedy: finding.remedy.clone(),
        formula: finding.formula.lines().map(str::to_owned).collect(),
        source: finding.source.clone(),
        accepted: accepted.map(|accepted| {
            format!(
                "Accepted by {}, {}: {}",
                file.name_of(accepted.act.person),
                accepted.act.received.date_and_minute(),
                accepted.reason
            )
        }),
        accept: may_accept.then(|| format!("/jobs/{}/plan/acknowledge", file.row.id)),
    }
}

fn counts(file: &JobFile) -> Vec<Count> {
    let count = |outcome| file.findings().iter().filter(|f| f.outcome == outcome).count();
    [(Outcome::Stop, "stop"), (Outcome::Caution, "caution"), (Outcome::Ok, "pass")]
        .into_iter()
        .map(|(outcome, kind)| (count(outcome), outcome.word(), kind))
        .filter(|(count, _, _)| *count > 0)
        .map(|(count, word, kind)| Count { kind, words: format!("{count} {word}") })
        .collect()
}

fn runs(file: &JobFile) -> Vec<RunsView> {
    let Some(saved) = &file.plan else { return Vec::new() };
    let all = longest_runs(&file.kit, &saved.plan);
    all.into_iter()
        .map(|(title, runs)| RunsView {
            title,
            rows: runs
                .into_iter()
                .map(|run| RunView {
                    size: run.size.label(),
                    run: run.run.map_or("not allowed".to_owned(), run_words),
                    class: if run.is_planned { "table__row--picked" } else { "" },
                })
                .collect(),
        })
        .collect()
}

/// Beyond what any vehicle is long, the figure says nothing more.
fn run_words(run: crate::engineering::units::Metres) -> String {
    if run.0 > RUN_SHOWN_MAX_M {
        format!("over {RUN_SHOWN_MAX_M:.0} m")
    } else {
        format!("{:.1} m", run.0)
    }
}

fn make_view(file: &JobFile, who: &Who, job: &str) -> Option<MakeView> {
    let saved = file.plan.as_ref()?;
    let made = file.state.sheet.as_ref();
    if made.is_some_and(|sheet| sheet.plan_edition == saved.row.edition) {
        return Some(MakeView {
            action: None,
            words: "The sheet is made from this plan.".to_owned(),
            sheet: Some(format!("{job}/sheet")),
        });
    }
    let open = file.open_cautions().len();
    let words = if worst(file.findings()) == Outcome::Stop {
        "No sheet while a finding says stop. Change the plan and save again."
    } else if open > 0 {
        "Accept each caution in writing, or change the plan; then the sheet can be made."
    } else if made.is_some() {
        "The plan changed. A new sheet keeps every result whose step and limit stayed the same."
    } else {
        "Nothing stands in the way of the sheet."
    };
    let free = worst(file.findings()) != Outcome::Stop && open == 0 && who.is_manager();
    Some(MakeView {
        action: free.then(|| format!("{job}/sheet")),
        words: words.to_owned(),
        sheet: None,
    })
}
