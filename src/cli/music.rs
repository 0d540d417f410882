//! The music of a session on the disk: whether it is there.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::session::Session;
use crate::session::fault::{Code, Fault, Here};
use crate::sound::music::files;

/// The folder that the paths in a session file are relative to: its own, or the current one for standard input.
pub fn folder(file: &Path) -> PathBuf {
    file.parent().map_or_else(PathBuf::new, Path::to_owned)
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
