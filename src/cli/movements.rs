//! The movements of a command: built in, the coach's own, and those of `--movements`.

use std::ops::Range;
use std::path::PathBuf;

use super::session::CheckedSession;
use super::{CommandError, dirs, faults, input};
use class::movement::{self, Catalogue, CatalogueFaultPlace, CatalogueSource, LARGEST_FILE};
use class::session::fault::{Fault, FaultCode, FaultReport, FaultSpot, PathStep, ValuePath};
use class::session::tree::FileTree;

/// The file of the coach's own movements, in the configuration folder.
const OWN: &str = "movements.ron";

#[derive(Clone, Debug, Default, clap::Args)]
pub struct MovementArgs {
    /// Load more movements from a file; they replace those with the same id
    #[arg(long = "movements", id = "movements", value_name = "FILE")]
    files: Vec<PathBuf>,
}

impl MovementArgs {
    /// The catalogue of all of them.
    pub fn catalogue(&self) -> Result<Catalogue, CommandError> {
        catalogue(&self.texts()?)
    }

    /// The files and their texts. Movements in a later file replace those in an earlier one.
    pub fn texts(&self) -> Result<Vec<(String, String)>, CommandError> {
        let own = dirs::config().map(|folder| folder.join(OWN)).filter(|file| file.exists());
        let files = own.iter().chain(&self.files);
        files.map(|file| Ok((file.display().to_string(), input::read(file, LARGEST_FILE)?))).collect()
    }
}

/// The catalogue of some files with their texts, and of the movements built in.
pub(crate) fn catalogue(texts: &[(String, String)]) -> Result<Catalogue, CommandError> {
    let sources: Vec<CatalogueSource> = texts.iter().map(|(name, text)| CatalogueSource { name, text }).collect();
    Catalogue::with(&sources).map_err(|faults| {
        let told: String = sources.iter().map(|source| faults_text(source, &faults)).collect();
        CommandError::faults(told)
    })
}

/// The faults of one file as text, each with its line.
fn faults_text(source: &CatalogueSource, found: &[movement::CatalogueFault]) -> String {
    let own: Vec<Fault> =
        found.iter().filter(|fault| fault.file == source.name).map(|fault| to_session_fault(fault, source)).collect();
    if own.is_empty() {
        return String::new();
    }
    let report = FaultReport::new(own, FileTree::read(source.text).as_ref());
    let (name, text) = (source.name.to_owned(), source.text.to_owned());
    faults::render(&CheckedSession { name, text, report, schedule: None }, faults::FaultStyle::of_stderr())
}

/// A fault of a movement file, turned into a fault as sessions have.
fn to_session_fault(fault: &movement::CatalogueFault, source: &CatalogueSource) -> Fault {
    let code = if fault.at.is_some() { FaultCode::Syntax } else { FaultCode::BadMovement };
    let spot = match (fault.at, &fault.place) {
        (Some(at), _) => FaultSpot::Bytes(byte_at(source.text, at)),
        (None, CatalogueFaultPlace { movement: None, .. }) => FaultSpot::File,
        (None, place) => {
            let steps = place.movement.map(PathStep::Item).into_iter().chain(place.field.map(PathStep::Field));
            FaultSpot::Value(ValuePath(steps.chain(place.items.iter().copied().map(PathStep::Item)).collect()))
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
