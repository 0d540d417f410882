//! What was measured of transitions, as the commands use it.

use super::notes::note;
use super::{Stop, config, dirs};
use class::schedule::{Costs, Learned, Sample, Transition};
use stage::rehearse::Kept;

fn kept() -> Option<Kept> {
    dirs::data().map(|folder| Kept::in_folder(&folder))
}

/// What transitions cost: by what was measured, where there is enough of it. Where that cannot be read the class is
/// planned by the table, and standard error says so.
pub fn costs() -> Costs {
    let samples = kept().map_or_else(|| Ok(Vec::new()), |kept| kept.read());
    let samples = samples.unwrap_or_else(|error| {
        note(&format!("What was measured of transitions cannot be read, so they are planned by the table: {error}"));
        Vec::new()
    });
    Costs { learned: Learned::from_samples(samples, config::get().group_percent()), ..Costs::ESTIMATED }
}

/// Keeps what was measured.
///
/// # Errors
/// When there is no home, or it cannot be written.
pub fn keep(samples: &[Sample]) -> Result<(), Stop> {
    if samples.is_empty() {
        return Ok(());
    }
    let cannot = |why: String| Stop::Cannot(format!("cannot keep what was measured: {why}"));
    let kept = kept().ok_or_else(|| cannot("there is no home folder".to_owned()))?;
    kept.add(samples).map_err(|error| cannot(error.to_string()))
}

/// Forgets what was measured of a kind, or everything; says how much that was.
///
/// # Errors
/// When it cannot be read or written.
pub fn forget(kind: Option<Transition>) -> Result<usize, Stop> {
    let cannot = |error: std::io::Error| Stop::Cannot(format!("cannot forget what was measured: {error}"));
    kept().map_or(Ok(0), |kept| kept.forget(kind).map_err(cannot))
}
