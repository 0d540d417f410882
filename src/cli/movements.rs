//! The movements of a command: built in, the coach's own, and those of `--movements`.

use std::ops::Range;
use std::path::PathBuf;

use super::session::Checked;
use super::{Stop, dirs, faults, input};
use class::movement::{self, Catalogue, LARGEST_FILE, Place, Source};
use class::session::fault::{Code, Fault, Path, Report, Spot, Step};
use class::session::tree::Tree;

/// The file of the coach's own movements, in the configuration folder.
const OWN: &str = "movements.ron";

#[derive(Clone, Debug, Default, clap::Args)]
pub struct Movements {
    /// Load more movements from a file; they replace those with the same id
    #[arg(long = "movements", id = "movements", value_name = "FILE")]
    files: Vec<PathBuf>,
}

impl Movements {
    /// The catalogue of all of them.
    pub fn catalogue(&self) -> Result<Catalogue, Stop> {
        catalogue(&self.texts()?)
    }

    /// The files and their texts. Movements in a later file replace those in an earlier one.
    pub fn texts(&self) -> Result<Vec<(String, String)>, Stop> {
        let own = dirs::config().map(|folder| folder.join(OWN)).filter(|file| file.exists());
        let files = own.iter().chain(&self.files);
        files.map(|file| Ok((file.display().to_string(), input::read(file, LARGEST_FILE)?))).collect()
    }
}

/// The catalogue of some files with their texts, and of the movements built in.
pub fn catalogue(texts: &[(String, String)]) -> Result<Catalogue, Stop> {
    let sources: Vec<Source> = texts.iter().map(|(name, text)| Source { name, text }).collect();
    Catalogue::with(&sources).map_err(|faults| {
        let told = sources.iter().map(|source| told(source, &faults));
        Stop::Faults(told.collect())
    })
}

/// The faults of one file as text, each with its line.
fn told(source: &Source, found: &[movement::Fault]) -> String {
    let own: Vec<Fault> =
        found.iter().filter(|fault| fault.file == source.name).map(|fault| of(fault, source)).collect();
    if own.is_empty() {
        return String::new();
    }
    let report = Report::new(own, Tree::read(source.text).as_ref());
    let (name, text) = (source.name.to_owned(), source.text.to_owned());
    faults::render(&Checked { name, text, report, schedule: None }, faults::Style::of_stderr())
}

/// A fault of a movement file, turned into a fault as sessions have.
fn of(fault: &movement::Fault, source: &Source) -> Fault {
    let code = if fault.at.is_some() { Code::Syntax } else { Code::BadMovement };
    let spot = match (fault.at, &fault.place) {
        (Some(at), _) => Spot::Bytes(byte_at(source.text, at)),
        (None, Place { movement: None, .. }) => Spot::File,
        (None, place) => {
            let steps = place.movement.map(Step::Item).into_iter().chain(place.field.map(Step::Field));
            Spot::Value(Path(steps.chain(place.items.iter().copied().map(Step::Item)).collect()))
        }
    };
    Fault { help: fault.help.clone(), ..Fault::new(code, spot, &*fault.message) }
}

/// The bytes of the character at a line and a column, both from 1.
fn byte_at(text: &str, (line, column): (usize, usize)) -> Range<usize> {
    let start: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    let letter = text[start..].char_indices().nth(column.saturating_sub(1));
    letter.map_or(text.len()..text.len(), |(at, letter)| start + at..start + at + letter.len_utf8())
}
