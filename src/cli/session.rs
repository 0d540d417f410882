//! A session file from the disk: read, compiled, checked.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::movements::{self, MovementArgs};
use super::{CommandError, changeover_costs, faults, input, music, viewing};
use class::check::{PastClasses, advised, check};
use class::cue::{SpeechSettings, plan_and_insert_cues};
use class::movement::{Catalogue, Region};
use class::schedule::{ChangeoverCosts, Schedule, compile_with};
use class::session::fault::{FaultReport, FaultSpot, Severity};
use class::session::tree::FileTree;
use class::session::{Session, limits, read};
use class::time::{Tick, clock};

/// What was found in a file: its faults, and the class that it makes if it has no fault.
#[derive(Debug)]
pub struct CheckedSession {
    /// The name of the file in its faults.
    pub name: String,
    pub text: String,
    pub report: FaultReport,
    pub schedule: Option<Schedule>,
}

/// Reads, compiles and checks a file. `look_after` adds to the regions that the file itself looks after.
///
/// # Errors
/// When the file cannot be read. Faults in it are not an error here.
pub fn open(
    path: &Path,
    catalogue: &Catalogue,
    look_after: &[Region],
    costs: &ChangeoverCosts,
) -> Result<CheckedSession, CommandError> {
    let (name, text) = name_and_text(path)?;
    Ok(check_with_past(name, text, Some(&music::folder(path)), catalogue, look_after, costs, None))
}

/// The same, with advice. `past`: the earlier classes that the advice takes into account.
///
/// # Errors
/// When the file cannot be read.
pub fn open_with_advice(
    path: &Path,
    catalogue: &Catalogue,
    look_after: &[Region],
    costs: &ChangeoverCosts,
    past: &PastClasses,
) -> Result<CheckedSession, CommandError> {
    let (name, text) = name_and_text(path)?;
    Ok(check_with_past(name, text, Some(&music::folder(path)), catalogue, look_after, costs, Some(past)))
}

/// The name of a file in its faults, and its text.
fn name_and_text(path: &Path) -> Result<(String, String), CommandError> {
    let mut text = input::read(path, limits::FILE as usize)?;
    // A byte order mark is no part of the text.
    if text.starts_with('\u{feff}') {
        text.drain(..'\u{feff}'.len_utf8());
    }
    let name = if path.as_os_str() == "-" { "standard input".to_owned() } else { path.display().to_string() };
    Ok((name, text))
}

/// Compiles and checks the text of a file. `name` is the name of the file in its faults. `folder` is the folder that
/// the paths in it are relative to; None if no files are to be looked for on the disk.
pub fn check_text(
    name: String,
    text: String,
    folder: Option<&Path>,
    catalogue: &Catalogue,
    look_after: &[Region],
    costs: &ChangeoverCosts,
) -> CheckedSession {
    check_with_past(name, text, folder, catalogue, look_after, costs, None)
}

fn check_with_past(
    name: String,
    text: String,
    folder: Option<&Path>,
    catalogue: &Catalogue,
    look_after: &[Region],
    costs: &ChangeoverCosts,
    past: Option<&PastClasses>,
) -> CheckedSession {
    let mut reading = read(&text, catalogue);
    let schedule =
        reading.session.take().map(|session| compile_with(Arc::new(with_regions(session, look_after)), costs));
    if let Some(schedule) = &schedule {
        reading.faults.extend(check(schedule));
        reading
            .faults
            .extend(past.into_iter().flat_map(|past| advised(schedule, past, viewing::class_viewing().as_ref())));
        reading.faults.extend(folder.iter().flat_map(|folder| music::missing(&schedule.session, folder)));
    }
    let needs_tree = |spot: &FaultSpot| !matches!(spot, FaultSpot::Bytes(_) | FaultSpot::File);
    let needs_tree = reading
        .faults
        .iter()
        .any(|fault| needs_tree(&fault.at) || fault.related.as_ref().is_some_and(|(spot, _)| needs_tree(spot)));
    let tree = if needs_tree { FileTree::read(&text) } else { None };
    let report = FaultReport::new(reading.faults, tree.as_ref());
    let schedule = schedule.filter(|_| report.is_usable());
    CheckedSession { name, text, report, schedule }
}

fn with_regions(mut session: Session, look_after: &[Region]) -> Session {
    for region in look_after {
        if !session.look_after.contains(region) {
            session.look_after.push(*region);
        }
    }
    session
}

/// One line about a file: what was found, and how long the class takes.
pub fn summary(file: &CheckedSession) -> String {
    let told = || file.report.faults.iter().filter(|placed| placed.fault.allowed.is_none());
    let count = |severity| told().filter(|placed| placed.fault.severity == severity).count();
    let several = |count: usize, what: &str| match count {
        0 => None,
        1 => Some(format!("1 {what}")),
        _ => Some(format!("{count} {what}s")),
    };
    let (found, warned) = (count(Severity::Fault), count(Severity::Warning));
    let mut parts: Vec<String> = several(found, "fault").into_iter().chain(several(warned, "warning")).collect();
    parts.extend(several(count(Severity::Info), "hint"));
    if parts.is_empty() {
        parts.push("no faults".to_owned());
    }
    let allowed = file.report.faults.len() - told().count();
    if allowed > 0 {
        parts.push(format!("{allowed} allowed"));
    }
    if let Some(schedule) = &file.schedule {
        let total = schedule.total();
        parts.push(clock(total));
        if let Some(slot) = schedule.session.slot {
            let (spare, over) = (slot.saturating_sub(total), total.saturating_sub(slot));
            parts.push(match over.0 {
                0 => format!("{} spare", clock(spare)),
                _ => format!("{} over the slot", clock(over)),
            });
        }
    }
    format!("{}: {}", file.name, parts.join(", "))
}

/// A file that can be led.
#[derive(Debug)]
pub struct LoadedSession {
    /// The class with its cues.
    pub schedule: Schedule,
    /// Its text as it was read.
    pub text: String,
    /// The movements that it was read with.
    pub catalogue: Catalogue,
    /// The movement files among them, each with its text.
    pub movements: Vec<(String, String)>,
    /// What changeovers cost in this class.
    pub costs: ChangeoverCosts,
    /// What the coach should know about it, ready to print on standard error; empty if there is nothing.
    pub warnings: String,
}

/// The session file and the movements, for the commands that take one session.
#[derive(Debug, clap::Args)]
pub struct SessionArgs {
    /// The session file, or - for standard input
    pub file: PathBuf,
    #[command(flatten)]
    pub movements: MovementArgs,
}

impl SessionArgs {
    /// The folder that the paths in the file are relative to.
    pub fn folder(&self) -> PathBuf {
        music::folder(&self.file)
    }

    /// Loads the file.
    ///
    /// # Errors
    /// When it cannot be read or has faults. The message lists the faults, ready to print.
    pub fn load(&self) -> Result<LoadedSession, CommandError> {
        let movements = self.movements.texts()?;
        let catalogue = movements::catalogue(&movements)?;
        let costs = changeover_costs::costs();
        let checked = open(&self.file, &catalogue, &[], &costs)?;
        let told = faults::render(&checked, faults::FaultStyle::of_stderr());
        match checked.schedule {
            Some(mut schedule) => {
                plan_and_insert_cues(&mut schedule, Tick::ZERO, &SpeechSettings::default());
                Ok(LoadedSession { schedule, text: checked.text, catalogue, movements, costs, warnings: told })
            }
            None => Err(CommandError::faults(told)),
        }
    }
}
