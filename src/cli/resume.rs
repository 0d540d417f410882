//! `forecall resume`: resumes a class that was cut off.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use jiff::{Timestamp, ZonedDateTime};

use super::class_run::{ClassRunArgs, ClassToLead};
use super::error::OrCannot;
use super::notes::note;
use super::{CommandError, Exit, journals, music};
use class::schedule::{Schedule, SpanPurpose};
use class::time::{Tick, clock, spoken_length};
use journal::{ClassEnding, Journal, JournalStore, ListedJournal, LockedJournal, PlannedClass, ReplayedClass, replay};
use stage::door::UnfinishedClass;
use stage::lead::{ClassOpening, Conductor};
use stage::runtime::{ClockReading, Console, terminal};

/// Resume a class that was cut off by a crash or a flat battery
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Every change made in the class is kept and can still be undone. The class uses the session as it was \
    when the class started, even if its file has been edited since."
)]
pub(crate) struct ResumeArgs {
    /// The class, by its id, the beginning of its id, or `last` [default: the last class that was cut off]
    id: Option<String>,
    /// Where to resume [default: asks in a terminal, else tick]
    #[arg(long, value_enum)]
    at: Option<ResumeAt>,
    #[command(flatten)]
    how: ClassRunArgs,
}

/// Where to resume.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum ResumeAt {
    /// Where the class was cut off; paused until you resume it
    Tick,
    /// At the start of the station or rest that was running; paused until you resume it
    Station,
    /// Where the class would be now if it had not been cut off
    Clock,
}

/// What the coach wants to do about the last class of a file, which was cut off.
pub(crate) enum ResumeDecision {
    Resume(Box<InterruptedClass>),
    Fresh,
    Leave(Exit),
}

/// After this many hours a class is no longer offered for resuming, our estimate; `forecall resume` still resumes it.
const STALE_H: i64 = 12;

/// Resumes a class and leads it to its end. The exit code is as for [`lead`](super::lead).
///
/// # Errors
/// When there is no such class, it is still being led or is finished, or the terminal cannot be used.
pub(crate) fn run(args: &ResumeArgs) -> Result<Exit, CommandError> {
    let entry = match &args.id {
        Some(id) => journals::find(id)?,
        None => last_interrupted()?,
    };
    let mut broken = InterruptedClass::open(&entry)?;
    if broken.left.ended == Some(ClassEnding::Done) {
        return Err(CommandError::faults(format!(
            "the class {} is finished: forecall log {} shows it",
            entry.id, entry.id
        )));
    }
    if broken.locked.kept.torn {
        note("The last line of its journal is incomplete and is ignored.");
    }
    broken.at = match args.at {
        Some(at) => at,
        None if args.how.keys() => match broken.ask(false)? {
            ResumeAnswer::Resume(at) => at,
            ResumeAnswer::Fresh | ResumeAnswer::Leave => return Ok(Exit::Well),
            ResumeAnswer::Ended(signal) => return Ok(Exit::Signal(signal)),
        },
        None => ResumeAt::Tick,
    };
    args.how.lead(broken)
}

/// The last class that has no end and that nobody is leading.
fn last_interrupted() -> Result<ListedJournal, CommandError> {
    for entry in journals::entries()?.into_iter().rev() {
        let Ok(kept) = entry.read() else { continue };
        let ended = PlannedClass::of(&kept.header).and_then(|plan| replay(&plan, &kept)).map(|left| left.ended);
        if ended == Ok(None) && !entry.is_led() {
            return Ok(entry);
        }
    }
    Err(CommandError::faults("no class was cut off"))
}

/// Asks a coach who leads a file about the last class of that file, if it was cut off not long ago. Without keys, or if
/// the coach has said where to start, only prints a line.
///
/// # Errors
/// When the terminal cannot be used.
pub(crate) fn ask_to_resume(file: &Path, how: &ClassRunArgs, asked: bool) -> Result<ResumeDecision, CommandError> {
    let Some(entry) = interrupted_class_of(file, how) else { return Ok(ResumeDecision::Fresh) };
    if entry.is_led() {
        note(&format!("This class is already being led, as {}.", entry.id));
        return Ok(ResumeDecision::Fresh);
    }
    // A class that cannot be resumed must not stop a new one.
    let Ok(mut broken) = InterruptedClass::open(&entry) else { return Ok(ResumeDecision::Fresh) };
    if asked || !how.keys() {
        note(&format!(
            "{}: forecall resume {} continues it. This starts a new class.",
            broken.where_it_broke(),
            entry.id
        ));
        return Ok(ResumeDecision::Fresh);
    }
    Ok(match broken.ask(true)? {
        ResumeAnswer::Resume(at) => {
            broken.at = at;
            ResumeDecision::Resume(Box::new(broken))
        }
        ResumeAnswer::Fresh => ResumeDecision::Fresh,
        ResumeAnswer::Leave => ResumeDecision::Leave(Exit::Well),
        ResumeAnswer::Ended(signal) => ResumeDecision::Leave(Exit::Signal(signal)),
    })
}

/// The last class that was cut off, if that is not long ago, for the front door.
pub(crate) fn unfinished() -> Option<UnfinishedClass> {
    let since = ZonedDateTime::now().checked_sub(jiff::Span::new().hours(STALE_H)).ok()?;
    let day = since.strftime("%Y-%m-%d").to_string();
    let recent = journals::entries().ok()?.into_iter().rev().take_while(|entry| entry.day() >= day.as_str());
    for entry in recent {
        if entry.is_led() {
            continue;
        }
        let Ok(broken) = InterruptedClass::open(&entry) else { continue };
        if broken.left.ended.is_none() && broken.left.wall >= since.timestamp() {
            let words = broken.where_it_broke();
            return Some(UnfinishedClass { id: entry.id, words });
        }
    }
    None
}

/// The last class of a file, if it has no end and is not long ago.
fn interrupted_class_of(file: &Path, how: &ClassRunArgs) -> Option<ListedJournal> {
    let now = ZonedDateTime::now();
    let since = now.checked_sub(jiff::Span::new().hours(STALE_H)).ok()?;
    let day = since.strftime("%Y-%m-%d").to_string();
    let recent = journals::entries().ok()?.into_iter().rev().take_while(|entry| entry.day() >= day.as_str());
    for entry in recent {
        let Ok(kept) = entry.read() else { continue };
        if Path::new(&kept.header.session.path) != file || kept.header.speed != how.speed {
            continue;
        }
        let left = PlannedClass::of(&kept.header).and_then(|plan| replay(&plan, &kept)).ok()?;
        return (left.ended.is_none() && left.wall >= since.timestamp()).then_some(entry);
    }
    None
}

/// A class that was cut off.
pub(crate) struct InterruptedClass {
    locked: LockedJournal,
    plan: PlannedClass,
    left: ReplayedClass,
    at: ResumeAt,
}

enum ResumeAnswer {
    Resume(ResumeAt),
    Fresh,
    Leave,
    /// By the signal of this number.
    Ended(i32),
}

impl InterruptedClass {
    fn open(entry: &ListedJournal) -> Result<InterruptedClass, CommandError> {
        let what = format!("resume {}", entry.id);
        let held = entry.lock().or_cannot(&what)?;
        let plan = PlannedClass::of(&held.kept.header).or_cannot(&what)?;
        let left = replay(&plan, &held.kept).or_cannot(&what)?;
        Ok(InterruptedClass { locked: held, plan, left, at: ResumeAt::Tick })
    }

    /// For example: `"Frost and oars" was cut off at 12:34 of 45:00, 3m20s ago`.
    fn where_it_broke(&self) -> String {
        let schedule = self.left.course.schedule();
        let ago = spoken_length(Tick::seconds(between(self.left.wall, Timestamp::now()).as_secs()));
        let title = &schedule.session.title;
        format!(
            "\"{title}\" was cut off at {} of {}, {ago} ago",
            whole_seconds(self.left.now),
            whole_seconds(schedule.total())
        )
    }

    /// Asks where to resume. The answer is one key.
    fn ask(&self, fresh: bool) -> Result<ResumeAnswer, CommandError> {
        let mut out = io::stdout();
        let schedule = self.left.course.schedule();
        writeln!(out, "{}.", self.where_it_broke())?;
        writeln!(out, "  t  resume at {}", whole_seconds(self.left.now))?;
        if let Some(span) = schedule.span_at(self.left.now) {
            let span = &schedule.spans[span];
            let what = match schedule.station_of(span).filter(|_| span.purpose == SpanPurpose::Work) {
                Some(station) => station.movement.name.clone(),
                None => class::cue::purpose_words(span.purpose).to_lowercase(),
            };
            writeln!(out, "  b  resume from the beginning of {what}")?;
        }
        let by_now = self.left.projected_to(Timestamp::now());
        if by_now.now > self.left.now {
            let over = if by_now.now >= schedule.total() { ", its end" } else { "" };
            writeln!(out, "  c  catch up with the clock: at {}{over}", whole_seconds(by_now.now))?;
        }
        if fresh {
            writeln!(out, "  n  start a new class")?;
        }
        writeln!(out, "  q  quit, decide later")?;
        out.flush()?;
        let mut console = Console::open(answer).or_cannot("read the keyboard")?;
        let _restored = terminal::take_keys_for_now().or_cannot("read the keyboard")?;
        console.read_keys();
        let answer = loop {
            match console.key() {
                Ok(ResumeAnswer::Fresh) if !fresh => {}
                Ok(answer) => break answer,
                Err(signal) => break ResumeAnswer::Ended(signal),
            }
        };
        Ok(answer)
    }
}

fn answer(key: KeyEvent) -> Option<ResumeAnswer> {
    if key.kind != KeyEventKind::Press {
        return None;
    }
    let control = key.modifiers.contains(KeyModifiers::CONTROL);
    match key.code {
        KeyCode::Char('c') if control => Some(ResumeAnswer::Leave),
        _ if control => None,
        KeyCode::Char('t') | KeyCode::Enter => Some(ResumeAnswer::Resume(ResumeAt::Tick)),
        KeyCode::Char('b') => Some(ResumeAnswer::Resume(ResumeAt::Station)),
        KeyCode::Char('c') => Some(ResumeAnswer::Resume(ResumeAt::Clock)),
        KeyCode::Char('n') => Some(ResumeAnswer::Fresh),
        KeyCode::Char('q') | KeyCode::Esc => Some(ResumeAnswer::Leave),
        _ => None,
    }
}

impl ClassToLead for InterruptedClass {
    fn schedule(&self) -> &Schedule {
        self.left.course.schedule()
    }

    fn folder(&self) -> PathBuf {
        music::folder(Path::new(&self.locked.kept.header.session.path))
    }

    fn opening(&self, mut opening: ClassOpening, now: &ClockReading) -> Result<ClassOpening, CommandError> {
        let until = self.locked.kept.header.opening.until;
        // An end time that has passed counts as well: the class is then over by that much.
        opening.room_free_until = until.map(|until| now.at.after(between(now.wall.timestamp(), until)));
        opening.muted |= self.left.muted;
        opening.voicing.level = self.left.level;
        opening.movements = self.plan.catalogue.iter().cloned().collect();
        Ok(opening)
    }

    fn class(
        self,
        opening: ClassOpening,
        now: ClockReading,
        fails: impl FnOnce(&io::Error) + Send + 'static,
    ) -> Result<(Conductor, Option<Journal>), CommandError> {
        let id = self.locked.id.clone();
        let stand =
            self.left.resume_point(self.at == ResumeAt::Clock, self.at == ResumeAt::Station, now.wall.timestamp());
        if stand.now >= stand.course.schedule().total() {
            return Err(CommandError::faults(format!("the class would be over by now: forecall log {id} shows it")));
        }
        let lost = stand.lost.saturating_sub(self.left.lost);
        let file = self.locked.append().or_cannot(format_args!("resume {id}"))?;
        let disk: Box<dyn JournalStore> = Box::new(file);
        let journal = Journal::resume((id, disk), stand.now, &now.wall, lost, fails);
        println!("Resuming at {} of {}.", whole_seconds(stand.now), whole_seconds(stand.course.schedule().total()));
        Ok((Conductor::resume(stand, opening, now), Some(journal)))
    }
}

fn whole_seconds(tick: Tick) -> String {
    clock(Tick::seconds(tick.0 / 1000))
}

/// How long from one time to another, in whole milliseconds; zero to an earlier one.
fn between(then: Timestamp, now: Timestamp) -> Duration {
    Duration::from_millis(u64::try_from(then.duration_until(now).as_millis()).unwrap_or(0))
}
