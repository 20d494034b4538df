//! From the record of a job to the text on its certificate.

pub(super) mod again;
pub(super) mod parts;
pub(super) mod results;

pub(super) use parts::circuits;

use time::Date;

use super::ActError;
use super::job::{JobFile, SavedPlan};
use crate::documents::certificate::PHOTOS_MAX;
use crate::documents::paper::{
    CertificatePaper, Dates, DrawnSignature, Fitted, Logo, NextInspection, PaperKind, PaperPhoto,
    Party, Proof, SignatureLine, TapeGroup, TapeMark, VehiclePaper, grouped_hex,
};
use crate::documents::voice::Voice;
use crate::domain::certificate::{Record, WorkLine};
use crate::domain::entry::{Digest, Payload};
use crate::domain::ids::{Moment, WorkshopId};
use crate::domain::limits::REINSPECTION_MONTHS;
use crate::domain::plan::Plan;
use crate::domain::sheet::again::odometer_read;
use crate::domain::step::Phase;
use crate::domain::wiring::{Wiring, wiring};
use crate::storage::Store;
use crate::storage::customers::Customer;
use crate::storage::photos::jpeg;
use crate::storage::workshops;

/// Box that signatures are drawn in, as `Signature::strokes` says.
const SIGNATURE_BOX: (f32, f32) = (600.0, 200.0);

/// A released job with the number its paper gets.
pub(super) struct Numbered<'a> {
    pub(super) file: &'a JobFile,
    pub(super) record: &'a Record,
    pub(super) customer: Customer,
    pub(super) logo: Option<Logo>,
    pub(super) address: String,
    pub(super) issued: Moment,
    pub(super) replaces: Option<String>,
}

/// What the work did not cover.
const LIMITATIONS: [&str; 2] = ["limitation-wiring", "limitation-crash"];

pub(super) fn customer(customer: &Customer) -> Party {
    Party { name: customer.name.clone(), lines: lines(&[&customer.address, &customer.contact]) }
}

/// Everything the certificate prints.
pub(super) fn of(numbered: &Numbered<'_>) -> Result<CertificatePaper, ActError> {
    let file = numbered.file;
    let planned = planned(file)?;
    let wiring = wiring(&file.kit, planned.1, &file.state);
    Ok(filled(numbered, planned, &wiring, &file.voice()))
}

fn filled(
    numbered: &Numbered<'_>,
    (saved, plan): (&SavedPlan, &Plan),
    wiring: &Wiring<'_>,
    voice: &Voice,
) -> CertificatePaper {
    let file = numbered.file;
    CertificatePaper {
        kind: PaperKind::Certificate,
        size: file.workshop.paper,
        told: voice.told(),
        title: voice.say(again::title(file)),
        number: numbered.record.number.clone(),
        job: file.row.number.to_string(),
        replaces: numbered.replaces.clone(),
        again: again::paper(file),
        issued_at: numbered.issued.utc(),
        workshop: workshop(file),
        logo: numbered.logo.clone(),
        customer: customer(&numbered.customer),
        vehicle: vehicle(file, plan),
        place_of_work: or_dash(&file.workshop.place),
        dates: dates(numbered),
        fitted: vec![fitted(file)],
        supply: parts::supply(file, plan),
        extent: voice.with(again::extent(file), &[("kit", &file.kit.title)]),
        limitations: LIMITATIONS.map(|id| voice.say(id)).into(),
        tape: tape(file),
        circuits: parts::circuits(wiring, voice),
        fasteners: parts::fasteners(file),
        terminals: parts::terminals(file, wiring),
        measurements: results::measurements(file),
        inspections: results::inspections(file),
        findings: parts::findings(file, saved),
        drawings: parts::drawings(file, plan),
        concessions: results::concessions(file),
        deviations: results::loaded(numbered.record, voice),
        defects: results::defects(file),
        superseded: results::superseded(file),
        instruments: parts::instruments(numbered.record, voice),
        open_points: Vec::new(),
        next_inspection: next_inspection(numbered.issued, voice),
        signatures: signatures(numbered.record, voice),
        same_person: numbered.record.same_person.then(|| voice.say("same-person")),
        proof: proof(numbered),
    }
}

fn planned(file: &JobFile) -> Result<(&SavedPlan, &Plan), ActError> {
    let saved = file.plan.as_ref().ok_or_else(|| ActError::ours("a release without a plan"))?;
    Ok((saved, &saved.plan))
}

/// The photos of all steps with their captions, each once.
pub(super) fn photos(file: &JobFile) -> Vec<(String, Digest)> {
    let (voice, mut photos) = (file.voice(), Vec::<(String, Digest)>::new());
    for state in &file.state.steps {
        for digest in state.photos() {
            if !photos.iter().any(|(_, known)| known == digest) {
                let number = state.number.to_string();
                let args = [("number", &*number), ("title", &state.step.title)];
                photos.push((voice.with("photo-of-step", &args), digest.clone()));
            }
        }
    }
    photos
}

/// The workshop's mark, for those papers that have room for it.
pub(super) async fn logo(store: &Store, workshop: WorkshopId) -> Result<Option<Logo>, ActError> {
    Ok(workshops::logo(store, workshop).await?.map(Logo))
}

/// Those of the photos that are here, as many as a paper shows.
pub(super) async fn read_photos(
    store: &Store,
    workshop: WorkshopId,
    named: Vec<(String, Digest)>,
) -> Result<Vec<PaperPhoto>, ActError> {
    let mut ready = Vec::new();
    for (caption, digest) in named.into_iter().take(PHOTOS_MAX) {
        if let Some(bytes) = jpeg(store, workshop, &digest).await? {
            ready.push(PaperPhoto { caption, jpeg: bytes });
        }
    }
    Ok(ready)
}

fn lines(texts: &[&str]) -> Vec<String> {
    texts
        .iter()
        .flat_map(|text| text.lines())
        .filter(|l| !l.trim().is_empty())
        .map(str::to_owned)
        .collect()
}

fn or_dash(text: &str) -> String {
    if text.trim().is_empty() { "–".to_owned() } else { text.to_owned() }
}

pub(super) fn workshop(file: &JobFile) -> Party {
    let w = &file.workshop;
    let texts = [&*w.address, &w.phone, &w.email, &w.papers.registration];
    Party { name: w.name.clone(), lines: lines(&texts) }
}

pub(super) fn vehicle(file: &JobFile, plan: &Plan) -> VehiclePaper {
    let vehicle = &plan.vehicle;
    VehiclePaper {
        description: vehicle.description.clone(),
        registration: vehicle.registration.clone(),
        vin_tail: vehicle.vin_tail.clone(),
        odometer: odometer_read(&file.state)
            .or_else(|| vehicle.odometer_km.map(|km| format!("{km} km")))
            .unwrap_or_else(|| "–".to_owned()),
    }
}

fn dates(numbered: &Numbered<'_>) -> Dates {
    let file = numbered.file;
    let results = || file.state.steps.iter().flat_map(|step| &step.history);
    let begun = results().map(|result| result.act.recorded).min().unwrap_or(file.row.opened);
    let finished = results().map(|result| result.act.recorded).max().unwrap_or(begun);
    let voice = file.voice();
    let at = |moment| voice.at(moment);
    Dates { begun: at(begun), finished: at(finished), issued: at(numbered.issued) }
}

pub(super) fn fitted(file: &JobFile) -> Fitted {
    let serial = file.state.step("before.serial").and_then(|state| state.result());
    let serial = serial.map(|result| match &result.body.payload {
        Payload::Note { text } => text.clone(),
        other => other.value_words(),
    });
    Fitted {
        title: file.kit.title.clone(),
        maker: format!("{} ({})", file.kit.maker, file.kit.manual),
        serial: or_dash(&serial.unwrap_or_default()),
        kit_code: file.kit.code.clone(),
        kit_edition: file.kit.edition.to_string(),
        nature: file.voice().say(again::nature(file)),
    }
}

pub(super) fn phase_title(phase: Phase, voice: &Voice) -> String {
    voice.say(&format!("phase-{}", phase.word().replace('_', "-")))
}

fn tape(file: &JobFile) -> Vec<TapeGroup> {
    let voice = file.voice();
    Phase::ALL
        .into_iter()
        .map(|phase| TapeGroup {
            phase: phase_title(phase, &voice),
            steps: file
                .state
                .phase(phase)
                .map(|step| match step.concession {
                    Some(_) => TapeMark::Conceded,
                    None => TapeMark::Done,
                })
                .collect(),
        })
        .filter(|group| !group.steps.is_empty())
        .collect()
}

/// The same day next year; 29 February becomes 28.
pub(super) fn inspection_day(issued: Moment) -> Option<Date> {
    let day = issued.utc().date();
    let year = day.year() + REINSPECTION_MONTHS / 12;
    day.replace_year(year).or_else(|_| day.replace_day(28).and_then(|d| d.replace_year(year))).ok()
}

pub(super) fn next_inspection(issued: Moment, voice: &Voice) -> NextInspection {
    let day = inspection_day(issued);
    NextInspection {
        date: day.map_or_else(|| "–".to_owned(), |day| voice.day(&day.to_string())),
        advice: voice.say("inspection-advice"),
    }
}

fn signatures(record: &Record, voice: &Voice) -> Vec<SignatureLine> {
    vec![
        signature("signed-work", &record.submitted, voice),
        signature("signed-release", &record.released, voice),
    ]
}

fn signature(role: &str, line: &WorkLine, voice: &Voice) -> SignatureLine {
    SignatureLine {
        role: voice.say(role),
        name: line.signed_as.clone(),
        // The account's name, where somebody signed with another one.
        capacity: if line.person == line.signed_as { String::new() } else { line.person.clone() },
        at: Moment::parse(&line.at).map_or_else(|| line.at.clone(), |at| voice.at(at)),
        drawn: drawn(&line.strokes),
    }
}

/// The strokes of `M x y L x y …` as runs of points.
fn drawn(path: &str) -> Option<DrawnSignature> {
    let mut strokes: Vec<Vec<[f32; 2]>> = Vec::new();
    let spaced = path.replace('M', " M ").replace('L', " L ");
    let mut words = spaced.split_whitespace();
    while let Some(word) = words.next() {
        let x = match word {
            "M" => {
                strokes.push(Vec::new());
                words.next()?.parse().ok()?
            }
            "L" => words.next()?.parse().ok()?,
            number => number.parse().ok()?,
        };
        let y = words.next()?.parse().ok()?;
        strokes.last_mut()?.push([x, y]);
    }
    let (width, height) = SIGNATURE_BOX;
    (!strokes.is_empty()).then_some(DrawnSignature { width, height, strokes })
}

fn proof(numbered: &Numbered<'_>) -> Proof {
    let (record, voice) = (numbered.record, numbered.file.voice());
    let grouped = |hex: &str| {
        let bytes = hex.as_bytes().chunks(8).map(String::from_utf8_lossy);
        bytes.map(std::borrow::Cow::into_owned).collect::<Vec<_>>().join(" ")
    };
    Proof {
        entry_count: record.entry_count.to_string(),
        head: numbered.file.state.head.map(|head| grouped_hex(&head)).unwrap_or_default(),
        sheet_edition: record.sheet_edition.to_string(),
        plan: voice.with("edition", &[("edition", &record.plan_edition.to_string())]),
        plan_hash: grouped(&record.plan_sha256),
        kit: voice.with(
            "edition-of",
            &[("code", &record.kit.code), ("edition", &record.kit.edition.to_string())],
        ),
        kit_hash: grouped(&record.kit.sha256),
        previous_register_head: grouped(&record.register_prev),
        seal_fingerprint: grouped(&record.seal_fingerprint),
        software_version: record.program.clone(),
        tables: TABLES.iter().map(|table| (*table).to_owned()).collect(),
        address: numbered.address.clone(),
    }
}

/// Editions of the tables that plans are worked out with.
const TABLES: [&str; 7] = [
    "IEC 60228:2004, table 3",
    "33 CFR 183.425, table 5",
    "ISO 13297 (from memory)",
    "IEC 60364-5-52, B.52.14 and B.52.17 (from memory)",
    "ISO 8820 parts 3, 5, 6",
    "ISO 898-1:2013, EN 1993-1-3, EN 1993-1-8",
    "ILAC-G8:09/2019, JCGM 100:2008",
];
