//! Why a command stopped early, and the exit code for it.

use std::io::{self, ErrorKind, Write};
use std::process::ExitCode;

/// Why a command stopped early.
#[derive(Debug)]
pub enum Stop {
    /// A file has faults, or nothing was found. Exit code 1.
    Faults(String),
    /// Something cannot be read, written or done as asked. Exit code 2.
    Cannot(String),
    /// The output cannot be written. If its reader has gone, the program ends quietly with exit code 0, else with exit
    /// code 2.
    Output(io::Error),
}

impl Stop {
    /// The exit code when a signal ended the program: 128 plus the number of the signal, as shells have it.
    pub(super) fn signalled(signal: i32) -> ExitCode {
        ExitCode::from(u8::try_from(128 + signal).unwrap_or(1))
    }

    /// Prints the reason on standard error, and gives the exit code.
    pub(super) fn report(self) -> ExitCode {
        let (message, code) = match self {
            Stop::Faults(message) => (message, 1),
            Stop::Cannot(message) => (message, 2),
            Stop::Output(error) if error.kind() == ErrorKind::BrokenPipe => return ExitCode::SUCCESS,
            Stop::Output(error) => (format!("cannot write the output: {error}"), 2),
        };
        // If standard error is closed as well, there is nobody to tell.
        let _ = writeln!(io::stderr(), "{}", message.trim_end());
        ExitCode::from(code)
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Stop {
        Stop::Output(error)
    }
}
