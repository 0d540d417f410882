//! The `forecall` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
