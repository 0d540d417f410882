//! Reading text, never more than a bound.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use super::Stop;

/// Reads a file, or standard input for `-`, of at most `most` bytes.
pub fn read(path: &Path, most: usize) -> Result<String, Stop> {
    let cannot = |why: String| Stop::Cannot(format!("cannot read {}: {why}", path.display()));
    let text = if path.as_os_str() == "-" {
        bounded(io::stdin().lock(), most)
    } else {
        File::open(path).and_then(|file| bounded(file, most))
    };
    let bytes = text.map_err(|error| cannot(error.to_string()))?;
    if bytes.len() > most {
        return Err(cannot(format!("larger than {most} bytes")));
    }
    String::from_utf8(bytes)
        .map_err(|error| cannot(format!("not UTF-8 text from byte {} on", error.utf8_error().valid_up_to())))
}

/// One byte more than the bound at most, so that too much can be told.
fn bounded(from: impl Read, most: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(most as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}
