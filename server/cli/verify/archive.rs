//! An exported job, checked with nothing but its archive.

use std::fs::File;
use std::io::{BufReader, Read as _};
use std::path::Path;

use super::super::{Failure, Outcome, complain, harmless, say};
use crate::acts::archive::{Contents, Report, check};
use crate::domain::certificate::on_paper;

/// What a ZIP begins with.
const MARK: &[u8; 4] = b"PK\x03\x04";

/// Whether a file looks like an archive; one that cannot be read is left to whoever reads it next.
pub(super) fn is_archive(file: &Path) -> bool {
    let mut head = [0; 4];
    File::open(file).and_then(|mut open| open.read_exact(&mut head)).is_ok() && head == *MARK
}

/// 0 if all of it holds, and under the seal that was named.
pub(super) fn verify(file: &Path, seal: Option<&str>) -> Outcome {
    let name = file.display();
    let open = File::open(file);
    let open = open.map_err(|why| Failure::new(format!("{name} cannot be read ({why}).")))?;
    let (contents, mut report) = match check(BufReader::new(open)) {
        Ok(found) => found,
        Err(why) => {
            complain(&harmless(&format!("{name} is not valid. {why}")));
            return Ok(1);
        }
    };
    if let Some(seal) = seal {
        report.faults.extend(other_seals(&contents, &report, seal));
    }
    for fault in &report.faults {
        complain(&harmless(fault));
    }
    if report.faults.is_empty() {
        say(harmless(&told(&contents, &report, seal.is_some())));
        return Ok(0);
    }
    let count = match report.faults.len() {
        1 => "One fault was found".to_owned(),
        many => format!("{many} faults were found"),
    };
    complain(&format!("{name} is not valid. {count}."));
    Ok(1)
}

/// What does not come from the workshop whose seal was named.
fn other_seals(contents: &Contents, report: &Report, seal: &str) -> Vec<String> {
    if contents.about.certificates.is_empty() {
        return vec!["The archive holds no certificate, so nothing in it is sealed.".to_owned()];
    }
    let others = report.seals.iter().filter(|found| found.as_str() != seal);
    others.map(|found| format!("It holds a certificate under another seal, {found}.")).collect()
}

fn told(contents: &Contents, report: &Report, is_named: bool) -> String {
    let about = &contents.about;
    let mut lines = vec![format!(
        "Everything in the archive holds together.\nJob           {} of {}",
        about.job.number, about.workshop.name
    )];
    for certificate in &about.certificates {
        lines.push(format!("Certificate   {}", on_paper(&certificate.number)));
    }
    for seal in &report.seals {
        lines.push(format!("Seal          {seal}"));
    }
    lines.extend(report.holds.iter().map(|sentence| format!("Holds         {sentence}")));
    lines.extend(report.remarks.iter().map(|sentence| format!("Note          {sentence}")));
    lines.push(whose(about.certificates.is_empty(), is_named).to_owned());
    lines.join("\n")
}

/// What the archive cannot say of itself.
fn whose(is_unsealed: bool, is_named: bool) -> &'static str {
    match (is_unsealed, is_named) {
        (true, _) => {
            "No certificate is in it, so no seal vouches for it: whoever made the archive could have \
             made up all of it."
        }
        (false, true) => {
            "It is the seal that you named. Names of people, the customer and what job.json says beyond the \
             certificates are vouched for by nothing but SHA256SUMS."
        }
        (false, false) => {
            "Compare the seal with the one that the workshop publishes: anybody can make a seal."
        }
    }
}
