//! Handing the terminal to another run of this program, with arguments as a coach would type them.

use std::ffi::OsString;
use std::io::{self, Read};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use super::{Stop, colour};
use crate::lead::Keyboard;

/// How a run ended.
#[derive(Debug)]
pub struct Handed {
    pub well: bool,
    /// The last line that the run printed for the coach.
    pub said: Option<String>,
    /// The signal that ended the run, and has to end this program too.
    pub signal: Option<i32>,
}

/// How much of what a run says is kept, in bytes.
const SAID: u64 = 64 * 1024;
/// How often the program checks whether the run has ended.
const SOON: Duration = Duration::from_millis(50);

/// Runs this program with these arguments, in this terminal, to its end. `shown`: the run draws on the terminal;
/// otherwise it only prints messages.
///
/// # Errors
/// When the run cannot be started.
pub fn hand_over<P>(arguments: &[OsString], shown: bool, keyboard: &mut Keyboard<P>) -> Result<Handed, Stop> {
    let cannot = |error: io::Error| Stop::Cannot(format!("cannot start forecall again: {error}"));
    let mut command = Command::new(std::env::current_exe().map_err(cannot)?);
    command.args(colour::arguments()).args(arguments).stderr(Stdio::piped());
    if !shown {
        command.stdin(Stdio::null()).stdout(Stdio::null());
    }
    let mut child = command.spawn().map_err(cannot)?;
    let said = child.stderr.take().map(|said| thread::spawn(move || listen(said)));
    let mut ends = None;
    let status = loop {
        if let Some(status) = child.try_wait().map_err(cannot)? {
            break status;
        }
        for signal in keyboard.signals() {
            ends = pass_on(signal, child.id()).or(ends);
        }
        thread::sleep(SOON);
    };
    // Keys that were typed for the other run are dropped.
    keyboard.forget();
    let said = said.and_then(|said| said.join().ok()).unwrap_or_default();
    let said = said.lines().map(str::trim).rfind(|line| !line.is_empty()).map(str::to_owned);
    Ok(Handed { well: status.success(), said, signal: ends })
}

/// A path as an argument. A path that begins with a hyphen must not be taken for an option.
pub fn argument(path: &Path) -> OsString {
    let hyphen = path.as_os_str().as_encoded_bytes().starts_with(b"-");
    if hyphen { Path::new(".").join(path).into_os_string() } else { path.as_os_str().to_owned() }
}

/// Reads all that the run says and keeps the beginning. Reading all of it keeps the run from blocking.
fn listen(said: impl Read) -> String {
    let mut bytes = Vec::new();
    let mut said = said.take(u64::MAX);
    let _ = said.by_ref().take(SAID).read_to_end(&mut bytes);
    let _ = io::copy(&mut said, &mut io::sink());
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Passes a signal that ends programs on to the other run. Signals from keys of the terminal have reached that run
/// already.
#[cfg(unix)]
fn pass_on(signal: i32, to: u32) -> Option<i32> {
    use rustix::process::{Pid, Signal, kill_process};
    use signal_hook::consts::{SIGHUP, SIGTERM};

    let named = match signal {
        SIGHUP => Signal::HUP,
        SIGTERM => Signal::TERM,
        _ => return None,
    };
    if let Some(pid) = i32::try_from(to).ok().and_then(Pid::from_raw) {
        // The run may have ended in the meantime.
        let _ = kill_process(pid, named);
    }
    Some(signal)
}

#[cfg(not(unix))]
fn pass_on(_: i32, _: u32) -> Option<i32> {
    None
}
