//! What the entries come to, judged anew, beside what each certificate says. Nothing of the certificate goes
//! into the judging but its number and places, which the register vouches for.

use serde_json::Value;

use super::check::counted;
use super::{Contents, Report};
use crate::documents::certificate::PHOTOS_MAX;
use crate::documents::pdf_photos::photos_in;
use crate::documents::verify::Carried;
use crate::domain::archive::{Member, differences};
use crate::domain::certificate::{Facts, KitLine, Record, VehicleLine, on_paper};
use crate::domain::entry::{Digest, Entry};
use crate::domain::ids::{Moment, PersonId};
use crate::domain::job::{Known, fold};
use crate::domain::kit::Kit;
use crate::domain::kit_check::read_kit;
use crate::domain::plan::Plan;
use crate::domain::plan_file::read_plan;
use crate::domain::seal::hex;
use crate::domain::sheet::Sheet;

/// Sentences about one certificate that are told; the rest says the same.
const DIFFERENCES_TOLD_MAX: usize = 8;

pub(super) fn certificates_by_the_entries(
    contents: &Contents,
    entries: &[Entry],
    certificates: &[Carried],
    report: &mut Report,
) {
    let mut measured = 0;
    let mut all_agree = true;
    for carried in certificates {
        match compared(contents, entries, carried) {
            Ok(count) => measured += count,
            Err(sentences) => {
                all_agree = false;
                let number = &carried.said.number;
                report.faults.extend(
                    sentences.into_iter().map(|why| format!("Certificate {number}: {why}")),
                );
            }
        }
    }
    if all_agree && !certificates.is_empty() {
        report.holds.push(format!(
            "Judged anew, the entries come to what is certified: {measured} results with value, limit, \
             verdict, instrument and person."
        ));
    }
    let last = certificates.last().map(|carried| carried.said.entry_count);
    let after = (entries.len() as u64).saturating_sub(last.unwrap_or(0));
    if after > 0 {
        report.remarks.push(format!(
            "{} fixed by no certificate: nothing in the archive says whether more came.",
            counted(usize::try_from(after).unwrap_or(usize::MAX), "entry is", "entries are")
        ));
    }
}

/// How many results agree, or what does not.
fn compared(
    contents: &Contents,
    entries: &[Entry],
    carried: &Carried,
) -> Result<usize, Vec<String>> {
    let one = |sentence: &str| vec![sentence.to_owned()];
    let said = &carried.said;
    let count = usize::try_from(said.entry_count).unwrap_or(usize::MAX);
    let Some(until) = entries.get(..count) else {
        return Err(vec![format!(
            "it was made from {count} entries, and {} are in the archive.",
            entries.len()
        )]);
    };
    if until.last().map(|entry| hex(&entry.hash)).as_ref() != Some(&said.head) {
        return Err(one("the entries lead to another head than the one it names."));
    }
    let certified: Value =
        serde_json::from_slice(&carried.record).map_err(|_| one("its record cannot be read."))?;
    let anew = recomputed(contents, until, &certified).map_err(|why| vec![why])?;
    let anew: Value =
        serde_json::from_slice(&anew.text()).map_err(|_| one("its record cannot be made anew."))?;
    let mut found = differences(&without_instruments(&certified), &without_instruments(&anew));
    found.extend(other_instruments(contents, &certified));
    found.extend(other_photos(contents, carried, &certified));
    found.truncate(DIFFERENCES_TOLD_MAX);
    if found.is_empty() { Ok(said.steps.len()) } else { Err(found) }
}

/// The record as the entries give it.
fn recomputed(contents: &Contents, entries: &[Entry], certified: &Value) -> Result<Record, String> {
    let text = |key: &str| certified.get(key).and_then(Value::as_str).unwrap_or_default();
    let plan_sha256 = text("plan_sha256");
    let (kit, plan) = kit_and_plan(contents, plan_sha256)?;
    let sheets = sheets(contents)?;
    let instruments = &contents.about.instruments;
    let known = Known { sheets: &sheets, instruments, early_photos: &[] };
    let state = fold(entries, known);
    let name_of = |id: PersonId| {
        let person = contents.about.person(id);
        person.map_or_else(|| "somebody who left".to_owned(), |person| person.name.clone())
    };
    let bytes = |key: &str| hex_32(text(key)).ok_or_else(|| format!("its {key} cannot be read."));
    let index = certified.get("register_index").and_then(Value::as_u64).unwrap_or(0);
    // The chain commits to the sheet, so it says what is measured again, and not the certificate itself.
    let again = sheets.last().and_then(|sheet| sheet.again.as_ref());
    let reinspection_of = again.map(|again| on_paper(&again.certificate));
    let facts = Facts {
        reinspection_of: reinspection_of.as_deref(),
        number: text("number"),
        replaces: certified.get("replaces").and_then(Value::as_str),
        job: contents.about.job.id,
        job_number: contents.about.job.number,
        // As it was called then; the register and the seal vouch for it.
        workshop: text("workshop"),
        kit: &KitLine::of(&kit, Digest::of(contents.file(&Member::Kit)).to_string()),
        vehicle: &VehicleLine::of(&plan, &state),
        plan_sha256,
        instruments: &contents.about.instruments,
        name_of: &name_of,
        issued: Moment::parse(text("issued")).unwrap_or(Moment(0)),
        register_index: index,
        register_prev: &bytes("register_prev")?,
        seal_fingerprint: &bytes("seal_fingerprint")?,
        program: text("program"),
    };
    Record::of(&state, facts)
        .ok_or_else(|| "by its entries the job is not released, or something is open.".to_owned())
}

fn hex_32(text: &str) -> Option<[u8; 32]> {
    crate::domain::archive::Hex::try_from(text.to_owned()).ok().map(|bytes| bytes.0)
}

fn kit_and_plan(contents: &Contents, plan_sha256: &str) -> Result<(Kit, Plan), String> {
    let kit = utf8(contents, &Member::Kit)?;
    let kit = read_kit(kit).map_err(|_| "the kit cannot be read.".to_owned())?;
    let edition = contents.about.plans.iter().find(|plan| plan.sha256.as_str() == plan_sha256);
    let edition = edition.ok_or("its plan is not in the archive.")?.edition;
    let plan = utf8(contents, &Member::Plan(edition))?;
    let plan = read_plan(plan, &kit).map_err(|_| "its plan cannot be read.".to_owned())?;
    Ok((kit, plan))
}

fn utf8<'a>(contents: &'a Contents, member: &Member) -> Result<&'a str, String> {
    std::str::from_utf8(contents.file(member)).map_err(|_| format!("{member} is no text."))
}

fn sheets(contents: &Contents) -> Result<Vec<Sheet>, String> {
    let editions = contents.about.sheets.iter().map(|sheet| Member::Sheet(sheet.edition));
    editions
        .map(|member| {
            serde_json::from_slice(contents.file(&member))
                .map_err(|_| format!("{member} cannot be read."))
        })
        .collect()
}

fn without_instruments(record: &Value) -> Value {
    let mut record = record.clone();
    if let Some(keys) = record.as_object_mut() {
        keys.remove("instruments");
    }
    record
}

/// An instrument of the certificate is there with the calibration it names. Another one that was entered since
/// may cover the day too, and changes nothing.
fn other_instruments(contents: &Contents, certified: &Value) -> Vec<String> {
    let lines = certified.get("instruments").and_then(Value::as_array).into_iter().flatten();
    let told = |line: &Value| {
        let label = line.get("label").and_then(Value::as_str).unwrap_or_default();
        format!("its instrument {label:?} is not in job.json as it is certified.")
    };
    lines.filter(|line| !is_there(contents, line)).map(told).collect()
}

fn is_there(contents: &Contents, line: &Value) -> bool {
    let said = |key: &str| line.get(key).and_then(Value::as_str).unwrap_or_default();
    contents.about.instruments.iter().any(|instrument| {
        let is_it = instrument.id.to_string() == said("id")
            && instrument.label == said("label")
            && instrument.kind == said("kind")
            && instrument.serial == said("serial");
        is_it
            && instrument.calibrations.iter().any(|calibration| {
                calibration.done_on == said("calibrated")
                    && calibration.due_on == said("due")
                    && calibration.certificate == said("calibration")
            })
    })
}

/// A photo that the certificate names is there; one that no entry fixes is the one on the paper.
fn other_photos(contents: &Contents, carried: &Carried, certified: &Value) -> Vec<String> {
    let steps = certified.get("steps").and_then(Value::as_array).into_iter().flatten();
    let named = steps.filter_map(|step| step.get("photos")?.as_array()).flatten();
    let mut seen: Vec<&str> = Vec::new();
    for digest in named.filter_map(Value::as_str) {
        if !seen.contains(&digest) {
            seen.push(digest);
        }
    }
    let number = carried.said.number.replace('-', "");
    let printed = photos_in(contents.file(&Member::Paper(number)));
    let wrong = |(at, named): (usize, &&str)| {
        let there = contents.about.photos.iter().find(|photo| photo.sha256.as_str() == *named);
        let Some(photo) = there else {
            return Some(format!("the photo {named} that it names is not in the archive."));
        };
        let is_fixed = photo.sha256 == photo.file || at >= PHOTOS_MAX;
        (!is_fixed && !printed.contains(&photo.file))
            .then(|| format!("photos/{}.jpg is not the photo on the paper.", photo.file))
    };
    seen.iter().enumerate().filter_map(wrong).collect()
}
