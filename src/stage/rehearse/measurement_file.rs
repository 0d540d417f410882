//! Measured changeovers, kept on the disk from one rehearsal to the next.

use std::fs;
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use class::schedule::{TransitionKind, TransitionSample};
use class::time::Tick;

/// The file of the measured changeovers: a line of JSON for each, the oldest first.
#[derive(Clone, Debug)]
pub struct MeasurementFile {
    file: PathBuf,
}

/// The file's name in the coach's data folder.
const NAME: &str = "transitions.jsonl";
/// The most changeovers that are kept: the newest, from years of classes.
const MOST: usize = 5_000;
/// The most bytes of the file that are read.
const LARGEST: u64 = 2 << 20;

/// A changeover as written in the file.
#[derive(Serialize, Deserialize)]
struct MeasurementLine {
    kind: String,
    took_ms: u64,
    who: String,
}

impl MeasurementFile {
    /// The measured changeovers of a folder; the folder need not exist.
    pub fn in_folder(folder: &Path) -> MeasurementFile {
        MeasurementFile { file: folder.join(NAME) }
    }

    /// All changeovers that were measured. Lines that cannot be read are skipped.
    ///
    /// # Errors
    /// When there is a file that cannot be read.
    pub fn read(&self) -> io::Result<Vec<TransitionSample>> {
        let file = match fs::File::open(&self.file) {
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
            file => file?,
        };
        let mut bytes = Vec::new();
        file.take(LARGEST).read_to_end(&mut bytes)?;
        Ok(String::from_utf8_lossy(&bytes).lines().filter_map(sample).collect())
    }

    /// Adds measured changeovers.
    ///
    /// # Errors
    /// When the file cannot be written; it is then as it was.
    pub fn add(&self, samples: &[TransitionSample]) -> io::Result<()> {
        let mut all = self.read()?;
        all.extend(samples);
        self.write(&all[all.len().saturating_sub(MOST)..])
    }

    /// Forgets the measured changeovers of a kind, or all of them; returns how many.
    ///
    /// # Errors
    /// When the file cannot be read or written; it is then as it was.
    pub fn forget(&self, kind: Option<TransitionKind>) -> io::Result<usize> {
        let all = self.read()?;
        let left: Vec<TransitionSample> =
            all.iter().copied().filter(|sample| kind.is_some_and(|kind| kind != sample.kind)).collect();
        if left.len() < all.len() {
            self.write(&left)?;
        }
        Ok(all.len() - left.len())
    }

    /// Writes the whole file, or leaves the old one.
    fn write(&self, samples: &[TransitionSample]) -> io::Result<()> {
        let folder = self.file.parent().unwrap_or(Path::new("."));
        fs::create_dir_all(folder)?;
        let mut file = tempfile::NamedTempFile::new_in(folder)?;
        for sample in samples {
            let (kind, who) = (sample.kind.to_string(), sample.who.to_string());
            serde_json::to_writer(&mut file, &MeasurementLine { kind, took_ms: sample.took.0, who })?;
            file.write_all(b"\n")?;
        }
        file.as_file().sync_all()?;
        file.persist(&self.file).map_err(|error| error.error)?;
        Ok(())
    }
}

fn sample(line: &str) -> Option<TransitionSample> {
    let line: MeasurementLine = serde_json::from_str(line).ok()?;
    Some(TransitionSample { kind: line.kind.parse().ok()?, took: Tick(line.took_ms), who: line.who.parse().ok()? })
}
