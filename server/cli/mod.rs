//! The command line: one file a command, one sentence where something cannot be done.

mod daily;
mod demo;
mod export;
mod folder;
mod https;
mod import;
mod kit;
mod plan;
mod seal;
mod serve;
mod verify;

use std::fmt::Display;
use std::future::Future;
use std::io::Write as _;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::acts::ActError;
use crate::acts::time_stamps::AddressFault;
use crate::config::{self, SettingFault, Settings};
use crate::storage::{OpenError, StorageError};
use crate::web::tls::{AcmeFault, CertificateFault};

/// What a command line that cannot be understood ends with; clap's own 2 means "stop" here.
const NOT_UNDERSTOOD: u8 = 64;

/// The job sheet for people who fit auxiliary power gear in vehicles: plans, sheets, certificates.
///
/// Without a command it serves. The program takes the place of no maker's instruction, local code
/// or licensed person.
#[derive(Debug, Parser)]
#[command(name = "fusewright", version, args_conflicts_with_subcommands = true)]
struct CommandLine {
    #[command(subcommand)]
    command: Option<Command>,
    #[command(flatten)]
    settings: Settings,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Serve the workshop's pages (what happens without a command)
    Serve(Box<Settings>),
    Demo(demo::Demo),
    Export(export::Export),
    Import(import::Import),
    /// Check, import and export kit files
    #[command(subcommand)]
    Kit(kit::Kit),
    Plan(plan::Plan),
    /// Show the workshop's seal, keep a copy of it under a passphrase, put it back, change it
    #[command(subcommand)]
    Seal(seal::Seal),
    Verify(verify::Verify),
}

/// Why a command ends early: one sentence, and the exit code.
#[derive(Debug)]
struct Failure {
    sentence: String,
    code: u8,
}

impl Failure {
    fn new(sentence: impl Display) -> Self {
        let mut sentence = sentence.to_string();
        if !sentence.ends_with(['.', '?', '!']) {
            sentence.push('.');
        }
        Self { sentence, code: 1 }
    }

    fn with_code(self, code: u8) -> Self {
        Self { code, ..self }
    }
}

macro_rules! fails_with {
    ($($error:ty),*) => { $(
        impl From<$error> for Failure {
            fn from(error: $error) -> Self {
                Self::new(error)
            }
        }
    )* };
}

fails_with!(
    AcmeFault,
    AddressFault,
    CertificateFault,
    OpenError,
    SettingFault,
    StorageError,
    crate::world::NoChance
);

impl From<ActError> for Failure {
    fn from(error: ActError) -> Self {
        match error {
            ActError::Document(faults) => {
                let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
                Self::new(lines.join("\n"))
            }
            other => Self::new(other),
        }
    }
}

/// How a command ended that did what was asked.
type Outcome = Result<u8, Failure>;

/// Does what the command line asks, and says how it ended.
pub fn run() -> ExitCode {
    let line = match CommandLine::try_parse() {
        Ok(line) => line,
        Err(refused) => {
            // Help and version come this way too, and are no failure.
            let code = if refused.use_stderr() { NOT_UNDERSTOOD } else { 0 };
            let _ = refused.print();
            return ExitCode::from(code);
        }
    };
    let done = config::check_environment().map_err(Failure::from).and_then(|()| obey(line));
    match done {
        Ok(code) => ExitCode::from(code),
        Err(failure) => {
            complain(&failure.sentence);
            ExitCode::from(failure.code)
        }
    }
}

fn obey(line: CommandLine) -> Outcome {
    match line.command.unwrap_or(Command::Serve(Box::new(line.settings))) {
        Command::Serve(settings) => wait_for(serve::run(*settings)),
        Command::Demo(demo) => wait_for(demo::run(demo)),
        Command::Export(asked) => wait_for(export::run(asked)),
        Command::Import(asked) => wait_for(import::run(asked)),
        Command::Kit(kit) => kit::run(kit),
        Command::Plan(plan) => plan::run(&plan),
        Command::Seal(asked) => seal::run(asked),
        Command::Verify(asked) => verify::run(asked),
    }
}

/// Runs what waits for disks, sockets and timers.
fn wait_for(work: impl Future<Output = Outcome>) -> Outcome {
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|why| Failure::new(format!("The machine gives no threads ({why}).")))?
        .block_on(work)
}

/// Prints an answer. Whoever reads it may stop early, as `head` does.
fn say(text: impl Display) {
    let mut out = std::io::stdout().lock();
    let _ = writeln!(out, "{text}").and_then(|()| out.flush());
}

/// Words out of a file from elsewhere: nothing in them may move a terminal's cursor or change its colours.
fn harmless(text: &str) -> String {
    text.chars().map(|c| if c.is_control() && c != '\n' { '\u{FFFD}' } else { c }).collect()
}

fn complain(sentence: &str) {
    let _ = writeln!(std::io::stderr().lock(), "fusewright: {sentence}");
}
