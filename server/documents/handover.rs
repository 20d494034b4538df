//! The handover: what the customer keeps in the vehicle, set in type. It is made on request from a
//! released job and not sealed; it names the certificate that is.

use serde::Serialize;
use serde_json::{Value, json};
use time::OffsetDateTime;

use super::certificate::{house_files, words_file};
use super::comparison::AgainPaper;
use super::drawing::PaperDrawing;
use super::paper::{
    CircuitLine, ConcessionLine, FindingLine, Fitted, Logo, NextInspection, PaperPhoto, Party,
    Supply, TerminalRow, VehiclePaper,
};
use super::pictures::{drawing_lines, photo_lines, with_drawings, with_logo, with_photos};
use super::printable::make_printable;
use super::qr::qr_svg;
use super::typeset::{Files, Imprint, TypesetError, typeset};
use super::voice::Told;
use crate::domain::certificate::PaperSize;

/// Drawings of the wiring in one handover; further ones are left out, the schedule has every circuit.
pub const WIRING_DRAWINGS_MAX: usize = WIRING_NAMES.len();

const WIRING_NAMES: [&str; 4] =
    ["/wiring-1.svg", "/wiring-2.svg", "/wiring-3.svg", "/wiring-4.svg"];

/// Everything the handover prints, ready to print and in the order of the page.
#[derive(Clone, Debug, Serialize)]
pub struct HandoverPaper {
    pub size: PaperSize,
    #[serde(flatten)]
    pub told: Told,
    pub title: String,
    /// Number of the certificate that it belongs to.
    pub number: String,
    pub job: String,
    pub issued: String,
    /// Becomes the creation date of the file, so that the same record gives the same bytes.
    #[serde(skip)]
    pub issued_at: OffsetDateTime,
    pub workshop: Party,
    #[serde(skip)]
    pub logo: Option<Logo>,
    /// Who to call: one line each, the telephone first.
    pub call: Vec<String>,
    pub customer: Party,
    pub vehicle: VehiclePaper,
    pub fitted: Fitted,
    pub supply: Supply,
    /// What was fitted, in plain sentences.
    pub summary: Vec<String>,
    pub fuses: Vec<FuseRow>,
    /// Which of the photos shows where the fuse is: the finished work.
    #[serde(skip)]
    pub finished_photo: Option<usize>,
    /// Circuits without a fuse in this kit, one sentence each.
    pub unfused: Vec<String>,
    pub safe: Vec<SafeStep>,
    /// Each drawing has its place among the pages; at most [`WIRING_DRAWINGS_MAX`].
    #[serde(skip)]
    pub wiring: Vec<PaperDrawing>,
    pub circuits: Vec<CircuitLine>,
    pub terminals: Vec<TerminalRow>,
    /// What to watch, and what to do then.
    pub watch: Vec<WatchLine>,
    pub care: Vec<CareLine>,
    pub next_inspection: NextInspection,
    pub results: Vec<ResultGroup>,
    /// Of a re-inspection.
    pub again: Option<AgainPaper>,
    /// Findings that were accepted in writing.
    pub cautions: Vec<FindingLine>,
    pub concessions: Vec<ConcessionLine>,
    /// Set where photos of the record are not shown, and why.
    pub photos_left_out: Option<String>,
    /// Public page of the certificate, `https://…` or `http://…`; printed and in the QR code.
    pub address: String,
}

/// One fuse, the first question first: where it is.
#[derive(Clone, Debug, Serialize)]
pub struct FuseRow {
    /// Number of its circuit in drawing and schedule.
    pub number: String,
    pub place: String,
    pub rating: String,
    pub form: String,
    /// Of the form.
    pub standard: String,
    pub protects: String,
    pub replace: String,
}

/// One step of making it safe, in order.
#[derive(Clone, Debug, Serialize)]
pub struct SafeStep {
    pub what: String,
    pub how: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct WatchLine {
    pub sign: String,
    pub act: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct CareLine {
    pub when: String,
    pub what: String,
    /// Why then.
    pub why: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct ResultGroup {
    pub phase: String,
    pub lines: Vec<ResultLine>,
}

#[derive(Clone, Debug, Serialize)]
pub struct ResultLine {
    pub number: String,
    pub title: String,
    /// What the figure means, in plain words.
    pub plain: String,
    /// As typed; never rounded.
    pub value: String,
    pub unit: String,
    pub limit: String,
    pub remark: Option<String>,
}

/// Sets the handover in type. The captions of the photos are their alternative text too.
pub fn handover(paper: &HandoverPaper, photos: &[PaperPhoto]) -> Result<Vec<u8>, TypesetError> {
    let files = handover_files()
        .with("/words.json", words_file(paper.told.language)?)
        .with("/paper.json", serde_json::to_vec(&ready_text(paper, photos)?)?)
        .with("/qr.svg", qr_svg(&paper.address)?);
    let files = with_drawings(with_photos(files, photos), &WIRING_NAMES, &paper.wiring);
    let files = with_logo(files, paper.logo.as_ref());
    let ident = format!("fusewright handover {}", paper.number);
    let template = include_str!("../../templates/documents/handover.typ");
    typeset(template, files, &Imprint { ident, at: paper.issued_at })
}

fn handover_files() -> Files {
    const PARTS: [(&str, &str); 2] = [
        ("/handover_pages.typ", include_str!("../../templates/documents/handover_pages.typ")),
        ("/handover_tables.typ", include_str!("../../templates/documents/handover_tables.typ")),
    ];
    PARTS.iter().fold(house_files(), |files, &(name, text)| files.with(name, text))
}

/// The paper as the template reads it: every string printable, drawings and photos by file name.
fn ready_text(paper: &HandoverPaper, photos: &[PaperPhoto]) -> Result<Value, TypesetError> {
    let photos = photo_lines(photos)?;
    let drawings = drawing_lines(&WIRING_NAMES, &paper.wiring);
    let finished = paper.finished_photo.and_then(|place| photos.get(place)).cloned();
    let mut text = serde_json::to_value(paper)?;
    if let Some(fields) = text.as_object_mut() {
        fields.insert("finished".to_owned(), finished.unwrap_or_default());
        fields.insert("photos".to_owned(), Value::Array(photos));
        fields.insert("drawings".to_owned(), Value::Array(drawings));
    }
    make_printable(&mut text);
    if let Some(fields) = text.as_object_mut() {
        fields.insert("link".to_owned(), json!(paper.address));
        fields.insert("size".to_owned(), json!(paper.size));
        fields.insert("language".to_owned(), json!(paper.told.language.word()));
        fields.insert("has_logo".to_owned(), json!(paper.logo.is_some()));
    }
    Ok(text)
}
