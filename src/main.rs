//! The `forecall` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    forecall::cli::run()
}
