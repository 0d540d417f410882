//! The measured changeovers, as the commands use them.

use super::notes::note;
use super::{Stop, config, dirs};
use class::schedule::{Costs, Learned, Sample, Transition};
use stage::rehearse::Kept;

fn kept() -> Option<Kept> {
    dirs::data().map(|folder| Kept::in_folder(&folder))
}

/// What changeovers cost: as measured, where there are enough measurements. If they cannot be read, the table is used,
/// and standard error says so.
pub fn costs() -> Costs {
    let samples = kept().map_or_else(|| Ok(Vec::new()), |kept| kept.read());
    let samples = samples.unwrap_or_else(|error| {
        note(&format!("Cannot read your measured changeovers, so the built-in times are used: {error}"));
        Vec::new()
    });
    Costs { learned: Learned::from_samples(samples, config::get().group_percent()), ..Costs::ESTIMATED }
}

/// Saves measured changeovers.
///
/// # Errors
/// When there is no home folder, or the file cannot be written.
pub fn keep(samples: &[Sample]) -> Result<(), Stop> {
    if samples.is_empty() {
        return Ok(());
    }
    let cannot = |why: String| Stop::Cannot(format!("cannot save what was measured: {why}"));
    let kept = kept().ok_or_else(|| cannot("there is no home folder".to_owned()))?;
    kept.add(samples).map_err(|error| cannot(error.to_string()))
}

/// Deletes what was measured for a kind of changeover, or everything; gives the number of measurements.
///
/// # Errors
/// When the file cannot be read or written.
pub fn forget(kind: Option<Transition>) -> Result<usize, Stop> {
    let cannot = |error: std::io::Error| Stop::Cannot(format!("cannot forget what was measured: {error}"));
    kept().map_or(Ok(0), |kept| kept.forget(kind).map_err(cannot))
}
