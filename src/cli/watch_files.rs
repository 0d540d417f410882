//! Checking files again whenever they are saved.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, SystemTime};

use super::CommandError;
use super::error::StopKind;
use super::notes::note;

/// How often the files are looked at.
const EVERY: Duration = Duration::from_millis(250);

/// The time and the size of a file, which tell one save from another.
type FileStamp = (SystemTime, u64);

/// Calls `look` once, and again after each save, until the coach interrupts. Faults in a file, and a file that cannot
/// be read for now, do not end it.
///
/// # Errors
/// When the output can no longer be written, or interrupts cannot be noticed.
pub(crate) fn follow<W: Write>(
    files: &[PathBuf],
    out: &mut W,
    mut look: impl FnMut(&mut W) -> Result<(), CommandError>,
) -> Result<(), CommandError> {
    if files.iter().any(|file| file.as_os_str() == "-") {
        return Err(CommandError::refused("--follow needs a file: standard input can be read only once"));
    }
    let interrupted = interrupt()?;
    let mut seen: Option<Vec<Option<FileStamp>>> = None;
    while !interrupted.load(Ordering::Relaxed) {
        let now: Vec<Option<FileStamp>> = files.iter().map(|file| state(file)).collect();
        // Editors replace the old file when they save: for a moment there is no file.
        let is_there = now.iter().all(Option::is_some) || seen.is_none();
        if is_there && seen.as_ref() != Some(&now) {
            if seen.is_some() {
                writeln!(out, "\nSaved, and checked again:\n")?;
            }
            match look(out) {
                Err(stop) if stop.kind == StopKind::Output => return Err(stop),
                Err(stop) if stop.kind == StopKind::Cannot => note(&stop.to_string()),
                Ok(()) | Err(_) => {}
            }
            out.flush()?;
            seen = Some(now);
        }
        std::thread::sleep(EVERY);
    }
    Ok(())
}

fn state(file: &Path) -> Option<FileStamp> {
    let there = file.metadata().ok()?;
    Some((there.modified().ok()?, there.len()))
}

/// A flag that is set when the coach interrupts. On systems other than Unix the system ends the program.
fn interrupt() -> Result<Arc<AtomicBool>, CommandError> {
    let asked = Arc::new(AtomicBool::new(false));
    #[cfg(unix)]
    for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
        signal_hook::flag::register(signal, Arc::clone(&asked))?;
    }
    Ok(asked)
}
