//! The container of an archive: what this program never writes is refused before anything in it is believed.

use std::io::{Cursor, Write as _};

use fusewright::domain::archive::{ARCHIVE_MEMBERS_MAX, Member};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use super::packed::{Packed, archive_of, looked_at};

fn refusal(bytes: &[u8]) -> String {
    looked_at(bytes).map_or_else(|why| why.to_string(), |report| report.faults.join("\n"))
}

fn with(name: &str) -> String {
    let mut packed = Packed::of(1);
    packed.set(name, b"x".to_vec());
    packed.resum();
    refusal(&packed.pack())
}

#[test]
fn names_outside_of_the_structure_are_refused() {
    for name in [
        "../job.json",
        "/etc/passwd",
        "photos/../job.json",
        "plans/01.toml",
        "plans/0.toml",
        "plans/1001.toml",
        "photos/AB.jpg",
        "readme.txt",
        "job.json/",
        "seals/x.pem",
        "plans\\1.toml",
        "certificates/a b.pdf",
        "certificates/.pdf",
        "extra.txt",
        "photos/",
    ] {
        let found = with(name);
        assert!(found.contains("does not belong into one"), "{name}: {found}");
    }
    let found = with("plans/2.toml");
    assert_eq!(found, "job.json does not speak of plans/2.toml.");
}

#[test]
fn every_member_reads_its_own_name_and_no_other_way_to_write_it() {
    for name in Packed::of(1).names() {
        assert_eq!(Member::parse(&name).unwrap().to_string(), name);
        assert_eq!(Member::parse(&format!("./{name}")), None);
        assert_eq!(Member::parse(&name.to_uppercase()).filter(|_| name != "SHA256SUMS"), None);
    }
}

#[test]
fn a_file_twice_or_hidden_from_the_list_is_refused() {
    let mut packed = Packed::of(1);
    packed.set("customer.jsoM", packed.file("customer.json").to_vec());
    let bytes = packed.pack();
    let twice = String::from_utf8_lossy(&bytes).matches("customer.jsoM").count();
    assert_eq!(twice, 2, "in the list and before the bytes");
    let renamed = replaced(&bytes, b"customer.jsoM", b"customer.json", 2);
    assert!(refusal(&renamed).contains("stands in it twice"), "{}", refusal(&renamed));
    // Only before the bytes: the list has another name for them.
    let hidden = replaced(&packed.pack(), b"customer.jsoM", b"customer.json", 1);
    assert!(!refusal(&hidden).is_empty());
}

fn replaced(bytes: &[u8], from: &[u8], to: &[u8], times: usize) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for _ in 0..times {
        let at = bytes.windows(from.len()).position(|part| part == from).unwrap();
        bytes[at..at + to.len()].copy_from_slice(to);
    }
    bytes
}

#[test]
fn links_and_what_claims_to_be_compressed_or_encrypted_are_refused() {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    zip.add_symlink("job.json", "/etc/passwd", SimpleFileOptions::DEFAULT).unwrap();
    let bytes = zip.finish().unwrap().into_inner();
    assert!(refusal(&bytes).contains("no plain file"), "{}", refusal(&bytes));

    // The method in the list (10 bytes into its record) and before the bytes (8): deflate. And the flag of encryption.
    let whole = archive_of(1);
    let list = whole.windows(4).position(|part| part == b"PK\x01\x02").unwrap();
    for (in_list, before, value) in [(10, 8, 8), (8, 6, 1)] {
        let mut changed = whole.to_vec();
        changed[list + in_list] = value;
        changed[before] = value;
        let found = refusal(&changed);
        assert!(!found.is_empty() && !found.contains("SHA256SUMS"), "{found}");
    }
}

#[test]
fn whatever_stands_before_behind_or_is_cut_off_is_refused() {
    let whole = archive_of(1);
    let cut = [0, 3, 21, 22, 1_000, whole.len() / 2, whole.len() - 1];
    for length in cut {
        assert_eq!(
            refusal(&whole[..length]),
            "The file is no archive of a job, or only a part of one."
        );
    }
    let behind = [whole, b"x"].concat();
    assert_eq!(refusal(&behind), "The file is no archive of a job, or only a part of one.");
    let before = [b"#!/bin/sh\n", whole].concat();
    assert!(!refusal(&before).is_empty());
    let mut comment = ZipWriter::new(Cursor::new(Vec::new()));
    comment.set_comment("PK").unwrap();
    assert!(!refusal(&comment.finish().unwrap().into_inner()).is_empty());
}

#[test]
fn too_many_files_and_too_large_ones_are_refused_before_they_are_read() {
    let mut end = b"PK\x05\x06\0\0\0\0".to_vec();
    let many = u16::try_from(ARCHIVE_MEMBERS_MAX + 1).unwrap().to_le_bytes();
    end.extend([many, many].concat());
    end.extend([0; 10]);
    assert!(refusal(&end).contains("more than 20000 files"), "{}", refusal(&end));

    for (name, bytes_max) in [("kit.toml", 1 << 20), ("customer.json", 64 << 10)] {
        assert_eq!(Member::parse(name).unwrap().bytes_max(), bytes_max);
        let mut packed = Packed::of(1);
        packed.set(name, vec![b' '; usize::try_from(bytes_max).unwrap() + 1]);
        packed.resum();
        let found = refusal(&packed.pack());
        assert_eq!(found, format!("{name} is larger than such a file can be."));
    }
}

/// A member of some bytes that says of itself that it has gigabytes.
#[test]
fn a_length_that_lies_is_refused() {
    let whole = archive_of(1);
    let list = whole.windows(4).position(|part| part == b"PK\x01\x02").unwrap();
    for at in [20, 24] {
        let mut changed = whole.to_vec();
        changed[list + at..list + at + 4].copy_from_slice(&0xfff0_0000_u32.to_le_bytes());
        assert!(!refusal(&changed).is_empty());
    }
}

#[test]
fn a_form_of_another_version_and_keys_that_nobody_knows_are_refused() {
    let mut packed = Packed::of(1);
    packed.change_job(|job| job["format"] = "fusewright-archive/2".into());
    assert!(packed.faults().contains("does not know. Use a newer one."));
    let mut packed = Packed::of(1);
    packed.change_job(|job| job["job"]["passed"] = true.into());
    assert!(packed.faults().contains("job.json cannot be read (unknown field `passed`"));
    let mut packed = Packed::of(1);
    let mut lines = packed.file("entries.jsonl").to_vec();
    lines.extend_from_slice(b"{}\n");
    packed.set("entries.jsonl", lines);
    assert!(packed.faults().contains("entries.jsonl, line 81, cannot be read"));
}

#[test]
fn a_missing_file_is_named() {
    for name in ["job.json", "entries.jsonl", "register.jsonl"] {
        let mut packed = Packed::of(1);
        packed.remove(name);
        assert_eq!(packed.faults(), format!("{name} is missing."));
    }
    let mut packed = Packed::of(1);
    packed.remove("README.txt");
    assert_eq!(packed.faults(), "README.txt is missing.");
    let mut packed = Packed::of(1);
    packed.remove("SHA256SUMS");
    let found = packed.looked_at().unwrap().faults;
    assert!(found.contains(&"SHA256SUMS is missing.".to_owned()), "{found:?}");
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file(
        "README.txt",
        SimpleFileOptions::DEFAULT.compression_method(CompressionMethod::Stored),
    )
    .unwrap();
    zip.write_all(b"hello").unwrap();
    assert_eq!(refusal(&zip.finish().unwrap().into_inner()), "job.json is missing.");
}
