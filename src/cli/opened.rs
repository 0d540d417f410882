//! One activity opened from another, in this process: a class from the front door, a rehearsal from planning.

use std::ffi::OsString;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use clap::{Args, Command};

use super::error::{CommandError, Exit};
use super::notes::keeping;

/// How an activity ended that was opened from another.
#[derive(Debug)]
pub(crate) struct OpenedActivity {
    pub well: bool,
    /// The last line that it told the coach.
    pub said: Option<String>,
    /// The signal that ends this program too.
    pub signal: Option<i32>,
}

/// Opens an activity, and comes back whatever becomes of it: a fault and a panic end the activity, not the program.
pub(crate) fn open(activity: impl FnOnce() -> Result<Exit, CommandError>) -> OpenedActivity {
    let (ended, mut told) = keeping(|| catch_unwind(AssertUnwindSafe(activity)));
    let (well, signal) = match ended {
        Ok(Ok(Exit::Signal(signal))) => (false, Some(signal)),
        Ok(Ok(ended)) => (ended == Exit::Well, None),
        Ok(Err(stop)) => {
            told.extend(stop.message());
            (false, None)
        }
        Err(panic) => {
            let why = panic.downcast_ref::<String>().map(String::as_str).or(panic.downcast_ref::<&str>().copied());
            told += &format!("This part of forecall failed: {}", why.unwrap_or("no reason given"));
            (false, None)
        }
    };
    let said = told.lines().map(str::trim).rfind(|line| !line.is_empty()).map(str::to_owned);
    OpenedActivity { well, said, signal }
}

/// The arguments of a command as a coach would type them, with all their defaults.
///
/// # Errors
/// When they do not mean anything.
pub(crate) fn arguments<A: Args>(words: impl IntoIterator<Item = OsString>) -> Result<A, CommandError> {
    let command = A::augment_args(Command::new("forecall").no_binary_name(true));
    let matches = command.try_get_matches_from(words).and_then(|matches| A::from_arg_matches(&matches));
    // The lines after the first say where the help is.
    matches.map_err(|error| CommandError::refused(error.to_string().lines().next().unwrap_or_default()))
}

/// A path as an argument: one that begins with a hyphen is no option.
pub(crate) fn argument(path: &Path) -> OsString {
    let hyphen = path.as_os_str().as_encoded_bytes().starts_with(b"-");
    if hyphen { Path::new(".").join(path).into_os_string() } else { path.as_os_str().to_owned() }
}
