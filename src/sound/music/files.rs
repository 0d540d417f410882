//! Finds the music files in a list of files and folders.

use std::fs;
use std::path::{Path, PathBuf};

/// The name endings of the files that can be played.
pub const ENDINGS: &[&str] = &["aac", "flac", "m4a", "mp3", "mp4", "oga", "ogg", "wav"];

/// The most files of one list. Further files are left out.
pub const MOST: usize = 1_000;

/// The most entries of a folder that are read.
const LOOKED_AT: usize = 20_000;

/// Why an entry of a list gives nothing to play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlaylistError {
    #[error("does not exist or cannot be read")]
    Missing,
    #[error("is not a music file; forecall plays {}", ENDINGS.join(", "))]
    NotMusic,
    #[error("is a folder without music files; forecall plays {}", ENDINGS.join(", "))]
    NothingInIt,
}

/// The music files of a list. Each entry is a file, or a folder whose own files are taken in order of name. `at`: the
/// folder that the entries are relative to. Also returns the index of each entry that gives nothing, and the reason.
pub fn files(at: &Path, entries: &[String]) -> (Vec<PathBuf>, Vec<(usize, PlaylistError)>) {
    let (mut found, mut lacking) = (Vec::new(), Vec::new());
    for (index, entry) in entries.iter().enumerate() {
        match of_entry(&at.join(entry)) {
            Ok(files) => found.extend(files),
            Err(why) => lacking.push((index, why)),
        }
    }
    found.truncate(MOST);
    (found, lacking)
}

fn of_entry(path: &Path) -> Result<Vec<PathBuf>, PlaylistError> {
    // Only a regular file, or a link to one: a pipe or a device could block the reader forever.
    let what = fs::metadata(path).map_err(|_| PlaylistError::Missing)?;
    if what.is_file() {
        return if is_music(path) { Ok(vec![path.to_owned()]) } else { Err(PlaylistError::NotMusic) };
    }
    let entries = fs::read_dir(path).map_err(|_| PlaylistError::Missing)?;
    let paths = entries.take(LOOKED_AT).filter_map(|entry| Some(entry.ok()?.path()));
    let mut files: Vec<PathBuf> =
        paths.filter(|path| is_music(path) && fs::metadata(path).is_ok_and(|what| what.is_file())).collect();
    files.sort_by_cached_key(|path| (path.to_string_lossy().to_lowercase(), path.clone()));
    if files.is_empty() { Err(PlaylistError::NothingInIt) } else { Ok(files) }
}

fn is_music(path: &Path) -> bool {
    let hidden = path.file_name().is_none_or(|name| name.to_string_lossy().starts_with('.'));
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    !hidden && ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
}
