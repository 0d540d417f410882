//! The file with the dials of the sound devices, in the coach's configuration folder. A dial says how much earlier
//! sound is sent to a device.

use std::fs;
use std::path::PathBuf;

use super::error::OrCannot;
use super::notes::note;
use super::output::OutputFile;
use super::{CommandError, dirs, input};
use sound::DeviceLatencies;

/// The largest file that is read, in bytes.
const LARGEST: usize = 64 * 1024;

fn path() -> Option<PathBuf> {
    dirs::config().map(|folder| folder.join("devices.ron"))
}

/// The saved dials. If the file cannot be read, there are none and standard error says so: a class is led all the same.
pub(crate) fn read() -> DeviceLatencies {
    read_or_fail().unwrap_or_else(|why| {
        note(&format!("{why}; no device has a latency set."));
        DeviceLatencies::default()
    })
}

/// The saved dials, for a caller that changes them.
///
/// # Errors
/// When the file exists and cannot be read.
pub(crate) fn read_or_fail() -> Result<DeviceLatencies, CommandError> {
    let Some(path) = path().filter(|path| path.exists()) else { return Ok(DeviceLatencies::default()) };
    let text = input::read(&path, LARGEST)?;
    DeviceLatencies::parse(&text).or_cannot(format_args!("read {}", path.display()))
}

/// Saves the dials: the file is written whole or not at all.
///
/// # Errors
/// When there is no home folder, or the file cannot be written.
pub(crate) fn save(dials: &DeviceLatencies) -> Result<(), CommandError> {
    let path = path().ok_or("there is no home folder").or_cannot("save the latency")?;
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).or_cannot(format_args!("create {}", folder.display()))?;
    }
    OutputFile::open(&path, true)?.write_whole(dials.text().as_bytes())
}
