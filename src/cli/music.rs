//! The music of a session on the disk: whether it is there.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use class::session::Session;
use class::session::fault::{Code, Fault, Here};
use sound::music::files;

/// The folder that the paths in a session file are relative to: its own, or the current one for standard input.
pub fn folder(file: &Path) -> PathBuf {
    file.parent().map_or_else(PathBuf::new, Path::to_owned)
}

/// The lists that a class plays, none of them empty, and for each block which of them.
#[derive(Debug, Default)]
pub struct Lists {
    pub lists: Vec<Arc<[PathBuf]>>,
    pub of_block: Vec<Option<usize>>,
}

impl Lists {
    /// The music that the session names, as far as it is there.
    pub fn of_session(session: &Session, folder: &Path) -> Lists {
        let mut lists = Lists::default();
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

    /// One file or folder under the whole class.
    ///
    /// # Errors
    /// One line, when there is nothing to play in it.
    pub fn of_path(session: &Session, path: &str) -> Result<Lists, String> {
        let (files, lacking) = files(Path::new(""), &[path.to_owned()]);
        if let Some((_, why)) = lacking.first() {
            return Err(format!("\"{path}\" {why}"));
        }
        let mut lists = Lists::default();
        let list = lists.list(files);
        lists.of_block = vec![list; session.blocks.len()];
        Ok(lists)
    }

    /// The place of a list of these files, which is none where there are none.
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

/// A warning for each entry of the session's music that gives nothing to play.
pub fn missing(session: &Session, folder: &Path) -> Vec<Fault> {
    let top = Here::FILE;
    let blocks = top.field("blocks");
    let mut found = warnings(top, &session.music, folder);
    for (index, block) in session.blocks.iter().enumerate() {
        if !Arc::ptr_eq(&block.music, &session.music) {
            found.extend(warnings(blocks.item(index), &block.music, folder));
        }
    }
    found
}

fn warnings(here: Here<'_>, music: &[String], folder: &Path) -> Vec<Fault> {
    let here = here.field("music");
    let (_, lacking) = files(folder, music);
    let warning = |(entry, why)| {
        let at = here.item(entry).value();
        let help = "paths are relative to the session file; the class goes on without what is not there";
        Fault::warning(Code::NoMusic, at, format!("\"{}\" {why}", music[entry])).help(help)
    };
    lacking.into_iter().map(warning).collect()
}
