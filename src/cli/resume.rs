//! `forecall resume`: go on with a class that broke off.

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

/// Go on with a class that broke off: the program or the machine ended while it was led
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Every change that was made in the class is kept, and can still be undone. What is gone on with is the session as \
    it was when the class began, also where its file was edited since."
)]
pub struct Args {
    /// The class, by its id or the beginning of it, or `last`; the last one that broke off where none is named
    id: Option<String>,
    /// Where to go on; asked for in a terminal, else where the class had come to
    #[arg(long, value_enum)]
    at: Option<At>,
    #[command(flatten)]
    how: How,
}

/// Where to go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum At {
    /// Where the class had come to, held until you go on
    Tick,
    /// At the start of the station or rest that ran, held until you go on
    Station,
    /// As if time had gone on
    Clock,
}

/// What a coach who leads a file wants done about the class of it that broke off.
pub enum Offer {
    GoOn(Box<Broken>),
    Fresh,
    Leave(Exit),
}

/// After so long nobody goes on with a class, our estimate; `forecall resume` still does.
const STALE_H: i64 = 12;

/// Goes on with a class, to its end. The exit code is as for [`lead`](super::lead).
///
/// # Errors
/// When there is no such class, it is still being led or was led to its end, or the terminal cannot be had.
pub fn run(args: &Args) -> Result<Exit, Stop> {
    let entry = match &args.id {
        Some(id) => journals::find(id)?,
        None => last_broken()?,
    };
    let mut broken = Broken::open(&entry)?;
    if broken.left.ended == Some(Ended::Done) {
        return Err(Stop::Faults(format!(
            "the class {} came to its end: forecall log {} shows it",
            entry.id, entry.id
        )));
    }
    if broken.held.kept.torn {
        note("The last line of its journal breaks off, and is left out.");
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

/// The last class that has no end and that nobody leads.
fn last_broken() -> Result<Entry, Stop> {
    for entry in journals::entries()?.into_iter().rev() {
        let Ok(kept) = entry.read() else { continue };
        let ended = Plan::of(&kept.header).and_then(|plan| replay(&plan, &kept)).map(|left| left.ended);
        if ended == Ok(None) && !entry.is_led() {
            return Ok(entry);
        }
    }
    Err(Stop::Faults("no class has broken off".to_owned()))
}

/// Asks the coach who leads a file about the last class of it, where that broke off not long ago. Without keys, or
/// where the coach has said where to begin, it is only told.
///
/// # Errors
/// When the terminal cannot be had.
pub fn offer(file: &Path, how: &How, asked: bool) -> Result<Offer, Stop> {
    let Some(entry) = broken_of(file, how) else { return Ok(Offer::Fresh) };
    if entry.is_led() {
        note(&format!("This class is being led already, as {}.", entry.id));
        return Ok(Offer::Fresh);
    }
    // What cannot be taken up again is no reason not to lead.
    let Ok(mut broken) = Broken::open(&entry) else { return Ok(Offer::Fresh) };
    if asked || !how.keys() {
        note(&format!(
            "{}: forecall resume {} goes on with it. This begins a new one.",
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

/// The last class that broke off, where that is not long ago, to be told of at the front door.
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

/// A class that broke off.
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
        let cannot = |why: Refused| Stop::Cannot(format!("cannot go on with {}: {why}", entry.id));
        let held = entry.hold().map_err(cannot)?;
        let plan = Plan::of(&held.kept.header).map_err(|fault| cannot(fault.into()))?;
        let left = replay(&plan, &held.kept).map_err(|fault| cannot(fault.into()))?;
        Ok(Broken { held, plan, left, at: At::Tick })
    }

    /// `"Frost and oars" broke off at 12:34 of 45:00, 3m20s ago`.
    fn where_it_broke(&self) -> String {
        let schedule = self.left.course.schedule();
        let ago = spoken_length(Tick::seconds(ms_between(self.left.wall, Timestamp::now()) / 1000));
        let title = &schedule.session.title;
        format!("\"{title}\" broke off at {} of {}, {ago} ago", whole(self.left.now), whole(schedule.total()))
    }

    /// Asks with one key where to go on.
    fn ask(&self, fresh: bool) -> Result<Answer, Stop> {
        let mut out = io::stdout();
        let schedule = self.left.course.schedule();
        writeln!(out, "{}.", self.where_it_broke())?;
        writeln!(out, "  t  go on at {}", whole(self.left.now))?;
        if let Some(span) = schedule.span_at(self.left.now) {
            let span = &schedule.spans[span];
            let what = match schedule.station_of(span).filter(|_| span.purpose == Purpose::Work) {
                Some(station) => station.movement.name.clone(),
                None => class::cue::purpose_words(span.purpose).to_lowercase(),
            };
            writeln!(out, "  s  go on at the start of what ran: {what}")?;
        }
        let by_now = self.left.by_now(Timestamp::now());
        if by_now.now > self.left.now {
            let over = if by_now.now >= schedule.total() { ", its end" } else { "" };
            writeln!(out, "  c  go on as if time had gone on: at {}{over}", whole(by_now.now))?;
        }
        if fresh {
            writeln!(out, "  n  begin a new class")?;
        }
        writeln!(out, "  q  leave it for now")?;
        out.flush()?;
        let mut console = Console::open(answer).or_cannot("take keys")?;
        let _restored = terminal::take_keys_for_now().or_cannot("take keys")?;
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
        // A time that was missed already counts as well: the class is over it by so much.
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
            return Err(Stop::Faults(format!("by now the class would be over: forecall log {id} shows it")));
        }
        let lost = stand.lost_ms.saturating_sub(self.left.lost_ms);
        let file = self.held.go_on().map_err(|error| Stop::Cannot(format!("cannot go on with {id}: {error}")))?;
        let disk: Box<dyn Disk> = Box::new(file);
        let journal = Journal::take_up((id, disk), stand.now, &now.wall, lost, fails);
        println!("Going on at {} of {}.", whole(stand.now), whole(stand.course.schedule().total()));
        Ok((Conductor::take_up(stand, opening, now), Some(journal)))
    }
}

fn whole(tick: Tick) -> String {
    clock(Tick::seconds(tick.0 / 1000))
}

fn ms_between(then: Timestamp, now: Timestamp) -> u64 {
    u64::try_from(then.duration_until(now).as_millis()).unwrap_or(0)
}
