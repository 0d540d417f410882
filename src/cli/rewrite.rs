//! Writing changes back into a file that the coach wrote.

use std::fs;
use std::io::Write;
use std::path::Path;

use super::CommandError;
use super::error::OrCannot;

/// Rewrites a file, whole or not at all. Its permissions stay. `was` is the text that was changed: if the file has
/// another text by now, nothing is written.
///
/// # Errors
/// When another program has changed the file, or it cannot be written.
pub(crate) fn rewrite(path: &Path, was: &str, now: &str) -> Result<(), CommandError> {
    let what = format!("write {}", path.display());
    // A link stays a link: its target is written.
    let path = &fs::canonicalize(path).or_cannot(&what)?;
    let on_disk = fs::read(path).or_cannot(&what)?;
    let mark: &[u8] = if on_disk.starts_with(MARK) { MARK } else { &[] };
    if on_disk[mark.len()..] != *was.as_bytes() {
        return Err(CommandError::cannot(what, "it was changed in the meantime, and is left as it is"));
    }
    let folder = path.parent().unwrap_or(Path::new("."));
    let write = || -> std::io::Result<()> {
        let mut file = tempfile::NamedTempFile::new_in(folder)?;
        file.write_all(mark)?;
        file.write_all(now.as_bytes())?;
        file.as_file().set_permissions(fs::metadata(path)?.permissions())?;
        file.as_file().sync_all()?;
        file.persist(path).map_err(|error| error.error)?;
        Ok(())
    };
    write().or_cannot(what)
}

/// The byte order mark that some editors put before a text.
const MARK: &[u8] = b"\xef\xbb\xbf";
