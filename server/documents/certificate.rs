//! The certificate: ready-to-print text, the machine-readable record and the photos, set in type.
//! The result is not sealed yet.

use serde::Serialize;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use super::paper::{CertificatePaper, DrawnSignature, PaperPhoto, grouped_hex};
pub use super::pictures::PHOTOS_MAX;
use super::pictures::{drawing_lines, photo_lines, with_drawings, with_logo, with_photos};
use super::printable::make_printable;
use super::qr::qr_svg;
use super::typeset::{Files, Imprint, TypesetError, typeset};
use super::words::Words;
use crate::domain::paper_style::Language;

/// Strokes and points of a drawn signature beyond these are left out; real ones have far fewer.
const STROKES_MAX: usize = 200;
const STROKE_POINTS_MAX: usize = 2_000;

/// Drawings in one certificate; further ones are left out.
pub const DRAWINGS_MAX: usize = DRAWING_NAMES.len();

const DRAWING_NAMES: [&str; 2] = ["/drawing-1.svg", "/drawing-2.svg"];

/// Sets the certificate in type. `record_json` is attached unchanged, its SHA-256 is printed; the
/// captions of the photos are their alternative text too.
pub fn certificate(
    paper: &CertificatePaper,
    record_json: &[u8],
    photos: &[PaperPhoto],
) -> Result<Vec<u8>, TypesetError> {
    let text = ready_text(paper, record_json, photos)?;
    let files = house_files()
        .with("/words.json", words_file(paper.told.language)?)
        .with("/paper.json", serde_json::to_vec(&text)?)
        .with("/record.json", record_json)
        .with("/qr.svg", qr_svg(&paper.proof.address)?);
    let files = with_drawings(with_photos(files, photos), &DRAWING_NAMES, &paper.drawings);
    let files = with_logo(files, paper.logo.as_ref());
    let ident = format!("fusewright certificate {}", paper.number);
    let template = include_str!("../../templates/documents/certificate.typ");
    typeset(template, files, &Imprint { ident, at: paper.issued_at })
}

/// The parts of the template, under the names it imports them by.
pub(super) fn house_files() -> Files {
    const PARTS: [(&str, &str); 9] = [
        ("/look.typ", include_str!("../../templates/documents/look.typ")),
        ("/marks.typ", include_str!("../../templates/documents/marks.typ")),
        ("/letterhead.typ", include_str!("../../templates/documents/letterhead.typ")),
        ("/signatures.typ", include_str!("../../templates/documents/signatures.typ")),
        ("/comparison.typ", include_str!("../../templates/documents/comparison.typ")),
        ("/terminals.typ", include_str!("../../templates/documents/terminals.typ")),
        ("/certificate_front.typ", include_str!("../../templates/documents/certificate_front.typ")),
        (
            "/certificate_tables.typ",
            include_str!("../../templates/documents/certificate_tables.typ"),
        ),
        ("/words.typ", include_str!("../../templates/documents/words.typ")),
    ];
    PARTS.iter().fold(Files::default(), |files, &(name, text)| files.with(name, text))
}

/// The paper as the template reads it: every string printable, photos and the record's hash added.
fn ready_text(
    paper: &CertificatePaper,
    record_json: &[u8],
    photos: &[PaperPhoto],
) -> Result<Value, TypesetError> {
    let mut tidy = paper.clone();
    for signature in &mut tidy.signatures {
        signature.drawn = signature.drawn.take().and_then(drawable);
    }
    let photos = photo_lines(photos)?;
    let drawings = drawing_lines(&DRAWING_NAMES, &paper.drawings);
    let record_hash = grouped_hex(&Sha256::digest(record_json));
    let mut text = serde_json::to_value(Ready { paper: &tidy, photos, drawings, record_hash })?;
    make_printable(&mut text);
    if let Some(fields) = text.as_object_mut() {
        fields.insert("link".to_owned(), json!(paper.proof.address));
        fields.insert("size".to_owned(), json!(paper.size));
        fields.insert("language".to_owned(), json!(paper.told.language.word()));
        fields.insert("summary".to_owned(), json!(summary(paper)));
        fields.insert("has_logo".to_owned(), json!(paper.logo.is_some()));
    }
    Ok(text)
}

/// The words of the language, as `words.typ` reads them.
pub(super) fn words_file(language: Language) -> Result<Vec<u8>, TypesetError> {
    let mut words = Value::Object(Words::of_language(language).for_templates());
    make_printable(&mut words);
    Ok(serde_json::to_vec(&words)?)
}

/// How much stands on it, in one line.
fn summary(paper: &CertificatePaper) -> String {
    let words = Words::of_language(paper.told.language);
    let measured = paper.measurements.iter().map(|group| group.lines.len()).sum();
    let counts = [
        ("measurements-count", measured),
        ("inspections-count", paper.inspections.len()),
        ("concessions-count", paper.concessions.len()),
        ("defects-count", paper.defects.len()),
    ];
    format!("{}.", counts.map(|(id, count)| words.counted(id, count)).join(", "))
}

/// The paper and what is only known when it is set.
#[derive(Serialize)]
struct Ready<'a> {
    #[serde(flatten)]
    paper: &'a CertificatePaper,
    photos: Vec<Value>,
    drawings: Vec<Value>,
    record_hash: String,
}

/// A drawn signature the template can draw, or `None` where nothing is left of it.
fn drawable(mut drawn: DrawnSignature) -> Option<DrawnSignature> {
    let inside =
        |[x, y]: &[f32; 2]| (0.0..=drawn.width).contains(x) && (0.0..=drawn.height).contains(y);
    for stroke in &mut drawn.strokes {
        stroke.retain(inside);
        stroke.truncate(STROKE_POINTS_MAX);
    }
    drawn.strokes.retain(|stroke| stroke.len() > 1);
    drawn.strokes.truncate(STROKES_MAX);
    let sized = drawn.width.is_normal() && drawn.height.is_normal();
    (sized && !drawn.strokes.is_empty()).then_some(drawn)
}
