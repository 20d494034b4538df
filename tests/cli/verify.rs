//! What `verify` says about a folder, and that nothing changed gets past it.

use std::path::{Path, PathBuf};

use sqlx::ConnectOptions as _;
use sqlx::sqlite::SqliteConnectOptions;
use tempfile::TempDir;

use super::demo::copy_of_the_demo;
use super::program::{ask, text};
use crate::acts::packed::{Packed, archive_of};

#[test]
fn an_untouched_folder_is_counted_through_and_sound() {
    let place = copy_of_the_demo();
    let said = ask(&["verify", "--data", text(place.path())]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
    assert!(said.out.contains("11 jobs with ") && said.out.contains("2 certificates"), "{said:?}");
    assert!(said.out.ends_with("Nothing was changed.\n"));
}

#[tokio::test]
async fn every_change_is_named_and_the_exit_code_says_so() {
    let place = copy_of_the_demo();
    let certificates = papers(place.path());
    let mut bytes = std::fs::read(&certificates[0]).unwrap();
    bytes[1000] ^= 1;
    std::fs::write(&certificates[0], bytes).unwrap();

    let file = place.path().join("fusewright.db");
    let mut db = SqliteConnectOptions::new().filename(&file).connect().await.unwrap();
    for change in [
        "drop trigger if exists entry_is_not_changed",
        "update entry set body = cast(cast(body as text) || ' ' as blob) where seq = 3",
    ] {
        sqlx::raw_sql(change).execute(&mut db).await.unwrap();
    }
    drop(db);

    let said = ask(&["verify", "--data", text(place.path())]);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.err.contains("entry 3: "), "{said:?}");
    let number = certificates[0].file_stem().unwrap().to_str().unwrap();
    assert!(said.err.contains(&format!("Certificate {number}: its file was changed")), "{said:?}");
    assert!(said.out.contains("faults were found"), "{said:?}");
}

/// The demo's certificates, by name.
fn papers(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<_> = std::fs::read_dir(folder.join("certificates"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    files
}

/// What stands behind a name in what was said, without the spaces of its groups.
fn line(said: &str, name: &str) -> String {
    let line = said.lines().find_map(|line| line.strip_prefix(name));
    line.unwrap_or_else(|| panic!("{name} is missing in {said}")).replace(' ', "")
}

#[test]
fn a_certificate_is_checked_with_nothing_but_its_file() {
    let demo = copy_of_the_demo();
    let away = TempDir::new().unwrap();
    for paper in papers(demo.path()) {
        let file = away.path().join(paper.file_name().unwrap());
        std::fs::copy(&paper, &file).unwrap();
        let said = ask(&["verify", text(&file)]);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
        assert!(said.out.starts_with("Unchanged since it was sealed."), "{said:?}");
        let number = line(&said.out, "Certificate");
        let plain = number.split("of").next().unwrap().replace('-', "");
        assert_eq!(plain, paper.file_stem().unwrap().to_str().unwrap());
        let seal = line(&said.out, "Seal");
        let spoken = seal.to_uppercase();
        assert_eq!(ask(&["verify", text(&file), "--seal", &spoken]).code, 0);
        let other = format!("{}0", &seal[1..]);
        let refused = ask(&["verify", text(&file), "--seal", &other]);
        assert!(refused.code == 1 && refused.err.contains("another seal"), "{refused:?}");
        ask(&["verify", text(&file), "--seal", "12 34"]).refused(1, "64 hexadecimal digits");
    }
    assert!(!away.path().join("data").exists(), "no folder is needed and none is made");
}

#[test]
fn a_changed_certificate_and_another_file_are_not_valid() {
    let demo = copy_of_the_demo();
    let paper = papers(demo.path()).remove(0);
    let whole = std::fs::read(&paper).unwrap();
    let changed = |change: &dyn Fn(&mut Vec<u8>)| {
        let mut bytes = whole.clone();
        change(&mut bytes);
        std::fs::write(&paper, bytes).unwrap();
        let said = ask(&["verify", text(&paper)]);
        assert!(said.code == 1 && said.out.is_empty(), "{said:?}");
        said.err
    };
    assert!(changed(&|bytes| bytes[2000] ^= 1).contains("is not valid"));
    assert!(changed(&|bytes| bytes.extend(b"\n")).contains("appended"));
    assert!(changed(&|bytes| bytes.truncate(bytes.len() / 2)).contains("is not valid"));
    assert!(changed(&|bytes| *bytes = b"no paper".to_vec()).contains("cannot be read as a PDF"));
    std::fs::remove_file(&paper).unwrap();
    ask(&["verify", text(&paper)]).refused(1, "cannot be read");
}

#[test]
fn a_folder_without_a_database_is_not_made_into_one() {
    let place = TempDir::new().unwrap();
    let folder = place.path().join("none");
    ask(&["verify", "--data", text(&folder)]).refused(1, "There is no database in");
    assert!(!folder.exists());
}

#[test]
fn an_exported_job_is_checked_with_nothing_but_its_archive() {
    let away = TempDir::new().unwrap();
    let file = away.path().join("job.zip");
    std::fs::write(&file, archive_of(2)).unwrap();
    let said = ask(&["verify", text(&file)]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
    assert!(said.out.starts_with("Everything in the archive holds together."), "{said:?}");
    let seal = line(&said.out, "Seal");
    assert_eq!(ask(&["verify", text(&file), "--seal", &seal.to_uppercase()]).code, 0);
    let refused = ask(&["verify", text(&file), "--seal", &format!("{}0", &seal[1..])]);
    assert!(refused.code == 1 && refused.err.contains("under another seal"), "{refused:?}");
    assert!(!away.path().join("data").exists(), "no folder is needed and none is made");
}

#[test]
fn a_changed_archive_is_not_valid_and_its_words_move_no_cursor() {
    let away = TempDir::new().unwrap();
    let file = away.path().join("job.zip");
    let mut packed = Packed::of(2);
    packed.change_job(|job| {
        job["certificates"][0]["number"] = "\u{1b}[2J".into();
        job["workshop"]["name"] = "\u{9b}31m".into();
    });
    packed.resum();
    std::fs::write(&file, packed.pack()).unwrap();
    let said = ask(&["verify", text(&file)]);
    assert!(said.code == 1 && said.out.is_empty(), "{said:?}");
    assert!(said.err.contains("faults were found."), "{said:?}");
    assert!(said.err.chars().all(|c| !c.is_control() || c == '\n'), "{said:?}");
    std::fs::write(&file, &archive_of(2)[..5000]).unwrap();
    ask(&["verify", text(&file)]).refused(1, "is no archive of a job, or only a part of one");
}
