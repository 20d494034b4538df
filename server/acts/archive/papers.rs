//! The certificates of an archive: each by the strict rule, each with its line in the register, and the
//! withdrawals with theirs.

use std::collections::{BTreeMap, BTreeSet};

use super::check::{counted, of_bytes};
use super::{Contents, Report};
use crate::documents::archive_file::seal_pem;
use crate::documents::verify::{Carried, check_certificate};
use crate::domain::archive::{CertificateAbout, Member, RegisterText, WithdrawalAbout};
use crate::domain::certificate::{check_code, on_paper};
use crate::domain::entry::Digest;

/// Lines of the register that issue a certificate.
const ISSUES: [&str; 2] = ["issue", "replace"];
const WITHDRAWS: &str = "withdraw";
const AFTERWARDS: &str = "Whether a certificate was withdrawn or replaced after that line stands on the \
    workshop's page, not in the archive.";

/// Checks all of them. What comes back are those that hold, in the order of their versions.
pub(super) fn certificates(
    contents: &Contents,
    is_whole: bool,
    report: &mut Report,
) -> Vec<Carried> {
    let mut sound = Vec::new();
    let mut seals = BTreeMap::new();
    for (version, noted) in (1..).zip(&contents.about.certificates) {
        match certificate(contents, noted, version) {
            Ok(carried) => {
                let fingerprint = Digest::from_bytes(&carried.seal.fingerprint);
                seals.insert(fingerprint, seal_pem(&carried.seal.certificate_der));
                sound.push(carried);
            }
            Err(why) => report.faults.push(format!("Certificate {}: {why}", noted.number)),
        }
    }
    let all_hold = sound.len() == contents.about.certificates.len();
    if all_hold && !sound.is_empty() {
        let papers = counted(sound.len(), "certificate is", "certificates are");
        report
            .holds
            .push(format!("{papers} unchanged since sealed, with its line in the register."));
        report.remarks.push(AFTERWARDS.to_owned());
    }
    if all_hold {
        check_seals(contents, &seals, report);
    }
    if is_whole {
        missing_certificates(contents, report);
        withdrawals(contents, report);
    }
    report.seals = seals.into_keys().collect();
    sound
}

fn certificate(
    contents: &Contents,
    noted: &CertificateAbout,
    version: u32,
) -> Result<Carried, String> {
    let pdf = contents.file(&Member::Paper(noted.number.clone()));
    let carried = check_certificate(pdf).map_err(|why| why.to_string())?;
    let beside = contents.file(&Member::Record(noted.number.clone()));
    let said = &carried.said;
    let line = line_of(contents, noted).ok_or("It has no line in the register.")?;
    let before = |index: u64| index == said.register_index && line.index == index;
    let rules = [
        (carried.record == beside, "The record beside it is not the one inside it."),
        (said.number == on_paper(&noted.number), "It bears another number."),
        (noted.version == version, "job.json gives it another version."),
        (check_code(&carried.record) == noted.code, "job.json gives it another check code."),
        (line.record_sha256 == of_bytes(&carried.record), OTHER_LINE),
        (line.pdf_sha256 == of_bytes(pdf), OTHER_LINE),
        (before(noted.register_index), "It names another place in the register."),
        (
            line.prev.to_string() == said.register_prev,
            "It follows on another line of the register.",
        ),
        ((line.kind == "replace") == (version > 1), "Its line is of the wrong kind."),
    ];
    match rules.into_iter().find(|(holds, _)| !holds) {
        Some((_, why)) => Err(why.to_owned()),
        None => Ok(carried),
    }
}

const OTHER_LINE: &str = "Its line in the register says something else.";

fn line_of<'a>(contents: &'a Contents, noted: &CertificateAbout) -> Option<&'a RegisterText> {
    let at = usize::try_from(noted.register_index).ok()?;
    let line = contents.register.get(at)?;
    let fits = line.number == noted.number && ISSUES.contains(&line.kind.as_str());
    fits.then_some(line)
}

/// Each seal has its certificate, exactly as the papers carry it.
fn check_seals(contents: &Contents, seals: &BTreeMap<Digest, Option<String>>, report: &mut Report) {
    for (fingerprint, pem) in seals {
        let beside = contents.file(&Member::Seal(fingerprint.clone()));
        if pem.as_ref().is_none_or(|pem| pem.as_bytes() != beside) {
            let member = Member::Seal(fingerprint.clone());
            report.faults.push(format!("{member} is not the seal's certificate in the papers."));
        }
    }
    for member in contents.files.keys() {
        if let Member::Seal(fingerprint) = member
            && !seals.contains_key(fingerprint)
        {
            report.faults.push(format!("No certificate is sealed with {member}."));
        }
    }
}

/// A version that was taken out leaves its place: the ones after it would not begin with 1, and the register
/// ends with the last line that concerns this job.
fn missing_certificates(contents: &Contents, report: &mut Report) {
    let Some(last) = contents.register.last() else { return };
    let about = &contents.about;
    if !about.certificates.iter().any(|certificate| certificate.number == last.number) {
        report.faults.push(format!(
            "The register ends with certificate {}, which is not in the archive.",
            last.number
        ));
    }
}

/// Each withdrawal has its line, and each such line about this job its withdrawal.
fn withdrawals(contents: &Contents, report: &mut Report) {
    let about = &contents.about;
    let mut told = BTreeSet::new();
    for withdrawal in &about.withdrawals {
        if has_line(contents, withdrawal) {
            told.insert(withdrawal.register_index);
        } else {
            let number = &withdrawal.number;
            report
                .faults
                .push(format!("Certificate {number}: its withdrawal has no line in the register."));
        }
    }
    let ours = |line: &&RegisterText| {
        line.kind == WITHDRAWS && about.certificates.iter().any(|c| c.number == line.number)
    };
    for line in contents.register.iter().filter(ours) {
        if !told.contains(&line.index) {
            report.faults.push(format!(
                "Certificate {}: it was withdrawn, and job.json does not say so.",
                line.number
            ));
        }
    }
    for number in about.withdrawals.iter().map(|withdrawal| &withdrawal.number) {
        report.remarks.push(format!("Certificate {} is withdrawn.", on_paper(number)));
    }
}

fn has_line(contents: &Contents, withdrawal: &WithdrawalAbout) -> bool {
    let at = usize::try_from(withdrawal.register_index).ok();
    let line = at.and_then(|at| contents.register.get(at));
    line.is_some_and(|line| line.kind == WITHDRAWS && line.number == withdrawal.number)
}
