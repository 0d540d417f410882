//! Reading text, up to a largest size.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use super::CommandError;
use super::error::Cause;
use class::nearest_name::nearest;

/// Why a file cannot be read as text.
#[derive(Debug, thiserror::Error)]
enum ReadError {
    #[error("there is no such file")]
    Missing,
    /// With the most bytes that are read.
    #[error("larger than {0} bytes")]
    TooLarge(usize),
    /// With the number of bytes before the first that is not text.
    #[error("not UTF-8 text from byte {0} on")]
    NotText(usize),
}

/// How many files of a folder are compared with the name of a missing file.
const MOST_BESIDE: usize = 1_000;

/// Reads a file of at most `most` bytes; standard input for `-`.
pub(crate) fn read(path: &Path, most: usize) -> Result<String, CommandError> {
    let text = if path.as_os_str() == "-" {
        read_bounded(io::stdin().lock(), most)
    } else {
        File::open(path).and_then(|file| read_bounded(file, most))
    };
    let bytes = text.map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => {
            cannot(path, ReadError::Missing).hint(similar_file(path).map(|near| format!("did you mean {near}?")))
        }
        _ => cannot(path, error),
    })?;
    if bytes.len() > most {
        return Err(cannot(path, ReadError::TooLarge(most)));
    }
    String::from_utf8(bytes).map_err(|error| cannot(path, ReadError::NotText(error.utf8_error().valid_up_to())))
}

fn cannot(path: &Path, why: impl Into<Cause>) -> CommandError {
    CommandError::cannot(format_args!("read {}", path.display()), why)
}

/// The file in the folder of a missing file whose name is the most similar, with or without its extension.
fn similar_file(path: &Path) -> Option<String> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let wanted = path.file_name()?.to_str()?;
    let mut names: Vec<String> = folder
        .read_dir()
        .ok()?
        .take(MOST_BESIDE)
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .collect();
    names.sort();
    let bare = names.iter().find(|name| Path::new(name).file_stem().is_some_and(|stem| stem == wanted));
    let near = bare.map(String::as_str).or_else(|| nearest(wanted, names.iter().map(String::as_str)))?;
    Some(path.with_file_name(near).display().to_string())
}

/// Reads at most one byte more than allowed, so that the caller notices when there is too much.
fn read_bounded(from: impl Read, most: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(most as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}
