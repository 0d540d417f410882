//! How a command ends: to its end, or stopped early, and the exit code for it.

use std::error::Error;
use std::fmt::{self, Display};
use std::io;
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

/// Any error, or a text where nothing else failed.
pub(super) type Cause = Box<dyn Error + Send + Sync>;

/// Why a command stopped early.
#[derive(Debug)]
pub struct CommandError {
    pub(super) kind: StopKind,
    /// What was not done, in front of the cause: `cannot read the keyboard`, `--from`.
    what: Option<String>,
    cause: Cause,
    /// What the coach can do about it.
    hint: Option<String>,
}

/// What sort of thing stopped a command.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum StopKind {
    /// A file has faults, or nothing was found. Exit code 1.
    Faults,
    /// Something cannot be read, written or done as asked. Exit code 2.
    Cannot,
    /// The output cannot be written. If its reader has gone, the program ends quietly with exit code 0, else with exit
    /// code 2.
    Output,
}

impl CommandError {
    fn new(kind: StopKind, cause: impl Into<Cause>) -> CommandError {
        CommandError { kind, what: None, cause: cause.into(), hint: None }
    }

    /// A file has faults, or nothing was found.
    pub(super) fn faults(cause: impl Into<Cause>) -> CommandError {
        CommandError::new(StopKind::Faults, cause)
    }

    /// The command cannot be carried out as asked.
    pub(super) fn refused(cause: impl Into<Cause>) -> CommandError {
        CommandError::new(StopKind::Cannot, cause)
    }

    /// `cannot read the keyboard: the terminal is gone`.
    pub(super) fn cannot(what: impl Display, cause: impl Into<Cause>) -> CommandError {
        CommandError::refused(cause).about(format_args!("cannot {what}"))
    }

    /// Puts what the cause is about in front of it.
    pub(super) fn about(self, what: impl Display) -> CommandError {
        CommandError { what: Some(what.to_string()), ..self }
    }

    /// Adds what the coach can do about it, if there is anything.
    pub(super) fn hint(self, hint: impl Into<Option<String>>) -> CommandError {
        CommandError { hint: hint.into(), ..self }
    }

    /// Why, for the coach: `WHAT: WHY; HINT`. None where nobody is left to read it.
    pub(super) fn message(&self) -> Option<String> {
        let reader_is_gone =
            || self.cause.downcast_ref::<io::Error>().is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe);
        (self.kind != StopKind::Output || !reader_is_gone()).then(|| self.to_string().trim_end().to_owned())
    }

    /// Prints the reason on standard error, and gives the exit code.
    pub(super) fn report(self) -> ExitCode {
        let Some(message) = self.message() else { return ExitCode::SUCCESS };
        note(&message);
        ExitCode::from(if self.kind == StopKind::Faults { 1 } else { 2 })
    }
}

impl Display for CommandError {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(what) = &self.what {
            write!(to, "{what}: ")?;
        }
        to.write_str(&with_sources(&*self.cause))?;
        self.hint.iter().try_for_each(|hint| write!(to, "; {hint}"))
    }
}

impl Error for CommandError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        Some(&*self.cause)
    }
}

/// The text of an error and those of its sources, joined by colons. Some errors repeat the text of their source in
/// their own: it is not written twice.
fn with_sources(error: &dyn Error) -> String {
    let mut text = error.to_string();
    let mut next = error.source();
    while let Some(source) = next {
        let why = source.to_string();
        if !text.contains(&why) {
            text = format!("{text}: {why}");
        }
        next = source.source();
    }
    text
}

impl From<io::Error> for CommandError {
    fn from(error: io::Error) -> CommandError {
        CommandError::new(StopKind::Output, error).about("cannot write the output")
    }
}

/// Says what an error is about.
pub(super) trait OrCannot<T> {
    /// Stops short with `cannot WHAT: WHY`.
    ///
    /// # Errors
    /// Where there is one already.
    fn or_cannot(self, what: impl Display) -> Result<T, CommandError>;

    /// Stops short with `--OPTION: WHY`.
    ///
    /// # Errors
    /// Where there is one already.
    fn or_wrong(self, option: &str) -> Result<T, CommandError>;
}

impl<T, E: Into<Cause>> OrCannot<T> for Result<T, E> {
    fn or_cannot(self, what: impl Display) -> Result<T, CommandError> {
        self.map_err(|why| CommandError::cannot(what, why))
    }

    fn or_wrong(self, option: &str) -> Result<T, CommandError> {
        self.map_err(|why| CommandError::refused(why).about(option))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, thiserror::Error)]
    #[error("the class cannot be resumed")]
    struct Outer(#[source] io::Error);

    #[derive(Debug, thiserror::Error)]
    #[error("it stopped: {0}")]
    struct Repeating(#[source] io::Error);

    #[test]
    fn a_message_names_what_failed_each_cause_once_and_a_hint() {
        let disk = || io::Error::other("the disk is full");
        let said = |error: CommandError| error.message().unwrap();
        assert_eq!(said(CommandError::refused("no file")), "no file");
        assert_eq!(
            said(CommandError::faults("no class").hint("log lists them".to_owned())),
            "no class; log lists them"
        );
        assert_eq!(
            said(CommandError::cannot("lead", Outer(disk()))),
            "cannot lead: the class cannot be resumed: the disk is full"
        );
        assert_eq!(said(CommandError::cannot("lead", Repeating(disk()))), "cannot lead: it stopped: the disk is full");
        assert_eq!(said(Err::<(), _>(disk()).or_wrong("--at").unwrap_err()), "--at: the disk is full");
        assert_eq!(said(disk().into()), "cannot write the output: the disk is full");
        assert_eq!(CommandError::from(io::Error::from(io::ErrorKind::BrokenPipe)).message(), None);
    }
}
