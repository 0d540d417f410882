//! `forecall lead`: lead a class.

use std::path::{Path, PathBuf};

use super::leading::{How, Part};
use super::movements::Movements;
use super::notes::note;
use super::resume::{self, Offer};
use super::session::{Loaded, SessionFile};
use super::{Exit, Stop, journals, keys};
use class::schedule::Schedule;
use journal::Journal;
use stage::lead::{Conductor, Opening, opening};
use stage::runtime::Reading;

/// Lead a class
#[derive(Debug, clap::Args)]
#[command(after_help = "Space starts the class, holds it and goes on; ? shows all keys.\n\n\
    Where the output is no terminal, or there is no keyboard, the class is told in lines and starts by itself after a \
    count-in of five seconds; so do the blocks in it that wait for the coach.\n\n\
    Everything is written down as it happens: a class that breaks off can be gone on with, by leading the same file \
    again or by `forecall resume`; `forecall log` shows it afterwards.")]
pub struct Args {
    /// The session file, or - for standard input
    #[arg(required = true)]
    file: Option<PathBuf>,
    #[command(flatten)]
    movements: Movements,
    /// Show what each key of a device sends, by the name that a key map has for it, and lead nothing
    #[arg(long, exclusive = true)]
    keys: bool,
    /// Begin at a block, by letter, number or name, or at a station of it: B, Hinge, B.3
    #[arg(long, value_name = "BLOCK[.STATION]")]
    from: Option<String>,
    /// Begin at a time of day, such as 18:15
    #[arg(long, value_name = "HH:MM")]
    at: Option<String>,
    #[command(flatten)]
    how: How,
}

/// Leads the class to its end. The exit code is that of the signal, where one ends it: 128 and its number.
///
/// # Errors
/// When the file has faults, an option is wrong or the terminal cannot be had.
pub fn run(args: &Args) -> Result<Exit, Stop> {
    let Some(file) = &args.file else {
        return keys::run_keys(&args.how.keymap());
    };
    let session = SessionFile { file: file.clone(), movements: args.movements.clone() };
    let file = journals::known_as(&session.file);
    // Whoever says where to begin does not mean the class that broke off.
    let asked = args.from.is_some() || args.at.is_some();
    match resume::offer(&file, &args.how, asked)? {
        Offer::GoOn(part) => return args.how.lead(*part),
        Offer::Leave(code) => return Ok(code),
        Offer::Fresh => {}
    }
    let loaded = session.load()?;
    note(&loaded.warnings);
    args.how.lead(Fresh { loaded, file, folder: session.folder(), args })
}

/// A class from its beginning, or from a place in it.
struct Fresh<'a> {
    loaded: Loaded,
    /// What the journal calls the session file.
    file: PathBuf,
    folder: PathBuf,
    args: &'a Args,
}

impl Part for Fresh<'_> {
    fn schedule(&self) -> &Schedule {
        &self.loaded.schedule
    }

    fn folder(&self) -> PathBuf {
        self.folder.clone()
    }

    fn opening(&self, mut opening: Opening, now: &Reading) -> Result<Opening, Stop> {
        let wrong = |option: &str, why: String| Stop::Cannot(format!("--{option}: {why}"));
        if let Some(text) = &self.args.from {
            opening.from = opening::place(self.schedule(), text).map_err(|why| wrong("from", why))?;
        }
        if let Some(text) = &self.args.at {
            let ms = opening::time_of_day(text, &now.wall).map_err(|why| wrong("at", why))?;
            opening.begins = Some(now.at.after(ms));
        }
        opening.movements = self.loaded.catalogue.iter().cloned().collect();
        Ok(opening)
    }

    fn class(
        self,
        opening: Opening,
        now: Reading,
        fails: impl FnOnce(String) + Send + 'static,
    ) -> Result<(Conductor, Option<Journal>), Stop> {
        let journal = journals::begin(&self.loaded, Path::new(&self.file), &opening, &now, self.args.how.speed, fails);
        Ok((Conductor::new(self.loaded.schedule, opening, now), journal))
    }
}
