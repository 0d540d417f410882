//! Which files a list of files and folders comes to.

use std::fs;
use std::path::{Path, PathBuf};

/// The endings of the files that are played.
pub const ENDINGS: &[&str] = &["aac", "flac", "m4a", "mp3", "mp4", "oga", "ogg", "wav"];

/// The most files of one list; a folder that has more gives its first by name.
pub const MOST: usize = 1_000;

/// The most entries of a folder that are looked at.
const LOOKED_AT: usize = 20_000;

/// Why an entry of a list gives nothing to play.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Lacking {
    #[error("is not there, or cannot be looked at")]
    Missing,
    #[error("is no file of music: {} are played", ENDINGS.join(", "))]
    NotMusic,
    #[error("is a folder without a file of music: {} are played", ENDINGS.join(", "))]
    NothingInIt,
}

/// The files of a list: each entry a file, or a folder whose own files are taken by name. `at` is the folder that the
/// entries are relative to. With it the entries, by index, that give nothing.
pub fn files(at: &Path, entries: &[String]) -> (Vec<PathBuf>, Vec<(usize, Lacking)>) {
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

fn of_entry(path: &Path) -> Result<Vec<PathBuf>, Lacking> {
    // Only what is a plain file in the end: a pipe or a device could keep the reader waiting for ever.
    let what = fs::metadata(path).map_err(|_| Lacking::Missing)?;
    if what.is_file() {
        return if is_music(path) { Ok(vec![path.to_owned()]) } else { Err(Lacking::NotMusic) };
    }
    let entries = fs::read_dir(path).map_err(|_| Lacking::Missing)?;
    let paths = entries.take(LOOKED_AT).filter_map(|entry| Some(entry.ok()?.path()));
    let mut files: Vec<PathBuf> =
        paths.filter(|path| is_music(path) && fs::metadata(path).is_ok_and(|what| what.is_file())).collect();
    files.sort_by_cached_key(|path| (path.to_string_lossy().to_lowercase(), path.clone()));
    if files.is_empty() { Err(Lacking::NothingInIt) } else { Ok(files) }
}

fn is_music(path: &Path) -> bool {
    let hidden = path.file_name().is_none_or(|name| name.to_string_lossy().starts_with('.'));
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    !hidden && ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
}
