//! The file with the dials of the sound devices, in the coach's configuration folder. A dial says how much earlier
//! sound is sent to a device.

use std::fs;
use std::path::PathBuf;

use super::notes::note;
use super::output::Output;
use super::{Stop, dirs, input};
use sound::Dials;

/// The largest file that is read, in bytes.
const LARGEST: usize = 64 * 1024;

fn path() -> Option<PathBuf> {
    dirs::config().map(|folder| folder.join("devices.ron"))
}

/// The saved dials. If the file cannot be read, there are none and standard error says so: a class is led all the same.
pub fn read() -> Dials {
    try_read().unwrap_or_else(|why| {
        let (Stop::Faults(why) | Stop::Cannot(why)) = why else { return Dials::default() };
        note(&format!("{why}; no device has a latency set."));
        Dials::default()
    })
}

/// The saved dials, for a caller that changes them.
///
/// # Errors
/// When the file exists and cannot be read.
pub fn try_read() -> Result<Dials, Stop> {
    let Some(path) = path().filter(|path| path.exists()) else { return Ok(Dials::default()) };
    let text = input::read(&path, LARGEST)?;
    Dials::parse(&text).map_err(|why| Stop::Cannot(format!("cannot read {}: {why}", path.display())))
}

/// Saves the dials: the file is written whole or not at all.
///
/// # Errors
/// When there is no home folder, or the file cannot be written.
pub fn keep(dials: &Dials) -> Result<(), Stop> {
    let path = path().ok_or_else(|| Stop::Cannot("cannot save the latency: there is no home folder".to_owned()))?;
    if let Some(folder) = path.parent() {
        let cannot = |error| Stop::Cannot(format!("cannot create {}: {error}", folder.display()));
        fs::create_dir_all(folder).map_err(cannot)?;
    }
    Output::open(&path, true)?.whole(dials.text().as_bytes())
}
