//! How a command ends: to its end, or stopped early, and the exit code for it.

use std::fmt::Display;
use std::io::{self, ErrorKind};
use std::process::ExitCode;

use super::notes::note;

/// How a command ended that did not stop short.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Exit code 0.
    Well,
    /// It ran to its end, and what it looked for is not right. Exit code 1.
    NotReady,
    /// A signal ended it: its number. Exit code 128 and the number, as shells have it.
    Signal(i32),
}

impl From<Exit> for ExitCode {
    fn from(ended: Exit) -> ExitCode {
        match ended {
            Exit::Well => ExitCode::SUCCESS,
            Exit::NotReady => ExitCode::from(1),
            Exit::Signal(signal) => ExitCode::from(u8::try_from(128 + signal).unwrap_or(1)),
        }
    }
}

/// Why a command stopped early.
#[derive(Debug)]
pub enum CommandError {
    /// A file has faults, or nothing was found. Exit code 1.
    Faults(String),
    /// Something cannot be read, written or done as asked. Exit code 2.
    Cannot(String),
    /// The output cannot be written. If its reader has gone, the program ends quietly with exit code 0, else with exit
    /// code 2.
    Output(io::Error),
}

impl CommandError {
    /// `cannot read the keyboard: the terminal is gone`.
    pub(super) fn cannot(what: impl Display, why: impl Display) -> CommandError {
        CommandError::Cannot(format!("cannot {what}: {why}"))
    }

    /// Why, for the coach. None where nobody is left to read it.
    pub(super) fn message(&self) -> Option<String> {
        match self {
            CommandError::Faults(message) | CommandError::Cannot(message) => Some(message.trim_end().to_owned()),
            CommandError::Output(error) if error.kind() == ErrorKind::BrokenPipe => None,
            CommandError::Output(error) => Some(format!("cannot write the output: {error}")),
        }
    }

    /// Prints the reason on standard error, and gives the exit code.
    pub(super) fn report(self) -> ExitCode {
        let code = match &self {
            CommandError::Faults(_) => 1,
            CommandError::Cannot(_) | CommandError::Output(_) => 2,
        };
        let Some(message) = self.message() else { return ExitCode::SUCCESS };
        note(&message);
        ExitCode::from(code)
    }
}

impl From<io::Error> for CommandError {
    fn from(error: io::Error) -> CommandError {
        CommandError::Output(error)
    }
}

/// Says what could not be done.
pub(super) trait OrCannot<T> {
    /// Stops short with `cannot WHAT: WHY`.
    ///
    /// # Errors
    /// Where there is one already.
    fn or_cannot(self, what: impl Display) -> Result<T, CommandError>;
}

impl<T, E: Display> OrCannot<T> for Result<T, E> {
    fn or_cannot(self, what: impl Display) -> Result<T, CommandError> {
        self.map_err(|why| CommandError::cannot(what, why))
    }
}
