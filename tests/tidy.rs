//! The rules of the house that no compiler knows: floors, owners of crates, banned words, lengths.

use std::fs;
use std::path::{Path, PathBuf};

/// Floors and the floors each may name.
const FLOORS: [(&str, &[&str]); 7] = [
    ("engineering", &[]),
    ("domain", &["engineering"]),
    ("storage", &["domain", "engineering"]),
    ("documents", &["domain", "engineering"]),
    ("acts", &["storage", "documents", "domain", "engineering", "world"]),
    ("web", &["acts", "storage", "documents", "domain", "engineering", "world"]),
    ("cli", &["web", "acts", "storage", "documents", "domain", "engineering", "world", "config"]),
];

/// Crates that one floor owns.
const OWNERS: [(&str, &str); 14] = [
    ("axum", "web"),
    ("askama", "web"),
    ("tower_http", "web"),
    ("rustls", "web"),
    ("tokio_rustls", "web"),
    ("instant_acme", "web"),
    ("rcgen", "web"),
    ("sqlx", "storage"),
    ("typst", "documents"),
    ("lopdf", "documents"),
    ("cms", "documents"),
    ("clap", "cli"),
    ("zip", "documents"),
    ("rust_xlsxwriter", "documents"),
];

/// Ending of the file, what may not stand in it, what to do instead.
const BANNED: [(&str, &str, &str); 8] = [
    ("html", "|safe", "let askama escape it"),
    ("html", " style=", "give it a class"),
    ("html", " onclick=", "attach by a data attribute"),
    ("html", "<script>", "scripts are files"),
    ("js", "innerHTML", "use textContent or a template"),
    ("js", "navigator.onLine", "try, and see"),
    ("rs", "#[ignore", "mend the test or take it out"),
    ("rs", "#[should_panic", "assert on the error"),
];

const FILE_LINES_MAX: usize = 400;
const SCRIPT_LINES_MAX: usize = 160;
const TEMPLATE_LINES_MAX: usize = 160;

/// Endings of names of types and files that say nothing.
const EMPTY_WORDS: [&str; 4] = ["Manager", "Helper", "Util", "Info"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files(folder: &str, ending: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    collect(&root().join(folder), ending, &mut found);
    assert!(!found.is_empty(), "{folder} holds no .{ending} file");
    found
}

fn collect(folder: &Path, ending: &str, found: &mut Vec<(String, String)>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let skipped = ["node_modules", ".venv", "vendor", "target"];
        if path.is_dir() {
            if !skipped.iter().any(|name| path.ends_with(name)) {
                collect(&path, ending, found);
            }
        } else if path.extension().is_some_and(|e| e == ending) {
            let name = path.strip_prefix(root()).unwrap_or(&path).display().to_string();
            found.push((name, fs::read_to_string(&path).unwrap()));
        }
    }
}

/// Lines that are code, so that a word in a comment raises no alarm.
fn code(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter(|line| !line.trim_start().starts_with("//"))
}

#[test]
fn each_floor_names_only_floors_below() {
    for (floor, allowed) in FLOORS {
        for (name, text) in files(&format!("server/{floor}"), "rs") {
            for (other, _) in FLOORS.iter().filter(|(other, _)| *other != floor) {
                let names = code(&text).any(|line| line.contains(&format!("crate::{other}")));
                assert!(!names || allowed.contains(other), "{name} names {other}");
            }
        }
    }
}

#[test]
fn each_crate_is_named_only_on_its_floor() {
    for (name, text) in files("server", "rs") {
        for (dependency, owner) in OWNERS {
            let used = code(&text).any(|line| {
                let plain = line.trim_start();
                plain.starts_with(&format!("use {dependency}::"))
                    || line.contains(&format!(" {dependency}::"))
                    || line.contains(&format!("({dependency}::"))
                    || line.contains(&format!("<{dependency}::"))
            });
            let at_home = name.starts_with(&format!("server/{owner}"))
                || (owner == "cli" && name.starts_with("server/config"));
            assert!(!used || at_home, "{name} names {dependency}, which belongs to {owner}");
        }
    }
}

#[test]
fn pure_floors_read_no_clock_and_do_no_io() {
    for floor in ["engineering", "domain"] {
        for (name, text) in files(&format!("server/{floor}"), "rs") {
            for word in
                ["std::fs", "std::net", "std::env", "SystemTime", "now_utc", "getrandom", "tokio"]
            {
                assert!(!code(&text).any(|line| line.contains(word)), "{name} names {word}");
            }
        }
    }
}

#[test]
fn nothing_banned_stands_anywhere() {
    for (ending, word, instead) in BANNED {
        let folder = match ending {
            "html" => "templates",
            "js" => "static",
            _ => "server",
        };
        for (name, text) in files(folder, ending) {
            assert!(!code(&text).any(|line| line.contains(word)), "{name}: {word}: {instead}");
        }
    }
}

#[test]
fn every_source_file_opens_with_a_sentence_and_stays_short() {
    for (name, text) in files("server", "rs").into_iter().chain(files("tests", "rs")) {
        assert!(text.starts_with("//! "), "{name} does not say what it is");
        let lines = text.lines().count();
        assert!(lines <= FILE_LINES_MAX || name.starts_with("tests/"), "{name}: {lines} lines");
    }
    for (name, text) in files("static", "js") {
        let lines = text.lines().count();
        assert!(lines <= SCRIPT_LINES_MAX, "{name}: {lines} lines");
    }
    for (name, text) in files("templates", "html") {
        assert!(text.starts_with("{#"), "{name} does not say what it is");
        assert!(text.lines().count() <= TEMPLATE_LINES_MAX, "{name} is long");
    }
}

#[test]
fn no_type_is_named_with_an_empty_word() {
    for (name, text) in files("server", "rs") {
        for line in code(&text) {
            let declared = ["struct ", "enum ", "trait "].iter().find_map(|kind| {
                let (_, rest) = line.split_once(kind)?;
                rest.split(|c: char| !c.is_alphanumeric()).next()
            });
            let empty = declared.is_some_and(|d| EMPTY_WORDS.iter().any(|word| d.ends_with(word)));
            assert!(!empty, "{name}: {line}");
        }
    }
}

#[test]
fn the_guide_names_only_paths_that_exist() {
    let guide = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let mut named = 0;
    for word in guide.split('`').skip(1).step_by(2) {
        let first = word.split('/').next().unwrap_or_default();
        let is_path = word.contains('/')
            && ["server", "templates", "static", "migrations", "tests"].contains(&first)
            && !word.contains(['<', '*', ' ', '…']);
        if is_path {
            named += 1;
            assert!(root().join(word).exists(), "DEVELOPERS.md names {word}, which is not there");
        }
    }
    assert!(named > 10, "the guide names its rooms");
}
