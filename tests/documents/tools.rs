//! Other people's tools, asked for their opinion. `tests/run` installs them.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

/// A folder with one file in it, gone when the test ends.
pub(crate) struct Desk {
    folder: TempDir,
}

impl Desk {
    pub(crate) fn with(name: &str, bytes: &[u8]) -> Self {
        let desk = Self { folder: tempfile::tempdir().unwrap() };
        desk.put(name, bytes);
        desk
    }

    pub(crate) fn put(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, bytes).unwrap();
        path
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Runs a tool in this folder.
    pub(crate) fn run(&self, program: impl AsRef<Path>, arguments: &[&str]) -> Output {
        let program = program.as_ref();
        Command::new(program)
            .args(arguments)
            .current_dir(self.folder.path())
            .output()
            .unwrap_or_else(|error| {
                panic!("{} does not start ({error}); tests/run installs it.", program.display())
            })
    }

    /// What a tool prints.
    pub(crate) fn print(&self, program: &str, arguments: &[&str]) -> String {
        let output = self.run(program, arguments);
        format!("{}{}", text(&output.stdout), text(&output.stderr))
    }
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// The text of a PDF in reading order, every run of white space one space.
pub(crate) fn words(pdf: &[u8]) -> String {
    let printed = Desk::with("paper.pdf", pdf).print("pdftotext", &["-raw", "paper.pdf", "-"]);
    printed.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What the independent signature library says, given this certificate as its only root.
pub(super) fn second_opinion(sealed: &[u8], certificate_pem: &str) -> (bool, String) {
    asked_with(&Desk::with("sealed.pdf", sealed), certificate_pem, &["sealed.pdf", "seal.pem"])
}

/// The same of a seal with a time stamp, given the root of its authority.
pub(super) fn second_opinion_stamped(
    sealed: &[u8],
    certificate_pem: &str,
    root_pem: &str,
) -> (bool, String) {
    let desk = Desk::with("sealed.pdf", sealed);
    desk.put("root.pem", root_pem.as_bytes());
    asked_with(&desk, certificate_pem, &["sealed.pdf", "seal.pem", "root.pem"])
}

fn asked_with(desk: &Desk, certificate_pem: &str, files: &[&str]) -> (bool, String) {
    desk.put("seal.pem", certificate_pem.as_bytes());
    let (holds, said) = by_script(desk, "check_seal.py", files);
    assert!(said.contains('='), "the script gave no answer: {said}");
    (holds, said)
}

/// Whether a script of `tests/tools` ends well on this desk, and what it prints.
pub(crate) fn by_script(desk: &Desk, name: &str, arguments: &[&str]) -> (bool, String) {
    let house = Path::new(env!("CARGO_MANIFEST_DIR"));
    let python = std::env::var_os("FUSEWRIGHT_PYTHON")
        .map_or_else(|| house.join("tests/.venv/bin/python"), PathBuf::from);
    let script = house.join("tests/tools").join(name);
    let arguments: Vec<&str> = [&[script.to_str().unwrap()], arguments].concat();
    let output = desk.run(python, &arguments);
    let said = format!("{}{}", text(&output.stdout), text(&output.stderr));
    (output.status.success(), said)
}

/// A calendar as a library reads it that is not ours, as JSON.
pub(crate) fn read_calendar(calendar: &[u8]) -> String {
    let desk = Desk::with("due.ics", calendar);
    let (holds, said) = by_script(&desk, "read_calendar.py", &["due.ics"]);
    assert!(holds, "{said}");
    said
}
