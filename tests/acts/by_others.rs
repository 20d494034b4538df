//! Tools and languages that are not ours come to the same: a Python script written from the formulas, and the
//! commands that stand in the archive's own README.

use std::path::Path;

use fusewright::domain::archive::README;

use super::packed::{Packed, archive_of};
use crate::documents::tools::Desk;

/// Whether the script agrees, and what it says.
fn by_script(argument: &str, archive: &[u8]) -> (bool, String) {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tools/recompute_record.py");
    let desk = Desk::with("job.zip", archive);
    let output = desk.run("python3", &[script.to_str().unwrap(), argument]);
    let said = [output.stdout, output.stderr].concat();
    (output.status.success(), String::from_utf8(said).unwrap())
}

#[test]
fn another_language_recomputes_the_published_vector() {
    assert_eq!(by_script("--vector", b""), (true, "the published vector comes out\n".to_owned()));
}

#[test]
fn another_language_recomputes_the_record_from_the_archive_alone() {
    for job in [1, 2] {
        let (agrees, said) = by_script("job.zip", archive_of(job));
        assert!(agrees, "{said}");
        let entries = Packed::of(job).entries();
        let head = entries.last().unwrap().hash.to_string();
        assert!(said.contains(&format!("{} entries, head {head}", entries.len())), "{said}");
    }
}

#[test]
fn another_language_refuses_what_was_changed() {
    let mut packed = Packed::of(1);
    let body = String::from_utf8(packed.file("entries.jsonl").to_vec()).unwrap();
    packed.set("entries.jsonl", body.replacen("torque", "torqve", 1).into_bytes());
    assert!(by_script("job.zip", &packed.pack()).1.contains("entries.jsonl has another digest"));
    packed.resum();
    let (agrees, said) = by_script("job.zip", &packed.pack());
    assert!(!agrees && said.contains("another commitment"), "{said}");

    let mut packed = Packed::of(1);
    let mut entries = packed.entries();
    entries.pop();
    packed.rechain(entries);
    packed.resum();
    assert!(by_script("job.zip", &packed.pack()).1.contains("it was made from more entries"));

    let mut packed = Packed::of(2);
    let mut lines = packed.register();
    lines[0].number = "TV26000999".to_owned();
    packed.relink(lines);
    packed.resum();
    assert!(by_script("job.zip", &packed.pack()).1.contains("it follows on another line"));
}

/// The commands of the README: indented by four, from the first to the last.
fn commands() -> String {
    let lines = README.lines().skip_while(|line| !line.starts_with("HOW TO CHECK IT"));
    let commands: Vec<&str> = lines.filter_map(|line| line.strip_prefix("    ")).collect();
    commands.join("\n")
}

fn by_hand(packed: &Packed) -> (bool, String) {
    let desk = Desk::with("check.sh", commands().as_bytes());
    for folder in ["plans", "sheets", "photos", "certificates", "seals"] {
        std::fs::create_dir(desk.path(folder)).unwrap();
    }
    for (name, bytes) in &packed.files {
        desk.put(name, bytes);
    }
    let done = desk.run("bash", &["-eu", "-o", "pipefail", "check.sh"]);
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    (done.status.success(), format!("{said}{}", String::from_utf8_lossy(&done.stderr)))
}

#[test]
fn the_commands_of_the_readme_check_an_archive_and_refuse_a_changed_one() {
    let packed = Packed::of(2);
    let (holds, said) = by_hand(&packed);
    assert!(holds, "{said}");
    let head = packed.entries().last().unwrap().hash;
    assert!(said.contains(&format!("{} entries, head {head}", packed.entries().len())), "{said}");
    let seal = packed.name("seals/").replace("seals/", "").replace(".pem", "");
    assert!(said.contains(&seal), "{said}");

    let mut changed = Packed::of(2);
    let text = String::from_utf8(changed.file("entries.jsonl").to_vec()).unwrap();
    changed.set("entries.jsonl", text.replacen("confirm", "confirn", 1).into_bytes());
    assert!(!by_hand(&changed).0, "the sums");
    changed.resum();
    assert!(!by_hand(&changed).0, "the chain");
    let mut changed = Packed::of(2);
    let mut lines = changed.register();
    lines[1].pdf_sha256.0[0] ^= 1;
    changed.relink(lines);
    changed.resum();
    assert!(!by_hand(&changed).0, "the register");
}
