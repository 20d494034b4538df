//! The program: hands the command line over and takes the exit code back.

fn main() -> std::process::ExitCode {
    fusewright::cli::run()
}
