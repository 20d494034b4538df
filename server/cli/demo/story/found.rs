//! What the laboratory found: a wrench read wrongly, and a meter came back with its paper.

use std::fmt::Write as _;

use super::Stage;
use crate::acts::{ActError, By, recall};
use crate::cli::demo::cast::{DROPPED_WRENCH, Hand};
use crate::domain::calibration_paper::Paper;
use crate::domain::ids::{Moment, RecallId};
use crate::domain::instrument::as_found::FoundOff;
use crate::domain::instrument::{Instrument, Recall};
use crate::domain::number::Decimal;
use crate::storage::{calibration_files, instruments};
use crate::world::new_id;

/// So many days ago it was found; since so many days before that nobody knows.
const FOUND_DAYS: i64 = 2;
const DOUBT_DAYS: i64 = 9;

async fn labelled(stage: &Stage<'_>, label: &str) -> Result<Instrument, ActError> {
    let all = instruments::list(stage.store, stage.cast.workshop).await?;
    let found = all.into_iter().find(|instrument| instrument.label == label);
    found.ok_or_else(|| ActError::Ours(format!("the demo has no {label}")))
}

fn by(hand: &Hand, now: Moment) -> By {
    By { person: hand.person.clone(), device: hand.device, now }
}

pub(super) async fn all(stage: &Stage<'_>) -> Result<(), ActError> {
    wrench_out_of_tolerance(stage).await?;
    meter_with_its_paper(stage).await
}

/// A wrench fell; two jobs hold a reading of it, one of them released.
async fn wrench_out_of_tolerance(stage: &Stage<'_>) -> Result<(), ActError> {
    let wrench = labelled(stage, DROPPED_WRENCH).await?;
    let noted = stage.now.plus_days(-FOUND_DAYS);
    let found = Recall {
        id: RecallId(new_id(noted)?),
        from: noted.plus_days(-DOUBT_DAYS).date(),
        found_on: noted.date(),
        doubted: Vec::new(),
        reason: "Fell on the ramp. The laboratory found it 6 % high at 9 N·m.".to_owned(),
        found_off: Some(FoundOff { percent: Decimal::from(6), digits: 0 }),
        noted,
    };
    recall::note(stage.store, &by(&stage.dmitri, noted), wrench.id, found).await
}

/// The paper of a meter's calibration lies with it.
async fn meter_with_its_paper(stage: &Stage<'_>) -> Result<(), ActError> {
    let meter = labelled(stage, "Meter 03").await?;
    let Some(newest) = meter.newest_calibration(stage.now) else { return Ok(()) };
    let lines = [
        "Calibration of a digital multimeter".to_owned(),
        format!("Serial number {}, paper {}", meter.serial, newest.certificate),
        format!("Calibrated on {}, next due {}", newest.done_on, newest.due_on),
        "Invented for the demo. It proves nothing.".to_owned(),
    ];
    let paper = Paper::read(one_page(&lines)).map_err(|why| ActError::Ours(why.to_string()))?;
    let at = stage.now.plus_days(-20);
    let (of, new) = ((meter.id, newest.id), (paper, stage.dmitri.person.id, at));
    calibration_files::append(stage.store, stage.cast.workshop, of, new).await?;
    Ok(())
}

/// A page of text as PDF (ISO 32000-1, 7.5): objects, where each begins, and the trailer.
fn one_page(lines: &[String]) -> Vec<u8> {
    let shown: Vec<String> = lines.iter().map(|line| format!("({line}) Tj T*")).collect();
    let text = format!("BT /F1 14 Tf 22 TL 60 760 Td {} ET", shown.join(" "));
    let objects = [
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".to_owned(),
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R \
         /Resources << /Font << /F1 5 0 R >> >> >>"
            .to_owned(),
        format!("<< /Length {} >>\nstream\n{text}\nendstream", text.len()),
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>".to_owned(),
    ];
    let mut pdf = "%PDF-1.4\n".to_owned();
    let mut places = String::new();
    for (number, object) in (1..).zip(&objects) {
        // Writing to a String cannot fail.
        let _ = writeln!(places, "{:010} 00000 n ", pdf.len());
        let _ = write!(pdf, "{number} 0 obj\n{object}\nendobj\n");
    }
    let (count, start) = (objects.len() + 1, pdf.len());
    let _ = write!(
        pdf,
        "xref\n0 {count}\n0000000000 65535 f \n{places}trailer\n<< /Size {count} /Root 1 0 R >>\n\
         startxref\n{start}\n%%EOF\n"
    );
    pdf.into_bytes()
}
