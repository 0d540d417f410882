//! The journals of the coach's classes, as the commands use them.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::{SignedDuration, ZonedDateTime};

use super::error::OrCannot;
use super::session::LoadedSession;
use super::{CommandError, config, dirs};
use class::check::{PastClass, PastClasses, past};
use class::time::Tick;
use journal::{
    Journal, JournalFolder, JournalHeader, ListedJournal, MeasuredRecord, OpeningRecord as Opened, PlannedClass,
    StoredFile, VERSION, replay,
};
use stage::lead::ClassOpening;
use stage::runtime::{ClockReading, ClockTime};

/// The word for the last class, in place of its id.
const LAST: &str = "last";

/// How many days back classes are compared, to find what is harder than it was.
const FORTNIGHT: u16 = 14;

/// The folder of journals; None if there is no home folder.
pub(crate) fn folder() -> Option<JournalFolder> {
    dirs::data().map(|data| JournalFolder::new(data.join("journal")))
}

/// The path of a session file in journals. It is the same whichever folder the file is named from.
pub(crate) fn canonical_path(file: &Path) -> PathBuf {
    if file.as_os_str() == "-" { file.to_owned() } else { file.canonicalize().unwrap_or_else(|_| file.to_owned()) }
}

/// Opens the journal of a class that is about to start. If it cannot be kept, `fails` is called with the reason.
pub(crate) fn begin(
    loaded: &LoadedSession,
    file: &Path,
    opening: &ClassOpening,
    now: &ClockReading,
    speed: u32,
    fails: impl FnOnce(&io::Error) + Send + 'static,
) -> Option<Journal> {
    let Some(folder) = folder() else {
        fails(&io::Error::other("there is no home folder"));
        return None;
    };
    // Before the class, while the coach can still do something about it.
    if let Err(error) = folder.prepare() {
        fails(&io::Error::new(error.kind(), format!("{}: {error}", folder.path().display())));
        return None;
    }
    let on_the_wall =
        |until: ClockTime| now.wall.timestamp().checked_add(SignedDuration::try_from(until.since(now.at)).ok()?).ok();
    let header = JournalHeader {
        journal: VERSION,
        program: env!("CARGO_PKG_VERSION").to_owned(),
        wall: now.wall.clone(),
        speed,
        session: StoredFile::new(file.display().to_string(), loaded.text.clone()),
        movements: loaded.movements.iter().map(|(path, text)| StoredFile::new(path.clone(), text.clone())).collect(),
        learned: loaded.costs.learned.iter().map(|(kind, measured)| MeasuredRecord::of(kind, measured)).collect(),
        opening: Opened {
            from_ms: opening.from.0,
            level: opening.voicing.level,
            muted: opening.muted,
            until: opening.room_free_until.and_then(on_the_wall),
        },
        plan_ms: loaded.schedule.total().0,
    };
    let open = move || {
        let (id, file) = folder.create(&ZonedDateTime::now())?;
        Ok((id, Box::new(file) as Box<dyn journal::JournalStore>))
    };
    Some(Journal::new(header, Box::new(open), fails))
}

/// All journals, the oldest first.
///
/// # Errors
/// When the folder cannot be read.
pub(crate) fn entries() -> Result<Vec<ListedJournal>, CommandError> {
    let Some(folder) = folder() else { return Ok(Vec::new()) };
    folder.entries().or_cannot(format_args!("read {}", folder.path().display()))
}

/// The journal of a class, by its id, by the beginning of an id that only one class has, or by `last`.
///
/// # Errors
/// When no class matches, or more than one does.
pub(crate) fn find(id: &str) -> Result<ListedJournal, CommandError> {
    let mut entries = entries()?;
    if id == LAST {
        return entries.pop().ok_or_else(|| CommandError::faults("no class has been led yet"));
    }
    if let Some(entry) = entries.iter().find(|entry| entry.id == id) {
        return Ok(entry.clone());
    }
    let begin: Vec<&ListedJournal> = entries.iter().filter(|entry| entry.id.starts_with(id)).collect();
    match begin[..] {
        [entry] => Ok(entry.clone()),
        [] => Err(CommandError::faults(format!("there is no class {id}")).hint("forecall log lists them".to_owned())),
        _ => {
            let ids: Vec<&str> = begin.iter().rev().take(5).map(|entry| entry.id.as_str()).collect();
            Err(CommandError::faults(format!("{id} matches more than one class: {}", ids.join(", "))))
        }
    }
}

/// The most journals that are read to find when a session was last led.
const RECENT: usize = 300;

/// The day on which each session file was last led at normal speed, as `2026-01-10`.
pub(crate) fn last_led() -> BTreeMap<PathBuf, String> {
    let mut led = BTreeMap::new();
    for entry in entries().unwrap_or_default().into_iter().rev().take(RECENT) {
        let Ok(header) = entry.header() else { continue };
        if header.speed == 1 {
            led.entry(PathBuf::from(header.session.path)).or_insert_with(|| entry.day().to_owned());
        }
    }
    led
}

/// The classes of as many days as muscles rest nights, to know which muscles have to rest.
pub(crate) fn past() -> PastClasses {
    past_days(u16::from(config::get().recovery_nights()))
}

/// The classes of at least the last two weeks, to know what is harder than it was.
pub(crate) fn past_weeks() -> PastClasses {
    past_days(u16::from(config::get().recovery_nights()).max(FORTNIGHT))
}

/// The classes of the last `days` days. Only classes that were led for people count: at normal speed, and for at least
/// a minute. Journals that cannot be read are skipped.
fn past_days(days: u16) -> PastClasses {
    let today = ZonedDateTime::now().date();
    let nights = config::get().recovery_nights();
    let first = today.checked_sub(jiff::Span::new().days(i64::from(days))).unwrap_or(today);
    let recent = entries().unwrap_or_default().into_iter().filter(|entry| entry.day() >= first.to_string().as_str());
    let class = |entry: ListedJournal| {
        let kept = entry.read().ok()?;
        let day = kept.header.wall.date();
        let left = PlannedClass::of(&kept.header).and_then(|plan| replay(&plan, &kept)).ok()?;
        let from = Tick(kept.header.opening.from_ms);
        if kept.header.speed != 1 || left.now.saturating_sub(from) < Tick::MINUTE {
            return None;
        }
        let ran = left.course.schedule();
        let work = past::work_between(ran, from, left.now);
        Some(PastClass { title: ran.session.title.clone(), day, work, session: Arc::clone(&ran.session) })
    };
    PastClasses { today, nights, classes: recent.filter_map(class).collect() }
}
