//! Whether an archive holds: the sums, the files, both chains, the photos, every certificate. Each thing
//! that does not is named; what rests on it is then not looked at.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{Read, Seek};

use super::record::certificates_by_the_entries;
use super::{Contents, Report, Unreadable, papers, read};
use crate::documents::archive_file::ArchiveFile;
use crate::documents::pdf_photos::photos_in;
use crate::domain::archive::{Hex, Member, README, entries, register};
use crate::domain::entry::{Digest, Entry, Payload};
use crate::domain::ids::PersonId;
use crate::domain::seal::hex;

/// Looks through a whole archive. The contents come with it, so that nothing is read twice.
pub fn check<R: Read + Seek>(reader: R) -> Result<(Contents, Report), Unreadable> {
    let mut file = ArchiveFile::open(reader)?;
    let (contents, digests) = read(&mut file)?;
    let mut check = Check { contents: &contents, digests: &digests, report: Report::default() };
    check.sums();
    check.files();
    check.readme();
    let entries = check.entries();
    let is_whole = check.register();
    if let Some(entries) = &entries {
        check.committed(entries);
        check.people(entries);
        check.photos(entries);
    }
    let said = papers::certificates(&contents, is_whole, &mut check.report);
    if let Some(entries) = &entries {
        certificates_by_the_entries(&contents, entries, &said, &mut check.report);
    }
    let report = check.report;
    Ok((contents, report))
}

struct Check<'a> {
    contents: &'a Contents,
    digests: &'a BTreeMap<Member, Digest>,
    report: Report,
}

impl Check<'_> {
    fn fault(&mut self, sentence: String) {
        self.report.faults.push(sentence);
    }

    /// `SHA256SUMS` names every other file and no more, each with its digest.
    fn sums(&mut self) {
        let others = || self.digests.iter().filter(|(member, _)| **member != Member::Sums);
        let expected: BTreeSet<String> =
            others().map(|(member, digest)| format!("{digest}  {member}")).collect();
        let text = String::from_utf8_lossy(self.contents.file(&Member::Sums)).into_owned();
        let said: BTreeSet<String> = text.lines().map(str::to_owned).collect();
        let names = |lines: Vec<&String>| -> Vec<String> {
            lines
                .iter()
                .map(|line| line.split("  ").last().unwrap_or_default().to_owned())
                .collect()
        };
        let wrong: BTreeSet<String> =
            names(said.symmetric_difference(&expected).collect()).into_iter().collect();
        for name in &wrong {
            self.fault(format!("{name} is not as SHA256SUMS says."));
        }
        if wrong.is_empty() {
            let files = counted(expected.len(), "file is", "files are");
            self.report.holds.push(format!("{files} as SHA256SUMS says."));
        }
    }

    /// The files that `job.json` speaks of are there, and no others.
    fn files(&mut self) {
        let there: BTreeSet<Member> = self.digests.keys().cloned().collect();
        let expected = self.contents.expected();
        for member in expected.difference(&there) {
            self.fault(format!("{member} is missing."));
        }
        for member in there.difference(&expected) {
            self.fault(format!("job.json does not speak of {member}."));
        }
    }

    /// It tells people what to type, so another one is not to be followed blindly.
    fn readme(&mut self) {
        if self.contents.file(&Member::Readme) != README.as_bytes() {
            let remark = "README.txt is not the text that this program writes: another version made it, or \
                          somebody else.";
            self.report.remarks.push(remark.to_owned());
        }
    }

    fn entries(&mut self) -> Option<Vec<Entry>> {
        let Contents { about, entries: lines, .. } = self.contents;
        match entries(about.workshop.id, about.job.id, lines) {
            Ok(entries) => {
                let head = entries.last().map(|entry| hex(&entry.hash)).unwrap_or_default();
                let count = counted(entries.len(), "entry", "entries");
                self.report.holds.push(format!("{count} in one unbroken chain, head {head}."));
                Some(entries)
            }
            Err(sentence) => {
                self.fault(sentence);
                None
            }
        }
    }

    fn register(&mut self) -> bool {
        let lines = &self.contents.register;
        if let Err(sentence) = register(lines) {
            self.fault(sentence);
            return false;
        }
        if !lines.is_empty() {
            let count = counted(lines.len(), "line", "lines");
            self.report
                .holds
                .push(format!("The register up to here, {count}, is one unbroken chain."));
        }
        true
    }

    /// Kit, plans and sheets are those that the entries commit to.
    fn committed(&mut self, entries: &[Entry]) {
        let about = &self.contents.about;
        let digest = |member: &Member| self.digests.get(member);
        let mut wrong = BTreeSet::new();
        let mut committed = BTreeSet::new();
        for payload in entries.iter().map(|entry| &entry.body.payload) {
            let pairs: Vec<(Member, &Digest)> = match payload {
                Payload::Plan { edition, sha256 } => vec![(Member::Plan(*edition), sha256)],
                Payload::Sheet { edition, plan, kit_sha256, plan_sha256, sheet_sha256 } => vec![
                    (Member::Kit, kit_sha256),
                    (Member::Plan(*plan), plan_sha256),
                    (Member::Sheet(*edition), sheet_sha256),
                ],
                _ => continue,
            };
            for (member, sha256) in pairs {
                if digest(&member) != Some(sha256) {
                    wrong.insert(member.clone());
                }
                committed.insert(member);
            }
        }
        let noted = std::iter::once((Member::Kit, &about.kit.sha256))
            .chain(about.plans.iter().map(|plan| (Member::Plan(plan.edition), &plan.sha256)))
            .chain(about.sheets.iter().map(|sheet| (Member::Sheet(sheet.edition), &sheet.sha256)));
        let mut loose = BTreeSet::new();
        for (member, sha256) in noted {
            if digest(&member) != Some(sha256) {
                wrong.insert(member.clone());
            }
            if !committed.contains(&member) {
                loose.insert(member);
            }
        }
        self.tell_committed(&wrong, &loose, committed.len());
    }

    fn tell_committed(&mut self, wrong: &BTreeSet<Member>, loose: &BTreeSet<Member>, count: usize) {
        for member in wrong {
            self.fault(format!("{member} is not the text that the entries commit to."));
        }
        for member in loose {
            self.report.remarks.push(format!("No entry commits to {member} yet."));
        }
        if wrong.is_empty() && count > 0 {
            let texts = counted(count, "text", "texts");
            self.report
                .holds
                .push(format!("Kit, plans and sheets, {texts}, are what the entries commit to."));
        }
    }

    /// Whoever acted has a name.
    fn people(&mut self, entries: &[Entry]) {
        let about = &self.contents.about;
        let acted: BTreeSet<PersonId> = entries.iter().map(|entry| entry.person).collect();
        let nameless: Vec<PersonId> =
            acted.into_iter().filter(|id| about.person(*id).is_none()).collect();
        for id in nameless {
            self.fault(format!("job.json does not name the person {id}, who made an entry."));
        }
        let devices: BTreeSet<_> = entries.iter().map(|entry| entry.device).collect();
        for id in devices {
            if !about.devices.iter().any(|device| device.id == id) {
                self.fault(format!("job.json does not name the device {id} of an entry."));
            }
        }
    }

    fn photos(&mut self, entries: &[Entry]) {
        let about = &self.contents.about;
        let named: BTreeSet<&Digest> =
            entries.iter().flat_map(|entry| entry.body.payload.photos()).collect();
        let mut faults = Vec::new();
        for photo in &about.photos {
            let member = Member::Photo(photo.file.clone());
            if self.digests.get(&member).is_some_and(|digest| *digest != photo.file) {
                faults.push(format!("{member} is not the photo that its name says."));
            }
            if !named.contains(&photo.sha256) {
                faults.push(format!("No entry names the photo {}.", photo.sha256));
            }
        }
        if faults.is_empty() && !about.photos.is_empty() {
            let photos = counted(about.photos.len(), "photo bears", "photos bear");
            self.report
                .holds
                .push(format!("{photos} the digest of its bytes, and an entry names each."));
        }
        self.report.faults.extend(faults);
        self.photos_not_fixed(&named);
    }

    /// Photos that no hash of the chain fixes, and those that never came.
    fn photos_not_fixed(&mut self, named: &BTreeSet<&Digest>) {
        let about = &self.contents.about;
        let there: BTreeSet<&Digest> = about.photos.iter().map(|photo| &photo.sha256).collect();
        let absent = named.difference(&there).count();
        if absent > 0 {
            let photos = counted(absent, "photo", "photos");
            self.report.remarks.push(format!(
                "{photos} that entries name had not arrived and cannot be looked at."
            ));
        }
        let anew: Vec<&Digest> = about
            .photos
            .iter()
            .filter(|photo| photo.sha256 != photo.file)
            .map(|photo| &photo.file)
            .collect();
        if anew.is_empty() {
            return;
        }
        let papers = about.certificates.iter().map(|c| Member::Paper(c.number.clone()));
        let sealed: BTreeSet<Digest> =
            papers.flat_map(|paper| photos_in(self.contents.file(&paper))).collect();
        let loose = anew.iter().filter(|photo| !sealed.contains(**photo)).count();
        let vouched = match loose {
            0 => "a sealed certificate holds each of them byte for byte".to_owned(),
            _ => format!("{loose} of these stand in no sealed certificate either"),
        };
        self.report.remarks.push(format!(
            "{} written anew by the server on arrival, so the entries do not fix their bytes; {vouched}.",
            counted(anew.len(), "photo was", "photos were")
        ));
    }
}

/// A number with its noun.
pub(super) fn counted(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// The digest in the form of the register's lines.
pub(super) fn of_bytes(bytes: &[u8]) -> Hex<32> {
    Hex(crate::domain::seal::sha256(bytes))
}
