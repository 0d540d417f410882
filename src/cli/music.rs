//! The music files of a session.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use class::session::Session;
use class::session::fault::{Fault, FaultCode, LazyPath};
use sound::music::{PlaylistError, files};

/// The folder that the paths in a session file are relative to: its own, or the current one for standard input.
pub(crate) fn folder(file: &Path) -> PathBuf {
    file.parent().map_or_else(PathBuf::new, Path::to_owned)
}

/// A file or folder has nothing to play.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{path}\" {why}")]
pub(crate) struct NothingToPlay {
    path: String,
    #[source]
    why: PlaylistError,
}

/// The playlists of a class, none of them empty, and for each block the index of its playlist.
#[derive(Debug, Default)]
pub(crate) struct MusicLists {
    pub lists: Vec<Arc<[PathBuf]>>,
    pub of_block: Vec<Option<usize>>,
}

impl MusicLists {
    /// The music that the session names, without missing files.
    pub(crate) fn of_session(session: &Session, folder: &Path) -> MusicLists {
        let mut lists = MusicLists::default();
        let mut before: Option<(&Arc<[String]>, Option<usize>)> = None;
        for block in &session.blocks {
            let list = match before {
                Some((music, list)) if Arc::ptr_eq(music, &block.music) => list,
                _ => lists.list(files(folder, &block.music).0),
            };
            lists.of_block.push(list);
            before = Some((&block.music, list));
        }
        lists
    }

    /// One file or folder for the whole class.
    ///
    /// # Errors
    /// When there is nothing to play in it.
    pub(crate) fn of_path(session: &Session, path: &str) -> Result<MusicLists, NothingToPlay> {
        let (files, lacking) = files(Path::new(""), &[path.to_owned()]);
        if let Some(&(_, why)) = lacking.first() {
            return Err(NothingToPlay { path: path.to_owned(), why });
        }
        let mut lists = MusicLists::default();
        let list = lists.list(files);
        lists.of_block = vec![list; session.blocks.len()];
        Ok(lists)
    }

    /// The index of the playlist with these files; None if there are no files.
    fn list(&mut self, files: Vec<PathBuf>) -> Option<usize> {
        if files.is_empty() {
            return None;
        }
        let known = self.lists.iter().position(|list| **list == *files);
        Some(known.unwrap_or_else(|| {
            self.lists.push(files.into());
            self.lists.len() - 1
        }))
    }
}

/// A warning for each entry of the session's music that has nothing to play.
pub(crate) fn missing(session: &Session, folder: &Path) -> Vec<Fault> {
    let top = LazyPath::FILE;
    let blocks = top.field("blocks");
    let mut found = warnings(top, &session.music, folder);
    for (index, block) in session.blocks.iter().enumerate() {
        if !Arc::ptr_eq(&block.music, &session.music) {
            found.extend(warnings(blocks.item(index), &block.music, folder));
        }
    }
    found
}

fn warnings(here: LazyPath<'_>, music: &[String], folder: &Path) -> Vec<Fault> {
    let here = here.field("music");
    let (_, lacking) = files(folder, music);
    let warning = |(entry, why)| {
        let at = here.item(entry).value();
        let help = "paths are relative to the session file; a class skips music that is missing";
        Fault::warning(FaultCode::NoMusic, at, format!("\"{}\" {why}", music[entry])).help(help)
    };
    lacking.into_iter().map(warning).collect()
}
