//! `forecall lead`: lead a class.

use std::io;
use std::path::{Path, PathBuf};

use super::class_run::{ClassRunArgs, ClassToLead};
use super::error::OrCannot;
use super::movements::MovementArgs;
use super::notes::note;
use super::resume::{self, ResumeDecision};
use super::session::{LoadedSession, SessionArgs};
use super::{CommandError, Exit, journals, keys};
use class::schedule::Schedule;
use journal::Journal;
use stage::lead::{ClassOpening, Conductor, opening};
use stage::runtime::ClockReading;

/// Lead a class
#[derive(Debug, clap::Args)]
#[command(after_help = "Space starts, pauses and resumes the class; ? shows all keys.\n\n\
    Without a terminal or a keyboard, the class is printed line by line and starts by itself after a count-in of 5 s. \
    Blocks that wait for the coach then start by themselves too.\n\n\
    Everything is recorded as it happens. To resume a class that was cut off, lead the same file again or use \
    `forecall resume`. `forecall log` shows a class afterwards.")]
pub(crate) struct LeadArgs {
    /// The session file, or - for standard input
    #[arg(required = true)]
    file: Option<PathBuf>,
    #[command(flatten)]
    movements: MovementArgs,
    /// Show what your clicker or pedals send; no class runs
    #[arg(long, exclusive = true)]
    keys: bool,
    /// Start at a block, by letter, number or name, or at one of its stations: B, Hinge, B.3
    #[arg(long, value_name = "BLOCK[.STATION]")]
    from: Option<String>,
    /// Start at a time of day, such as 18:15
    #[arg(long, value_name = "HH:MM")]
    at: Option<String>,
    #[command(flatten)]
    how: ClassRunArgs,
}

/// Leads the class to its end. If a signal ends it, the exit code is 128 plus the number of the signal.
///
/// # Errors
/// When the file has faults, an option is wrong or the terminal cannot be used.
pub(crate) fn run(args: &LeadArgs) -> Result<Exit, CommandError> {
    let Some(file) = &args.file else {
        return keys::run_keys(&args.how.keymap());
    };
    let session = SessionArgs { file: file.clone(), movements: args.movements.clone() };
    let file = journals::canonical_path(&session.file);
    // A coach who says where to start does not want the class that was cut off.
    let asked = args.from.is_some() || args.at.is_some();
    match resume::ask_to_resume(&file, &args.how, asked)? {
        ResumeDecision::Resume(part) => return args.how.lead(*part),
        ResumeDecision::Leave(code) => return Ok(code),
        ResumeDecision::Fresh => {}
    }
    let loaded = session.load()?;
    note(&loaded.warnings);
    args.how.lead(FreshClass { loaded, file, folder: session.folder(), args })
}

/// A new class, from its start or from a place in it.
struct FreshClass<'a> {
    loaded: LoadedSession,
    /// The path of the session file in the journal.
    file: PathBuf,
    folder: PathBuf,
    args: &'a LeadArgs,
}

impl ClassToLead for FreshClass<'_> {
    fn schedule(&self) -> &Schedule {
        &self.loaded.schedule
    }

    fn folder(&self) -> PathBuf {
        self.folder.clone()
    }

    fn opening(&self, mut opening: ClassOpening, now: &ClockReading) -> Result<ClassOpening, CommandError> {
        if let Some(text) = &self.args.from {
            opening.from = opening::start_tick(self.schedule(), text).or_wrong("--from")?;
        }
        if let Some(text) = &self.args.at {
            let wait = opening::time_of_day(text, &now.wall).or_wrong("--at")?;
            opening.begins = Some(now.at.after(wait));
        }
        opening.movements = self.loaded.catalogue.iter().cloned().collect();
        Ok(opening)
    }

    fn class(
        self,
        opening: ClassOpening,
        now: ClockReading,
        fails: impl FnOnce(&io::Error) + Send + 'static,
    ) -> Result<(Conductor, Option<Journal>), CommandError> {
        let journal = journals::begin(&self.loaded, Path::new(&self.file), &opening, &now, self.args.how.speed, fails);
        Ok((Conductor::new(self.loaded.schedule, opening, now), journal))
    }
}
