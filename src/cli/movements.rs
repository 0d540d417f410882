//! The movements a command works with: built in, the coach's own, and those of `--movements`.

use std::path::PathBuf;

use super::{Stop, dirs, input};
use crate::movement::{Catalogue, LARGEST_FILE, Source};

/// The coach's own movements, in the configuration folder.
const OWN: &str = "movements.ron";

#[derive(Debug, clap::Args)]
pub struct Movements {
    /// Take further movements from a file; they come before those of the same id
    #[arg(long = "movements", id = "movements", value_name = "FILE")]
    files: Vec<PathBuf>,
}

impl Movements {
    /// The catalogue of all of them.
    pub fn catalogue(&self) -> Result<Catalogue, Stop> {
        let own = dirs::config().map(|folder| folder.join(OWN)).filter(|file| file.exists());
        let mut texts = Vec::new();
        for file in own.iter().chain(&self.files) {
            texts.push((file.display().to_string(), input::read(file, LARGEST_FILE)?));
        }
        let sources: Vec<Source> = texts.iter().map(|(name, text)| Source { name, text }).collect();
        Catalogue::with(&sources).map_err(|faults| {
            let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
            Stop::Faults(lines.join("\n"))
        })
    }
}
