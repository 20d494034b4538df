//! The program as a child process, in a folder of its own.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStderr, ChildStdout, Command, Stdio};

/// The plan and kit files that the demo brings.
pub(super) fn example(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("server/cli/demo");
    let file = folder.join(name);
    assert!(file.is_file(), "there is no {name}");
    file
}

pub(super) fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_fusewright"));
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("FUSEWRIGHT_") {
            command.env_remove(name);
        }
    }
    command.args(arguments);
    command
}

/// How a run ended and what it said.
#[derive(Debug)]
pub(crate) struct Said {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Said {
    /// Asserts that it was refused with one sentence that has these words.
    #[track_caller]
    pub(crate) fn refused(&self, code: i32, words: &str) {
        assert_eq!(self.code, code, "{self:?}");
        assert!(self.err.contains(words), "{words:?} is not said: {self:?}");
        assert_eq!(self.err.trim_end().lines().count(), 1, "more than one line: {self:?}");
        assert!(self.err.starts_with("fusewright: ") && self.err.ends_with(".\n"), "{self:?}");
    }
}

pub(crate) fn ask(arguments: &[&str]) -> Said {
    ask_with(command(arguments))
}

pub(super) fn ask_with(mut command: Command) -> Said {
    let output = command.output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    Said {
        code: output.status.code().unwrap_or(-1),
        out: text(&output.stdout),
        err: text(&output.stderr),
    }
}

/// A server that runs until it is stopped or dropped.
pub(crate) struct Running {
    child: Child,
    out: BufReader<ChildStdout>,
    log: BufReader<ChildStderr>,
    /// Everything printed until it was ready.
    pub(crate) greeting: String,
}

impl Running {
    /// Starts it and waits for its last word of greeting.
    pub(crate) fn start(arguments: &[&str]) -> Self {
        Self::start_with(command(arguments))
    }

    pub(super) fn start_with(mut command: Command) -> Self {
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut log = BufReader::new(child.stderr.take().unwrap());
        let mut greeting = String::new();
        while !greeting.contains("Stop with Ctrl-C.") {
            if out.read_line(&mut greeting).unwrap() == 0 {
                let mut why = String::new();
                log.read_to_string(&mut why).unwrap();
                panic!("the server ended: {greeting}{why}");
            }
        }
        Self { child, out, log, greeting }
    }

    /// What stands behind a word of the greeting.
    pub(super) fn told(&self, word: &str) -> &str {
        let line = self.greeting.lines().find_map(|line| line.strip_prefix(word));
        line.unwrap_or_else(|| panic!("no {word:?} in {}", self.greeting)).trim()
    }

    /// The next line of the log that has these words. Waits for it.
    pub(super) fn logged(&mut self, words: &str) -> String {
        let mut read = String::new();
        loop {
            let mut line = String::new();
            assert_ne!(self.log.read_line(&mut line).unwrap(), 0, "no {words:?} in:\n{read}");
            if line.contains(words) {
                return line;
            }
            read.push_str(&line);
        }
    }

    /// The first line of the answer to a plain request.
    pub(crate) fn get(&self, path: &str) -> String {
        self.exchange(&format!("GET {path}"), "", "")
    }

    /// The first line of the answer to a form that the server's own page sent.
    pub(super) fn post(&self, path: &str, form: &str) -> String {
        let headers = format!(
            "origin: {}\r\ncontent-type: application/x-www-form-urlencoded\r\n\
             content-length: {}\r\n",
            self.told("Open:"),
            form.len()
        );
        self.exchange(&format!("POST {path}"), &headers, form)
    }

    fn exchange(&self, what: &str, headers: &str, body: &str) -> String {
        Self::exchange_at(self.told("Open:").strip_prefix("http://").unwrap(), what, headers, body)
    }

    /// The first line of the answer of another of its addresses.
    pub(super) fn ask_at(&self, address: &str, what: &str) -> String {
        assert!(self.greeting.contains(address), "{address} was not told");
        Self::exchange_at(address, what, "", "")
    }

    fn exchange_at(address: &str, what: &str, headers: &str, body: &str) -> String {
        let mut stream = TcpStream::connect(address).unwrap();
        let host = format!("host: {address}\r\nconnection: close\r\n");
        write!(stream, "{what} HTTP/1.1\r\n{host}{headers}\r\n{body}").unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer.lines().next().unwrap_or_default().to_owned()
    }

    /// Asks it to stop, as the system does, and waits for the end.
    pub(crate) fn stop(self) -> Said {
        let polite = format!("kill -TERM {}", self.child.id());
        assert!(Command::new("sh").args(["-c", &polite]).status().unwrap().success());
        self.ended()
    }

    /// Waits for the end.
    pub(super) fn ended(mut self) -> Said {
        let code = self.child.wait().unwrap().code().unwrap_or(-1);
        let (mut out, mut err) = (String::new(), String::new());
        self.out.read_to_string(&mut out).unwrap();
        self.log.read_to_string(&mut err).unwrap();
        Said { code, out, err }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // Has ended already if it was stopped.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A path as an argument.
pub(crate) fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}
