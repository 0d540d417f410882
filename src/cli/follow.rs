//! Files that are looked at again whenever they are saved.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, SystemTime};

use super::Stop;
use super::notes::note;

/// How often is looked whether a file was saved.
const EVERY: Duration = Duration::from_millis(250);

/// What tells one save from another.
type State = (SystemTime, u64);

/// Looks once, and again at each save, until it is interrupted. That a file has faults, or cannot be read just now,
/// ends nothing.
///
/// # Errors
/// When nothing can be written any more, or an interrupt could not be heard.
pub fn follow<W: Write>(
    files: &[PathBuf],
    out: &mut W,
    mut look: impl FnMut(&mut W) -> Result<(), Stop>,
) -> Result<(), Stop> {
    if files.iter().any(|file| file.as_os_str() == "-") {
        return Err(Stop::Cannot("--follow: standard input is read once, so there is nothing to follow".to_owned()));
    }
    let interrupted = interrupt()?;
    let mut seen: Option<Vec<Option<State>>> = None;
    while !interrupted.load(Ordering::Relaxed) {
        let now: Vec<Option<State>> = files.iter().map(|file| state(file)).collect();
        // Editors put a saved file in the place of the old one: for a moment there is none.
        let is_there = now.iter().all(Option::is_some) || seen.is_none();
        if is_there && seen.as_ref() != Some(&now) {
            if seen.is_some() {
                writeln!(out, "\nSaved, and checked again:\n")?;
            }
            match look(out) {
                Ok(()) | Err(Stop::Faults(_)) => {}
                Err(Stop::Cannot(why)) => note(&why),
                Err(other) => return Err(other),
            }
            out.flush()?;
            seen = Some(now);
        }
        std::thread::sleep(EVERY);
    }
    Ok(())
}

fn state(file: &Path) -> Option<State> {
    let there = file.metadata().ok()?;
    Some((there.modified().ok()?, there.len()))
}

/// Set as soon as the coach wants it to end. Elsewhere than on Unix the system ends the program.
fn interrupt() -> Result<Arc<AtomicBool>, Stop> {
    let asked = Arc::new(AtomicBool::new(false));
    #[cfg(unix)]
    for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
        signal_hook::flag::register(signal, Arc::clone(&asked))?;
    }
    Ok(asked)
}
