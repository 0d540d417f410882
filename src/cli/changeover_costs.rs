//! The measured changeovers, as the commands use them.

use super::error::OrCannot;
use super::notes::note;
use super::{CommandError, config, dirs};
use class::schedule::{ChangeoverCosts, LearnedTransitions, TransitionKind, TransitionSample};
use stage::rehearse::MeasurementFile;

fn measurement_file() -> Option<MeasurementFile> {
    dirs::data().map(|folder| MeasurementFile::in_folder(&folder))
}

/// What changeovers cost: as measured, where there are enough measurements. If they cannot be read, the table is used,
/// and standard error says so.
pub(crate) fn costs() -> ChangeoverCosts {
    let samples = measurement_file().map_or_else(|| Ok(Vec::new()), |kept| kept.read());
    let samples = samples.unwrap_or_else(|error| {
        note(&format!("Cannot read your measured changeovers, so the built-in times are used: {error}"));
        Vec::new()
    });
    ChangeoverCosts {
        learned: LearnedTransitions::from_samples(samples, config::get().group_percent()),
        ..ChangeoverCosts::ESTIMATED
    }
}

/// Saves measured changeovers.
///
/// # Errors
/// When there is no home folder, or the file cannot be written.
pub(crate) fn save_samples(samples: &[TransitionSample]) -> Result<(), CommandError> {
    if samples.is_empty() {
        return Ok(());
    }
    const WHAT: &str = "save what was measured";
    let kept = measurement_file().ok_or("there is no home folder").or_cannot(WHAT)?;
    kept.add(samples).or_cannot(WHAT)
}

/// Deletes what was measured for a kind of changeover, or everything; gives the number of measurements.
///
/// # Errors
/// When the file cannot be read or written.
pub(crate) fn forget(kind: Option<TransitionKind>) -> Result<usize, CommandError> {
    measurement_file().map_or(Ok(0), |kept| kept.forget(kind).or_cannot("forget what was measured"))
}
