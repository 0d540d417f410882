//! Why a command stopped short, and the exit code that says so.

use std::io::{self, ErrorKind, Write};
use std::process::ExitCode;

/// Why a command stopped short.
#[derive(Debug)]
pub enum Stop {
    /// A file has faults, or nothing was found. Exit code 1.
    Faults(String),
    /// Something cannot be read, written or done as asked. Exit code 2.
    Cannot(String),
    /// What was printed could not be: quiet and no failure when its reader has gone, else exit code 2.
    Output(io::Error),
}

impl Stop {
    /// The exit code where a signal ended the program, as shells have it.
    pub(super) fn signalled(signal: i32) -> ExitCode {
        ExitCode::from(u8::try_from(128 + signal).unwrap_or(1))
    }

    /// Says why on standard error.
    pub(super) fn report(self) -> ExitCode {
        let (message, code) = match self {
            Stop::Faults(message) => (message, 1),
            Stop::Cannot(message) => (message, 2),
            Stop::Output(error) if error.kind() == ErrorKind::BrokenPipe => return ExitCode::SUCCESS,
            Stop::Output(error) => (format!("cannot write the output: {error}"), 2),
        };
        // With standard error gone as well there is nobody to tell.
        let _ = writeln!(io::stderr(), "{}", message.trim_end());
        ExitCode::from(code)
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Stop {
        Stop::Output(error)
    }
}
