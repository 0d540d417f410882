//! The file in which the dials of the sound devices are kept, in the coach's configuration folder.

use std::fs;
use std::path::PathBuf;

use super::notes::note;
use super::output::Output;
use super::{Stop, dirs, input};
use sound::Dials;

/// The largest file that is read.
const LARGEST: usize = 64 * 1024;

fn path() -> Option<PathBuf> {
    dirs::config().map(|folder| folder.join("devices.ron"))
}

/// What is kept. A file that cannot be read counts as none, and standard error says so: a class is led all the same.
pub fn read() -> Dials {
    try_read().unwrap_or_else(|why| {
        let (Stop::Faults(why) | Stop::Cannot(why)) = why else { return Dials::default() };
        note(&format!("{why}; every device is taken at its word."));
        Dials::default()
    })
}

/// What is kept, for who is to change it.
///
/// # Errors
/// When there is a file that cannot be read.
pub fn try_read() -> Result<Dials, Stop> {
    let Some(path) = path().filter(|path| path.exists()) else { return Ok(Dials::default()) };
    let text = input::read(&path, LARGEST)?;
    Dials::parse(&text).map_err(|why| Stop::Cannot(format!("cannot read {}: {why}", path.display())))
}

/// Keeps them: the file is written whole or not at all.
///
/// # Errors
/// When there is no home, or it cannot be written.
pub fn keep(dials: &Dials) -> Result<(), Stop> {
    let path = path().ok_or_else(|| Stop::Cannot("there is no home folder, so nothing can be kept".to_owned()))?;
    if let Some(folder) = path.parent() {
        let cannot = |error| Stop::Cannot(format!("cannot make {}: {error}", folder.display()));
        fs::create_dir_all(folder).map_err(cannot)?;
    }
    Output::open(&path, true)?.whole(dials.text().as_bytes())
}
