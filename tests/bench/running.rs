//! The program as a bench runs it: its demo made in a folder, or a server over one.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

pub(crate) fn must<T, E: std::fmt::Debug>(done: Result<T, E>) -> T {
    match done {
        Ok(value) => value,
        Err(error) => panic!("the bench could not go on: {error:?}"),
    }
}

/// Lets the program make its demo, and ends it.
pub(crate) fn make_demo(folder: &Path) {
    let mut running = start("demo", folder, "127.0.0.1:0");
    let said = running.stdout.take().map(BufReader::new);
    let mut lines = said.into_iter().flat_map(BufRead::lines).map_while(Result::ok);
    let is_ready = lines.any(|line| line.contains("Stop with"));
    must(running.kill());
    must(running.wait());
    assert!(is_ready, "the demo did not start");
}

/// Starts the program over a folder. Whoever starts it ends it.
pub(crate) fn start(command: &str, folder: &Path, listen: &str) -> Child {
    let mut program = Command::new(env!("CARGO_BIN_EXE_fusewright"));
    program.args([command, "--listen", listen, "--data"]).arg(folder);
    must(program.stdout(Stdio::piped()).stderr(Stdio::null()).spawn())
}
