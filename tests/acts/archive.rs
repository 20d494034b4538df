//! An exported job: it holds as it is, and whatever is changed in it is found, each thing for its own reason.

use fusewright::domain::archive::EntryLine;
use fusewright::domain::entry::Digest;

use super::packed::{Packed, archive_of, exported, looked_at};

/// Members that nothing but the sums vouches for.
const NOT_VOUCHED_FOR: [&str; 4] = ["README.txt", "customer.json", "job.json", "SHA256SUMS"];

#[test]
fn an_untouched_archive_holds_and_the_same_job_gives_the_same_bytes() {
    for job in [1, 2] {
        let report = looked_at(archive_of(job)).unwrap();
        assert_eq!(report.faults, [""; 0]);
        assert_eq!(report.seals.len(), 1);
        assert!(report.holds.iter().any(|line| line.starts_with("Judged anew")), "{report:?}");
        assert_eq!(exported(job, &[]), archive_of(job));
    }
    assert_eq!(
        Packed::of(1).pack().len(),
        archive_of(1).len(),
        "the tests pack as the program does"
    );
}

#[test]
fn the_customer_can_be_left_out_and_nothing_else_is() {
    let without = Packed::open(&exported(1, &["--without-customer"]));
    let mut names = Packed::of(1).names();
    names.retain(|name| name != "customer.json");
    assert_eq!(without.names(), names);
    assert_eq!(without.clone().faults(), "");
    for (name, bytes) in &without.files {
        let text = String::from_utf8_lossy(bytes);
        assert!(
            !text.contains("Bramble Row") || name.starts_with("certificates/"),
            "{name} names the customer"
        );
    }
}

#[test]
fn a_flipped_byte_in_any_file_is_found() {
    let whole = archive_of(1);
    for (name, bytes) in Packed::of(1).files {
        let from = whole.windows(bytes.len()).position(|part| part == bytes).unwrap();
        let mut changed = whole.to_vec();
        changed[from + bytes.len() / 2] ^= 1;
        let why = looked_at(&changed).unwrap_err().to_string();
        assert!(why.starts_with(&format!("{name} is damaged")), "{name}: {why}");
    }
}

/// The container's own checksum made right, `SHA256SUMS` left.
#[test]
fn a_flipped_byte_that_only_the_sums_know_of_is_found_by_name() {
    for name in Packed::of(1).names() {
        let mut packed = Packed::of(1);
        let mut bytes = packed.file(&name).to_vec();
        let at = bytes.len() - 3;
        bytes[at] ^= 1;
        packed.set(&name, bytes);
        let found = match packed.looked_at() {
            Ok(report) => report.faults.join("\n"),
            Err(why) => why.to_string(),
        };
        assert!(!found.is_empty(), "{name}");
        let by_name = found.contains(&format!("{name} is not as SHA256SUMS says."));
        assert!(by_name || name.ends_with("SUMS") || name.contains(".json"), "{name}: {found}");
    }
}

/// With the sums made right as well, what the seal vouches for still is.
#[test]
fn a_flipped_byte_is_found_also_where_the_sums_are_made_right() {
    for name in Packed::of(2).names() {
        if NOT_VOUCHED_FOR.contains(&name.as_str()) {
            continue;
        }
        let length = Packed::of(2).file(&name).len();
        for at in [0, length / 3, length / 2, length - 2] {
            let mut packed = Packed::of(2);
            let mut bytes = packed.file(&name).to_vec();
            bytes[at] ^= 1;
            packed.set(&name, bytes);
            assert_ne!(packed.faults(), "", "{name}, byte {at}");
        }
    }
}

/// A reading that stands, and the same with a better figure.
fn better(entries: &mut [EntryLine]) -> usize {
    let found = entries.iter().rposition(|line| line.body.contains("\"kind\":\"torque\"")).unwrap();
    let body = &entries[found].body;
    let (before, after) = body.split_once("\"value\":\"").unwrap();
    let (_, rest) = after.split_once('"').unwrap();
    entries[found].body = format!("{before}\"value\":\"9.99\"{rest}").replace("9.99\"\"", "9.99\"");
    found
}

#[test]
fn a_changed_reading_is_found_by_its_entry_and_rechained_by_the_head() {
    let (mut packed, mut entries) = (Packed::of(1), Packed::of(1).entries());
    let at = better(&mut entries);
    packed.set("entries.jsonl", fusewright::domain::archive::write_lines(&entries));
    assert_eq!(packed.faults(), format!("Entry {at}: its body or salt was changed."));
    let mut packed = Packed::of(1);
    packed.rechain(entries);
    assert!(packed.faults().contains("the entries lead to another head than the one it names."));
}

#[test]
fn a_removed_entry_is_missed_and_rechained_by_the_count() {
    let (mut packed, mut entries) = (Packed::of(1), Packed::of(1).entries());
    entries.remove(10);
    packed.set("entries.jsonl", fusewright::domain::archive::write_lines(&entries));
    assert_eq!(packed.faults(), "Entry 11: an entry is missing before it.");
    let mut packed = Packed::of(1);
    packed.rechain(entries);
    assert!(packed.faults().contains("it was made from 80 entries, and 79 are in the archive."));
}

#[test]
fn entries_of_another_person_or_time_are_found() {
    for change in [
        (|line: &mut EntryLine| line.received_ms.0 -= 60_000) as fn(&mut EntryLine),
        |line| line.person.0 = uuid::Uuid::from_u128(7),
        |line| line.salt.0[0] ^= 1,
    ] {
        let (mut packed, mut entries) = (Packed::of(1), Packed::of(1).entries());
        change(&mut entries[20]);
        packed.set("entries.jsonl", fusewright::domain::archive::write_lines(&entries));
        assert!(packed.faults().starts_with("Entry 20: "));
    }
}

#[test]
fn a_swapped_photo_is_found_also_under_its_own_name() {
    let photos: Vec<String> =
        Packed::of(1).names().into_iter().filter(|name| name.starts_with("photos/")).collect();
    let mut packed = Packed::of(1);
    let other = packed.file(&photos[1]).to_vec();
    packed.set(&photos[0], other);
    assert_eq!(packed.faults(), format!("{} is not the photo that its name says.", photos[0]));

    // A photo of another job in its place, with job.json made to fit: the sealed paper shows the one that was.
    let stranger = Packed::of(2).file(&Packed::of(2).name("photos/")).to_vec();
    let mut packed = Packed::of(1);
    let (old, new) = (photos[0].clone(), Digest::of(&stranger).to_string());
    packed.remove(&old);
    packed.set(&format!("photos/{new}.jpg"), stranger);
    packed.change_job(|job| {
        let noted = job["photos"].as_array_mut().unwrap();
        let photo = noted.iter_mut().find(|photo| old.contains(photo["file"].as_str().unwrap()));
        photo.unwrap()["file"] = new.clone().into();
    });
    assert!(packed.faults().contains(&format!("photos/{new}.jpg is not the photo on the paper.")));

    let mut packed = Packed::of(1);
    packed.remove(&photos[0]);
    assert_eq!(packed.faults(), format!("{} is missing.", photos[0]));
}

#[test]
fn a_replaced_certificate_is_found() {
    let (one, two) = (Packed::of(1), Packed::of(2));
    let (ours, theirs) = (one.name("certificates/"), two.name("certificates/"));
    let (pdf, other_pdf) = (ours.replace(".json", ".pdf"), theirs.replace(".json", ".pdf"));
    let mut packed = one.clone();
    packed.set(&pdf, two.file(&other_pdf).to_vec());
    assert!(packed.faults().contains("The record beside it is not the one inside it."));
    let mut packed = one.clone();
    packed.set(&pdf, two.file(&other_pdf).to_vec());
    let record = two.file(&other_pdf.replace(".pdf", ".json")).to_vec();
    packed.set(&pdf.replace(".pdf", ".json"), record);
    assert!(packed.faults().contains("It bears another number."));
    let mut packed = one;
    packed.remove(&pdf);
    assert!(packed.faults().contains(&format!("{pdf} is missing.")));
}

#[test]
fn a_register_line_taken_out_is_missed_and_relinked_by_the_certificate() {
    let (mut packed, mut lines) = (Packed::of(2), Packed::of(2).register());
    lines.remove(0);
    packed.set("register.jsonl", fusewright::domain::archive::write_lines(&lines));
    assert!(packed.faults().starts_with("Register, line 1: a line is missing before it."));
    let mut packed = Packed::of(2);
    packed.relink(lines.clone());
    assert!(packed.faults().contains("It has no line in the register."));
    let mut packed = Packed::of(2);
    packed.relink(lines);
    packed.change_job(|job| job["certificates"][0]["register_index"] = 0.into());
    assert!(packed.faults().contains("It names another place in the register."));
}

#[test]
fn a_line_of_the_register_about_other_bytes_is_found() {
    type Change = fn(&mut fusewright::domain::archive::RegisterText);
    let changes: [(Change, &str); 4] = [
        (|line| line.pdf_sha256.0[0] ^= 1, "Its line in the register says something else."),
        (|line| line.record_sha256.0[0] ^= 1, "Its line in the register says something else."),
        (|line| line.kind = "replace".into(), "Its line is of the wrong kind."),
        (|line| line.kind = "withdraw".into(), "It has no line in the register."),
    ];
    for (change, words) in changes {
        let (mut packed, mut lines) = (Packed::of(2), Packed::of(2).register());
        change(&mut lines[1]);
        packed.relink(lines);
        let found = packed.faults();
        assert!(found.contains(words), "{words} is not in {found}");
    }
    // The line before it, which is of another job: the certificate names what it followed on.
    let (mut packed, mut lines) = (Packed::of(2), Packed::of(2).register());
    lines[0].time_ms.0 += 1;
    packed.relink(lines);
    assert!(packed.faults().contains("It follows on another line of the register."));
}

#[test]
fn a_withdrawal_in_the_register_must_be_told_and_the_other_way_round() {
    let mut packed = Packed::of(1);
    let mut lines = packed.register();
    let withdrawn =
        fusewright::domain::archive::RegisterText { kind: "withdraw".into(), ..lines[0].clone() };
    lines.push(withdrawn);
    packed.relink(lines);
    assert!(packed.clone().faults().contains("it was withdrawn, and job.json does not say so."));
    let person = packed.job()["people"][0]["id"].clone();
    let told = |number: String, index: u64| {
        serde_json::json!([{
            "number": number, "reason": "The earth joint was read at the wrong stud.",
            "asked_by": person, "confirmed_by": person, "register_index": index
        }])
    };
    let number = packed.register()[0].number.clone();
    let mut right = packed.clone();
    right.change_job(|job| job["withdrawals"] = told(number.clone(), 1));
    assert_eq!(right.faults(), "");
    packed.change_job(|job| job["withdrawals"] = told(number, 0));
    assert!(packed.faults().contains("its withdrawal has no line in the register."));
}

/// The wrench that most fasteners were tightened with.
fn wrench(job: &mut serde_json::Value) -> &mut serde_json::Value {
    let all = job["instruments"].as_array_mut().unwrap();
    all.iter_mut().find(|instrument| instrument["label"] == "Wrench 07").unwrap()
}

#[test]
fn what_job_json_says_otherwise_than_the_certificate_is_found() {
    type Change = fn(&mut serde_json::Value);
    let changes: [(Change, &str); 6] = [
        (
            |job| job["job"]["number"] = 7.into(),
            "job_number is 1 on the certificate and 7 by the entries.",
        ),
        (
            |job| {
                let people = job["people"].as_array_mut().unwrap();
                let person = people.iter_mut().find(|person| person["role"] == "technician");
                person.unwrap()["name"] = "Somebody Else".into();
            },
            "\"Somebody Else\" by the entries.",
        ),
        (
            |job| wrench(job)["label"] = "Wrench 99".into(),
            "its instrument \"Wrench 07\" is not in job.json as it is certified.",
        ),
        (
            |job| {
                let ranges = wrench(job)["ranges"].as_array_mut().unwrap();
                for range in ranges {
                    range["percent"] = "0.01".into();
                }
            },
            "uncertainty is ",
        ),
        (|job| job["certificates"][0]["code"] = "0000000000000000".into(), "another check code."),
        (|job| job["kit"]["sha256"] = "00".repeat(32).into(), "kit.toml is not the text"),
    ];
    for (change, words) in changes {
        let mut packed = Packed::of(1);
        packed.change_job(change);
        let found = packed.faults();
        assert!(found.contains(words), "{words} is not in {found}");
    }
}

#[test]
fn a_calibration_that_was_entered_later_changes_nothing_and_one_that_is_gone_is_missed() {
    let mut packed = Packed::of(1);
    packed.change_job(|job| {
        let all = wrench(job)["calibrations"].as_array_mut().unwrap();
        let mut later = all[0].clone();
        later["id"] = uuid::Uuid::from_u128(9).to_string().into();
        later["certificate"] = "CAL-LATER".into();
        all.push(later);
    });
    assert_eq!(packed.clone().faults(), "");
    packed.change_job(|job| {
        wrench(job)["calibrations"].as_array_mut().unwrap().remove(0);
    });
    assert!(packed.faults().contains("is not in job.json as it is certified."));
}

/// It tells people what to type.
#[test]
fn another_readme_is_told_of() {
    let mut packed = Packed::of(1);
    packed.set("README.txt", b"Just run this.".to_vec());
    packed.resum();
    let report = packed.looked_at().unwrap();
    assert!(report.faults.is_empty() && report.remarks[0].starts_with("README.txt is not"));
    assert!(!looked_at(archive_of(1)).unwrap().remarks[0].contains("README"));
}

/// Texts that the chain commits to, changed together with the digest beside them.
#[test]
fn another_plan_sheet_or_kit_is_found_by_what_the_entries_commit_to() {
    for name in ["plans/1.toml", "sheets/1.json", "kit.toml"] {
        let mut packed = Packed::of(1);
        let mut bytes = packed.file(name).to_vec();
        bytes.push(b'\n');
        let (was, is) = (Digest::of(packed.file(name)).to_string(), Digest::of(&bytes).to_string());
        packed.set(name, bytes);
        let job = String::from_utf8(packed.file("job.json").to_vec()).unwrap().replace(&was, &is);
        packed.set("job.json", job.into_bytes());
        let found = packed.faults();
        assert!(
            found.contains(&format!("{name} is not the text that the entries commit to.")),
            "{found}"
        );
    }
}
