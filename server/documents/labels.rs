//! Labels for fuses and circuits, on sheets of common sizes or on tape.

use serde::Serialize;
use serde_json::json;
use time::OffsetDateTime;

use super::paper::Logo;
use super::pictures::with_logo;
use super::printable::make_printable;
use super::qr::qr_svg;
use super::typeset::{Files, Imprint, TypesetError, typeset};
use super::words::Words;
use crate::domain::paper_style::Language;

/// More on one job are a mistake, and would be a book.
pub const LABELS_MAX: usize = 400;

/// How labels lie on their sheet, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LabelForm {
    /// As it stands in addresses.
    pub word: &'static str,
    pub title: &'static str,
    pub page_mm: (f64, f64),
    /// Side by side, and one below the other.
    pub across: u32,
    pub down: u32,
    pub label_mm: (f64, f64),
    /// Upper left corner of the first label.
    pub first_mm: (f64, f64),
    /// From one label to the next.
    pub step_mm: (f64, f64),
}

/// Sizes of blank sheets as stationers sell them, from memory; print one page on plain paper and hold it
/// against the sheet. A tape has one label a page.
pub const FORMS: [LabelForm; 5] = [
    LabelForm {
        word: "a4-21",
        title: "A4, 21 labels of 63.5 × 38.1 mm",
        page_mm: (210.0, 297.0),
        across: 3,
        down: 7,
        label_mm: (63.5, 38.1),
        first_mm: (7.2, 15.15),
        step_mm: (66.04, 38.1),
    },
    LabelForm {
        word: "a4-24",
        title: "A4, 24 labels of 70 × 37 mm",
        page_mm: (210.0, 297.0),
        across: 3,
        down: 8,
        label_mm: (70.0, 37.0),
        first_mm: (0.0, 0.5),
        step_mm: (70.0, 37.0),
    },
    LabelForm {
        word: "a4-40",
        title: "A4, 40 labels of 48.5 × 25.4 mm",
        page_mm: (210.0, 297.0),
        across: 4,
        down: 10,
        label_mm: (48.5, 25.4),
        first_mm: (8.0, 21.5),
        step_mm: (48.5, 25.4),
    },
    LabelForm {
        word: "letter-30",
        title: "US Letter, 30 labels of 2⅝ × 1 in",
        page_mm: (215.9, 279.4),
        across: 3,
        down: 10,
        label_mm: (66.675, 25.4),
        first_mm: (4.7625, 12.7),
        step_mm: (69.85, 25.4),
    },
    LabelForm {
        word: "tape-24",
        title: "Tape, 24 mm wide, 80 mm a label",
        page_mm: (80.0, 24.0),
        across: 1,
        down: 1,
        label_mm: (80.0, 24.0),
        first_mm: (0.0, 0.0),
        step_mm: (80.0, 24.0),
    },
];

impl LabelForm {
    pub fn find(word: &str) -> Option<&'static Self> {
        FORMS.iter().find(|form| form.word == word)
    }

    /// Labels on one page.
    pub fn each_page(&self) -> u32 {
        self.across * self.down
    }
}

/// One label, ready to print.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Label {
    /// Of a fuse: its rating stands white on black.
    pub is_fuse: bool,
    /// Large: the rating of a fuse, or the name of a circuit.
    pub headline: String,
    pub lines: Vec<String>,
    /// At the foot: the job, or the certificate's number.
    pub foot: String,
}

/// The labels of one job.
#[derive(Clone, Debug)]
pub struct LabelSheet {
    pub language: Language,
    pub title: String,
    pub workshop: String,
    pub logo: Option<Logo>,
    pub form: &'static LabelForm,
    /// The first free label of a sheet that was begun, from 1.
    pub first: u32,
    pub labels: Vec<Label>,
    /// Where a code leads to; nothing before there is a certificate.
    pub address: Option<String>,
    pub at: OffsetDateTime,
}

/// Sets the labels, one below the other down each page, from the first free one.
pub fn labels(sheet: &LabelSheet) -> Result<Vec<u8>, TypesetError> {
    let words = Words::of_language(sheet.language);
    let mut text = json!({
        "mark_alt": words.with("mark-alt", &[("workshop", &sheet.workshop)]),
        "code_alt": words.with("code-alt", &[("address", sheet.address.as_deref().unwrap_or_default())]),
        "title": sheet.title, "workshop": sheet.workshop, "labels": sheet.labels,
        "has_code": sheet.address.is_some(), "has_logo": sheet.logo.is_some(),
    });
    make_printable(&mut text);
    if let Some(fields) = text.as_object_mut() {
        fields.insert("form".to_owned(), json!(sheet.form));
        fields.insert("first".to_owned(), json!(sheet.first));
        fields.insert("language".to_owned(), json!(sheet.language.word()));
    }
    let mut files = Files::default()
        .with("/look.typ", include_str!("../../templates/documents/look.typ"))
        .with("/labels.json", serde_json::to_vec(&text)?);
    if let Some(address) = &sheet.address {
        files = files.with("/qr.svg", qr_svg(address)?);
    }
    files = with_logo(files, sheet.logo.as_ref());
    let ident = format!("fusewright labels {}", sheet.title);
    let template = include_str!("../../templates/documents/labels.typ");
    typeset(template, files, &Imprint { ident, at: sheet.at })
}
