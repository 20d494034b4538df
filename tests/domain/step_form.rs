//! What the forms of steps come to, by the cases that the phone is held to as well; and the exact texts of
//! bodies, read and written.

use std::collections::BTreeMap;

use fusewright::domain::entry::{BODY_VERSION, Body, Digest, Payload};
use fusewright::domain::step::StepKind;
use fusewright::domain::step_form::{Asked, Fields, Filled, read};
use serde::Deserialize;

#[derive(Deserialize)]
struct Vectors {
    forms: Vec<Form>,
    bodies: Vec<Written>,
}

#[derive(Deserialize)]
struct Form {
    name: String,
    step: StepKind,
    fields: BTreeMap<String, String>,
    photos: Vec<Digest>,
    expect: Expected,
}

#[derive(Deserialize)]
#[serde(untagged, deny_unknown_fields)]
enum Expected {
    Filled { result: Payload, remark: Option<Payload>, improbable: bool },
    Fault { fault: String },
    Question { question: String },
}

#[derive(Deserialize)]
struct Written {
    name: String,
    body: serde_json::Map<String, serde_json::Value>,
    text: String,
}

fn vectors() -> Vectors {
    serde_json::from_str(include_str!("../data/forms.json")).unwrap()
}

#[test]
fn every_shared_form_comes_to_its_result_fault_or_question() {
    let forms = vectors().forms;
    assert!(forms.len() >= 90, "the shared cases are there");
    for form in forms {
        let expect = match form.expect {
            Expected::Filled { result, remark, improbable } => {
                Ok(Filled { result: Some(result), remark, improbable })
            }
            Expected::Fault { fault } => Err(Asked::Fault(fault)),
            Expected::Question { question } => Err(Asked::Question(question)),
        };
        assert_eq!(read(&form.step, &Fields(form.fields), form.photos), expect, "{}", form.name);
    }
}

#[test]
fn every_kind_of_step_has_shared_forms() {
    let forms = vectors().forms;
    let mut kinds: Vec<&str> = forms.iter().map(|form| form.step.word()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let all = [
        "confirm",
        "fuse",
        "note",
        "order",
        "path_drop",
        "photo",
        "reading",
        "solar_open",
        "torque",
    ];
    assert_eq!(kinds, all);
}

/// Figures equal one another whatever their decimals; texts do not.
#[test]
fn a_figure_is_kept_with_the_decimals_that_were_typed() {
    for form in vectors().forms {
        let Expected::Filled { result, .. } = form.expect else { continue };
        let filled = read(&form.step, &Fields(form.fields), form.photos).unwrap();
        let text = |payload: &Payload| serde_json::to_string(payload).unwrap();
        assert_eq!(text(&filled.result.unwrap()), text(&result), "{}", form.name);
    }
}

#[test]
fn a_shared_body_is_read_to_what_it_says_and_written_to_the_same_bytes() {
    let bodies = vectors().bodies;
    assert!(bodies.len() >= 12, "the shared cases are there");
    for Written { name, body: mut parts, text } in bodies {
        let payload = parts.remove("payload").unwrap();
        parts.extend(payload.as_object().unwrap().clone());
        parts.insert("v".to_owned(), BODY_VERSION.into());
        let meant: Body = serde_json::from_value(parts.into()).unwrap();
        assert_eq!(Body::read(text.as_bytes()).as_ref(), Ok(&meant), "{name}");
        assert_eq!(String::from_utf8(meant.write().unwrap()).unwrap(), text, "{name}");
    }
}
