//! The plan's form, ready to print: each field with its value, its choices and its fault.

use crate::domain::document::Fault;
use crate::domain::kit::Kit;
use crate::domain::plan_form::{FieldKind, FormField, FormSection, form_sections};

pub(super) struct SectionView {
    pub(super) title: String,
    pub(super) hint: String,
    pub(super) fields: Vec<FieldView>,
}

/// A field of the form, ready to print.
pub(super) struct FieldView {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) label: &'static str,
    pub(super) hint: String,
    pub(super) unit: &'static str,
    pub(super) value: String,
    pub(super) error: Option<String>,
    pub(super) optional: Option<()>,
    pub(super) number: Option<()>,
    pub(super) text: Option<()>,
    pub(super) options: Option<Vec<OptionView>>,
}

pub(super) struct OptionView {
    pub(super) value: String,
    pub(super) text: String,
    pub(super) selected: Option<&'static str>,
}

pub(super) struct FaultView {
    pub(super) id: String,
    pub(super) text: String,
}

fn field_id(key: &str) -> String {
    format!("f-{}", key.replace('.', "-"))
}

pub(super) fn fault_view(fault: &Fault) -> FaultView {
    FaultView { id: field_id(&fault.key), text: format!("{} {}", fault.wrong, fault.instead) }
}

pub(super) fn sections(
    kit: &Kit,
    values: &[(String, String)],
    faults: &[Fault],
) -> Vec<SectionView> {
    let view = |section: FormSection| SectionView {
        title: section.title,
        hint: section.hint,
        fields: section.fields.into_iter().map(|field| field_view(field, values, faults)).collect(),
    };
    form_sections(kit).into_iter().map(view).collect()
}

fn field_view(field: FormField, values: &[(String, String)], faults: &[Fault]) -> FieldView {
    // Of a key that comes twice the last counts, here as where it is worked out.
    let value = values.iter().rev().find(|(name, _)| *name == field.key);
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
