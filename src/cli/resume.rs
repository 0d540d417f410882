//! `forecall resume`: resumes a class that was cut off.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use jiff::{Timestamp, ZonedDateTime};

use super::leading::{How, Part};
use super::notes::note;
use super::stop::OrCannot;
use super::{Exit, Stop, journals, music};
use class::schedule::{Purpose, Schedule};
use class::time::{Tick, clock, spoken_length};
use journal::{Disk, Ended, Entry, Held, Journal, Left, Plan, Refused, replay};
use stage::door::Unfinished;
use stage::lead::{Conductor, Opening};
use stage::runtime::{Console, Reading, terminal};

/// Resume a class that was cut off by a crash or a flat battery
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Every change made in the class is kept and can still be undone. The class uses the session as it was \
    when the class started, even if its file has been edited since."
)]
pub struct Args {
    /// The class, by its id, the beginning of its id, or `last` [default: the last class that was cut off]
    id: Option<String>,
    /// Where to resume [default: asks in a terminal, else tick]
    #[arg(long, value_enum)]
    at: Option<At>,
    #[command(flatten)]
    how: How,
}

/// Where to resume.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum At {
    /// Where the class was cut off; paused until you resume it
    Tick,
    /// At the start of the station or rest that was running; paused until you resume it
    Station,
    /// Where the class would be now if it had not been cut off
    Clock,
}

/// What the coach wants to do about the last class of a file, which was cut off.
pub enum Offer {
    GoOn(Box<Broken>),
    Fresh,
    Leave(Exit),
}

/// After this many hours a class is no longer offered for resuming, our estimate; `forecall resume` still resumes it.
const STALE_H: i64 = 12;

/// Resumes a class and leads it to its end. The exit code is as for [`lead`](super::lead).
///
/// # Errors
/// When there is no such class, it is still being led or is finished, or the terminal cannot be used.
pub fn run(args: &Args) -> Result<Exit, Stop> {
    let entry = match &args.id {
        Some(id) => journals::find(id)?,
        None => last_broken()?,
    };
    let mut broken = Broken::open(&entry)?;
    if broken.left.ended == Some(Ended::Done) {
        return Err(Stop::Faults(format!("the class {} is finished: forecall log {} shows it", entry.id, entry.id)));
    }
    if broken.held.kept.torn {
        note("The last line of its journal is incomplete and is ignored.");
    }
    broken.at = match args.at {
        Some(at) => at,
        None if args.how.keys() => match broken.ask(false)? {
            Answer::GoOn(at) => at,
            Answer::Fresh | Answer::Leave => return Ok(Exit::Well),
            Answer::Ended(signal) => return Ok(Exit::Signal(signal)),
        },
        None => At::Tick,
    };
    args.how.lead(broken)
}

/// The last class that has no end and that nobody is leading.
fn last_broken() -> Result<Entry, Stop> {
    for entry in journals::entries()?.into_iter().rev() {
        let Ok(kept) = entry.read() else { continue };
        let ended = Plan::of(&kept.header).and_then(|plan| replay(&plan, &kept)).map(|left| left.ended);
        if ended == Ok(None) && !entry.is_led() {
            return Ok(entry);
        }
    }
    Err(Stop::Faults("no class was cut off".to_owned()))
}

/// Asks a coach who leads a file about the last class of that file, if it was cut off not long ago. Without keys, or if
/// the coach has said where to start, only prints a line.
///
/// # Errors
/// When the terminal cannot be used.
pub fn offer(file: &Path, how: &How, asked: bool) -> Result<Offer, Stop> {
    let Some(entry) = broken_of(file, how) else { return Ok(Offer::Fresh) };
    if entry.is_led() {
        note(&format!("This class is already being led, as {}.", entry.id));
        return Ok(Offer::Fresh);
    }
    // A class that cannot be resumed must not stop a new one.
    let Ok(mut broken) = Broken::open(&entry) else { return Ok(Offer::Fresh) };
    if asked || !how.keys() {
        note(&format!(
            "{}: forecall resume {} continues it. This starts a new class.",
            broken.where_it_broke(),
            entry.id
        ));
        return Ok(Offer::Fresh);
    }
    Ok(match broken.ask(true)? {
        Answer::GoOn(at) => {
            broken.at = at;
            Offer::GoOn(Box::new(broken))
        }
        Answer::Fresh => Offer::Fresh,
        Answer::Leave => Offer::Leave(Exit::Well),
        Answer::Ended(signal) => Offer::Leave(Exit::Signal(signal)),
    })
}

/// The last class that was cut off, if that is not long ago, for the front door.
pub fn unfinished() -> Option<Unfinished> {
    let since = ZonedDateTime::now().checked_sub(jiff::Span::new().hours(STALE_H)).ok()?;
    let day = since.strftime("%Y-%m-%d").to_string();
    let recent = journals::entries().ok()?.into_iter().rev().take_while(|entry| entry.day() >= day.as_str());
    for entry in recent {
        if entry.is_led() {
            continue;
        }
        let Ok(broken) = Broken::open(&entry) else { continue };
        if broken.left.ended.is_none() && broken.left.wall >= since.timestamp() {
            let words = broken.where_it_broke();
            return Some(Unfinished { id: entry.id, words });
        }
    }
    None
}

/// The last class of a file, if it has no end and is not long ago.
fn broken_of(file: &Path, how: &How) -> Option<Entry> {
    let now = ZonedDateTime::now();
    let since = now.checked_sub(jiff::Span::new().hours(STALE_H)).ok()?;
    let day = since.strftime("%Y-%m-%d").to_string();
    let recent = journals::entries().ok()?.into_iter().rev().take_while(|entry| entry.day() >= day.as_str());
    for entry in recent {
        let Ok(kept) = entry.read() else { continue };
        if Path::new(&kept.header.session.path) != file || kept.header.speed != how.speed {
            continue;
        }
        let left = Plan::of(&kept.header).and_then(|plan| replay(&plan, &kept)).ok()?;
        return (left.ended.is_none() && left.wall >= since.timestamp()).then_some(entry);
    }
    None
}

/// A class that was cut off.
pub struct Broken {
    held: Held,
    plan: Plan,
    left: Left,
    at: At,
}

enum Answer {
    GoOn(At),
    Fresh,
    Leave,
    /// By the signal of this number.
    Ended(i32),
}

impl Broken {
    fn open(entry: &Entry) -> Result<Broken, Stop> {
        let cannot = |why: Refused| Stop::Cannot(format!("cannot resume {}: {why}", entry.id));
        let held = entry.hold().map_err(cannot)?;
        let plan = Plan::of(&held.kept.header).map_err(|fault| cannot(fault.into()))?;
        let left = replay(&plan, &held.kept).map_err(|fault| cannot(fault.into()))?;
        Ok(Broken { held, plan, left, at: At::Tick })
    }

    /// For example: `"Frost and oars" was cut off at 12:34 of 45:00, 3m20s ago`.
    fn where_it_broke(&self) -> String {
        let schedule = self.left.course.schedule();
        let ago = spoken_length(Tick::seconds(ms_between(self.left.wall, Timestamp::now()) / 1000));
        let title = &schedule.session.title;
        format!("\"{title}\" was cut off at {} of {}, {ago} ago", whole(self.left.now), whole(schedule.total()))
    }

    /// Asks where to resume. The answer is one key.
    fn ask(&self, fresh: bool) -> Result<Answer, Stop> {
        let mut out = io::stdout();
        let schedule = self.left.course.schedule();
        writeln!(out, "{}.", self.where_it_broke())?;
        writeln!(out, "  t  resume at {}", whole(self.left.now))?;
        if let Some(span) = schedule.span_at(self.left.now) {
            let span = &schedule.spans[span];
            let what = match schedule.station_of(span).filter(|_| span.purpose == Purpose::Work) {
                Some(station) => station.movement.name.clone(),
                None => class::cue::purpose_words(span.purpose).to_lowercase(),
            };
            writeln!(out, "  s  resume from the start of {what}")?;
        }
        let by_now = self.left.by_now(Timestamp::now());
        if by_now.now > self.left.now {
            let over = if by_now.now >= schedule.total() { ", its end" } else { "" };
            writeln!(out, "  c  catch up with the clock: at {}{over}", whole(by_now.now))?;
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
                Ok(Answer::Fresh) if !fresh => {}
                Ok(answer) => break answer,
                Err(signal) => break Answer::Ended(signal),
            }
        };
        Ok(answer)
    }
}

fn answer(key: KeyEvent) -> Option<Answer> {
    if key.kind != KeyEventKind::Press {
        return None;
    }
    let control = key.modifiers.contains(KeyModifiers::CONTROL);
    match key.code {
        KeyCode::Char('c') if control => Some(Answer::Leave),
        _ if control => None,
        KeyCode::Char('t') | KeyCode::Enter => Some(Answer::GoOn(At::Tick)),
        KeyCode::Char('s') => Some(Answer::GoOn(At::Station)),
        KeyCode::Char('c') => Some(Answer::GoOn(At::Clock)),
        KeyCode::Char('n') => Some(Answer::Fresh),
        KeyCode::Char('q') | KeyCode::Esc => Some(Answer::Leave),
        _ => None,
    }
}

impl Part for Broken {
    fn schedule(&self) -> &Schedule {
        self.left.course.schedule()
    }

    fn folder(&self) -> PathBuf {
        music::folder(Path::new(&self.held.kept.header.session.path))
    }

    fn opening(&self, mut opening: Opening, now: &Reading) -> Result<Opening, Stop> {
        let until = self.held.kept.header.opening.until;
        // An end time that has passed counts as well: the class is then over by that much.
        opening.room_until = until.map(|until| now.at.after(ms_between(now.wall.timestamp(), until)));
        opening.muted |= self.left.muted;
        opening.voicing.level = self.left.level;
        opening.movements = self.plan.catalogue.iter().cloned().collect();
        Ok(opening)
    }

    fn class(
        self,
        opening: Opening,
        now: Reading,
        fails: impl FnOnce(String) + Send + 'static,
    ) -> Result<(Conductor, Option<Journal>), Stop> {
        let id = self.held.id.clone();
        let stand = self.left.stand(self.at == At::Clock, self.at == At::Station, now.wall.timestamp());
        if stand.now >= stand.course.schedule().total() {
            return Err(Stop::Faults(format!("the class would be over by now: forecall log {id} shows it")));
        }
        let lost = stand.lost_ms.saturating_sub(self.left.lost_ms);
        let file = self.held.go_on().map_err(|error| Stop::Cannot(format!("cannot resume {id}: {error}")))?;
        let disk: Box<dyn Disk> = Box::new(file);
        let journal = Journal::take_up((id, disk), stand.now, &now.wall, lost, fails);
        println!("Resuming at {} of {}.", whole(stand.now), whole(stand.course.schedule().total()));
        Ok((Conductor::take_up(stand, opening, now), Some(journal)))
    }
}

fn whole(tick: Tick) -> String {
    clock(Tick::seconds(tick.0 / 1000))
}

fn ms_between(then: Timestamp, now: Timestamp) -> u64 {
    u64::try_from(then.duration_until(now).as_millis()).unwrap_or(0)
}
