//! What stands on a certificate: text that is ready to print, in the order of the page. The
//! template decides nothing and calculates nothing; an empty list or `None` drops its section.

use serde::Serialize;
use time::OffsetDateTime;

use super::comparison::AgainPaper;
use super::drawing::PaperDrawing;
use super::gauge::Gauge;
use super::pdf_object::lower_hex;
pub use super::pictures::{Logo, PaperPhoto};
use super::voice::Told;
use crate::domain::certificate::PaperSize;

/// Everything the certificate prints. Times are written out with their zone by the caller.
#[derive(Clone, Debug, Serialize)]
pub struct CertificatePaper {
    /// Certificate, or the honest other paper that names what is open.
    pub kind: PaperKind,
    pub size: PaperSize,
    #[serde(flatten)]
    pub told: Told,
    /// Large on page one, for instance "Certificate of installation and test".
    pub title: String,
    /// Certificate number with its check character; stands on every page.
    pub number: String,
    /// Job number as the workshop writes it.
    pub job: String,
    /// Set when this certificate takes the place of an earlier one: its number and what changed.
    pub replaces: Option<String>,
    /// Of a re-inspection.
    pub again: Option<AgainPaper>,
    /// Moment of issue; becomes the creation date of the file, so that the same input gives the
    /// same bytes. Printed only through `dates.issued`.
    #[serde(skip)]
    pub issued_at: OffsetDateTime,
    /// The business that answers for the work.
    pub workshop: Party,
    /// Its mark, if it has one.
    #[serde(skip)]
    pub logo: Option<Logo>,
    /// Who ordered the work.
    pub customer: Party,
    pub vehicle: VehiclePaper,
    /// Where the work was done, with the customer's site if it was there.
    pub place_of_work: String,
    pub dates: Dates,
    /// What was fitted; usually one, more when a job carries several kits.
    pub fitted: Vec<Fitted>,
    pub supply: Supply,
    /// What the work covered, one or two sentences.
    pub extent: String,
    /// What was not looked at or could not be reached; one sentence each.
    pub limitations: Vec<String>,
    /// One mark a step on page one, grouped by phase.
    pub tape: Vec<TapeGroup>,
    pub circuits: Vec<CircuitLine>,
    pub fasteners: Vec<FastenerLine>,
    pub terminals: Vec<TerminalRow>,
    /// Every result that counts, in the order of the sheet.
    pub measurements: Vec<MeasurementGroup>,
    pub inspections: Vec<InspectionLine>,
    /// Summary of the plan's calculated results; cautions carry the manager's acknowledgement.
    pub findings: Vec<FindingLine>,
    /// Fuse and cable of the supply, the fasteners: where they could be drawn, at most
    /// [`super::certificate::DRAWINGS_MAX`].
    #[serde(skip)]
    pub drawings: Vec<PaperDrawing>,
    pub concessions: Vec<ConcessionLine>,
    /// Departures from the sheet or from the maker's method; one sentence each.
    pub deviations: Vec<String>,
    pub defects: Vec<DefectLine>,
    /// Results that a later one took the place of; they stay readable.
    pub superseded: Vec<SupersededLine>,
    pub instruments: Vec<InstrumentLine>,
    /// Only on a record without certificate: what is still open, one sentence each.
    pub open_points: Vec<String>,
    pub next_inspection: NextInspection,
    /// Who did the work, then who released it.
    pub signatures: Vec<SignatureLine>,
    /// Set when one person did both, for instance "Recorded and released by the same person, as
    /// the workshop allows.".
    pub same_person: Option<String>,
    pub proof: Proof,
}

/// Which of the two papers this is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PaperKind {
    /// Every measurement passed.
    Certificate,
    /// Handed over without release; says so in its head and names what is open.
    WithoutCertificate,
}

/// A name and the lines under it: address, telephone, contact.
#[derive(Clone, Debug, Serialize)]
pub struct Party {
    pub name: String,
    pub lines: Vec<String>,
}

#[derive(Clone, Debug, Serialize)]
pub struct VehiclePaper {
    /// Make, model, body, year as the workshop writes it.
    pub description: String,
    pub registration: String,
    /// Last characters of the vehicle identification number.
    pub vin_tail: String,
    /// With its unit, for instance "84 310 km".
    pub odometer: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct Dates {
    pub begun: String,
    pub finished: String,
    pub issued: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct Fitted {
    pub title: String,
    pub maker: String,
    pub serial: String,
    /// Code of the kit, for instance "DOCK-30".
    pub kit_code: String,
    pub kit_edition: String,
    /// "New installation", "Addition" or "Alteration", and of what.
    pub nature: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct Supply {
    /// For instance "12 V DC".
    pub nominal_voltage: String,
    /// For instance "Starter battery, lead-acid AGM, 95 Ah".
    pub source: String,
    /// By cable or through the chassis, and where it is bonded.
    pub return_arrangement: String,
}

/// One phase of the sheet on the tape of page one.
#[derive(Clone, Debug, Serialize)]
pub struct TapeGroup {
    pub phase: String,
    pub steps: Vec<TapeMark>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TapeMark {
    Done,
    /// Accepted by concession: drawn hollow.
    Conceded,
    /// Only on a record without certificate: drawn short.
    Open,
}

#[derive(Clone, Debug, Serialize)]
pub struct CircuitLine {
    pub purpose: String,
    pub from: String,
    pub to: String,
    /// Conductor area, material and class, for instance "16 mm² Cu, class 5".
    pub cable: String,
    /// For instance "105 °C, thin wall".
    pub insulation: String,
    /// For instance "3.20 m".
    pub length: String,
    /// How the length counts: "one way", "out and back".
    pub length_convention: String,
    /// Form of the fuse, for instance "ANL" or "blade, standard".
    pub fuse_form: String,
    /// Empty where the circuit has none, as the distance.
    pub fuse_rating: String,
    /// Distance from the source along the cable.
    pub fuse_distance: String,
    pub drop_calculated: String,
    pub drop_allowed: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct FastenerLine {
    pub place: String,
    /// Size, property class, washer, for instance "M8, 8.8, washer 24 mm".
    pub fastener: String,
    pub count: String,
    /// Target and tolerance.
    pub torque: String,
    /// What was reached, for instance "22.3 to 22.6 N·m".
    pub reached: String,
    pub tool: String,
}

/// A row of terminals as it was read back, left to right.
#[derive(Clone, Debug, Serialize)]
pub struct TerminalRow {
    pub place: String,
    /// Who read it back and when, one line.
    pub read_back: String,
    pub positions: Vec<TerminalPosition>,
}

#[derive(Clone, Debug, Serialize)]
pub struct TerminalPosition {
    pub position: String,
    pub label: String,
    /// Conductor colour in IEC 60757 letters, for instance "RD" or "GNYE".
    pub colour: String,
    /// What is connected, for instance "Supply +, 16 mm²".
    pub conductor: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct MeasurementGroup {
    pub phase: String,
    pub lines: Vec<MeasurementLine>,
}

#[derive(Clone, Debug, Serialize)]
pub struct MeasurementLine {
    /// Step number.
    pub number: String,
    pub title: String,
    /// In words: "at most 0.36 V", "20.0 to 25.0 N·m".
    pub limit: String,
    /// As typed, without the unit.
    pub value: String,
    /// Empty where the value is words.
    pub unit: String,
    /// Distance to the nearer limit, with its unit.
    pub margin: Option<String>,
    /// Short name of the instrument, as in the list of instruments.
    pub instrument: Option<String>,
    /// Expanded uncertainty U at k = 2, with its unit.
    pub uncertainty: Option<String>,
    pub verdict: VerdictWord,
    pub gauge: Option<Gauge>,
    pub by: String,
    pub at: String,
    /// For instance "load 28.4 A" or "second reading".
    pub remark: Option<String>,
}

/// Printed as shape, word and colour together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum VerdictWord {
    Pass,
    Fail,
    Inconclusive,
    /// Only on a record without certificate.
    Open,
}

#[derive(Clone, Debug, Serialize)]
pub struct InspectionLine {
    pub number: String,
    pub phase: String,
    pub title: String,
    pub outcome: InspectionOutcome,
    /// What was noted, or which photos belong to it.
    pub remark: Option<String>,
    pub by: String,
    pub at: String,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum InspectionOutcome {
    Done,
    Conceded,
    Open,
}

#[derive(Clone, Debug, Serialize)]
pub struct FindingLine {
    pub title: String,
    pub value: String,
    pub limit: String,
    pub outcome: FindingOutcome,
    /// How it was worked out, with this plan's numbers; empty where nothing was.
    pub formula: String,
    /// Rules and sources, each with how sure we are of it.
    pub source: String,
    /// For a caution: who accepted it, when and why.
    pub acknowledgement: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FindingOutcome {
    Ok,
    /// Told without a limit, so that nothing was judged.
    Figure,
    Caution,
}

#[derive(Clone, Debug, Serialize)]
pub struct ConcessionLine {
    /// Number of the step, or the id of the finding.
    pub about: String,
    pub what: String,
    pub reason: String,
    pub by: String,
    pub at: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct DefectLine {
    pub number: String,
    pub what: String,
    pub found: String,
    /// What was done about it.
    pub corrected: String,
    /// The passing re-test and when.
    pub closed: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct SupersededLine {
    pub number: String,
    pub title: String,
    /// Value with unit, or the word recorded.
    pub value: String,
    pub limit: String,
    pub verdict: VerdictWord,
    pub by: String,
    pub at: String,
    /// What took its place, for instance "0.31 V at 11:37".
    pub replaced_by: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct InstrumentLine {
    /// Short name used in the measurement table.
    pub name: String,
    /// Kind, maker's type, accuracy class in words.
    pub kind: String,
    pub serial: String,
    pub calibrated: String,
    pub due: String,
    /// Calibration certificate and who issued it.
    pub certificate: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct NextInspection {
    pub date: String,
    /// Why then, what to look at.
    pub advice: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct SignatureLine {
    /// For instance "Work done and recorded by".
    pub role: String,
    /// Typed name; the signature itself where none was drawn.
    pub name: String,
    /// For instance "Vehicle electrical fitter".
    pub capacity: String,
    pub at: String,
    pub drawn: Option<DrawnSignature>,
}

/// A signature drawn on the device, as strokes in a box with its origin at the top left.
#[derive(Clone, Debug, Serialize)]
pub struct DrawnSignature {
    pub width: f32,
    pub height: f32,
    /// Each stroke a run of points (x, y) in the units of width and height.
    pub strokes: Vec<Vec<[f32; 2]>>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Proof {
    pub entry_count: String,
    /// Head of the job's chain; hashes are handed in through [`grouped_hex`].
    pub head: String,
    pub sheet_edition: String,
    pub plan: String,
    pub plan_hash: String,
    pub kit: String,
    pub kit_hash: String,
    pub previous_register_head: String,
    pub seal_fingerprint: String,
    pub software_version: String,
    /// Editions of the tables that were calculated with.
    pub tables: Vec<String>,
    /// Public page of this certificate, `https://…` or `http://…`; printed and in the QR code.
    pub address: String,
}

/// Lower-case hexadecimal in groups of eight, for reading aloud and comparing.
pub fn grouped_hex(bytes: &[u8]) -> String {
    bytes.chunks(4).map(lower_hex).collect::<Vec<_>>().join(" ")
}
